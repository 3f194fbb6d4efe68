"""A trip day by day, with stock that ends on the way, what is on order, and stops."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from given import box, holding, item, kind, par
from stockcheck.core.forecast import Forecast, PlacedStop, forecast
from stockcheck.core.model import Holding
from stockcheck.core.needs import Basis, Rule, worked
from stockcheck.core.planning import Trip
from stockcheck.core.restock_sources import Incoming

TABLET, TRUCK = item(kind("tablet"), "tablet", unit="tablet"), box()
# 2 a day for 60 days, stations on day 20 and 45: reference/how-many-to-carry.md, part 6
TRIP = Trip(1, "Loop", date(2026, 3, 1), date(2026, 4, 29))
WELLS, ROAD = PlacedStop(1, 20, "Wells", {}), PlacedStop(2, 45, "Road house", {})


def looked(
    *held: Holding,
    stops: tuple[PlacedStop, ...] = (),
    coming: tuple[Incoming, ...] = (),
    trusted: bool = False,
    rule: Rule | None = None,
) -> Forecast:
    done = worked(rule or Rule(Basis.DAY, 2), TRIP)
    assert done.quantity is not None
    pars = [par(1, TRUCK, done.quantity, TABLET)]
    return forecast((pars, {1: done}), held, coming, TRIP, stops, trusted=trusted)


def test_it_runs_short_on_the_day_after_the_last_that_is_served() -> None:
    (it,) = looked(holding(1, TABLET, TRUCK, 38, date(2027, 1, 1))).outlooks
    assert it.projection.first_short == date(2026, 3, 20)
    assert (it.projection.short, it.there) == (82, 38)


def test_under_way_the_days_from_today_on_are_looked_at_with_what_there_is() -> None:
    """On day 41 of 60, 20 days of 2 are ahead; the first station is behind, the second is not."""
    done = worked(Rule(Basis.DAY, 2), TRIP)
    assert done.quantity is not None
    pars = [par(1, TRUCK, done.quantity, TABLET)]
    held = [holding(1, TABLET, TRUCK, 18, date(2027, 1, 1))]
    late = [holding(2, TABLET, TRUCK, 5, date(2026, 3, 20))]  # ended under way, before today
    coming = (Incoming(1, TABLET, 50, date(2026, 2, 1)),)  # never came
    today = date(2026, 4, 10)
    found = forecast((pars, {1: done}), held + late, coming, TRIP, (WELLS, ROAD), on=today)
    (it,) = found.outlooks
    assert (it.there, it.daily.total, it.projection.short) == (18, 40, 22)
    assert it.projection.first_short == date(2026, 4, 19)
    assert it.stops is not None
    assert [(buy.stop.name, buy.before, buy.quantity) for buy in it.stops.bought] == [
        ("Road house", 10, 22)
    ]
    assert found.ending == ()
    over = forecast((pars, {1: done}), held, (), TRIP, (), on=date(2026, 6, 1))
    assert over.outlooks == ()


def test_what_ends_on_the_way_is_listed_and_wasted() -> None:
    """30 good through day 10: 20 are used, 10 end; 100 more last: they serve the other 50 days."""
    early = holding(1, TABLET, TRUCK, 30, date(2026, 3, 10))
    late = holding(2, TABLET, TRUCK, 100, date(2027, 1, 1))
    found = looked(early, late)
    (it,) = found.outlooks
    assert (it.projection.wasted, it.projection.short) == (10, 0)
    assert found.ending == (early,)
    assert it.saved.units_not_wasted > 0


@pytest.mark.parametrize(
    ("stops", "trusted", "start"),
    [
        ((), False, 120),
        ((WELLS, ROAD), True, 38),
        ((WELLS, ROAD), False, 88),
        ((PlacedStop(1, 20, "W", {1: 30}), PlacedStop(2, 45, "R", {1: 20})), True, 70),
        ((PlacedStop(1, 20, "W", {1: 30}), PlacedStop(2, 45, "R", {1: 20})), False, 100),
        ((PlacedStop(1, 20, "W", {9: 30}),), True, 120),  # has something else
    ],
)
def test_what_to_start_with_as_the_stops_give(
    stops: tuple[PlacedStop, ...], trusted: bool, start: int
) -> None:
    (it,) = looked(stops=stops, trusted=trusted).outlooks
    assert it.wanted_at_start == start


@pytest.mark.parametrize(
    ("expected", "there"),
    [(TRIP.departs - timedelta(2), 40), (TRIP.departs - timedelta(1), 0), (None, 0)],
)
def test_what_is_on_order_counts_if_it_comes_in_time_to_be_stowed(
    expected: date | None, there: int
) -> None:
    (it,) = looked(coming=(Incoming(1, TABLET, 40, expected),)).outlooks
    assert it.there == there


def test_what_stands_by_is_not_used_up() -> None:
    assert looked(rule=Rule(Basis.PERSON, 5)).outlooks == ()
