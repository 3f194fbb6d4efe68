"""``count``: a box counted lot by lot, held against the books, and the books set right."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.choosing import lists_alone
from stockcheck.cli.shell import (
    FILE,
    FILE_OR_DASH,
    WORDS,
    Shell,
    at_terminal,
    complain,
    confirm,
    emit,
    on_option,
    pass_shell,
    report_options,
    say,
    stamp,
)
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.store.files import Store
    from stockcheck.store.stocktakes import Stocktake


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked of one count, apart from the box."""

    on: date
    by: str = ""
    inner: bool = False
    blind: bool = False
    file: Path | None = None
    enter: bool = False
    mode: str = ""
    yes: bool = False
    partial: bool = False
    moves: bool = True
    fmt: str = "text"
    output: Path | None = None
    page: str = "A4"
    sheet: Path | None = None
    dpi: int = 300


class Interval(click.ParamType[int]):
    """Days between two counts; ``never`` is 0, ``usual`` is -1."""

    name = "DAYS"

    def convert(
        self, value: str | int, param: click.Parameter | None, ctx: click.Context | None
    ) -> int:
        """Read it; usage error otherwise."""
        words = {"never": 0, "usual": -1}
        if isinstance(value, int):
            return value
        text = value.strip().lower()
        if text in words:
            return words[text]
        if not (text.isascii() and text.isdigit() and 0 < int(text) <= 3660):
            self.fail(f"{value!r}: give a number of days, or never, or usual", param, ctx)
        return int(text)


@click.command()
@click.argument("box_name", metavar="[BOX]", required=False)
@click.option("--inner", is_flag=True, help="Take in the boxes inside it; scan each as you come.")
@click.option("--blind", is_flag=True, help="Hide what the books expect until the end.")
@click.option(
    "--by", type=WORDS, default="", metavar="NAME", help="Who counts; two may count one box."
)
@click.option("--from", "file", type=FILE_OR_DASH, help="Lines from a file, all or nothing.")
@click.option("--sheet", type=FILE, metavar="FILE.pdf", help="Print a paper sheet to count on.")
@click.option("--dpi", type=click.IntRange(150, 2400), default=300, show_default=True,
              help="The printer's resolution, for --sheet.")  # fmt: skip
@click.option("--enter", is_flag=True, help="Enter a filled-in sheet: line number and quantity.")
@click.option("--show", "mode", flag_value="show",
              help="The variance list so far, or of the last count.")  # fmt: skip
@click.option("--finish", "mode", flag_value="finish",
              help="Go to the variance list and the question at once.")  # fmt: skip
@click.option("--abandon", "mode", flag_value="abandon",
              help="Give the count up; nothing is changed.")  # fmt: skip
@click.option("--list", "mode", flag_value="list",
              help="The counts there were, those open first.")  # fmt: skip
@click.option("--overdue", "mode", flag_value="overdue",
              help="The boxes that should have been counted by now.")  # fmt: skip
@click.option("--all", "everything", is_flag=True, help="With --list or --overdue: all of them.")
@click.option("--yes", is_flag=True, help="Post the corrections without asking.")
@click.option("--partial", is_flag=True, help="Leave what was not counted as it is.")
@click.option("--no-moves", is_flag=True, help="Post what turned up as over, never as moved here.")
@click.option("--every", type=Interval(), help="Days from count to count, never, or usual (90).")
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def count(
    shell: Shell,
    box_name: str | None,
    inner: bool,
    blind: bool,
    by: str,
    file: Path | None,
    sheet: Path | None,
    dpi: int,
    enter: bool,
    mode: str | None,
    everything: bool,
    yes: bool,
    partial: bool,
    no_moves: bool,
    every: int | None,
    fmt: str,
    output: Path | None,
    page: str,
    on: date,
) -> None:
    """Count BOX: scan or type its lots, see what is left to find, and set the books right.

    Every line is kept at once: 'count BOX' goes on where it was left. L12 is one more (a pack,
    where it comes in packs), L12 3 three more, L12 =3 three in all, then sealed, opened or on hold
    where these are to be told apart. Words: left, list, undo, done, stop; the action card has undo
    and done. Boxes inside BOX are counts of their own, unless --inner.

    The list says agrees, over, short, not found, found elsewhere, wrong box (a move), found again
    or count again. A correction is never a use.

    \b
    Examples:
      stockcheck count Medicines --sheet medicines.pdf --blind
      stockcheck count --overdue --all
    """
    asked = Asked(on, by.strip(), inner, blind, file, enter, mode or "", yes, partial,
                  not no_moves, fmt, output, page, sheet, dpi)  # fmt: skip
    if mode not in {"list", "overdue", "show"}:
        lists_alone("--show, --list or --overdue")
    with shell.store() as store:
        if mode in {"list", "overdue"}:
            _lists(store, asked, everything=everything)
        elif box_name is None:
            raise click.UsageError("name the box to count, or give --list or --overdue")
        elif every is not None:
            _set_interval(store, _box(store, box_name), every)
        else:
            _one_box(store, _box(store, box_name), asked)


