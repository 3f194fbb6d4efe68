"""``clear-out``: what to get rid of by disposal route, a sheet to tick, and the writing off."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.choosing import lists_alone
from stockcheck.cli.shell import (
    FILE,
    Shell,
    at_terminal,
    emit,
    on_option,
    pass_shell,
    report_options,
    say,
    stamp,
)
from stockcheck.core.clearing import Clearing, Wanted, to_clear
from stockcheck.core.errors import BadInput, Declined

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stockcheck.data.kinds import Route
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store


@click.command("clear-out")
@click.option("--box", "box_name", metavar="NAME", help="Only this box and the boxes inside it.")
@click.option(
    "--route",
    "routes",
    multiple=True,
    metavar="NAME",
    help="Only what goes this way, such as pharmacy; may be given several times.",
)
@click.option(
    "--lot",
    "lots",
    multiple=True,
    metavar="LOT",
    help="Only this lot; may be given several times.",
)
@click.option("--last-resorts", is_flag=True, help="Also what was kept as a last resort.")
@click.option("--undated", is_flag=True, help="Also what has no date.")
@click.option("--sheet", type=FILE, metavar="PDF", help="A sheet to take along: ticks and codes.")
@click.option("--write-off", is_flag=True, help="Ask line by line what is gone, and write it off.")
@click.option("--yes", is_flag=True, help="Write off all that is listed, without asking.")
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def clear_out(
    shell: Shell,
    box_name: str | None,
    routes: tuple[str, ...],
    lots: tuple[str, ...],
    last_resorts: bool,
    undated: bool,
    sheet: Path | None,
    write_off: bool,
    yes: bool,
    fmt: str,
    output: Path | None,
    page: str,
    on: date,
) -> None:
    """List what is expired or has failed by its disposal route, and write off what is gone.

    Stock on hold is left out: release it or write it off by itself. All that is written off is one
    command's work, which undo takes back. Medicines go back to a pharmacy; what local rules say of
    controlled ones comes first.

    \b
    Examples:
      stockcheck clear-out --sheet clear-out.pdf
      stockcheck clear-out --route pharmacy --box "First aid" --yes
    """
    writing = write_off or yes
    if writing or sheet is not None:
        lists_alone("the list itself; --box, --route and --lot choose what goes")
    if writing and (fmt != "text" or output is not None):
        raise click.UsageError("list with --format and --output first, then write off without them")
    with shell.store() as store:
        asked = _asked(store, box_name, routes, lots, Wanted(last_resorts, undated))
        found = asked.found(store, on)
        if not writing:
            emit(_report(store, asked, found, on), fmt, output, page)
        if sheet is not None:
            from stockcheck.cli.clear_out_sheet import write_sheet

            write_sheet(store.name, found, on, page, sheet)
        if writing:
            _write_off(store, asked, found, on, yes=yes)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is asked for: boxes (None: all of them), and what more or less of what is in them."""

    boxes: tuple[int, ...] | None
    wanted: Wanted

    def found(self, store: Store, on: date) -> tuple[Clearing, ...]:
        """What is to go, read anew."""
        from stockcheck.data.kinds import disposal_routes
        from stockcheck.store import reads

        held = reads.holdings(store.conn, box_ids=self.boxes)
        return to_clear(held, on, disposal_routes(), self.wanted)


def _asked(
    store: Store,
    box_name: str | None,
    routes: tuple[str, ...],
    lots: tuple[str, ...],
    wanted: Wanted,
) -> _Asked:
    from dataclasses import replace

    from stockcheck.store import reads
    from stockcheck.store.names import find_id

    boxes = None
    if box_name is not None:
        every = reads.boxes(store.conn, retired=True)
        boxes = tuple(reads.box_and_inside(every, find_id(store.conn, "box", box_name)))
    return _Asked(
        boxes,
        replace(
            wanted,
            routes=[_route(name) for name in routes] or None,
            lots=[find_id(store.conn, "lot", name) for name in lots] or None,
        ),
    )


