"""Which offer is cheapest in whole packs, how packs are shared, and by when to order."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import FAR, NEAR
from given_trip import DEPARTS, TUBE, sells
from stockcheck.core.offers import (
    cheapest,
    on_sale,
    order_by,
    order_by_words,
    packs_for,
    share_packs,
)


@pytest.mark.parametrize(
    ("need", "packs", "chosen"),
    [
        (12, [(10, 900), (6, 570)], (6, 2, 1140)),  # by price a unit: 2 packs of 10 for 1800
        (15, [(3, 200), (5, 300)], (5, 3, 900)),  # published: "Buying Hay", USACO Nov 2008, 9
        (5, [(10, 400), (1, 100)], (10, 1, 400)),
        (4, [(10, 400), (5, 400)], (5, 1, 400)),  # equal price: fewer units too many
    ],
)
def test_the_single_offer_with_the_least_total_price_in_whole_packs_is_chosen(
    need: int, packs: list[tuple[int, int]], chosen: tuple[int, int, int]
) -> None:
    offer = cheapest([sells(n, pack, cents) for n, (pack, cents) in enumerate(packs, 1)], need)
    assert offer is not None
    number = packs_for(need, offer.pack)
    assert (offer.pack, number, number * offer.price_cents) == chosen


def test_offers_that_are_equal_go_by_the_name_of_the_supplier() -> None:
    from_coast = sells(2, 2, 300, supplier=FAR)
    assert cheapest([sells(1, 2, 300), from_coast], 2) == from_coast


def test_where_nobody_sells_it_there_is_no_cheapest_offer() -> None:
    assert cheapest([], 2) is None


def test_an_offer_is_on_sale_until_it_or_its_supplier_or_item_is_retired() -> None:
    past = date(2026, 1, 31)
    offer = sells(1, 1, 100)
    gone = replace(FAR, retired_on=past)
    assert on_sale(offer)
    assert not on_sale(replace(offer, retired_on=past))
    assert not on_sale(replace(offer, supplier=gone))
    assert not on_sale(replace(offer, item=replace(TUBE, retired_on=past)))


@pytest.mark.parametrize(
    ("quantities", "packs"),
    [((1, 1, 9), (1, 0, 1)), ((10, 10), (1, 1)), ((3, 7, 1), (1, 0, 1)), ((25,), (3,)), ((), ())],
)
def test_wants_share_packs_of_ten(quantities: tuple[int, ...], packs: tuple[int, ...]) -> None:
    assert share_packs(quantities, 10) == packs


@given(st.lists(st.integers(1, 50), max_size=8), st.integers(1, 12))
def test_shared_packs_cover_every_want_in_turn_and_never_hold_a_whole_pack_too_much(
    quantities: list[int], pack: int
) -> None:
    wanted = bought = 0
    for quantity, packs in zip(quantities, share_packs(quantities, pack), strict=True):
        wanted += quantity
        bought += packs * pack
        assert wanted <= bought < wanted + pack


@pytest.mark.parametrize(
    ("lead_of_offer", "lead_of_supplier", "latest"),
    [
        (None, 5, date(2027, 1, 25)),  # 1 February less 2 days of handling less 5 of delivery
        (10, 5, date(2027, 1, 20)),
        (0, 5, date(2027, 1, 30)),
        (None, None, None),
    ],
)
def test_the_day_to_order_by_leaves_the_lead_time_and_two_days_of_handling(
    lead_of_offer: int | None, lead_of_supplier: int | None, latest: date | None
) -> None:
    supplier = replace(NEAR, lead_days=lead_of_supplier)
    offer = replace(sells(1, 1, 1, supplier=supplier), lead_days=lead_of_offer)
    assert order_by(offer, DEPARTS) == latest


def test_without_a_trip_or_an_offer_there_is_no_day_to_order_by() -> None:
    assert order_by(sells(1, 1, 1), None) is None
    assert order_by(None, DEPARTS) is None


def test_a_day_to_order_by_can_be_asked_why() -> None:
    """Given an offer and a departure, when asked, then the sum that gives the day is told."""
    for lead, words in (
        (10, "order by 20 JAN 2027 = departure 01 FEB 2027 − 10 days' delivery − 2 days to stow"),
        (1, "order by 29 JAN 2027 = departure 01 FEB 2027 − 1 day's delivery − 2 days to stow"),
    ):
        offer = replace(sells(1, 1, 1), lead_days=lead)
        latest = order_by(offer, DEPARTS)
        assert latest is not None
        assert order_by_words(offer, latest) == words
