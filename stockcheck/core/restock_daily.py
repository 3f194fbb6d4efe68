"""Par levels that are used up day by day: what ends on the way serves the days before its end."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from stockcheck.core.claims import Places, asks_for
from stockcheck.core.model import Holding
from stockcheck.core.needs import CONSUMED, Worked
from stockcheck.core.planned_use import Daily
from stockcheck.core.planning import Par
from stockcheck.core.projection import Event, Pack, project
from stockcheck.core.projection_stock import packs_of
from stockcheck.core.shelf_life import usable


def on_the_way(daily: Daily) -> Daily:
    """The days from departure on: what is used before is not carried."""
    skip = max(0, 1 - daily.first)
    return Daily(daily.quantities[skip:], max(1, daily.first))


def served(
    pars: Iterable[Par],
    worked: Mapping[int, Worked],
    holdings: Sequence[Holding],
    places: Places,
    departs: date,
    horizon: date,
) -> dict[int, int]:
    """For each par level that is used up, the units that are used before they end on the way.

    Only what lies in its box, or in one inside it, serves; the inner box's par level goes first,
    and no unit serves twice. What lasts to the horizon is not among them.
    """
    left = {it.id: it for it in holdings if usable(it, departs) and not usable(it, horizon)}
    found: dict[int, int] = {}
    for par in sorted(pars, key=lambda it: -len(places.outwards(it.box))):
        done = worked.get(par.id)
        if done is None or done.daily is None or done.rule.basis not in CONSUMED:
            continue
        mine = [
            it
            for it in left.values()
            if asks_for(par, it.item) and par.box.id in places.outwards(it.box)
        ]
        taken = _taken(mine, on_the_way(done.daily), departs)
        found[par.id] = sum(taken.values())
        for key, units in taken.items():
            left[key] = replace(left[key], quantity=left[key].quantity - units)
    return {key: units for key, units in found.items() if units}


def _taken(mine: Sequence[Holding], daily: Daily, departs: date) -> dict[int, int]:
    """Units used of each holding, first expired first, with plenty that lasts behind them."""
    plenty = Pack(key=-1, quantity=daily.total)
    steps = project([*packs_of(mine, departs), plenty], daily, departs).steps
    taken: dict[int, int] = {}
    for step in steps:
        if step.event is Event.USED and step.key is not None and step.key >= 0:
            taken[step.key] = taken.get(step.key, 0) + step.quantity
    return taken
