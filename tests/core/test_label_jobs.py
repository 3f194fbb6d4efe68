"""Which labels are lacking, which have changed, and where a part-used sheet goes on."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import box, holding, item, kind, lot, printed
from stockcheck.core.label_jobs import (
    Match,
    Printed,
    SheetUse,
    Standing,
    Stir,
    Wanted,
    box_facts,
    differing,
    holding_facts,
    item_facts,
    lacking,
    left_on_sheet,
    matched,
    next_start,
    pages_used,
    standing,
)
from stockcheck.core.model import State

WATER, TRUCK = {"box": "Water"}, {"box": "Truck"}


def each(number: int, packs: int, facts: dict[str, str] = WATER, old: int | None = None) -> Printed:
    """A print of one a unit."""
    return Printed(number, facts, packs, per_unit=True, replaces=old)


def one(number: int, facts: dict[str, str] = WATER, old: int | None = None) -> Printed:
    """A print of one a lot."""
    return Printed(number, facts, replaces=old)


# What happened to a lot, the units in one pack, and how many packs lack a label of their own.
BARE = [
    ("nothing printed yet", [Stir(10)], 1, 10),
    ("all printed", [Stir(10), each(1, 10)], 1, 0),
    ("three more came", [Stir(10), each(1, 10), Stir(3)], 1, 3),
    ("four were used and three came", [Stir(10), each(1, 10), Stir(-4), Stir(3)], 1, 3),
    ("used before any print", [Stir(10), Stir(-4)], 1, 6),
    ("part of them printed", [Stir(10), each(1, 4)], 1, 6),
    ("the labelled ones go first", [Stir(10), each(1, 4), Stir(-4)], 1, 6),
    ("more went than were labelled", [Stir(10), each(1, 4), Stir(-7)], 1, 3),
    ("all gone and come again", [Stir(3), each(1, 3), Stir(-3), Stir(2)], 1, 2),
    ("a reprint in place of the first", [Stir(3), each(1, 3), each(2, 3, old=1)], 1, 0),
    ("a jam in the middle", [Stir(5), each(1, 5), each(2, 3, old=1), Stir(2)], 1, 2),
    ("one label for the lot speaks for one pack", [Stir(10), one(1)], 1, 9),
    ("tablets in packs", [Stir(100), each(1, 4)], 30, 0),
    ("a part-used pack", [Stir(100), each(1, 4), Stir(-10)], 30, 0),
    ("a pack more", [Stir(100), each(1, 4), Stir(-10), Stir(30)], 30, 1),
    ("half a pack came", [Stir(60), each(1, 2), Stir(15)], 30, 1),
    ("printed before it came", [each(1, 5), Stir(5)], 1, 5),
    ("nothing ever", [], 1, 0),
    ("more printed than there are", [Stir(2), each(1, 9), Stir(1)], 1, 1),
]


@pytest.mark.parametrize(("events", "pack", "packs"), [row[1:] for row in BARE],
                         ids=[row[0] for row in BARE])  # fmt: skip
def test_packs_without_a_label(events: list[Stir | Printed], pack: int, packs: int) -> None:
    now = standing(events, pack)
    found = lacking([Wanted(WATER, 999)], now, pack)
    assert sum(match.packs for match in found) == packs


def test_one_label_for_a_lot_stays_while_anything_is_left() -> None:
    assert standing([Stir(10), one(1), Stir(-9), Stir(5)]).stuck[0].number == 1
    assert standing([Stir(10), one(1), Stir(-10), Stir(5)]).stuck == ()


def test_lacking_packs_are_taken_from_holdings_without_a_label_first() -> None:
    now = standing([Stir(10), each(1, 6, WATER)])
    assert lacking([Wanted(WATER, 6), Wanted(TRUCK, 4)], now) == [Match(1, 4)]


def test_a_label_that_says_the_same_needs_nothing() -> None:
    now = standing([Stir(5), one(1)])
    assert matched([Wanted(WATER, 5)], now) == [Match(0, 1, now.stuck[0], same=True)]


def test_a_moved_lot_has_a_changed_label_and_not_a_new_one() -> None:
    now = standing([Stir(5), one(1)])
    assert matched([Wanted(TRUCK, 5)], now) == [Match(0, 1, now.stuck[0])]


def test_a_part_that_was_moved_is_new_while_the_label_stays_with_the_rest() -> None:
    now = standing([Stir(5), one(1)])
    rest, moved = matched([Wanted(WATER, 3), Wanted(TRUCK, 2)], now)
    assert (rest.same, moved.old) == (True, None)


def test_one_a_unit_counts_the_packs_that_changed() -> None:
    now = standing([Stir(10), each(1, 10)])
    rest, moved = matched([Wanted(WATER, 6), Wanted(TRUCK, 4)], now)
    assert (rest.packs, rest.same) == (6, True)
    assert (moved.packs, moved.same, moved.old) == (4, False, now.stuck[0])


def test_after_the_changed_ones_were_printed_again_nothing_is_left_to_do() -> None:
    now = standing([Stir(10), each(1, 10), each(2, 4, TRUCK, old=1)])
    assert now.bare == 0
    assert all(match.same for match in matched([Wanted(WATER, 6), Wanted(TRUCK, 4)], now))


def test_a_print_of_which_nothing_was_kept_agrees_with_anything() -> None:
    assert matched([Wanted(TRUCK)], standing([Stir(1), one(1, {})]))[0].same


def test_a_box_that_never_comes_or_goes_keeps_its_label() -> None:
    renamed = standing([one(1), one(2, TRUCK, old=1)])
    assert [label.number for label in renamed.stuck] == [2]
    assert matched([Wanted(TRUCK)], renamed)[0].same


stirs = st.integers(-20, 20).map(Stir)


@given(
    st.lists(st.one_of(stirs, st.integers(1, 12)), max_size=12),
    st.integers(1, 6),
    st.booleans(),
)
def test_labels_asked_are_labels_stuck_and_labels_lacking(
    steps: list[Stir | int], pack: int, per_unit: bool
) -> None:
    """However much comes, goes and is printed: units with a label and without are those on hand."""
    events: list[Stir | Printed] = [
        Printed(at, WATER, step, per_unit) if isinstance(step, int) else step
        for at, step in enumerate(steps)
    ]
    now = standing(events, pack)
    assert now.bare >= 0
    assert now.bare + sum(label.units for label in now.stuck) == now.on_hand
    packs = -(-now.on_hand // pack)
    printed = Printed(99, WATER, -(-now.bare // pack), per_unit=True)
    assert standing([*events, printed], pack).bare == 0
    found = matched([Wanted(WATER, packs)], now, pack) if packs else []
    assert sum(match.packs for match in found) in {0, 1, packs}


@given(
    st.integers(1, 80), st.lists(st.integers(1, 200), min_size=1, max_size=6), st.integers(1, 80)
)
def test_prints_one_after_another_never_use_a_place_twice(
    per_page: int, prints: list[int], start: int
) -> None:
    """Places are counted through all sheets: each print takes the next ones and leaves none out."""
    taken: list[int] = []
    sheet, at = 0, min(start, per_page)
    first = at - 1
    for labels in prints:
        use = SheetUse(per_page, at, labels)
        places = [sheet * per_page + at - 1 + number for number in range(labels)]
        taken += places
        assert pages_used(use) * per_page == at - 1 + labels + left_on_sheet(use)
        at = next_start(use, per_page)
        sheet = (places[-1] + 1) // per_page
    assert taken == list(range(first, first + sum(prints)))


@pytest.mark.parametrize(
    ("last", "start"),
    [
        (None, 1),
        (SheetUse(21, 1, 3), 4),
        (SheetUse(21, 4, 18), 1),
        (SheetUse(21, 20, 3), 2),
        (SheetUse(1, 1, 7), 1),
        (SheetUse(24, 1, 3), 1),
    ],
)
def test_where_the_next_print_starts(last: SheetUse | None, start: int) -> None:
    """A full sheet is followed by a fresh one; another grid of the same name is another sheet."""
    assert next_start(last, 1 if last and last.per_page == 1 else 21) == start


def test_what_is_left_on_a_sheet() -> None:
    assert left_on_sheet(SheetUse(21, 4, 3)) == 15
    assert left_on_sheet(SheetUse(21, 1, 21)) == 0
    assert left_on_sheet(SheetUse(1, 1, 5)) == 0


LATEX = kind("sealant")
TUBE = holding(
    1,
    lot(item(LATEX, "rubber solution"), 7, expiry=printed("EXP 11/2027", "2027-11")),
    box("Tyre kit"),
    3,
    date(2027, 11, 30),
)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        (replace(TUBE, quantity=1), ""),
        (replace(TUBE, box=box("Lid", 2)), "box was Tyre kit, now Lid"),
        (replace(TUBE, opened_on=date(2026, 11, 20)), "opened was none, now 2026-11-20"),
        (replace(TUBE, state=State.HELD), "state was stock, now held"),
        (
            replace(TUBE, last_usable_day=date(2027, 6, 1), governed_by="heat"),
            "date was 2027-11-30 by printed (2027-11), now 2027-06-01 by heat (2027-11)",
        ),
        (replace(TUBE, lot=replace(TUBE.lot, batch="7C")), "batch was none, now 7C"),
    ],
)
def test_what_has_changed_is_told_in_words(changed: object, said: str) -> None:
    assert isinstance(changed, type(TUBE))
    assert differing(holding_facts(TUBE), holding_facts(changed)) == said


def test_boxes_and_items_have_facts_too() -> None:
    assert differing(box_facts(box("Lid"), "Truck / Lid"), box_facts(box("Lid"), "Lid")) == (
        "place was Truck / Lid, now Lid"
    )
    assert item_facts(item(LATEX, "patch")) == {"name": "patch"}


def test_an_empty_store_has_nothing_to_label() -> None:
    assert matched([], Standing()) == []
    assert lacking([], Standing()) == []
