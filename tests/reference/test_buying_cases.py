"""Buying plans, held against a published case, cases with a proven optimum, and trying every plan.

B0 is published: USACO November 2008, Silver, "Buying Hay": 15 or more, 3 for 2 or 5 for 3, answer
9. The others were proven by trying every plan and, apart from that, by integer programming. Each
has a shortcut that fails; what it would give stands beside it.
"""

from __future__ import annotations

from datetime import timedelta
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from purchases import (
    DEPARTS,
    HORIZON,
    Shop,
    best_by_trying,
    best_under_a_cap,
    day,
    shares,
    want,
    worth_of,
)
from stockcheck.core.buying import BuyingPlan, Level, OnSale, Terms, Want, buy, levels
from stockcheck.core.model import Importance
from stockcheck.core.planned_use import Daily
from stockcheck.core.projection import Pack, project

S1, S2, S3 = 1, 2, 3
A, B = 1, 2


def bought(plan: BuyingPlan) -> list[tuple[int, int, int]]:
    """Supplier, packs and size of each purchase."""
    return [(it.offer.supplier, it.packs, it.offer.size) for it in plan.bought]


CASES = {
    "B0 published": (
        Shop([want(A, 15)], [OnSale(1, S1, A, 3, 2), OnSale(2, S2, A, 5, 3)]),
        9, [(S2, 3, 5)],
    ),
    # cheapest by the unit first: 10 + 6 for 14.70, or 2 × 10 for 18.00
    "B1 unit price fails": (
        Shop([want(A, 12)], [OnSale(1, S1, A, 10, 900), OnSale(2, S1, A, 6, 570)]),
        1140, [(S1, 2, 6)],
    ),
    # cheapest unit, without shipping: 20.90
    "B2 shipping decides": (
        Shop([want(A, 20)], [OnSale(1, S1, A, 10, 800), OnSale(2, S2, A, 5, 500)],
             [Terms(S1, 490)]),
        2000, [(S2, 4, 5)],
    ),
    # item by item: 28.00
    "B3 one order for both": (
        Shop([want(A, 6), want(B, 4)],
             [OnSale(1, S1, A, 6, 1200), OnSale(2, S1, B, 2, 500), OnSale(3, S2, A, 6, 1000),
              OnSale(4, S3, B, 4, 800)],
             [Terms(S1, 550), Terms(S2, 500), Terms(S3, 500)]),
        2750, [(S1, 1, 6), (S1, 2, 2)],
    ),
    # taking the bargain pack, of which there is one: 23.60
    "B4 limited stock": (
        Shop([want(A, 23)],
             [OnSale(1, S1, A, 10, 700, stock=1), OnSale(2, S1, A, 4, 340),
              OnSale(3, S2, A, 12, 1150)],
             [Terms(S1, 300), Terms(S2, 250)]),
        2340, [(S1, 6, 4)],
    ),
    # exactly 5: 27.50 with shipping, or 28.00
    "B5 one more ships for nothing": (
        Shop([want(A, 5)], [OnSale(1, S1, A, 1, 450), OnSale(2, S2, A, 1, 560)],
             [Terms(S1, 500, free_from_cents=2500)]),
        2700, [(S1, 6, 1)],
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_cases_with_a_proven_optimum(case: str) -> None:
    shop, cents, packs = CASES[case]
    plan = buy(shop.wants, shop.offers, shop.terms)
    assert (plan.total_cents, plan.proven, plan.at_least_cents) == (cents, True, cents)
    assert bought(plan) == packs
    assert best_by_trying(shop, 8) == worth_of(plan, shop)


@pytest.mark.parametrize(("ends", "cents", "packs"), [
    (12, 1100, [(S1, 1, 10), (S2, 1, 10)]),
    (9, 1600, [(S2, 2, 10)]),  # the total alone would buy 10 + 10 here too, and be short on day 20
])  # fmt: skip
def test_b6_a_short_dated_bargain_covers_only_its_days(
    ends: int, cents: int, packs: list[tuple[int, int, int]]
) -> None:
    """One a day for 20 days; X 10 at 3.00, good to day 12 or day 9; Y 10 at 8.00."""
    daily = Daily((1,) * 20)
    short_dated = OnSale(1, S1, A, 10, 300, good_through=day(ends))
    wanted = Want(A, levels(daily, (), DEPARTS, [day(ends)]))
    plan = buy([wanted], [short_dated, OnSale(2, S2, A, 10, 800)])
    assert (plan.total_cents, bought(plan)) == (cents, packs)
    stock = [Pack(place, it.units, it.offer.good_through) for place, it in enumerate(plan.bought)]
    assert project(stock, daily, DEPARTS).short == 0


def test_without_fees_it_is_the_cheapest_choice_for_each_set_of_suppliers() -> None:
    """A second way for several wants: for each set of suppliers, each want by itself."""
    shop = CASES["B3 one order for both"][0]
    totals = []
    for number in (1, 2, 3):
        for chosen in combinations(shop.terms, number):
            fees = sum(it.fee_cents for it in chosen)
            names = {it.supplier for it in chosen}
            offers = [it for it in shop.offers if it.supplier in names]
            alone = [buy([one], [it for it in offers if it.want == one.key]) for one in shop.wants]
            if not any(it.missing for it in alone):
                totals.append(fees + sum(it.total_cents for it in alone))
    assert min(totals) == buy(shop.wants, shop.offers, shop.terms).total_cents


MOST = 9
SIZES, CENTS = st.integers(1, 5), st.one_of(st.integers(1, 900), st.sampled_from([0, 100, 200]))
STOCKS = st.sampled_from([None, None, 1, 2, 3])
ENDS = st.sampled_from([None, None, day(10), day(3)])


@st.composite
def shops(draw: st.DrawFn) -> Shop:
    """One or two wants, some with a level on the way, and up to four offers of three suppliers."""
    number = draw(st.integers(1, 2))
    wants = []
    for key in range(number):
        found = [Level(HORIZON, draw(st.integers(0, 7)))]
        if draw(st.booleans()):
            found.append(Level(day(5), draw(st.integers(1, 9))))
        wants.append(Want(key, tuple(found), draw(st.sampled_from(list(Importance)))))
    one = st.builds(OnSale, st.just(0), st.integers(1, 3), st.integers(0, number - 1), SIZES, CENTS,
                    STOCKS, ENDS)  # fmt: skip
    offers = draw(st.lists(one, min_size=1, max_size=4))
    terms = [
        Terms(
            supplier,
            draw(st.sampled_from([0, 300, 500])),
            draw(st.sampled_from([None, 600, 1200, 2000])),
            draw(st.sampled_from([0, 0, 0, 700, 1500])),
        )
        for supplier in (1, 2, 3)
    ]
    numbered = [
        OnSale(key, it.supplier, it.want, it.size, it.price_cents, it.stock, it.good_through)
        for key, it in enumerate(offers)
    ]
    return Shop(wants, numbered, terms)


@settings(max_examples=500, deadline=None)
@given(shops())
def test_no_plan_of_all_that_there_are_is_better(shop: Shop) -> None:
    """In money, then units, then orders, then the offers' places."""
    plan = buy(shop.wants, shop.offers, shop.terms)
    assert plan.proven
    if max((it.packs for it in plan.bought), default=0) > MOST:
        return
    best = best_by_trying(shop, MOST)
    if plan.missing:
        assert best is None
    else:
        assert best == worth_of(plan, shop)


@settings(max_examples=500, deadline=None)
@given(shops(), st.integers(0, 2500))
def test_under_a_cap_no_plan_leaves_less_missing_by_importance(shop: Shop, cap: int) -> None:
    plan = buy(shop.wants, shop.offers, shop.terms, cap_cents=cap)
    assert plan.proven
    assert plan.total_cents <= cap
    many = max((it.packs for it in plan.bought), default=0) > MOST
    if many or any(it.unavailable for it in plan.missing):
        return
    short = {it.want: it.units for it in plan.missing}
    assert (shares(shop, short), worth_of(plan, shop)) == best_under_a_cap(shop, MOST, cap)


def test_a_day_after_the_horizon_is_not_reached_by_what_ends_on_it() -> None:
    late = Want(A, (Level(HORIZON + timedelta(days=1), 1),))
    plan = buy([late], [OnSale(1, S1, A, 5, 100, good_through=HORIZON)])
    assert [it.unavailable for it in plan.missing] == [1]
