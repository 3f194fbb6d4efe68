"""``salvage``: a new store of all that can still be read of a damaged one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import FILE, say

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.store.salvage import Salvaged

_SHOWN = 20


@click.command()
@click.argument("file", type=FILE)
@click.option("--to", "new", type=FILE, required=True, help="The new store's file.")
def salvage(file: Path, new: Path) -> None:
    """Read what can be read of the damaged store FILE, and make a new store of it.

    FILE stays as it is. Movements are replayed in their order, so that on-hand is what the readable
    ones add up to. Rows that refer to a lost one, or that the ledger does not bear, are kept aside
    in a CSV file beside the new store. Look through the boxes afterwards: a value that was damaged
    into another sensible one cannot be told.

    \b
    Examples:
      stockcheck salvage truck.db --to saved.db
      stockcheck salvage stock.db --to saved-stock.db
    """
    from stockcheck.store.salvage import salvage as save

    done = save(file, new)
    say(f"Made {new} of what can be read of {file}: {sum(done.rows.values())} rows")
    _tell(done)
    if done.aside:
        beside = new.with_name(f"{new.stem}-aside.csv")
        _write_aside(done, beside)
        say(f"{len(done.aside)} rows could not be taken over; they are kept aside in")
        click.echo(f"  {beside}")
    whole = not (done.pages or done.gaps or done.aside or done.shipped or done.unplaced)
    say("Nothing is lost" if whole else f"Next: stockcheck --store {new} check, then count")


def _tell(done: Salvaged) -> None:
    from stockcheck.core.words import listed

    for table, numbers in done.gaps.items():
        some = listed([str(number) for number in numbers[:_SHOWN]])
        more = f" and {len(numbers) - _SHOWN} more" if len(numbers) > _SHOWN else ""
        say(f"lost, {table}: number {some}{more}", 2)
    for number, what in list(done.pages.items())[:_SHOWN]:
        say(f"page {number}: {what}", 2)
    if len(done.pages) > _SHOWN:
        say(f"and {len(done.pages) - _SHOWN} more pages", 2)
    if done.unplaced:
        say(f"nothing was found, and their place is lost: {listed(done.unplaced)}", 2)
    if done.shipped:
        count = len(done.shipped)
        say(f"{count} shipped kinds were damaged and stand as shipped: {listed(done.shipped)}", 2)


def _write_aside(done: Salvaged, path: Path) -> None:
    """One line for each row: its table, why it was not taken, and its values as JSON."""
    import csv
    import json

    from stockcheck.core.plain_cells import to_cell
    from stockcheck.store.files import new_file

    path.unlink(missing_ok=True)
    new_file(path)
    with path.open("w", encoding="utf-8", newline="") as file:
        write = csv.writer(file).writerow
        write(("table", "why", "values"))
        for each in done.aside:
            values = json.dumps(each.values, ensure_ascii=False, default=repr)
            write([to_cell(text, empty=False) for text in (each.table, each.why, values)])


COMMANDS = {"salvage": salvage}
