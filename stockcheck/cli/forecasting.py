"""``forecast``: a trip day by day; ``trip stop``: places on the way where more can be had."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    WORDS,
    Shell,
    Tasks,
    emit,
    fail_on_option,
    leave_with_findings,
    on_option,
    on_the_way,
    pass_shell,
    report_options,
    say,
)

if TYPE_CHECKING:
    from collections.abc import Container
    from pathlib import Path

    from stockcheck.core.forecast import Forecast
    from stockcheck.core.planning import Trip
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store


@click.command()
@click.argument("trip")
@click.option(
    "--trust-stops",
    is_flag=True,
    help="Rely on every stop, instead of doing without any one of them.",
)
@fail_on_option("short")
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def forecast(
    shell: Shell,
    trip: str,
    trust_stops: bool,
    fail_on: tuple[str, ...],
    fmt: str,
    output: Path | None,
    page: str,
    on: date,
) -> None:
    """Go through TRIP day by day: what runs short when, what ends on the way, what to get where.

    It looks at par levels that are used up (per day, per person-day, plans); 'trip stop add' tells
    of places on the way where more can be had. Under way it looks ahead from today.

    \b
    Examples:
      stockcheck forecast "Spring count"
      stockcheck forecast "Spring count" --trust-stops --format json
    """  # fmt: skip
    with shell.store() as store:
        report = forecast_of(store, _trip(store, trip), on, trusted=trust_stops)
    report = emit(report, fmt, output, page)
    leave_with_findings({"short"} if any(it.values["short"] for it in report.rows) else set(),
                        fail_on)  # fmt: skip


def forecast_of(store: Store, going: Trip, on: date, *, trusted: bool = False) -> Report:
    """The forecast of a trip as a report."""
    from stockcheck.data.kinds import cautions
    from stockcheck.output.forecast_report import forecast_report

    found = found_of(store, going, on, trusted=trusted)
    return forecast_report(found, going, on=on, store=store.name, cautions=cautions())


def found_of(
    store: Store,
    going: Trip,
    on: date,
    *,
    trusted: bool = False,
    aboard: Container[int] | None = None,
) -> Forecast:
    """The forecast of a trip, with all boxes or only with those that go along, by their ids."""
    from stockcheck.cli.restock import needs_of
    from stockcheck.core.forecast import forecast as look
    from stockcheck.store import purchases, reads
    from stockcheck.store.stops import stops

    conn = store.conn
    wanted = needs_of(store, going, on)
    pars = [it for it in wanted.pars if aboard is None or it.box.id in aboard]
    held = [it for it in reads.holdings(conn) if aboard is None or it.box.id in aboard]
    return look(
        (pars, wanted.worked),
        on_the_way(store, held, going),
        purchases.incoming(conn),
        going,
        stops(conn, going.id),
        trusted=trusted,
        on=on,
    )


def _trip(store: Store, name: str) -> Trip:
    from stockcheck.store import plans
    from stockcheck.store.names import find_id

    return plans.trip(store.conn, find_id(store.conn, "trip", name))


@click.group(cls=Tasks)
def stop() -> None:
    """Stops of a trip: add, list, remove.

    \b
    Examples:
      stockcheck trip stop add "Spring count" --day 20 --place "Wells store"
      stockcheck trip stop list "Spring count"
    """


@stop.command("add")
@click.argument("trip")
@click.option(
    "--day",
    type=click.IntRange(1, 10**4),
    required=True,
    help="On which day of the trip; 1 is that of departure.",
)
@click.option("--place", type=WORDS, required=True, help="Where.")
@click.option(
    "--has",
    "has",
    multiple=True,
    metavar="ITEM[=N]",
    help="What can be had there, and how many at most; without it, everything.",
)
@pass_shell
def add(shell: Shell, trip: str, day: int, place: str, has: tuple[str, ...]) -> None:
    """Add a place where more can be had on the way.

    \b
    Examples:
      stockcheck trip stop add "Spring count" --day 20 --place Wells --has I70=50
      stockcheck trip stop add "Spring count" --day 45 --place "Road house"
    """  # fmt: skip
    from stockcheck.store.stops import add_stop

    with shell.store() as store, store.writing() as conn:
        going = _trip(store, trip)
        number = add_stop(conn, going, day, place, dict(_had(store, text) for text in has))
    say(f"Added stop {number}: {place} on day {day} of {going.name}")


def _had(store: Store, text: str) -> tuple[int, int | None]:
    from stockcheck.core.errors import BadInput
    from stockcheck.store.names import find_id

    name, sign, number = text.rpartition("=")
    if not sign:
        return find_id(store.conn, "item", text), None
    if not (number.isascii() and number.isdigit() and len(number) <= 9 and int(number)):
        raise BadInput(f"--has {text!r}: {number!r} is not a whole number from 1 up",
                       "Write it as ITEM=50, or ITEM alone")  # fmt: skip
    return find_id(store.conn, "item", name), int(number)


@stop.command("list")
@click.argument("trip")
@pass_shell
def list_(shell: Shell, trip: str) -> None:
    """List the stops of a trip."""
    from stockcheck.core.calendar import spoken
    from stockcheck.core.forecast import day_of
    from stockcheck.store.names import name_of
    from stockcheck.store.stops import stops

    with shell.store() as store:
        going = _trip(store, trip)
        found = stops(store.conn, going.id)
        for it in found:
            has = [
                name_of(store.conn, "item", item) + ("" if most is None else f" ({most} at most)")
                for item, most in it.has.items()
            ]
            what = "; ".join(has) or "everything"
            say(f"{it.id}  day {it.day} ({spoken(day_of(going, it.day))}) {it.place}: {what}")
    if not found:
        say("None yet.")


@stop.command("remove")
@click.argument("trip")
@click.argument("number", type=int)
@on_option
@pass_shell
def remove(shell: Shell, trip: str, number: int, on: date) -> None:
    """Take a stop out of a trip, by its number in the list."""
    from stockcheck.store.stops import retire_stop

    with shell.store() as store, store.writing() as conn:
        going = _trip(store, trip)
        retire_stop(conn, going.id, number, on)
    say(f"Removed stop {number} of {going.name}")


COMMANDS = {"forecast": forecast}
