"""``item substitute``: which item may stand in for which, and how many for how many."""

from __future__ import annotations

from datetime import date

import click

from stockcheck.cli.shell import WORDS, Shell, on_option, pass_shell, say


@click.command("substitute")
@click.argument("name", required=False)
@click.option("--by", "by_name", metavar="ITEM", help="What may stand in for it.")
@click.option(
    "--ratio",
    default="1:1",
    show_default=True,
    help="So many of the substitute for so many of the item, such as 2:1.",
)
@click.option("--note", type=WORDS, default="", help="When, or why not always.")
@click.option("--take-back", type=int, metavar="NUMBER", help="Allow it no longer.")
@on_option
@pass_shell
def substitute(
    shell: Shell,
    name: str | None,
    by_name: str | None,
    ratio: str,
    note: str,
    take_back: int | None,
    on: date,
) -> None:
    """Allow ITEM to be replaced by another, one way; without a name, show what is allowed.

    The restock list then uses what is left over of it before anything is bought. For medicines a
    pharmacist or doctor decides what may stand in for what.

    \b
    Examples:
      stockcheck item substitute I49 --by I50
      stockcheck item substitute
    """  # fmt: skip
    from stockcheck.store import purchases
    from stockcheck.store.names import find_id

    if (name is None) is not (by_name is None):
        raise click.UsageError("give the item and --by what, or neither")
    with shell.store() as store:
        if take_back is not None:
            with store.writing() as conn:
                purchases.forbid_substitute(conn, take_back, on)
        elif name is not None and by_name is not None:
            with store.writing() as conn:
                item, by = find_id(conn, "item", name), find_id(conn, "item", by_name)
                purchases.allow_substitute(conn, item, by, _ratio(ratio), note)
        allowed = purchases.substitutes(store.conn)
    for it in allowed:
        more = f" ({it.note})" if it.note else ""
        say(f"{it.id}  {it.per_by} of {it.by.name} for {it.per_item} of {it.item.name}{more}")
    if not allowed:
        say("Nothing stands in for anything else.")


def _ratio(text: str) -> tuple[int, int]:
    from stockcheck.core.errors import BadInput

    parts = [part.strip() for part in text.split(":")]
    if len(parts) != 2 or not all(
        it.isascii() and it.isdigit() and 0 < len(it) <= 6 and int(it) for it in parts
    ):
        raise BadInput(f"--ratio {text!r} is not two whole numbers", "Write it as 2:1")
    return int(parts[0]), int(parts[1])
