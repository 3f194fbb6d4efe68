"""``restock``: what to move and to buy before leaving."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    DAY,
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

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.par_rules import Needed
    from stockcheck.core.planning import Trip
    from stockcheck.core.restock import Need
    from stockcheck.core.restock_sources import Sources
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store


@click.command()
@click.option("--trip", metavar="NAME", help="Stock must last through this trip and its margin.")
@click.option("--by", type=DAY, help="Without a trip: the day through which stock must last.")
@click.option("--box", "box_name", metavar="NAME", help="Only this box and the boxes inside it.")
@click.option(
    "--list",
    "lists",
    multiple=True,
    metavar="ID|FILE",
    help="With --box: what that box lacks to meet this kit list, in place of par levels.",
)
@click.option("--budget", metavar="AMOUNT", help="No more than this: vital things come first.")
@fail_on_option("short", "late", "no supplier")
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def restock(
    shell: Shell,
    trip: str | None,
    by: date | None,
    box_name: str | None,
    lists: tuple[str, ...],
    budget: str | None,
    fail_on: tuple[str, ...],
    fmt: str,
    output: Path | None,
    page: str,
    on: date,
) -> None:
    """Hold par levels against what will still be usable, move surplus, then buy the rest.

    \b
    Examples:
      stockcheck restock --trip "Spring count"
      stockcheck restock --by 2027-05-02 --format pdf --output list.pdf
      stockcheck restock --list de-din-13164-2022 --box "First aid"
    """

    if lists and box_name is None:
        raise click.UsageError("--list is held against one box: give --box NAME")
    if (trip is None) == (by is None) and not (lists and trip is None):
        raise click.UsageError("give --trip NAME or --by DATE, one of both")
    with shell.store() as store:
        going = trip_named(store, trip)
        if lists and box_name is not None:
            from stockcheck.cli.audit_gaps import gaps_of

            report = gaps_of(store, box_name, lists, going, by or on, on)
        else:
            report = restock_of(store, going, by, box_name, on, cents_of(budget))
    report = emit(report, fmt, output, page)
    leave_with_findings(_findings(report, on), fail_on)


def cents_of(budget: str | None) -> int | None:
    """A sum of money from an option, in cents; None where it was not given."""
    from stockcheck.core.errors import BadInput
    from stockcheck.core.intake import read_money

    try:
        return None if budget is None else read_money(budget)
    except BadInput as error:
        raise BadInput(f"--budget {budget!r}: {error.what}", "Write it as 120 or 99.50") from error


def restock_of(
    store: Store,
    going: Trip | None,
    by: date | None,
    box_name: str | None,
    on: date,
    budget: int | None = None,
) -> Report:
    """The restock list for a trip or a day, as a report."""
    from stockcheck.core.calendar import spoken
    from stockcheck.core.planning import trip_words
    from stockcheck.data.kinds import cautions
    from stockcheck.output.restock_report import restock_report, with_asked
    from stockcheck.store.names import find_id, name_of

    conn = store.conn
    horizon = going.horizon if going else by or on
    wanted = needs_of(store, going, on)
    only_id = find_id(conn, "box", box_name) if box_name else None
    only = _inside(store, only_id)
    needs = planned(store, going, by, box_name, on, budget, wanted)
    facts = (trip_words(going),) if going else (f"to last through {spoken(horizon)}",)
    report = restock_report(
        needs,
        on=on,
        horizon=horizon,
        store=store.name,
        currency=store.currency,
        facts=facts,
        cautions=cautions(),
        only_box=name_of(conn, "box", only_id) if only_id else "",
    )
    asked = [it for it in wanted.open if only is None or it[0].box.id in only]
    return with_asked(report, asked)


def planned(
    store: Store,
    going: Trip | None,
    by: date | None,
    box_name: str | None,
    on: date,
    budget: int | None = None,
    wanted: Needed | None = None,
) -> tuple[Need, ...]:
    """The lines of the restock list; ``wanted`` are the par levels, if they are known."""
    from stockcheck.core.restock import restock as plan
    from stockcheck.store import reads
    from stockcheck.store.names import find_id

    conn = store.conn
    horizon = going.horizon if going else by or on
    return plan(
        needs_of(store, going, on) if wanted is None else wanted,
        on_the_way(store, reads.holdings(conn), going),
        sources_of(store, (on, horizon), budget),
        on=on,
        horizon=horizon,
        departs=going.departs if going else None,
        boxes=reads.boxes(conn, retired=True),
        only_in=_inside(store, find_id(conn, "box", box_name) if box_name else None),
    )


def _inside(store: Store, box_id: int | None) -> list[int] | None:
    """The box and the boxes inside it; None for every box."""
    from stockcheck.store import reads

    if box_id is None:
        return None
    return reads.box_and_inside(reads.boxes(store.conn, retired=True), box_id)


def needs_of(store: Store, going: Trip | None, on: date) -> Needed:
    """The par levels as they are on a trip, why, and those that are left open."""
    from stockcheck.core.par_rules import Needed, assurances_from, needed
    from stockcheck.store import plans

    conn = store.conn
    pars = plans.pars(conn)
    if all(par.fixed for par in pars):
        return Needed(tuple(pars), {})
    from stockcheck.store import usage

    usual = assurances_from(usage.assurance_settings(conn))
    logs = usage.logs_for(conn, pars, on) if going else {}
    return needed(pars, going, logs, usual)


def sources_of(store: Store, days: tuple[date, date], budget: int | None = None) -> Sources:
    """Offers, what is on order, substitutes, and suppliers' working days around some days."""
    from stockcheck.core.restock_sources import Sources
    from stockcheck.store import plans, purchases

    conn = store.conn
    working = {}
    for supplier in plans.suppliers(conn):
        if supplier.country:
            from stockcheck.data.public_holidays import working_days

            working[supplier.id] = working_days(supplier.country, *days)
    return Sources(
        plans.offers(conn),
        purchases.incoming(conn),
        purchases.substitutes(conn),
        working,
        budget,
    )


def _findings(report: Report, on: date) -> set[str]:
    found = set()
    for row in report.rows:
        found.add("short")
        order_by = row.values["order_by"]
        if isinstance(order_by, date) and order_by < on:
            found.add("late")
        if row.values["buy"] and row.values["supplier"] is None:
            found.add("no supplier")
    return found


COMMANDS = {"restock": restock}
