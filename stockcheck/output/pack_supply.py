"""The departure pack's parts about enough: what is still short, and what runs short first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from stockcheck.core.calendar import spoken
from stockcheck.core.forecast import Forecast
from stockcheck.core.model import Importance
from stockcheck.core.planning import Par, Trip
from stockcheck.output.forecast_report import forecast_report
from stockcheck.output.pack_report import BOX, ITEM, Where
from stockcheck.output.report import Column, Report, Row, Section

SHORT = (ITEM, Column("short", "Short", right=True, fixed=True), BOX,
         Column("buy", "From where", weight=4))  # fmt: skip
_ORDER = (Importance.VITAL, Importance.ESSENTIAL, Importance.DESIRABLE)
_NO_PARS = "No par level says what a box should hold; 'stockcheck par add' sets one."
_NO_PLAN = (
    "Nothing is planned to be used up day by day; 'stockcheck par add --plan' or '--basis' plans"
    " it."
)
_WHERE = "'stockcheck restock' says where to order, and by when."
_SHARED = "The boxes that go along share what they hold; first to end, first used."


def short_report(
    rows: Iterable[Row], asked: Sequence[tuple[Par, str]], trip: Trip, where: Where, *, pars: bool
) -> Report:
    """Lines of the restock list, the vital first; ``asked`` are par levels not worked out.

    ``pars``: whether there is any par level at all.
    """
    groups: dict[str, list[Row]] = {}
    for row in rows:
        bare = replace(row, shown={**row.shown, "item": str(row.values["item"])})
        groups.setdefault(str(row.values["importance"]), []).append(bare)
    met = f"Every par level is met through {spoken(trip.horizon)}."
    totals = tuple(
        f"not worked out: {par.wants} in {where.places[par.box.id]}: {ask}" for par, ask in asked
    )
    return Report(
        title="What is still short",
        on=where.on,
        store=where.store,
        columns=SHORT,
        sections=tuple(
            Section(each.value.capitalize(), tuple(groups[each.value]))
            for each in _ORDER
            if each.value in groups
        ),
        facts=(f"To last through {spoken(trip.horizon)}. {_WHERE}",),
        totals=totals,
        empty=" ".join((met if pars else _NO_PARS, *totals)),
        ticks=True,
    )


def supply_report(found: Forecast, trip: Trip, where: Where, cautions: Mapping[str, str]) -> Report:
    """What is used up day by day, the first to run short in front, and what to get at each stop.

    Once it has left, days are counted from today on with what there is.
    """
    every = forecast_report(
        replace(found, ending=()), trip, on=where.on, store=where.store, cautions=cautions
    )
    facts = (*every.facts[1:-1], _SHARED)  # the trip itself stands on the cover
    return replace(every, title="What runs short first", facts=facts, cautions=(),
                   empty=_NO_PLAN)  # fmt: skip
