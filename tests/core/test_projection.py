"""Stock through a trip: what every projection keeps to, what FEFO saves, and its words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import box, holding, item, kind, life
from stockcheck.core.calendar import Life
from stockcheck.core.model import Certainty, State
from stockcheck.core.planned_use import Daily
from stockcheck.core.projection import (
    Event,
    Order,
    Pack,
    first_expired,
    first_received,
    opened_first,
    project,
    saving,
)
from stockcheck.core.projection_stock import packs_of, told

DEPARTS = date(2027, 2, 8)


def day(number: int) -> date:
    return DEPARTS + timedelta(days=number - 1)


def steady(units: int, days: int) -> Daily:
    return Daily((units,) * days)


@st.composite
def packs(draw: st.DrawFn, *, opening: bool = True) -> list[Pack]:
    lives = st.sampled_from([None, Life(), Life(days=3), Life(months=1)] if opening else [None])
    days = st.one_of(st.none(), st.integers(-2, 20).map(day))
    drawn = draw(
        st.lists(
            st.builds(
                Pack,
                st.just(0),
                st.integers(0, 9),
                days,
                st.booleans(),
                lives,
                st.integers(1, 4),
                days,
                days,
            ),
            max_size=6,
        )
    )
    return [replace(it, key=number) for number, it in enumerate(drawn)]


NEEDS = st.lists(st.integers(0, 4), min_size=1, max_size=20).map(lambda it: Daily(tuple(it)))
ORDERS = st.sampled_from([first_expired, first_received, opened_first])


@given(packs(), NEEDS, ORDERS)
def test_every_unit_is_used_wasted_or_left_and_every_need_is_served_or_short(
    stock: list[Pack], daily: Daily, order: Order
) -> None:
    found = project(stock, daily, DEPARTS, order)
    assert found.used + found.wasted + found.left == sum(it.quantity for it in stock)
    assert found.used + found.short == daily.total


@given(packs(), NEEDS)
def test_nothing_is_used_after_its_end_or_before_it_comes(stock: list[Pack], daily: Daily) -> None:
    by_key = {it.key: it for it in stock}
    for step in project(stock, daily, DEPARTS).steps:
        if step.event is Event.USED and step.key is not None:
            pack = by_key[step.key]
            assert pack.last_usable_day is None or step.day <= pack.last_usable_day
            assert pack.arrives is None or step.day >= pack.arrives


@given(packs(opening=False), packs(opening=False), NEEDS)
def test_more_stock_is_never_more_short(stock: list[Pack], more: list[Pack], daily: Daily) -> None:
    added = [*stock, *(replace(it, key=it.key + 50) for it in more)]
    assert project(added, daily, DEPARTS).short <= project(stock, daily, DEPARTS).short


@given(packs(opening=False), NEEDS, ORDERS)
def test_without_opened_lives_no_order_serves_more_or_wastes_less(
    stock: list[Pack], daily: Daily, order: Order
) -> None:
    best = project(stock, daily, DEPARTS)
    other = project(stock, daily, DEPARTS, order)
    assert best.short <= other.short
    assert best.wasted <= other.wasted


@given(packs(opening=False), NEEDS)
def test_what_is_saved_is_never_a_loss_without_opened_lives(
    stock: list[Pack], daily: Daily
) -> None:
    found = saving(stock, daily, DEPARTS)
    assert found.units_not_short >= 0
    assert found.units_not_wasted >= 0


def test_what_fefo_saves_is_the_average_over_every_order() -> None:
    """Four that last to day 8, four to day 4, one a day: of two orders one loses four."""
    stock = [Pack(1, 4, day(8)), Pack(2, 4, day(4))]
    found = saving(stock, steady(1, 8), DEPARTS)
    assert (found.units_not_short, found.units_not_wasted) == (Fraction(2), Fraction(2))
    assert (found.orders, found.every_order) == (2, True)


def test_beyond_five_packs_a_fixed_choice_of_orders_stands_in_for_all() -> None:
    stock = [Pack(key, 2, day(3 * key)) for key in range(1, 8)]
    found = saving(stock, steady(1, 20), DEPARTS)
    assert (found.orders, found.every_order) == (120, False)
    assert found == saving(stock, steady(1, 20), DEPARTS)
    assert found.units_not_short > 0


def test_packs_are_opened_one_at_a_time_and_each_has_its_own_opened_life() -> None:
    """Two tubes of 4: one a day, good 1 day after the day of opening: two of each tube are lost."""
    tubes = [Pack(1, 8, day(30), in_use=Life(days=1), size=4)]
    found = project(tubes, steady(1, 5), DEPARTS)
    opened = [(it.day, it.quantity) for it in found.steps if it.event is Event.OPENED]
    assert opened == [(day(1), 4), (day(3), 4)]
    assert (found.short, found.wasted) == (1, 4)


def test_reserve_days_are_days_of_need_on_which_stock_must_still_be_good() -> None:
    """Nine units for seven days and two of reserve, two of them good for the trip only."""
    stock = [Pack(1, 7, day(20)), Pack(2, 2, day(1))]
    found = project(stock, steady(1, 9), DEPARTS)
    assert (found.short, found.short_after(day(7))) == (1, 1)
    assert found.lasts_through == day(8)


def test_a_need_that_begins_before_departure_is_served_before_it() -> None:
    found = project([Pack(1, 9, day(0))], Daily((1,) * 4, first=-1), DEPARTS)
    assert (found.first, found.last) == (day(-1), day(2))
    assert (found.short, found.wasted) == (2, 7)


def test_what_arrives_on_a_day_serves_that_day() -> None:
    found = project([Pack(1, 5, None, arrives=day(3))], steady(1, 4), DEPARTS)
    assert (found.short, found.used, found.left) == (2, 2, 3)


BOX = box()
TUBE = item(kind(opened=life("28 days", certainty=Certainty.TYPICAL)), unit="ml", pack=50)
PIECE = item(kind("dressing"), number=2)


def test_holdings_become_packs_and_what_never_counts_is_left_out() -> None:
    last = day(90)
    held = [
        holding(1, TUBE, BOX, 100, last),
        holding(2, TUBE, BOX, 30, last, opened_on=day(-9)),
        holding(3, PIECE, BOX, 5, last),
        holding(4, PIECE, BOX, 5, last, state=State.HELD),
        holding(5, PIECE, BOX, 5, last, state=State.LAST_RESORT),
        holding(6, PIECE, BOX, 5, day(-1)),
        holding(7, PIECE, BOX, 5, None),
    ]
    assert packs_of(held, DEPARTS) == (
        Pack(1, 100, last, in_use=Life(days=28), size=50),
        Pack(2, 30, last, opened=True, in_use=Life(days=28), size=50),
        Pack(3, 5, last),
    )


@pytest.mark.parametrize(
    ("stock", "said"),
    [
        ([Pack(1, 6, None)], "lasts through 12 FEB 2027; 1 tablet left"),
        ([Pack(1, 5, None)], "lasts through 12 FEB 2027"),
        (
            [Pack(1, 4, day(2)), Pack(2, 1, day(9))],
            "runs short on 11 FEB 2027: 2 tablets short in all; 2 tablets end unused (09 FEB 2027)",
        ),
        ([], "runs short on 08 FEB 2027: 5 tablets short in all"),
    ],
)
def test_a_projection_is_told_in_one_sentence(stock: Sequence[Pack], said: str) -> None:
    assert told(project(stock, steady(1, 5), DEPARTS), "tablet") == said
