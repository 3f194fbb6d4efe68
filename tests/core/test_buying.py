"""Buying plans: what is told when not everything can be had or afforded, limits, and the check."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purchases import DEPARTS, HORIZON, day, want
from stockcheck.core.buying import (
    BuyingPlan,
    Level,
    Missing,
    OnSale,
    Order,
    Terms,
    Want,
    buy,
    levels,
)
from stockcheck.core.buying_check import faults
from stockcheck.core.model import Importance
from stockcheck.core.planned_use import Daily
from stockcheck.core.projection import Pack, project

A, B, C = 1, 2, 3
NEAR, FAR = 1, 2


def test_what_nobody_sells_is_missing_and_the_rest_is_bought() -> None:
    plan = buy([want(A, 6), want(B, 2)], [OnSale(1, NEAR, A, 4, 100, stock=1)])
    assert plan.missing == (Missing(A, 2, 2), Missing(B, 2, 2))
    assert (plan.total_cents, plan.units, plan.proven) == (100, 4, True)


def test_with_nothing_wanted_nothing_is_bought() -> None:
    for wants in ([], [want(A, 0)], [Want(A, ())]):
        plan = buy(wants, [OnSale(1, NEAR, A, 4, 0)] if wants else [])
        assert plan == BuyingPlan((), ())


def test_as_much_as_can_be_had_is_bought_for_each_level_by_itself() -> None:
    """Ten wanted to the end, where nobody sells such; nine that last for the first days."""
    both = Want(A, (Level(day(3), 12), Level(HORIZON, 10)))
    plan = buy([both], [OnSale(1, NEAR, A, 3, 100, good_through=day(9))])
    assert plan.units == 12
    assert plan.missing == (Missing(A, 10, 10),)


def test_a_least_order_is_kept_to_with_more_of_what_is_wanted() -> None:
    terms = [Terms(NEAR, minimum_cents=1000)]
    plan = buy([want(A, 2)], [OnSale(1, NEAR, A, 1, 300)], terms)
    assert (plan.total_cents, plan.units) == (1200, 4)


def test_a_supplier_whose_least_order_is_out_of_reach_does_not_count() -> None:
    terms = [Terms(NEAR, minimum_cents=1000)]
    plan = buy([want(A, 2)], [OnSale(1, NEAR, A, 1, 300, stock=3)], terms)
    assert (plan.bought, plan.missing) == ((), (Missing(A, 2, 2),))


def test_equal_plans_go_by_units_then_orders_then_the_order_of_offers() -> None:
    fewer_units = buy([want(A, 5)], [OnSale(1, NEAR, A, 10, 400), OnSale(2, FAR, A, 5, 400)])
    assert [it.offer.key for it in fewer_units.bought] == [2]
    one_order = buy(
        [want(A, 5), want(B, 5)],
        [OnSale(1, NEAR, A, 5, 400), OnSale(2, FAR, A, 5, 400), OnSale(3, FAR, B, 5, 400)],
    )
    assert [it.offer.key for it in one_order.bought] == [2, 3]
    first = buy([want(A, 5)], [OnSale(7, FAR, A, 5, 400), OnSale(2, NEAR, A, 5, 400)])
    assert [it.offer.key for it in first.bought] == [7]


def test_under_a_cap_vital_wants_come_before_essential_and_desirable_ones() -> None:
    wants = [
        want(A, 1, Importance.DESIRABLE),
        want(B, 1, Importance.ESSENTIAL),
        want(C, 1, Importance.VITAL),
    ]
    offers = [OnSale(key, NEAR, key, 1, 100 * key) for key in (A, B, C)]
    kept = {cap: buy(wants, offers, cap_cents=cap) for cap in (100, 299, 300, 450, 600)}
    assert {cap: [it.offer.want for it in plan.bought] for cap, plan in kept.items()} == {
        100: [A],
        299: [B],
        300: [C],
        450: [A, C],
        600: [A, B, C],
    }


def test_within_a_class_the_least_is_missing_in_shares_of_each_want() -> None:
    """For 4.00 the half of A, or all of B: what lacks is half of one want, or one whole."""
    offers = [OnSale(1, NEAR, A, 5, 400), OnSale(2, NEAR, B, 2, 400)]
    plan = buy([want(A, 10), want(B, 2)], offers, cap_cents=400)
    assert plan.missing == (Missing(A, 10, 0),)


def test_a_share_is_one_of_the_whole_need_where_that_is_told() -> None:
    """Two of A's twenty lack, one of B's two: one B weighs more."""
    offers = [OnSale(1, NEAR, A, 2, 100), OnSale(2, NEAR, B, 1, 100)]
    wants = [replace(want(A, 2), of=20), replace(want(B, 1), of=2)]
    plan = buy(wants, offers, cap_cents=100)
    assert plan.missing == (Missing(A, 2, 0),)


def test_a_cap_of_nothing_buys_what_is_free() -> None:
    plan = buy([want(A, 2)], [OnSale(1, NEAR, A, 1, 0, stock=1)], cap_cents=0)
    assert (plan.units, plan.missing) == (1, (Missing(A, 1, 1),))
    with pytest.raises(ValueError, match="0 or more"):
        buy([want(A, 2)], [OnSale(1, NEAR, A, 1, 5)], cap_cents=-1)


def test_a_need_of_a_hundred_thousand_is_still_exact() -> None:
    """Divisors make it checkable: 100 003 of packs of 100 at 99 and 7 at 7, cheapest by the 100."""
    offers = [OnSale(1, NEAR, A, 100, 99), OnSale(2, NEAR, A, 7, 7), OnSale(3, FAR, A, 3, 4)]
    plan = buy([want(A, 100_003)], offers)
    assert plan.proven
    assert plan.total_cents == min(
        99 * hundreds + 7 * sevens + 4 * threes
        for threes in range(40)
        for sevens in range(110)
        if (hundreds := -(-(100_003 - 7 * sevens - 3 * threes) // 100)) >= 0
    )


@pytest.mark.parametrize("stock", [None, 200_000])
@pytest.mark.parametrize("cap", [None, 100_000])
def test_a_very_large_need_is_planned_for_in_any_case_and_bounded_where_it_is_not_exact(
    stock: int | None, cap: int | None
) -> None:
    offers = [
        OnSale(key, key % 2, A, size, 90 * size + 7 * key, stock)
        for key, size in enumerate((101, 37, 13, 7))
    ]
    terms = [Terms(0, 500, free_from_cents=10**6), Terms(1, 700)]
    plan = buy([want(A, 5_000_000)], offers, terms, cap_cents=cap)
    assert (plan.missing == ()) is (cap is None)
    assert plan.at_least_cents <= plan.total_cents


def hard_shop(wants: int, suppliers: int) -> tuple[list[Want], list[OnSale], list[Terms]]:
    """Many small wants where fees, waivers and least orders all matter."""
    dice = random.Random(7)
    offers = [
        OnSale(0, supplier, key, size, dice.randint(50, 400) * size)
        for key in range(wants)
        for supplier in range(suppliers)
        for size in (1, dice.choice([2, 5]))
    ]
    terms = [
        Terms(it, dice.choice([300, 900]), dice.choice([5000, 9000]), dice.choice([0, 4000]))
        for it in range(suppliers)
    ]
    numbered = [replace(it, key=key) for key, it in enumerate(offers)]
    return [want(key, dice.randint(1, 9)) for key in range(wants)], numbered, terms


def test_with_little_effort_a_plan_is_given_with_a_bound_and_says_that_it_is_not_proven() -> None:
    wants, offers, terms = hard_shop(12, 6)
    quick = buy(wants, offers, terms, effort=100)
    assert not quick.proven
    assert 0 < quick.at_least_cents <= quick.total_cents
    assert faults(quick, wants, offers, terms) == ()
    assert quick.missing == ()


def test_the_same_question_has_the_same_answer() -> None:
    shop = hard_shop(5, 4)
    assert buy(*shop) == buy(*shop)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda it: replace(it, bought=()), "want 1: 0 of 2"),
        (lambda it: replace(it, orders=()), "not of the same suppliers"),
        (lambda it: replace(it, orders=(Order(NEAR, 600, 0),)), "the sums are wrong"),
        (lambda it: replace(it, bought=it.bought * 2), "bought from twice"),
        (lambda it: replace(it, bought=(replace(it.bought[0], packs=9),)), "9 packs cannot be had"),
        (lambda it: replace(it, at_least_cents=10_000), "the bound lies above the plan"),
        (lambda it: replace(it, missing=(Missing(1, 0),)), "told wrongly"),
    ],
)
def test_the_check_finds_what_is_wrong_with_a_plan(
    change: Callable[[BuyingPlan], BuyingPlan], said: str
) -> None:
    wants, offers = [want(A, 2)], [OnSale(1, NEAR, A, 1, 300, stock=4)]
    terms = [Terms(NEAR, 200, minimum_cents=500)]
    plan = buy(wants, offers, terms)
    assert faults(plan, wants, offers, terms) == ()
    assert any(said in it for it in faults(change(plan), wants, offers, terms))
    assert "over the cap" in " ".join(faults(plan, wants, offers, terms, 700))


NEEDS = st.lists(st.integers(0, 3), min_size=1, max_size=12).map(lambda it: Daily(tuple(it)))
STOCK = st.lists(st.tuples(st.integers(0, 6), st.integers(-1, 14)), max_size=3)
OFFERED = st.lists(
    st.tuples(st.integers(1, 5), st.integers(1, 900), st.integers(0, 14)), max_size=3
)


@settings(deadline=None)
@given(NEEDS, STOCK, OFFERED)
def test_what_is_bought_by_levels_leaves_no_day_short(
    daily: Daily, stock: list[tuple[int, int]], offered: list[tuple[int, int, int]]
) -> None:
    packs = [Pack(key, units, day(ends)) for key, (units, ends) in enumerate(stock)]
    sold = [
        OnSale(key, key, A, size, cents, good_through=day(ends))
        for key, (size, cents, ends) in enumerate(offered)
    ]
    sold.append(OnSale(99, NEAR, A, 4, 700))
    days = [it.good_through for it in sold if it.good_through]
    plan = buy([Want(A, levels(daily, packs, DEPARTS, days))], sold)
    arrived = [
        Pack(100 + key, it.units, it.offer.good_through) for key, it in enumerate(plan.bought)
    ]
    assert project([*packs, *arrived], daily, DEPARTS).short == 0
    if plan.units == 0:
        assert project(packs, daily, DEPARTS).short == 0


@settings(deadline=None)
@given(NEEDS, STOCK, STOCK)
def test_more_stock_never_means_more_to_buy_nor_a_longer_trip_less(
    daily: Daily, stock: list[tuple[int, int]], more: list[tuple[int, int]]
) -> None:
    packs = [Pack(key, units, day(ends)) for key, (units, ends) in enumerate(stock)]
    added = packs + [Pack(50 + key, units, day(ends)) for key, (units, ends) in enumerate(more)]
    longer = Daily((*daily.quantities, 1))
    offers = [OnSale(1, NEAR, A, 3, 200)]

    def cents(need: Daily, held: list[Pack]) -> int:
        return buy([Want(A, levels(need, held, DEPARTS))], offers).total_cents

    assert cents(daily, added) <= cents(daily, packs) <= cents(longer, packs)


def test_levels_tell_what_lacks_from_each_day_on_where_an_end_makes_a_difference() -> None:
    """One a day for ten days; five that last to day 4 and two to the end: 1 lacks early, 4 late."""
    packs = [Pack(1, 5, day(4)), Pack(2, 2, None)]
    assert levels(Daily((1,) * 10), packs, DEPARTS) == (Level(day(5), 4),)
    found = levels(Daily((1,) * 10), [Pack(1, 2, day(4))], DEPARTS, [day(7)])
    assert found == (Level(day(1), 8), Level(day(5), 6), Level(day(8), 3))
    assert levels(Daily((1,)), [Pack(1, 2, None)], DEPARTS) == ()


def test_what_makes_no_sense_is_refused() -> None:
    for wrong in (
        lambda: OnSale(1, NEAR, A, 0, 100),
        lambda: OnSale(1, NEAR, A, 1, -1),
        lambda: Terms(NEAR, -1),
        lambda: buy([want(A, 1), want(A, 2)], []),
        lambda: buy([want(A, 1)], [OnSale(1, NEAR, B, 1, 1)]),
        lambda: buy([want(A, -1)], []),
        lambda: buy([want(A, 10**10)], []),
    ):
        with pytest.raises(ValueError, match=r"."):
            wrong()
    assert timedelta(days=19) == HORIZON - DEPARTS


def test_a_cap_over_many_wants_and_suppliers_is_kept_to_and_spent_on_what_is_vital() -> None:
    """Too much to prove: given 60 wants over 8 suppliers, the plan says so, and nothing vital
    lacks while money goes to what is desirable.
    """
    dice = random.Random(11)
    ranks = (Importance.VITAL, Importance.ESSENTIAL, Importance.DESIRABLE)
    wants = [want(key, dice.randint(1, 40), importance=ranks[key % 3]) for key in range(60)]
    offers = [
        OnSale(number, number % 8, number % 60, dice.choice((1, 2, 5, 10)), dice.randint(90, 900))
        for number in range(480)
    ]
    terms = [Terms(number, 490, 5000, 1500) for number in range(8)]
    whole = buy(wants, offers, terms, effort=20_000)
    plan = buy(wants, offers, terms, cap_cents=whole.total_cents // 2, effort=100_000)
    assert plan.total_cents <= whole.total_cents // 2
    assert not plan.proven
    lacking = {it.want % 3 for it in plan.missing}
    assert 0 not in lacking
    assert 2 in lacking
