"""``round``: an audit at the box itself, line by line, kept as a record."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    DAY,
    FILE_OR_DASH,
    WORDS,
    Shell,
    Tasks,
    emit,
    on_option,
    pass_shell,
    report_options,
    trip_named,
)

if TYPE_CHECKING:
    from pathlib import Path


@click.group("round", cls=Tasks)
def round_() -> None:
    """Audit a box where it stands: go through its list, and keep who looked and what was there.

    \b
    Examples:
      stockcheck round form "First aid" --list de-din-13164-2022 --output f.pdf
      stockcheck round due
    """


_LIST = click.option(
    "--list", "lists", multiple=True, metavar="ID|FILE", help="Else the box's usual list."
)


@round_.command("do")
@click.argument("box_name", metavar="BOX")
@_LIST
@click.option("--by", "checked_by", type=WORDS, metavar="NAME", help="Who looks at it.")
@click.option("--seal", type=WORDS, metavar="NUMBER", help="The seal that is put on now.")
@click.option("--last-used", type=DAY, metavar="DATE", help="When the kit was last used.")
@click.option("--note", type=WORDS, default="", help="Anything else.")
@click.option("--found", multiple=True, metavar="LOT=N", help="So many of a lot are there.")
@click.option("--damaged", multiple=True, metavar="LOT=N", help="So many have a damaged pack.")
@click.option("--as-booked", is_flag=True, help="Everything else is there as the books say.")
@click.option("--correct", is_flag=True, help="Set the books to what was found, without asking.")
@click.option("--anew", is_flag=True, help="Forget the answers of a round that was broken off.")
@click.option("--trip", metavar="NAME", help="Also whether the box lasts through this trip.")
@click.option("--people", type=click.IntRange(min=1), help="For lists per person.")
@click.option("--days", type=click.IntRange(min=1), help="For lists per day.")
@click.option("--given", "conditions", multiple=True, metavar="CONDITION",
              help="A condition of the place, such as running-water.")  # fmt: skip
@on_option
@pass_shell
def do(
    shell: Shell,
    box_name: str,
    lists: tuple[str, ...],
    checked_by: str | None,
    seal: str | None,
    last_used: date | None,
    note: str,
    found: tuple[str, ...],
    damaged: tuple[str, ...],
    as_booked: bool,
    correct: bool,
    anew: bool,
    trip: str | None,
    people: int | None,
    days: int | None,
    conditions: tuple[str, ...],
    on: date,
) -> None:
    """Go through BOX line by line, by keyboard or scanner, and keep it as a record.

    At each lot: Enter or its scanned label where it is there as the books say, else how many
    there are, and dN for N damaged packs ('4 d1'); undo asks the last one again. Answers are kept
    at once, so a round that is broken off goes on where it stopped. The record is never changed
    afterwards; from a paper form, enter what was written on it. Without a terminal give --by, and
    for every lot --found, --as-booked, or a line 'LOT 4 d1' by standard input ('all': the rest).

    \b
    Examples:
      stockcheck round do "First aid" --list de-din-13164-2022 --by Nina \\
          --seal 0417 --found L75=4 --damaged L75=1 --as-booked
      stockcheck round do Medicines --list us-red-cross-family-of-four \\
          --by Nina --as-booked
    """
    from stockcheck.cli.auditing import Asked
    from stockcheck.cli.round_doing import Told, do_round

    told = Told(checked_by, seal, last_used, note, found, damaged, as_booked, correct, anew)
    with shell.store() as store:
        asked = Asked(on, trip_named(store, trip), lists, people, days, conditions)
        emit(do_round(store, box_name, asked, told), "text", None)


@round_.command()
@click.argument("box_name", metavar="BOX")
@_LIST
@click.option("--given", "conditions", multiple=True, metavar="CONDITION",
              help="A condition of the place, such as running-water.")  # fmt: skip
@click.option("--people", type=click.IntRange(min=1), help="For lists per person.")
@click.option("--days", type=click.IntRange(min=1), help="For lists per day.")
@click.option("--output", type=FILE_OR_DASH, required=True, help="The PDF to write.")
@click.option("--page", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True,
              help="Paper of the form.")  # fmt: skip
@on_option
@pass_shell
def form(
    shell: Shell,
    box_name: str,
    lists: tuple[str, ...],
    conditions: tuple[str, ...],
    people: int | None,
    days: int | None,
    output: Path,
    page: str,
    on: date,
) -> None:
    """Print the form to take to BOX: every line with its lots to tick, count and scan.

    \b
    Examples:
      stockcheck round form "First aid" --list de-din-13164-2022 --output f.pdf
      stockcheck round form Medicines --list us-red-cross-family-of-four \\
          --output m.pdf --page Letter
    """
    from stockcheck.cli.auditing import Asked
    from stockcheck.cli.round_form import print_form

    with shell.store() as store:
        print_form(store, box_name, Asked(on, None, lists, people, days, conditions), output, page)


@round_.command()
@click.argument("box_name", metavar="[BOX]", required=False)
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def history(
    shell: Shell, box_name: str | None, on: date, fmt: str, output: Path | None, page: str
) -> None:
    """List the rounds, the last one first, with what changed since the one before.

    \b
    Examples:
      stockcheck round history
      stockcheck round history "First aid" --format json
    """
    from stockcheck.output.round_report import history_report
    from stockcheck.store.audits import rounds
    from stockcheck.store.names import find_id

    with shell.store() as store:
        box_id = find_id(store.conn, "box", box_name) if box_name is not None else None
        report = history_report(rounds(store.conn, box_id=box_id), on=on, store=store.name)
    emit(report, fmt, output, page)


@round_.command()
@click.argument("number", type=click.IntRange(min=1), metavar="NUMBER")
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def show(shell: Shell, number: int, on: date, fmt: str, output: Path | None, page: str) -> None:
    """Show a round as it was recorded, and what was otherwise than in the one before.

    \b
    Examples:
      stockcheck round show 1
      stockcheck round show 1 --format pdf --output round.pdf
    """
    from stockcheck.data.kinds import kit_cautions
    from stockcheck.output.round_report import round_report
    from stockcheck.store.audits import round_before, round_of

    with shell.store() as store:
        found = round_of(store.conn, number)
        before = round_before(store.conn, found)
        report = round_report(found, before, on=on, store=store.name, kit_cautions=kit_cautions())
    emit(report, fmt, output, page)


@round_.command()
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def due(shell: Shell, on: date, fmt: str, output: Path | None, page: str) -> None:
    """Tell which boxes are to be looked at again by when, those overdue first.

    \b
    Examples:
      stockcheck round due
      stockcheck round due --on 2027-11-25
    """
    from stockcheck.output.round_report import due_report
    from stockcheck.store.audits import all_due

    with shell.store() as store:
        report = due_report(all_due(store.conn), on=on, store=store.name)
    emit(report, fmt, output, page)


COMMANDS = {"round": round_}
