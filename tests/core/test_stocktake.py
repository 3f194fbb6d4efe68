"""A count held against the books: what each difference is called, and what is posted for it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import box, holding, item, kind, lot
from stockcheck.core.model import Box, Holding, Lot, State
from stockcheck.core.movements import Movement, What
from stockcheck.core.stocktake import (
    Books,
    Entry,
    Finding,
    LastSeen,
    Moved,
    Part,
    Variance,
    compare,
    left_to_find,
)
from stockcheck.core.stocktake_posting import corrections, notes

TYRE, CAB, SPARES = box("Tyre kit", 1), box("Cab", 2), box("Spares", 3)
TUBE = item(kind(), "sealant, 50 ml tube", 1)
L1, L2, L3 = (lot(TUBE, number) for number in (1, 2, 3))
OPENED = date(2026, 8, 14)


def books(*held: Holding, boxes: tuple[Box, ...] = (TYRE,), lots: tuple[Lot, ...] = ()) -> Books:
    known = {each.lot.id: each.lot for each in held} | {each.id: each for each in lots}
    return Books(boxes, known, held)


def entry(number: int, of: Lot, quantity: int, where: Box = TYRE, **more: Any) -> Entry:
    return replace(Entry(number, where.id, of.id, quantity, 0, 0), **more)


def told(found: tuple[Variance, ...]) -> list[tuple[str, int, int, int | None, str]]:
    return [
        (each.box.name, each.lot.id, each.book, each.counted, each.finding.value) for each in found
    ]


def after(held: tuple[Holding, ...], plans: list[Movement]) -> dict[tuple[int, int], int]:
    """How many of each lot each box has once the movements are posted."""
    stock = {(h.lot.id, h.box.id, h.state, h.opened_on): h.quantity for h in held}
    for line in (line for plan in plans for line in plan.lines):
        key = (line.lot_id, line.box_id, line.state, line.opened_on)
        stock[key] = stock.get(key, 0) + line.quantity
        assert stock[key] >= 0
    sums: dict[tuple[int, int], int] = {}
    for (lot_id, box_id, *_), quantity in stock.items():
        sums[lot_id, box_id] = sums.get((lot_id, box_id), 0) + quantity
    return {key: number for key, number in sums.items() if number}


def test_each_difference_has_its_name_and_its_sign() -> None:
    held = (holding(1, L1, TYRE, 5), holding(2, L2, TYRE, 5), holding(3, L3, TYRE, 5))
    lines = [entry(1, L1, 7), entry(2, L2, 3)]
    found = compare(books(*held), lines)
    assert told(found) == [
        ("Tyre kit", 1, 5, 7, "over"),
        ("Tyre kit", 2, 5, 3, "short"),
        ("Tyre kit", 3, 5, None, "not found"),
    ]
    assert [each.difference for each in found] == [2, -2, -5]


def test_what_was_counted_only_is_compared_where_the_count_is_partial() -> None:
    held = (holding(1, L1, TYRE, 5), holding(2, L2, TYRE, 5))
    found = compare(books(*held), [entry(1, L1, 5)], partial=True)
    assert told(found) == [("Tyre kit", 1, 5, 5, "agrees")]


def test_found_here_though_the_books_have_it_in_another_box_is_a_move() -> None:
    held = (holding(1, L1, CAB, 4),)
    (found,) = compare(books(*held), [entry(1, L1, 3)])
    assert found.finding is Finding.WRONG_BOX
    assert notes(found) == ("3 by the books in Cab",)
    (plan,) = corrections([found], "count")
    assert plan.what is What.MOVED
    assert after(held, [plan]) == {(1, CAB.id): 1, (1, TYRE.id): 3}


def test_what_no_other_box_can_give_is_over() -> None:
    held = (holding(1, L1, CAB, 1),)
    (found,) = compare(books(*held), [entry(1, L1, 3)])
    assert "2 more beside that" in notes(found)
    assert after(held, corrections([found], "count")) == {(1, TYRE.id): 3}


def test_without_moves_what_is_over_is_over() -> None:
    held = (holding(1, L1, CAB, 4),)
    (found,) = compare(books(*held), [entry(1, L1, 3)], moves=False)
    assert found.finding is Finding.OVER
    assert after(held, corrections([found], "count")) == {(1, CAB.id): 4, (1, TYRE.id): 3}


def test_the_box_that_can_give_all_of_it_is_taken_first() -> None:
    held = (holding(1, L1, CAB, 1), holding(2, L1, SPARES, 6))
    (found,) = compare(books(*held), [entry(1, L1, 3)])
    assert [(each.holding.box.name, each.quantity) for each in found.into] == [("Spares", 3)]


def test_missing_in_one_box_and_over_in_another_of_the_same_count_is_found_elsewhere() -> None:
    held = (holding(1, L1, TYRE, 3), holding(2, L1, SPARES, 9))
    lines = [entry(1, L1, 3, CAB)]
    found = compare(books(*held, boxes=(TYRE, CAB)), lines)
    assert told(found) == [
        ("Tyre kit", 1, 3, None, "found elsewhere"),
        ("Cab", 1, 0, 3, "wrong box"),
    ]
    assert after(held, corrections(found, "count")) == {(1, CAB.id): 3, (1, SPARES.id): 9}


def test_a_lot_that_was_used_up_and_is_found_again_tells_what_became_of_it() -> None:
    seen = LastSeen("written off", date(2026, 10, 3), "expired", State.HELD)
    known = replace(books(lots=(L1,)), last_seen={1: seen})
    (found,) = compare(known, [entry(1, L1, 1)])
    assert found.finding is Finding.FOUND_AGAIN
    assert notes(found) == (
        "written off on 03 OCT 2026 (expired), none on hand since; it comes back on hold",
    )
    assert corrections([found], "count")[0].lines[0].state is State.HELD


def test_sealed_and_opened_of_a_lot_are_one_count_unless_they_are_told_apart() -> None:
    held = (holding(1, L1, TYRE, 3), holding(2, L1, TYRE, 1, opened_on=OPENED))
    assert told(compare(books(*held), [entry(1, L1, 4)])) == [("Tyre kit", 1, 4, 4, "agrees")]
    apart = [entry(1, L1, 2, part=Part.SEALED), entry(2, L1, 2, part=Part.OPENED)]
    found = compare(books(*held), apart)
    assert [(each.part.value, each.difference) for each in found] == [("sealed", -1), ("opened", 1)]
    assert after(held, corrections(found, "count")) == {(1, TYRE.id): 4}


def test_what_is_counted_without_a_word_is_the_rest_of_the_lot() -> None:
    held = (holding(1, L1, TYRE, 3), holding(2, L1, TYRE, 1, opened_on=OPENED))
    lines = [entry(1, L1, 3), entry(2, L1, 1, part=Part.OPENED)]
    assert {each.finding for each in compare(books(*held), lines)} == {Finding.AGREES}


def test_a_part_that_the_books_do_not_have_is_counted_and_told_with_its_remedy() -> None:
    held = (holding(1, L1, TYRE, 3),)
    lines = [entry(1, L1, 2, part=Part.SEALED), entry(2, L1, 1, part=Part.OPENED)]
    (found,) = compare(books(*held), lines)
    assert found.finding is Finding.AGREES
    assert "stockcheck open L1 --quantity 1 --on DAY" in notes(found)[0]


def test_what_is_on_hold_never_becomes_ordinary_stock_by_a_count() -> None:
    held = (holding(1, L1, TYRE, 3, state=State.HELD),)
    (found,) = compare(books(*held), [entry(1, L1, 4, part=Part.SEALED)])
    (plan,) = corrections([found], "count")
    assert [(line.quantity, line.state) for line in plan.lines] == [(1, State.HELD)]
    assert "4 found sealed, not so by the books" in notes(found)[0]


def test_what_is_on_hold_is_marked_where_the_count_differs_and_only_there() -> None:
    held = (holding(1, L1, TYRE, 3, state=State.HELD), holding(2, L1, TYRE, 2))
    (short,) = compare(books(*held), [entry(1, L1, 4)])
    assert notes(short) == ("3 of it on hold by the books",)
    (right,) = compare(books(*held), [entry(1, L1, 5)])
    assert notes(right) == ()


def test_what_lacks_is_taken_from_the_opened_before_the_sealed_and_from_hold_last() -> None:
    held = (
        holding(1, L1, TYRE, 1, state=State.HELD),
        holding(2, L1, TYRE, 2),
        holding(3, L1, TYRE, 1, opened_on=OPENED),
    )
    (plan,) = corrections(compare(books(*held), [entry(1, L1, 2)]), "count")
    assert [(line.opened_on, line.state) for line in plan.lines] == [
        (OPENED, State.STOCK),
        (None, State.STOCK),
    ]


def test_what_was_posted_after_a_lot_was_counted_moves_count_and_books_alike() -> None:
    """Books of 5, 5 counted, then 2 used: the books say 3, and nothing is to be corrected."""
    known = replace(books(holding(1, L1, TYRE, 3)), moved=(Moved(8, 1, 1, Part.SEALED, -2),))
    (found,) = compare(known, [entry(1, L1, 5, since=7, until=7)])
    assert (found.book, found.counted, found.since, found.finding) == (5, 5, -2, Finding.AGREES)


def test_what_was_posted_before_a_lot_was_counted_is_in_both() -> None:
    known = replace(books(holding(1, L1, TYRE, 3)), moved=(Moved(6, 1, 1, Part.SEALED, -2),))
    (found,) = compare(known, [entry(1, L1, 3, since=7, until=7)])
    assert (found.book, found.since, found.finding) == (3, 0, Finding.AGREES)


@pytest.mark.parametrize(
    ("lines", "why"),
    [
        ([entry(1, L1, 2, since=7, until=7), entry(2, L1, 1, since=9, until=9)], "while it was"),
        ([entry(1, L1, 3, since=5, until=9)], "while it was"),
        ([], "was not counted"),
        ([entry(1, L1, 1, since=7, until=7)], "more was taken out"),
    ],
)
def test_where_stock_moved_and_nobody_can_tell_it_is_to_be_counted_again(
    lines: list[Entry], why: str
) -> None:
    known = replace(books(holding(1, L1, TYRE, 3)), moved=(Moved(8, 1, 1, Part.SEALED, -2),))
    (found,) = compare(known, lines)
    assert found.finding is Finding.COUNT_AGAIN
    assert why in found.again
    assert corrections([found], "count") == []
    (again,) = compare(known, [*lines, entry(9, L1, 3, since=9, until=9, sets=True)])
    assert again.finding is Finding.AGREES


def test_the_value_of_a_variance_is_its_share_of_what_the_lot_cost() -> None:
    costly = replace(L1, cost_cents=1000)
    held = (holding(1, costly, TYRE, 3),)
    known = replace(books(*held), received={1: 3})
    assert compare(known, [entry(1, L1, 2)])[0].cents == -333
    assert compare(known, [entry(1, L1, 5)])[0].cents == 667
    assert compare(replace(known, received={}), [entry(1, L1, 2)])[0].cents is None


COUNTS = st.dictionaries(st.tuples(st.sampled_from([1, 2, 3]), st.sampled_from([1, 2])),
                         st.integers(0, 30), max_size=6)  # fmt: skip
STOCK = st.lists(
    st.tuples(
        st.sampled_from([L1, L2, L3]), st.sampled_from([TYRE, CAB, SPARES]), st.integers(0, 9),
        st.sampled_from([None, OPENED]), st.sampled_from(list(State)),
    ),
    max_size=8, unique_by=lambda it: (it[0].id, it[1].id, it[3], it[4]),
)  # fmt: skip


def held_of(stock: list[tuple[Lot, Box, int, date | None, State]]) -> tuple[Holding, ...]:
    return tuple(
        holding(number, of, where, quantity, opened_on=opened, state=state)
        for number, (of, where, quantity, opened, state) in enumerate(stock, 1)
    )


def counted_books(stock: list[tuple[Lot, Box, int, date | None, State]]) -> Books:
    return books(*held_of(stock), boxes=(TYRE, CAB), lots=(L1, L2, L3))


@given(STOCK, COUNTS)
def test_posting_makes_the_books_of_the_boxes_equal_the_count(
    stock: list[tuple[Lot, Box, int, date | None, State]], counts: dict[tuple[int, int], int]
) -> None:
    known = counted_books(stock)
    lines = [
        Entry(number, box_id, lot_id, quantity, 0, 0)
        for number, ((lot_id, box_id), quantity) in enumerate(counts.items(), 1)
    ]
    plans = corrections(compare(known, lines), "count")
    found = after(known.holdings, plans)
    here = {key: number for key, number in found.items() if key[1] != SPARES.id}
    assert here == {key: number for key, number in counts.items() if number}


@given(STOCK)
def test_a_count_of_exactly_what_is_there_changes_nothing(
    stock: list[tuple[Lot, Box, int, date | None, State]],
) -> None:
    known = counted_books(stock)
    lines = [
        Entry(each.id, each.box.id, each.lot.id, each.quantity, 0, 0)
        for each in known.holdings
        if each.box in known.boxes
    ]
    found = compare(known, lines)
    assert corrections(found, "count") == []
    assert left_to_find(found) == []


@given(STOCK, st.lists(st.tuples(st.sampled_from([1, 2, 3]), st.integers(1, 4)), max_size=12),
       st.randoms(use_true_random=False))  # fmt: skip
def test_the_order_of_scans_never_matters(
    stock: list[tuple[Lot, Box, int, date | None, State]],
    scans: list[tuple[int, int]],
    shuffled: Random,
) -> None:
    known = counted_books(stock)
    mixed = list(scans)
    shuffled.shuffle(mixed)
    one, two = (
        compare(known, [Entry(at, 1, lot_id, n, 0, 0) for at, (lot_id, n) in enumerate(order)])
        for order in (scans, mixed)
    )
    assert one == two


@given(STOCK, COUNTS)
def test_a_move_neither_makes_nor_loses_anything(
    stock: list[tuple[Lot, Box, int, date | None, State]], counts: dict[tuple[int, int], int]
) -> None:
    known = counted_books(stock)
    lines = [Entry(at, box_id, lot_id, n, 0, 0)
             for at, ((lot_id, box_id), n) in enumerate(counts.items())]  # fmt: skip
    moves = [it for it in corrections(compare(known, lines), "count") if it.what is What.MOVED]
    assert all(sum(line.quantity for line in plan.lines) == 0 for plan in moves)
    assert {it.what for it in corrections(compare(known, lines), "x")} <= {What.MOVED, What.COUNTED}
