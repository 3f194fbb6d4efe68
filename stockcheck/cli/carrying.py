"""``carry``: how many of a thing to take along, by what was used before."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    Shell,
    emit,
    on_option,
    on_the_way,
    pass_shell,
    report_options,
)

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.carry import Assurances
    from stockcheck.core.model import Item
    from stockcheck.core.planning import Par, Trip
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store


@click.command()
@click.argument("item")
@click.option("--trip", required=True, metavar="NAME", help="The trip that it is for.")
@click.option(
    "--measure",
    type=click.Choice(["days", "km", "person-days"]),
    help="What causes use; without it as its par level says, else days.",
)
@click.option("--lasts", metavar="NUMBER", help="About how long one lasts you, in that measure.")
@click.option("--assurance", metavar="95%", help="The chance of not running out that is wanted.")
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def carry(
    shell: Shell,
    item: str,
    trip: str,
    measure: str | None,
    lasts: str | None,
    assurance: str | None,
    fmt: str,
    output: Path | None,
    page: str,
    on: date,
) -> None:
    """How many of ITEM to carry on a trip, by what was used before, and how sure that is.

    \b
    Examples:
      stockcheck carry "superglue, 3 g tube" --trip "Spring count"
      stockcheck carry "eye drops, 10 ml bottle" --trip "Spring count" --lasts 200
    """  # fmt: skip
    from stockcheck.store import plans
    from stockcheck.store.names import find_id

    with shell.store() as store:
        going = plans.trip(store.conn, find_id(store.conn, "trip", trip))
        report = carry_of(store, item, going, (measure, lasts, assurance), on)
    emit(report, fmt, output, page)


def carry_of(
    store: Store,
    name: str,
    trip: Trip,
    asked: tuple[str | None, str | None, str | None],
    on: date,
) -> Report:
    """The report for one item and trip; ``asked`` are measure, how long one lasts, assurance."""
    from dataclasses import replace

    from stockcheck.core.carry import Measure
    from stockcheck.core.needs import Basis, Rule, carry_for
    from stockcheck.core.planning import trip_words
    from stockcheck.output.carry_report import Asked, carry_report
    from stockcheck.store import plans, reads, usage
    from stockcheck.store.names import find_id

    conn = store.conn
    thing = reads.items(conn, only=[find_id(conn, "item", name)])[0]
    par = next(
        (it for it in plans.pars(conn) if it.item and it.item.id == thing.id and not it.fixed), None
    )
    measure = Measure(asked[0] or (par.measure if par else "days"))
    lasts = asked[1] or (par.lasts if par else "")
    rule = Rule(Basis.HISTORY, measure=measure, lasts=_length(lasts) if lasts else None)
    if par is not None:
        rule = replace(rule, reserve_days=par.reserve_days)
    history = usage.history_of(conn, [thing.id], thing.unit, measure, on)
    aims = _aims(store, par, asked[2])
    importance = par.importance if par else thing.importance
    answer = carry_for(rule, trip, importance, history.log, aims)
    if answer is None:
        from stockcheck.core.errors import BadInput

        raise BadInput(
            f"the distance of {trip.name} is not known",
            f"Give it: trip change {trip.name!r} --distance-km 3000",
        )
    usable = _usable(store, thing, trip)
    told = usage.told(conn, [thing.id])
    what = Asked(thing, trip_words(trip), usable, trip.horizon)
    return carry_report(answer, history, told, what, on=on, store=store.name)


def _length(text: str) -> int:
    from stockcheck.core.par_rules import exact

    return max(1, int(exact(text)))


def _aims(store: Store, par: Par | None, given: str | None) -> Assurances:
    from stockcheck.core.carry import Assurances, assurance
    from stockcheck.core.par_rules import assurances_for, assurances_from
    from stockcheck.store.usage import assurance_settings

    if given is not None:
        aim = assurance(given)
        return Assurances(aim, aim, aim)
    usual = assurances_from(assurance_settings(store.conn))
    return assurances_for(par, usual) if par else usual


def _usable(store: Store, thing: Item, trip: Trip) -> int:
    """What is on hand of it, in whatever box, and good through the trip's horizon."""
    from stockcheck.core.shelf_life import usable
    from stockcheck.store import reads

    held = on_the_way(store, reads.holdings(store.conn, item_ids=[thing.id]), trip)
    return sum(it.quantity for it in held if usable(it, trip.horizon))


COMMANDS = {"carry": carry}
