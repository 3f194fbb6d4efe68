"""Stops on the way: no plan is short, whichever one stop is lost, and loads are kept to."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.planned_use import Daily
from stockcheck.core.projection_stops import Stop, legs, safe_start, start_quantity, stop_plan

NEEDS = st.lists(st.integers(0, 4), min_size=1, max_size=15).map(lambda it: Daily(tuple(it)))
STOPS = st.lists(st.builds(Stop, st.integers(1, 16), st.none() | st.integers(0, 20)), max_size=4)


def short_with(start: int, daily: Daily, stops: list[Stop]) -> int:
    """What lacks when everything that the stops have is taken, day by day."""
    stock, short = start, 0
    for day, need in enumerate(daily.quantities, 1):
        stock += sum(daily.total if it.most is None else it.most for it in stops if it.day == day)
        short += max(0, need - stock)
        stock = max(0, stock - need)
    return short


@given(NEEDS, STOPS)
def test_the_start_is_enough_and_one_less_is_not(daily: Daily, stops: list[Stop]) -> None:
    start = start_quantity(daily, stops)
    assert short_with(start, daily, stops) == 0
    assert start == 0 or short_with(start - 1, daily, stops) > 0


@given(NEEDS, STOPS)
def test_the_safe_start_is_enough_without_any_one_stop(daily: Daily, stops: list[Stop]) -> None:
    start, lost = safe_start(daily, stops)
    for place in range(len(stops)):
        assert short_with(start, daily, stops[:place] + stops[place + 1 :]) == 0
    assert (lost is None) is (start == start_quantity(daily, stops))


@given(NEEDS, STOPS, st.booleans())
def test_a_plan_is_never_short_and_buys_no_more_than_is_there_or_needed(
    daily: Daily, stops: list[Stop], survive_loss: bool
) -> None:
    plan = stop_plan(daily, stops, survive_loss=survive_loss)
    assert plan.short == 0
    assert plan.start + sum(it.quantity for it in plan.bought) >= daily.total
    for it in plan.bought:
        assert it.stop.most is None or it.quantity <= it.stop.most
        assert it.after <= max(it.before, it.wanted)


@given(NEEDS, STOPS, st.integers(0, 30))
def test_a_load_limit_is_kept_to_and_what_lacks_then_is_said(
    daily: Daily, stops: list[Stop], load: int
) -> None:
    plan = stop_plan(daily, stops, survive_loss=False, load=load)
    assert plan.start <= load
    assert all(it.after <= max(it.before, load) for it in plan.bought)
    wanted = [plan.wanted, *(it.wanted for it in plan.bought)]
    assert (plan.short > 0) >= (plan.wanted > load)
    if max(wanted) <= load:
        assert plan.short == 0


def test_two_stops_on_one_day_share_what_is_to_be_bought() -> None:
    plan = stop_plan(Daily((1,) * 10), [Stop(4, 3), Stop(4)], survive_loss=False)
    assert plan.start == 3
    assert [it.quantity for it in plan.bought] == [0, 7]


def test_a_start_that_is_given_is_topped_up_on_the_way_and_what_lacks_before_is_said() -> None:
    plan = stop_plan(Daily((2,) * 10), [Stop(4)], start=3)
    assert plan.wanted == 20
    assert (plan.short, plan.bought[0].quantity) == (3, 14)


def test_legs_begin_at_departure_and_at_each_stop_on_the_way() -> None:
    assert legs(10, []) == (10,)
    assert legs(10, [Stop(1), Stop(10), Stop(40), Stop(10)]) == (9, 1)
