"""``expiry``: what is expired, due, undated or ends on the trip."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.choosing import asked
from stockcheck.cli.shell import (
    Shell,
    emit,
    fail_on_option,
    leave_with_findings,
    on_option,
    on_the_way,
    pass_shell,
    report_options,
    trip_named,
)
from stockcheck.core.model import Status

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.planning import Trip
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store

_WORDS = tuple(status.value for status in Status)


@click.command()
@click.option("--trip", metavar="NAME", help="Hold everything against this trip's return.")
@click.option(
    "--within",
    type=click.IntRange(min=0),
    default=60,
    show_default=True,
    metavar="DAYS",
    help="How soon counts as due.",
)
@click.option("--box", "box_name", metavar="NAME", help="Only this box and the boxes inside it.")
@click.option(
    "--status",
    "statuses",
    type=click.Choice(_WORDS),
    multiple=True,
    help="Only holdings that stand so; may be given several times.",
)
@fail_on_option(*(word for word in _WORDS if word != "in date"))
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def expiry(
    shell: Shell,
    trip: str | None,
    within: int,
    box_name: str | None,
    statuses: tuple[str, ...],
    fail_on: tuple[str, ...],
    fmt: str,
    output: Path | None,
    page: str,
    on: date,
) -> None:
    """Tell what is expired, undated, on hold, due, or ends on the trip, box by box, worst first.

    A box includes the boxes inside it. After a day, s marks a shelf limit, o an opened one, i an
    inspection and e an estimate by heat; 'why LOT' shows the arithmetic.

    \b
    Examples:
      stockcheck expiry --trip "Spring count"
      stockcheck expiry --box Water --status expired --status undated --format csv
    """
    with shell.store() as store:
        going = trip_named(store, trip)
        if fmt in {"csv", "json"} or (fmt == "text" and asked() is None):
            from stockcheck.cli.expiry_stream import Asked, tell_expiry, write_expiry

            wanted = Asked(going, on, within, box_name, frozenset(map(Status, statuses)))
            if fmt == "text":
                found = tell_expiry(store, wanted, _overdue(store, box_name, on), output)
            else:
                found = write_expiry(store, wanted, fmt, output)
            leave_with_findings(found, fail_on)
            return
        report = expiry_of(
            store, going, on,
            within=within, box_name=box_name, statuses=statuses, pictured=fmt in {"pdf", "html"},
        )  # fmt: skip
        report = replace(report, totals=(*report.totals, *_overdue(store, box_name, on)))
    report = emit(report, fmt, output, page)
    leave_with_findings({str(row.values["status"]) for row in report.rows}, fail_on)


def expiry_of(
    store: Store,
    going: Trip | None,
    on: date,
    *,
    within: int = 60,
    box_name: str | None = None,
    statuses: tuple[str, ...] = (),
    pictured: bool = True,
) -> Report:
    """The expiry report of a store, a box, or some ways of standing, with its picture for PDF."""
    from stockcheck.core.expiry import standings
    from stockcheck.data.kinds import cautions
    from stockcheck.output.expiry_report import expiry_report, expiry_timeline
    from stockcheck.store import reads
    from stockcheck.store.names import find_id

    conn = store.conn
    boxes = reads.boxes(conn, retired=True)
    only = reads.box_and_inside(boxes, find_id(conn, "box", box_name)) if box_name else None
    held = on_the_way(store, reads.holdings(conn, box_ids=only), going)
    horizon = going.horizon if going else None
    found = [
        each
        for each in standings(held, on, horizon=horizon, due_days=within)
        if not statuses or each.status.value in statuses
    ]
    from stockcheck.store.shifts import heat_warnings

    held = [each.holding for each in found]
    governed = {each.governed_by for each in held}
    facts = facts_of(going, within, governed, heat_warnings(conn, held, going))
    places = reads.places(boxes)
    picture = expiry_timeline(found, boxes, places, on=on, trip=going) if pictured else None
    return expiry_report(
        found,
        boxes,
        places,
        on=on,
        store=store.name,
        facts=facts,
        cautions=cautions(),
        timeline=picture,
    )


def _overdue(store: Store, box_name: str | None, on: date) -> tuple[str, ...]:
    """Which boxes are overdue for a count or an audit, as one remark at the end."""
    from stockcheck.store import audits, stocktake_due
    from stockcheck.store.names import find_id

    number = find_id(store.conn, "box", box_name) if box_name else None
    counts = [(it.box_id, it.box) for it in stocktake_due.overdue(store.conn, on)]
    rounds = [(it.box_id, it.box) for it in audits.overdue(store.conn, on)]
    said = []
    for what, late in (
        ("a count ('stockcheck count --overdue')", counts),
        ("an audit ('stockcheck round due')", rounds),
    ):
        names = [box for each, box in late if number in {None, each}]
        if names:
            said.append(f"{what}: {_some(names)}")
    return (f"overdue for {'; for '.join(said)}",) if said else ()


def _some(names: list[str]) -> str:
    from stockcheck.core.words import listed

    return listed(names[:3] + ([f"{len(names) - 3} more"] if len(names) > 3 else []))


def facts_of(going: Trip | None, within: int, governed: set[str], warned: int) -> tuple[str, ...]:
    """What stands on top: the trip or what due means, the marks of what governs, and how many
    medicines heat only warns of.
    """
    from stockcheck.output.expiry_report import marks_used

    facts = [f"due is what ends within {within} days"]
    if going is not None:
        from stockcheck.core.planning import trip_words

        facts = [trip_words(going)]
    facts += marks_used(governed)
    if warned:
        medicines = "1 medicine gets" if warned == 1 else f"{warned} medicines get"
        facts.append(
            f"heat: {medicines} too warm by climate, and no date here rests on that;"
            " 'why LOT' tells more, with --trip for a trip's climate"
        )
    return tuple(facts)


COMMANDS = {"expiry": expiry}
