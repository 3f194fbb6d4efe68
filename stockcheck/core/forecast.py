"""A trip day by day: what is used up runs short when, what ends on the way, where to get more."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import zip_longest

from stockcheck.core.claims import asks_for
from stockcheck.core.fefo import first_out
from stockcheck.core.model import Holding
from stockcheck.core.needs import Worked
from stockcheck.core.offers import HANDLING_DAYS
from stockcheck.core.planned_use import Daily
from stockcheck.core.planning import Par, Trip
from stockcheck.core.projection import Pack, Projection, Saving, project, saving
from stockcheck.core.projection_stock import packs_of
from stockcheck.core.projection_stops import Stop, StopPlan, safe_start, stop_plan
from stockcheck.core.restock_daily import on_the_way
from stockcheck.core.restock_sources import Incoming
from stockcheck.core.shelf_life import usable


@dataclass(frozen=True, slots=True)
class PlacedStop:
    """A place reached on a day of the trip, and of which items how many can be had there.

    None is as many as wanted; what is not named is not to be had. Without any item named all of
    them are to be had.
    """

    id: int
    day: int
    place: str
    has: Mapping[int, int | None]

    def of(self, item_id: int | None) -> Stop | None:
        """The stop as it serves one item; None where it does not."""
        if not self.has:
            return Stop(self.day, None, self.place)
        if item_id is None or item_id not in self.has:
            return None
        return Stop(self.day, self.has[item_id], self.place)


@dataclass(frozen=True, slots=True)
class Outlook:
    """How one thing that is used up fares. ``projection`` is without any stop.

    ``stops`` is None where no stop serves it. ``wanted_at_start`` is what to start with so that the
    stops suffice, even without any one of them unless they are trusted; ``there`` is what can be
    used on the day of departure, with what is on order in time to be stowed; today, under way.
    """

    par: Par
    daily: Daily
    there: int
    projection: Projection
    saved: Saving
    wanted_at_start: int
    stops: StopPlan | None = None

    @property
    def wants(self) -> str:
        """The name of what is wanted."""
        return self.par.wants


@dataclass(frozen=True, slots=True)
class Forecast:
    """The outlooks, the first to run short in front, and the stock that ends on the way."""

    outlooks: tuple[Outlook, ...]
    ending: tuple[Holding, ...]


def forecast(
    needed: tuple[Sequence[Par], Mapping[int, Worked]],
    holdings: Sequence[Holding],
    incoming: Sequence[Incoming],
    trip: Trip,
    stops: Sequence[PlacedStop],
    *,
    trusted: bool = False,
    on: date | None = None,
) -> Forecast:
    """The trip with the stock of all boxes shared; reserve days are days of need.

    ``needed`` are the par levels as they are on the trip, and why. Several boxes that want the same
    are one. With ``trusted`` the plan relies on every stop. ``on`` is today: once the trip has
    left, the days from today on are looked at, with the stock that there is, and what is still on
    order does not reach it.
    """
    begins = max(trip.departs, on or trip.departs)
    pars, worked = needed
    groups: defaultdict[tuple[str, str], list[Par]] = defaultdict(list)
    for par in pars:
        if par.id in worked and worked[par.id].daily is not None:
            groups[_want(par)].append(par)
    found = []
    for same in groups.values():
        daily = _from_day(_together(worked[par.id].daily for par in same), trip, begins)
        if not daily.quantities:
            continue
        coming = incoming if begins == trip.departs else ()
        packs = _packs(same[0], holdings, coming, trip, begins)
        found.append(_outlook(same[0], daily, packs, trip, stops, trusted=trusted))
    found.sort(key=lambda it: (it.projection.first_short or date.max, it.wants.casefold()))
    ending = [it for it in holdings if usable(it, begins) and not usable(it, trip.horizon)]
    return Forecast(tuple(found), tuple(sorted(ending, key=first_out)))


def _want(par: Par) -> tuple[str, str]:
    if par.item is not None:
        return "item", str(par.item.id)
    return "kind", par.kind.key if par.kind else ""


def _together(dailies: Iterable[Daily | None]) -> Daily:
    """The need of several from departure on, day by day."""
    each = [on_the_way(it).quantities for it in dailies if it is not None]
    return Daily(tuple(sum(day) for day in zip_longest(*each, fillvalue=0)))


def _from_day(daily: Daily, trip: Trip, begins: date) -> Daily:
    """What is left of the need on a day of the trip."""
    gone = (begins - trip.departs).days
    return Daily(daily.quantities[gone:], daily.first + gone)


def _packs(
    par: Par,
    holdings: Sequence[Holding],
    incoming: Sequence[Incoming],
    trip: Trip,
    begins: date,
) -> list[Pack]:
    """Own stock, and what is on order as packs that arrive."""
    held = [it for it in holdings if asks_for(par, it.item)]
    packs = list(packs_of(held, begins))
    first = max((it.key for it in packs), default=0) + 1
    coming = [it for it in incoming if asks_for(par, it.item) and _before(it, trip)]
    for key, line in enumerate(coming, first):
        packs.append(Pack(key, line.quantity, line.good_through, size=max(1, line.item.pack)))
    return packs


def _before(line: Incoming, trip: Trip) -> bool:
    """As for the restock list: there in time to be stowed."""
    latest = trip.departs - timedelta(days=HANDLING_DAYS)
    return line.expected_on is not None and line.expected_on <= latest


def _outlook(
    par: Par,
    daily: Daily,
    packs: Sequence[Pack],
    trip: Trip,
    stops: Sequence[PlacedStop],
    *,
    trusted: bool,
) -> Outlook:
    item_id = par.item.id if par.item else None
    serving = [stop for it in stops if (stop := it.of(item_id)) is not None]
    there = sum(it.quantity for it in packs)
    wanted, _ = safe_start(daily, serving, daily.first - 1, survive_loss=not trusted)
    plan = None
    if serving:
        plan = stop_plan(daily, serving, survive_loss=not trusted, start=there)
    return Outlook(
        par=par,
        daily=daily,
        there=there,
        projection=project(packs, daily, trip.departs),
        saved=saving(packs, daily, trip.departs),
        wanted_at_start=wanted,
        stops=plan,
    )


def day_of(trip: Trip, day: int) -> date:
    """The date of a day of the trip, 1 being that of departure."""
    return trip.departs + timedelta(days=day - 1)
