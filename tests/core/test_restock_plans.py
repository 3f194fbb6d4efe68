"""Restock lists for any stock and any par levels: what every plan keeps to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from given_trip import (
    BOXES,
    ENDS,
    GOOD,
    HORIZON,
    NARROW,
    PAST,
    PLASTER,
    TUBE,
    WIDE,
    held,
    listed,
    par,
    sells,
)
from stockcheck.core.model import Holding, Importance, Item, State
from stockcheck.core.planning import Par
from stockcheck.core.restock import Need

# Items of two kinds over nested boxes, some of it ending on the way

PLACES = st.sampled_from(BOXES)
LASTS = st.sampled_from([GOOD, HORIZON, ENDS, PAST, None])
STATES = st.sampled_from([State.STOCK, State.STOCK, State.STOCK, State.HELD, State.LAST_RESORT])


@st.composite
def stocks(draw: st.DrawFn, items: tuple[Item, ...] = (TUBE, WIDE, NARROW)) -> list[Holding]:
    rows = st.tuples(PLACES, st.integers(1, 6), LASTS, st.sampled_from(items), STATES)
    drawn = draw(st.lists(rows, max_size=8))
    return [
        held(number, box, many, last, item=item, state=state)
        for number, (box, many, last, item, state) in enumerate(drawn, 1)
    ]


@st.composite
def wants(draw: st.DrawFn, items: tuple[Item | None, ...] = (None, TUBE, WIDE)) -> list[Par]:
    keys = st.tuples(PLACES, st.sampled_from(items))
    unique = st.lists(keys, max_size=6, unique_by=lambda key: (key[0].id, key[1] and key[1].id))
    return [
        par(
            number,
            box,
            draw(st.integers(1, 8)),
            item or PLASTER,
            importance=draw(st.sampled_from(list(Importance))),
        )
        for number, (box, item) in enumerate(draw(unique), 1)
    ]


OFFERS = (sells(1, 4, 300), sells(2, 10, 650), sells(3, 3, 100, item=WIDE))
listed([par(1, BOXES[0], 1)], offers=OFFERS)  # loads what buys, which no example's time should pay


def to_buy(needs: Sequence[Need]) -> int:
    return sum(need.buy for need in needs)


@given(wants(), stocks(), stocks())
def test_more_stock_never_means_more_to_buy(
    pars: list[Par], stock: list[Holding], more: list[Holding]
) -> None:
    added = [replace(it, id=it.id + 100) for it in more]
    before, after = (to_buy(listed(pars, held)) for held in (stock, stock + added))
    assert after <= before


@given(wants(), stocks(), st.integers(0, 500))
def test_a_longer_trip_never_means_less_to_buy(
    pars: list[Par], stock: list[Holding], days: int
) -> None:
    longer = HORIZON + timedelta(days=days)
    assert to_buy(listed(pars, stock)) <= to_buy(listed(pars, stock, horizon=longer))


@given(wants(), stocks())
def test_no_unit_counts_twice_and_none_is_both_kept_and_moved(
    pars: list[Par], stock: list[Holding]
) -> None:
    needs = listed(pars, stock)
    good = sum(
        it.quantity
        for it in stock
        if it.state is State.STOCK and it.last_usable_day and it.last_usable_day >= HORIZON
    )
    moved = Counter[int]()
    for need in needs:
        moved.update({move.holding.id: move.quantity for move in need.move_from})
    kept = sum(min(need.usable, need.needed) for need in needs)
    assert sum(need.usable for need in needs) <= good
    assert kept + moved.total() <= good
    assert all(moved[it.id] <= it.quantity for it in stock)


def carried_out(needs: Sequence[Need], stock: Sequence[Holding]) -> list[Holding]:
    """The stock after every move was made and every purchase put into the box it is for."""
    left = {it.id: it for it in stock}
    arrived: list[Holding] = []
    for need in needs:
        for move in need.move_from:
            old = left[move.holding.id]
            left[old.id] = replace(old, quantity=old.quantity - move.quantity)
            arrived.append(replace(old, id=0, box=need.box, quantity=move.quantity))
        if need.buy:
            item = need.item or NARROW
            arrived.append(held(999, need.box, need.buy, need.use_by_not_before, item=item))
    numbered = [replace(it, id=1000 + number) for number, it in enumerate(arrived)]
    return [it for it in left.values() if it.quantity] + numbered


@given(wants(), stocks())
def test_a_plan_carried_out_leaves_no_shortage(pars: list[Par], stock: list[Holding]) -> None:
    after = carried_out(listed(pars, stock, OFFERS), stock)
    assert [need.reason for need in listed(pars, after) if need.short] == []


@given(wants(), stocks())
def test_a_move_never_takes_a_box_below_its_own_need(pars: list[Par], stock: list[Holding]) -> None:
    before = {need.par.id: need.short for need in listed(pars, stock)}
    moves_only = [replace(need, buy=0) for need in listed(pars, stock)]
    for need in listed(pars, carried_out(moves_only, stock)):
        assert need.short <= before[need.par.id]


@given(wants(), st.integers(1, 3))
def test_the_packs_hold_what_the_lines_buy(pars: list[Par], pack: int) -> None:
    bought: Counter[int] = Counter()
    for need in listed(
        pars, offers=[sells(n, pack, 5, item=it) for n, it in enumerate((TUBE, WIDE, NARROW))]
    ):
        key = need.par.item.id if need.par.item else 0
        bought[key] += need.packs * pack - need.buy
    assert all(0 <= spare < pack for spare in bought.values())
