"""``calendar``: reminders of a trip, or all of them, as a file for any calendar."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    FILE_OR_DASH,
    Shell,
    on_option,
    on_the_way,
    pass_shell,
    put,
    say,
    trip_named,
)
from stockcheck.core.calendar import spoken
from stockcheck.core.reminders import ALARM_DAYS, Sort

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from stockcheck.core.model import Holding, Status
    from stockcheck.core.planning import Trip
    from stockcheck.core.reminded import Told
    from stockcheck.core.reminders import Reminder
    from stockcheck.store.files import Store

SORTS = [sort.value for sort in Sort]


@click.command("calendar")
@click.argument("trip", required=False)
@click.option(
    "--what",
    "only",
    multiple=True,
    type=click.Choice(SORTS),
    metavar="SORT",
    help=f"Only reminders of this sort: {', '.join(SORTS)}; may be given several times.",
)
@click.option(
    "--alarm-days",
    type=click.IntRange(0, 366),
    multiple=True,
    default=(ALARM_DAYS,),
    metavar="N",
    help=f"An alarm N days before, at nine (on the day where that is past); {ALARM_DAYS} unless"
    " given, and may be given several times.",
)
@click.option("--no-alarm", is_flag=True, help="Without any alarm.")
@click.option(
    "--gone",
    is_flag=True,
    help="Cancel also what has left the boxes and was told of by another copy of this store.",
)
@click.option(
    "--output",
    type=FILE_OR_DASH,
    default="calendar.ics",
    show_default=True,
    help="The file to write (- is the screen).",
)
@on_option
@pass_shell
def calendar(
    shell: Shell,
    trip: str | None,
    only: tuple[str, ...],
    alarm_days: tuple[int, ...],
    no_alarm: bool,
    gone: bool,
    output: Path,
    on: date,
) -> None:
    """Write reminders for a calendar: through TRIP and its margin, or all of them.

    What goes off, by when to order, audits, counts and inspections due, departure and return. The
    file is iCalendar (RFC 5545); made and taken in again it moves what it brought before, and
    cancels what is used up, ordered or no longer due. What is overdue stands on today.

    \b
    Examples:
      stockcheck calendar "Spring count" --output truck.ics
      stockcheck calendar --what "goes off" --alarm-days 30 --alarm-days 7
    """
    from stockcheck.core import reminders as core
    from stockcheck.store.reminding import told_before

    with shell.store() as store:
        going = trip_named(store, trip)
        with store.reading():
            told = told_before(store)
            found, past = _found(store, going, on, gone=gone)
            found += _called_off(store, going, told, found, on)
        title = f"{store.name}: {going.name}" if going else store.name
        chosen = core.in_order(
            found, until=going.horizon if going else None, only=[core.Sort(it) for it in only]
        )
        kept, known = _handed(store, chosen, told, on)
    if kept:
        from stockcheck.output.ical import render_calendar

        days = () if no_alarm else alarm_days
        put(render_calendar(kept, title=title, identity=known, on=on, alarm_days=days), output)
        first, last = spoken(kept[0].day), spoken(kept[-1].day)
        say(f"{title}: {core.tally(kept)}, from {first} to {last}", err=True)
    else:
        say(f"{title}: nothing to remind of, no file was written", err=True)
    if past:
        word = "holding is" if past == 1 else "holdings are"
        say(f"{past} {word} expired or undated already: see 'expiry'", err=True)


def _found(store: Store, going: Trip | None, on: date, *, gone: bool) -> tuple[list[Reminder], int]:
    """Every reminder, and how many holdings are past reminding."""
    from stockcheck.cli.restock import planned
    from stockcheck.core import reminders as core
    from stockcheck.core.audit_due import Overdue
    from stockcheck.data.kinds import cautions
    from stockcheck.store import audits, plans, reads
    from stockcheck.store.stocktake_due import when_counted

    conn, short = store.conn, cautions()
    held = on_the_way(store, reads.holdings(conn), going)
    found = core.goes_off(held, on, short)
    found += core.inspections(held, on, short, _decided(store, held))
    if gone:
        found += core.gone_off_list(reads.holdings(conn, empty=True), on, found)
    counts = [Overdue(it.box_id, it.box, it.due_on, it.last_on) for it in when_counted(conn)]
    found += core.due_at_boxes(core.Sort.AUDIT, audits.all_due(conn), on)
    found += core.due_at_boxes(core.Sort.COUNT, counts, on)
    for trip in [going] if going else plans.trips(conn):
        found += core.of_trip(trip, on)
        if trip.departs >= on:
            found += core.orders(trip, planned(store, trip, None, None, on), on)
    return found, core.unlisted(held, on)


def _handed(
    store: Store, chosen: Sequence[Reminder], told: Mapping[str, Told], on: date
) -> tuple[list[Reminder], str]:
    """What is handed over with its revisions, remembered, and the store's identity."""
    from stockcheck.core.reminded import remembered, revised
    from stockcheck.store.identity import identity
    from stockcheck.store.reminding import keep_told

    kept = revised(chosen, told, on)
    known = identity(store) if kept else ""
    keep_told(store, remembered(told, kept, on))
    return kept, known


def _called_off(
    store: Store, going: Trip | None, told: Mapping[str, Told], found: list[Reminder], on: date
) -> list[Reminder]:
    """What was told of before and is not among all that there is to remind of, on any trip."""
    from stockcheck.core.reminded import called_off

    known = {each.key for each in found}
    if going is not None and any(key not in known for key in told):
        known |= {each.key for each in _found(store, None, on, gone=False)[0]}
    return called_off(told, known, on)


def _decided(store: Store, held: list[Holding]) -> dict[int, Status]:
    """How holdings stood when something else than a look was decided about them, by their id."""
    from stockcheck.core.deciding import Decided
    from stockcheck.store.inspections import decisions

    known = decisions(store.conn, {each.lot.id for each in held})
    found = {each.id: known.get((each.lot.id, each.box.id, each.opened_on)) for each in held}
    return {
        number: decision.standing
        for number, decision in found.items()
        if decision is not None and decision.decided != Decided.INSPECT
    }


COMMANDS = {"calendar": calendar}