def _one_box(store: Store, box: int, asked: Asked) -> None:
    """What was asked of one box's count."""
    if asked.mode == "abandon":
        _abandon(store, box, asked)
    elif asked.mode == "show":
        _show(store, box, asked)
    elif asked.sheet is not None:
        from stockcheck.cli.counting_sheet import print_sheet

        print_sheet(store, begun(store, box, asked), asked.sheet, asked)
    else:
        _count(store, box, asked)


def _box(store: Store, name: str) -> int:
    from stockcheck.store.names import find_id

    return find_id(store.conn, "box", name)


def begun(store: Store, box: int, asked: Asked) -> Stocktake:
    """The open count of a box, or a new one; BadInput for a box that is out of use."""
    from stockcheck.store import stocktakes

    with store.writing() as conn:
        take = stocktakes.begun(
            conn, box, inner=asked.inner, blind=asked.blind, by=asked.by, stamp=stamp(asked.on)
        )
    warn_as_begun(take, asked)
    return take


def warn_as_begun(take: Stocktake, asked: Asked) -> None:
    """Tell where an open count was begun otherwise than asked for now: it goes on as it is."""
    for wanted, has, option in (
        (asked.blind, take.blind, "--blind"),
        (asked.inner, len(take.boxes) > 1, "--inner"),
    ):
        if wanted and not has:
            say(f"{take.short} was begun without {option} and goes on so", err=True)


def _count(store: Store, box: int, asked: Asked) -> None:
    """Count at a terminal, or from lines; then the variance list where that is asked for."""
    from stockcheck.cli.counting_finish import finish
    from stockcheck.cli.counting_lines import take_lines

    if asked.fmt == "pdf" and asked.output is None:
        raise click.UsageError("a PDF needs a file: give --output NAME.pdf")
    typed = at_terminal() and asked.file is None
    if asked.mode == "finish" and asked.file is None:
        finish(store, _open(store, box), asked)
        return
    if typed:
        from stockcheck.cli.counting_session import converse

        take = begun(store, box, asked)
        while converse(store, take, asked):
            try:
                finish(store, take, asked)
            except BadInput as error:
                complain(str(error))
            else:
                return
        return
    take, done = take_lines(store, box, asked)
    if done or asked.mode == "finish" or asked.yes:
        finish(store, take, asked)
    else:
        from stockcheck.cli.counting_finish import show

        show(store, take, asked)
        say(f"{take.short} stays open, nothing is posted; --yes posts the corrections", err=True)


def _open(store: Store, box: int) -> Stocktake:
    from stockcheck.store import stocktakes

    found = stocktakes.open_of(store.conn, box)
    if found is None:
        from stockcheck.store.names import name_of

        name = name_of(store.conn, "box", box)
        raise BadInput(f"{name} is not being counted; 'stockcheck count \"{name}\"' begins it")
    return found


def _show(store: Store, box: int, asked: Asked) -> None:
    from stockcheck.cli.counting_finish import show
    from stockcheck.store import stocktakes

    show(store, stocktakes.last_of(store.conn, box) or _open(store, box), asked)


def _abandon(store: Store, box: int, asked: Asked) -> None:
    from stockcheck.store import stocktakes

    take = _open(store, box)
    lines = len(stocktakes.entries(store.conn, take.id))
    confirm(f"Give up count {take.short} of {take.box.name}, with {lines} lines?", yes=asked.yes)
    with store.writing() as conn:
        stocktakes.abandon(conn, take, asked.by, "", stamp(asked.on))
    say(f"Count {take.short} of {take.box.name} is given up; the books are as they were")


def _set_interval(store: Store, box: int, days: int) -> None:
    from stockcheck.store import stocktake_due
    from stockcheck.store.names import name_of

    with store.writing() as conn:
        stocktake_due.set_interval(conn, box, None if days < 0 else days)
    name = name_of(store.conn, "box", box)
    usual = f"every {stocktake_due.USUAL_DAYS} days, as usual"
    said = {0: "is not counted", -1: f"is counted {usual}"}
    say(f"{name} {said.get(days, f'is counted every {days} days')}")


def _lists(store: Store, asked: Asked, *, everything: bool) -> None:
    from stockcheck.output import count_report
    from stockcheck.store import stocktake_due, stocktake_reads

    if asked.mode == "overdue":
        every = stocktake_due.when_counted(store.conn)
        chosen = every if everything else stocktake_due.overdue(store.conn, asked.on)
        rows: list[dict[str, object]] = [
            {
                "box": each.box, "last_counted_on": each.last_on, "every_days": each.every,
                "due_on": each.due_on,
                "finding": "overdue" if each.overdue(asked.on) else "",
            }
            for each in chosen
        ]  # fmt: skip
        report = count_report.due_report(rows, on=asked.on, store=store.name)
    else:
        rows = [
            {
                "stocktake": f"C{each.id}", "box": each.box, "begun_on": each.begun_on,
                "by": each.by, "stands": "undone" if each.undone else each.stands,
                "ended_on": each.ended_on, "lines": each.lines, "variances": each.variances,
            }
            for each in stocktake_reads.past(store.conn, everything=everything)
        ]  # fmt: skip
        report = count_report.past_report(rows, on=asked.on, store=store.name)
    emit(report, asked.fmt, asked.output, asked.page)


COMMANDS = {"count": count}
