"""``trip close``: what came back from a trip, and that its log is complete."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    DAY,
    FILE,
    WORDS,
    Shell,
    at_terminal,
    confirm,
    on_option,
    pass_shell,
    say,
    stamp,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stockcheck.core.fefo import Take
    from stockcheck.core.model import Box
    from stockcheck.core.planning import Trip
    from stockcheck.core.returning import CameBack
    from stockcheck.store.files import Store

_COLUMNS = ("box", "item", "lot", "quantity")


@click.command("close")
@click.argument("name")
@click.option(
    "--from", "file", type=FILE, help="A CSV file of what came back: item or lot, box, quantity."
)
@click.option("--lines", is_flag=True, help="Read what came back from scanned lines: L12 3.")
@click.option("--nothing-more", is_flag=True, help="Nothing was used but what is recorded.")
@click.option("--came-back", type=DAY, help="The day of return, if not the planned one.")
@click.option("--km", type=click.IntRange(min=0), help="Kilometres driven, if not as planned.")
@click.option("--note", type=WORDS, default="", help="Anything else.")
@click.option("--undo", "reopen", is_flag=True, help="Take a closing back, with what it used.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@on_option
@pass_shell
def close(
    shell: Shell,
    name: str,
    file: Path | None,
    lines: bool,
    nothing_more: bool,
    came_back: date | None,
    km: int | None,
    note: str,
    reopen: bool,
    yes: bool,
    on: date,
) -> None:
    """Close the trip NAME: what did not come back was used, and its log is complete.

    At a terminal it asks box by box. What is named in no line is as the books have it. A use that
    was recorded on the way is in the books already; do not tell it again.

    \b
    Examples:
      stockcheck trip close "Shakedown weekend" --nothing-more --on 2027-01-18
      stockcheck trip close "Spring count" --km 7140 --lines --on 2027-04-27
    """  # fmt: skip
    from stockcheck.core.returning import used_up
    from stockcheck.store.names import find_id
    from stockcheck.store.plans import trip as read_trip

    if sum((file is not None, lines, nothing_more, reopen)) > 1:
        raise click.UsageError("give one of --from, --lines, --nothing-more and --undo")
    with shell.store() as store:
        trip = read_trip(store.conn, find_id(store.conn, "trip", name))
        if reopen:
            _reopen(store, trip, note, on)
            return
        back = came_back or trip.returns
        _check(store, trip, back, on)
        if nothing_more:
            found: list[CameBack] = []
        elif file is not None:
            found = _from_file(store, file)
        elif lines:
            found = _from_lines(store, sys.stdin)
        elif at_terminal():
            found = _asked(store)
        else:
            raise click.UsageError("say what came back: --from FILE, --lines or --nothing-more")
        takes = used_up(found, trip.departs)
        _tell(trip, takes)
        confirm(f"Close {trip.name}?", yes=yes or nothing_more)
        _write(store, trip, takes, (back, km, note), on)


def _reopen(store: Store, trip: Trip, note: str, on: date) -> None:
    from stockcheck.core.movements import What
    from stockcheck.core.words import counted
    from stockcheck.store import closings, ledger

    with store.writing() as conn:
        undone = set(
            closings.reopen_trip(conn, trip.id, stamp(on), note or f"{trip.name} reopened")
        )
    for line in ledger.history(store.conn):
        if line.movement_id in undone and line.what is What.ISSUED:
            back = counted(-line.quantity, line.unit)
            say(f"in the books again: {back} of {line.item} (L{line.lot_id}) in {line.box}")
    say(f"{trip.name} is open again; 'stockcheck trip close' closes it anew")


def _check(store: Store, trip: Trip, back: date, on: date) -> None:
    from stockcheck.core.calendar import spoken
    from stockcheck.core.errors import BadInput
    from stockcheck.store.usage import closed_on

    closed = closed_on(store.conn, trip.id)
    if closed is not None:
        raise BadInput(f"{trip.name} was closed on {spoken(closed)} already; its log is complete")
    if back < trip.departs:
        raise BadInput(f"{trip.name} left on {spoken(trip.departs)}; give --came-back a later day")
    if back > on:
        raise BadInput(
            f"{trip.name} is back on {spoken(back)}, which is yet to come;"
            " close it then, or give --came-back"
        )


def _write(
    store: Store,
    trip: Trip,
    takes: Sequence[Take],
    facts: tuple[date, int | None, str],
    on: date,
) -> None:
    from dataclasses import replace

    from stockcheck.core.returning import movements_of
    from stockcheck.store import ledger, usage

    back, km, note = facts
    plans = [
        replace(plan, reason=f"used on {trip.name}") for plan in movements_of(takes, trip.departs)
    ]
    when = stamp(on)  # one moment for all of it
    with store.writing() as conn:
        numbers = ledger.post(conn, plans, replace(when, on_day=back)) if plans else []
        usage.mark_trip(conn, numbers, trip.id, difference=True)
        usage.close_trip(conn, trip.id, back, km, when, note)
    say(f"Closed {trip.name}; its days count from now on, for what was used and for what was not")


def _tell(trip: Trip, takes: Sequence[Take]) -> None:
    from stockcheck.core.words import counted

    for take in takes:
        held = take.holding
        said = counted(take.quantity, held.item.unit)
        say(f"used: {said} of {held.item.name} ({held.lot.short}) from {held.box.name}")
    if not takes:
        say(f"Nothing was used on {trip.name} but what is recorded")


def _from_file(store: Store, file: Path) -> list[CameBack]:
    from stockcheck.cli.files import read_csv
    from stockcheck.core.errors import BadFile, BadInput, Problem

    found: list[CameBack] = []
    problems: list[Problem] = []
    for line, fields in read_csv(file, _COLUMNS, ("quantity",)):
        thing = (fields.get("lot") or fields.get("item") or "").strip()
        text = fields["quantity"].strip()
        try:
            if not (text.isascii() and text.isdigit() and len(text) <= 9):
                raise BadInput("is not a whole number from 0 up", "Write how many came back")
            found.append(_named(store, thing, int(text), fields.get("box", "").strip()))
        except BadInput as error:
            field, value = ("quantity", text) if "whole number" in error.what else ("item", thing)
            problems.append(Problem(file.name, line, field, value, error.what, error.remedy))
    if problems:
        raise BadFile(problems)
    return found


def _from_lines(store: Store, lines: Sequence[str] | object) -> list[CameBack]:
    from collections.abc import Iterable
    from typing import cast

    from stockcheck.core.returning import read_returned

    told = read_returned(cast("Iterable[str]", lines))
    return [_named(store, thing, number, "") for thing, number in told.items()]


def _named(store: Store, thing: str, number: int, box: str) -> CameBack:
    from stockcheck.cli.picking import named
    from stockcheck.core.errors import BadInput
    from stockcheck.core.returning import CameBack

    if not thing:
        raise BadInput("names no item and no lot", "Name one of both")
    called = f"{thing} in {box}" if box else thing
    return CameBack(called, tuple(named(store, thing, box or None)), number)


def _asked(store: Store) -> list[CameBack]:
    """Box by box, what came back of each thing; an empty answer is what the books have."""
    from stockcheck.store import reads

    found: list[CameBack] = []
    for box in reads.boxes(store.conn):
        held = reads.holdings(store.conn, box_ids=[box.id])
        if held and click.confirm(f"Was {box.name} along, and was anything used from it?"):
            found += _asked_of(store, box)
    return found


def _asked_of(store: Store, box: Box) -> list[CameBack]:
    from stockcheck.core.returning import CameBack
    from stockcheck.core.words import counted
    from stockcheck.store import reads

    found = []
    for held in reads.holdings(store.conn, box_ids=[box.id]):
        opened = ", opened" if held.opened_on else ""
        booked = counted(held.quantity, held.item.unit)
        number = click.prompt(
            f"  {held.item.name} ({held.lot.short}{opened}), {booked} in the books: came back",
            type=click.IntRange(0, held.quantity),
            default=held.quantity,
        )
        if number < held.quantity:
            called = f"{held.lot.short}{opened} in {box.name}"
            found.append(CameBack(called, (held,), number))
    return found