def _route(name: str) -> str:
    """The key of a route by its name or key; BadInput tells the nearest."""
    from stockcheck.core.names import name_key, nearest
    from stockcheck.data.kinds import disposal_routes

    routes = disposal_routes()
    for key, route in routes.items():
        if name_key(name) in {name_key(key), name_key(route.name)}:
            return key
    more = nearest(name, [route.name for route in routes.values()], f"there are {_names(routes)}")
    raise BadInput(f"there is no disposal route {name!r}{more}")


def _names(routes: dict[str, Route]) -> str:
    return ", ".join(route.name for route in routes.values())


def _report(store: Store, asked: _Asked, found: Sequence[Clearing], on: date) -> Report:
    from stockcheck.data.kinds import cautions, disposal_routes
    from stockcheck.output.clear_out_report import clear_out_report

    return clear_out_report(
        found, disposal_routes(), cautions(),
        on=on, store=store.name, notes=_left_out(store, asked, on),
    )  # fmt: skip


def _left_out(store: Store, asked: _Asked, on: date) -> tuple[str, ...]:
    """What was not asked for, and how it is."""
    from dataclasses import replace

    from stockcheck.core.clearing import Why, held_back
    from stockcheck.core.words import counted
    from stockcheck.data.kinds import disposal_routes
    from stockcheck.store import reads

    stock = reads.holdings(store.conn, box_ids=asked.boxes)
    every = replace(asked.wanted, last_resorts=True, undated=True)
    more = to_clear(stock, on, disposal_routes(), every)
    notes = []
    for why, option in ((Why.UNDATED, "undated"), (Why.LAST_RESORT, "last-resorts")):
        count = sum(each.why is why for each in more)
        if count and not getattr(asked.wanted, option.replace("-", "_")):
            notes.append(f"{counted(count, 'holding')} {why.value}, left out: --{option} adds them")
    if held := held_back(stock, asked.wanted):
        notes.append(
            f"{counted(held, 'holding')} on hold, left out: release or write off by itself"
        )
    return tuple(notes)


def _write_off(
    store: Store, asked: _Asked, found: Sequence[Clearing], on: date, *, yes: bool
) -> None:
    """Write off what is chosen of it, in one transaction; nothing where nobody can be asked."""
    if not found:
        say("Nothing is to be got rid of.")
        return
    if yes:
        chosen = list(found)
    elif at_terminal():
        from stockcheck.cli.clear_out_asking import chosen_by_hand

        chosen = chosen_by_hand(found, on)
    else:
        raise Declined("nobody can be asked here; --yes writes off all that is listed")
    if not chosen:
        say("Nothing was written off.")
        return
    _post(store, asked, chosen, on)


def _post(store: Store, asked: _Asked, chosen: Sequence[Clearing], on: date) -> None:
    from stockcheck.cli.telling import tell_cautions, tell_disposal, tell_undo
    from stockcheck.core.clearing import written_off
    from stockcheck.core.words import counted
    from stockcheck.data.kinds import disposal_routes
    from stockcheck.output.clear_out_report import CONTROLLED
    from stockcheck.store import ledger

    names = {key: route.name for key, route in disposal_routes().items()}
    with store.writing() as conn:
        movements, changed = written_off(chosen, asked.found(store, on), names)
        numbers = ledger.post(conn, movements, stamp(on)) if movements else []
    gone = [each for each in chosen if each not in changed]
    for each in gone:
        amount = counted(each.holding.quantity, each.holding.item.unit)
        say(
            f"Written off: {amount} of {each.holding.item.name} ({each.holding.lot.short},"
            f" {each.why.value}) from {each.holding.box.name}"
        )
    for each in changed:
        say(
            f"Left alone, it changed meanwhile: {each.holding.lot.short} in {each.holding.box.name}"
        )
    tell_undo(numbers)
    tell_disposal(each.holding for each in gone)
    if any(each.medicine for each in gone):
        say(f"Caution: {CONTROLLED}", 2)
    tell_cautions(each.holding for each in gone)


COMMANDS = {"clear-out": clear_out}
