"""``kit-lists match``: that an item serves a line of a list, or that it does not."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import WORDS, Shell, emit, on_option, pass_shell, report_options, say
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path


@click.command()
@click.argument("list_id", metavar="LIST")
@click.argument("line", metavar="LINE")
@click.argument("item", metavar="ITEM")
@click.option("--not", "nots", is_flag=True, help="It does not serve that line.")
@click.option("--units", type=click.IntRange(min=1), metavar="N",
              help="How many units of the item make one of the line.")  # fmt: skip
@click.option("--note", type=WORDS, default="", help="Why.")
@on_option
@pass_shell
def match(
    shell: Shell,
    list_id: str,
    line: str,
    item: str,
    nots: bool,
    units: int | None,
    note: str,
    on: date,
) -> None:
    """Say that ITEM serves LINE of LIST, whatever its kind and size, or that it does not.

    It counts in every later audit against that list, which says so. A larger count for one piece
    goes with --units 1, several pieces for one with --units N.

    \b
    Examples:
      stockcheck kit-lists match uk-hse-low-hazard-box "Safety pin" "safety pins"
      stockcheck kit-lists match de-din-13164-2022 "Wet wipe" "wet wipe, skin" \\
          --not --note "dried out"
    """
    from stockcheck.cli.audit_matching import line_named
    from stockcheck.cli.kit_choice import one_list
    from stockcheck.core.kit_list_fit import Match
    from stockcheck.store import matches
    from stockcheck.store.names import find_id, name_of

    if nots and units:
        raise click.UsageError("--not and --units: what does not serve has no count")
    if list_id.endswith(".toml"):
        raise BadInput("a file may move: keep it with 'kit-lists add FILE', then give its id")
    with shell.store() as store:
        kit_list = one_list(store.conn, list_id)
        row = line_named(kit_list, line)
        item_id = find_id(store.conn, "item", item)
        said = Match(kit_list.id, row, item_id, not nots, units or 0, note=note.strip())
        with store.writing() as conn:
            number = matches.say(conn, said, on)
        name = name_of(store.conn, "item", item_id)
    verb = "does not serve" if nots else "serves"
    say(f"match {number}: {name!r} {verb} {row!r} of {kit_list.id}")
    say(f"stockcheck kit-lists unmatch {number} takes it back", 2)


@click.command("matches")
@click.argument("list_id", metavar="[LIST]", required=False)
@report_options("text", "csv", "json")
@on_option
@pass_shell
def matches_(shell: Shell, list_id: str | None, on: date, fmt: str, output: Path | None) -> None:
    """List what was matched by hand.

    \b
    Examples:
      stockcheck kit-lists matches
      stockcheck kit-lists matches de-din-13164-2022
    """
    from stockcheck.output.kit_list_report import matches_report
    from stockcheck.store import reads
    from stockcheck.store.matches import matches

    with shell.store() as store:
        found = matches(store.conn, (list_id,) if list_id else ())
        items = reads.items(store.conn, only=[it.item_id for it in found])
        report = matches_report(found, {it.id: it.name for it in items}, on=on, store=store.name)
    emit(report, fmt, output)


@click.command()
@click.argument("number", type=click.IntRange(min=1), metavar="NUMBER")
@on_option
@pass_shell
def unmatch(shell: Shell, number: int, on: date) -> None:
    """Take back what was matched by hand, by its number; the rules decide again.

    \b
    Examples:
      stockcheck kit-lists matches
      stockcheck kit-lists unmatch 1
    """
    from stockcheck.store import matches
    from stockcheck.store.names import name_of

    with shell.store() as store:
        with store.writing() as conn:
            gone = matches.take_back(conn, number, on)
        name = name_of(store.conn, "item", gone.item_id)
    say(f"match {number} taken back: {name!r} and {gone.line!r} of {gone.list_id}")


MATCHING = (match, matches_, unmatch)
