"""``status``: what needs doing before the next trip, on one screen, with the command for each."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    Shell,
    emit,
    may_colour,
    on_option,
    on_the_way,
    pass_shell,
    put,
    report_options,
    screen_width,
    trip_named,
)

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.model import Holding
    from stockcheck.core.planning import Trip
    from stockcheck.core.purchasing import Order
    from stockcheck.core.restock import Need
    from stockcheck.core.todo import Facts
    from stockcheck.store.files import Store

_LINES = 23  # of a screen of 24, the last one left to the prompt


@click.command()
@click.option("--trip", metavar="NAME", help="Before this trip, in place of the next one.")
@click.option("--all", "everything", is_flag=True, help="All of it, however many lines it takes.")
@report_options("text", "json", lists=False)
@on_option
@pass_shell
def status(
    shell: Shell, trip: str | None, everything: bool, fmt: str, output: Path | None, on: date
) -> None:
    """Tell what needs doing before the next trip, the most urgent first, with its command.

    One screen of 24 lines. What can hurt stands first, then what the trip needs, then what keeps
    the books true. The commands show what to be careful of.

    \b
    Examples:
      stockcheck status
      stockcheck status --trip "Spring count" --format json
    """
    from stockcheck.core.todo import todo
    from stockcheck.output.status_report import screen, status_report

    with shell.store() as store:
        facts = facts_of(store, trip, on)
        name = store.name
    tasks = todo(facts)
    if fmt == "json":
        from stockcheck.data.kinds import cautions

        emit(status_report(tasks, facts, name, cautions()), fmt, output)
        return
    seen = output is None or str(output) == "-"
    text = screen(
        tasks, facts, name,
        width=screen_width() if seen else 80,
        height=None if everything else _LINES,
        colour=seen and may_colour(),
    )  # fmt: skip
    put(text if seen else text.encode(), output)


def facts_of(store: Store, trip: str | None, on: date) -> Facts:
    """All that is asked of the store; planning is loaded only where there is a trip."""
    from stockcheck.core.expiry import standings
    from stockcheck.core.model import Status
    from stockcheck.core.todo import Facts, Labels, Late, unclosed
    from stockcheck.store import audits, plans, reads, recalls, stocktake_due
    from stockcheck.store import todo as asked

    conn = store.conn
    closed = asked.closed_trips(conn)
    trips = plans.trips(conn)
    going = _going(store, trip, trips, closed, on)
    held = reads.holdings(conn)
    found = standings(on_the_way(store, held, going), on, horizon=going.horizon if going else None)
    good = {Status.IN_DATE, Status.DUE, Status.LAST_RESORT}
    waiting = asked.undecided(conn, [each for each in found if each.status not in good])
    due = [each for each in found if each.status is Status.DUE]
    needs, asks = _needs(store, going, on)
    return Facts(
        on=on,
        trip=going,
        standings=[*waiting, *due],
        needs=needs,
        asks=asks,
        orders=_orders(store),
        counts=[Late(it.box, it.due_on) for it in stocktake_due.overdue(conn, on)],
        rounds=[Late(it.box, it.due) for it in audits.overdue(conn, on)],
        labels=Labels(*asked.label_counts(conn, held)),
        recalls=[(it, recalls.concerned(conn, it)) for it in recalls.all_recalls(conn)],
        unclosed=unclosed(trips, closed, on),
        backed_up=_backed_up(store, held),
        stocked=bool(held),
    )


def _going(
    store: Store, name: str | None, trips: list[Trip], closed: list[int], on: date
) -> Trip | None:
    from stockcheck.core.todo import next_trip, refuse_past

    going = trip_named(store, name)
    if going is None:
        return next_trip(trips, closed, on)
    refuse_past(going, on)
    return going


def _needs(store: Store, going: Trip | None, on: date) -> tuple[tuple[Need, ...], int]:
    """The lines of the trip's restock list, and how many par levels are left open."""
    from stockcheck.store import plans

    if going is None or not plans.pars(store.conn):
        return (), 0
    from stockcheck.cli.restock import needs_of, planned

    wanted = needs_of(store, going, on)
    return planned(store, going, None, None, on, None, wanted), len(wanted.open)


def _orders(store: Store) -> list[Order]:
    from stockcheck.store.todo import any_purchase

    if not any_purchase(store.conn):
        return []
    from stockcheck.store.purchases import orders

    return orders(store.conn)


def _backed_up(store: Store, held: list[Holding]) -> date | None:
    """The day of the newest dated backup beside the store."""
    from stockcheck.store.backups import dated

    moments = [each.moment for each in dated(store.path)] if held else []
    return date.fromisoformat(max(moments)[:8]) if moments else None


COMMANDS = {"status": status}
