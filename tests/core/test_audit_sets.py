"""Sets, any package of a group, things that only that size serves, and what a person said by hand.
The lists and the stock are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given_kit import FAR, KIT, exactly, item_for, kit_kind
from stockcheck.core.audit import audit
from stockcheck.core.audit_result import AuditResult, Finding, LineResult
from stockcheck.core.kit_list import Instead, KitList, Line
from stockcheck.core.kit_list_fit import Match
from stockcheck.core.model import Holding, Item, Lot, State

ON, HORIZON = date(2027, 3, 1), date(2027, 5, 31)
OLD, ENDING = date(2027, 2, 28), date(2027, 4, 30)
GLOVES = Line("gloves", 2, ("gloves",), unit="pair", dated=True)
SHIELD = Line("shield", 1, ("mask",), name_words=("shield",))
WIPE = Line("wipe", 2, ("wipe",), dated=True)
BARRIER = Line(
    "Barrier kit", 1, ("mask",), unit="set", name_words=("barrier kit",), dated=True,
    parts=(GLOVES, SHIELD, WIPE),
)  # fmt: skip
WIPES = Line("Wipes", 10, ("wipe",), dated=True)
PACKAGES = Line("Any package", 3, (), unit="pack", groups=("first aid",))


def item(number: int, key: str, name: str = "", **more: Any) -> Item:
    found = Item(number, "", name or key, kit_kind(key))
    return replace(found, **more)


def held(of: Item, quantity: int, until: date | None = FAR, state: State = State.STOCK) -> Holding:
    return Holding(of.id, Lot(of.id, "", of), KIT, quantity, None, state, until)


def a_list(*lines: Line) -> KitList:
    return KitList("mine", "My list", "invented", "", "own", "", lines)


def run(
    lines: tuple[Line, ...],
    *holdings: Holding,
    matches: tuple[Match, ...] = (),
    people: int = 1,
    horizon: date | None = None,
) -> AuditResult:
    return audit(a_list(*lines), holdings, ON, people=people, horizon=horizon, matches=matches)


def only(line: Line, *holdings: Holding, matches: tuple[Match, ...] = ()) -> LineResult:
    return run((line,), *holdings, matches=matches).lines[0]


def test_a_set_is_met_by_its_parts_or_by_one_that_is_ready_made() -> None:
    parts = exactly(BARRIER)
    ready = held(item(1, "mask", "Barrier kit, sealed"), 1)
    assert only(BARRIER, *parts).finding is Finding.OK
    assert only(BARRIER, ready).finding is Finding.OK
    assert [only(BARRIER, *parts).usable, only(BARRIER, ready).usable] == [1, 1]


def test_a_set_that_lacks_a_part_is_short_and_tells_which() -> None:
    gloves, shield, _ = exactly(BARRIER)
    result = only(BARRIER, gloves, shield)
    assert (result.short, result.usable, result.finding) == (1, 0, Finding.SHORT)
    assert "lacks 2 of 2 wipe" in result.why
    assert only(BARRIER).finding is Finding.MISSING


def test_parts_of_a_set_that_cannot_be_whole_are_left_to_the_lines_that_want_them() -> None:
    """Ten wipes are for the line of ten, where the set lacks its shield anyway."""
    wipes, gloves = held(item(1, "wipe"), 10), held(item(2, "gloves", unit="pair"), 2)
    barrier, loose = run((BARRIER, WIPES), wipes, gloves).lines
    assert (barrier.short, loose.short, loose.usable) == (1, 0, 10)
    whole = run((BARRIER, WIPES), wipes, gloves, held(item(3, "mask", "face shield"), 1)).lines
    assert (whole[0].short, whole[1].short) == (0, 2)


def test_a_set_with_an_expired_part_is_only_there_with_expired_stock() -> None:
    gloves, shield, wipes = exactly(BARRIER)
    result = only(BARRIER, gloves, shield, replace(wipes, last_usable_day=OLD))
    assert (result.finding, result.expired, result.short) == (Finding.EXPIRED, 2, 1)


def test_a_set_ends_on_the_trip_with_its_first_part() -> None:
    gloves, shield, wipes = exactly(BARRIER)
    ending = replace(wipes, last_usable_day=ENDING)
    result = run((BARRIER,), gloves, shield, ending, horizon=HORIZON).lines[0]
    assert (result.finding, result.short, result.short_through) == (Finding.ENDS_ON_TRIP, 0, 1)


def test_any_package_takes_only_what_no_other_line_wants() -> None:
    wipes = held(item(1, "wipe", pack=5), 20)
    lines = run((WIPES, PACKAGES), wipes).lines
    assert [line.usable for line in lines] == [10, 2]
    assert [line.short for line in lines] == [0, 1]
    rope = Item(2, "", "rope", kit_kind("rope", group="other"))
    assert run((PACKAGES,), held(rope, 3)).not_on_list


def test_a_larger_thing_does_not_stand_in_where_only_that_size_does() -> None:
    sized = Line("Pad", 1, ("pad",), width_mm=100, length_mm=100, only_that_size=True)
    for side, met in ((100, True), (105, True), (106, False), (99, False)):
        pad = item(side, "pad", width_mm=side, length_mm=side)
        assert only(sized, held(pad, 1)).met is met, side
    large = item(1, "pad", width_mm=200, length_mm=100)
    assert "too large" in only(sized, held(large, 1)).why


def test_stock_on_hold_is_a_finding_of_its_own() -> None:
    wipes = item(1, "wipe")
    result = only(WIPES, held(wipes, 10, state=State.HELD))
    assert (result.finding, result.short) == (Finding.ON_HOLD, 10)
    verdict = run((WIPES,), held(wipes, 10, state=State.HELD)).verdict
    assert verdict.endswith("no; 1 line only with stock on hold")


def said(line: str, of: Item, *, serves: bool = True, measure: int = 0) -> tuple[Match, ...]:
    return (Match("mine", line, of.id, serves, measure),)


def test_what_a_person_says_serves_a_line_counts_whatever_its_kind_and_size() -> None:
    other = item(1, "tool", "improvised")
    assert only(WIPES, held(other, 10)).finding is Finding.MISSING
    by_hand = only(WIPES, held(other, 10), matches=said("Wipes", other))
    assert (by_hand.finding, by_hand.holdings[0].note) == (Finding.OK, "by hand")
    result = run((WIPES,), held(other, 10), matches=said("Wipes", other))
    assert (result.not_on_list, len(result.said)) == ((), 1)


def test_what_a_person_says_does_not_serve_is_not_counted_and_not_on_the_list() -> None:
    wipes = item(1, "wipe")
    result = run((WIPES,), held(wipes, 10), matches=said("Wipes", wipes, serves=False))
    assert result.lines[0].finding is Finding.MISSING
    assert [it.item for it in result.not_on_list] == [wipes]


@pytest.mark.parametrize(
    ("unit", "measure", "quantity", "usable"),
    [("each", 0, 10, 10), ("each", 5, 10, 2), ("ml", 50, 500, 10), ("ml", 0, 10, 10)],
)
def test_a_match_tells_how_many_units_make_one(
    unit: str, measure: int, quantity: int, usable: int
) -> None:
    bottle = item(1, "bottle", unit=unit)
    result = only(WIPES, held(bottle, quantity), matches=said("Wipes", bottle, measure=measure))
    assert result.usable == usable


def test_a_match_for_another_list_says_nothing_here() -> None:
    other = item(1, "tool")
    foreign = (Match("theirs", "Wipes", other.id, serves=True),)
    assert run((WIPES,), held(other, 10), matches=foreign).not_on_list


def test_a_match_by_hand_does_not_make_expired_stock_good() -> None:
    other = item(1, "tool")
    result = only(WIPES, held(other, 10, OLD), matches=said("Wipes", other))
    assert (result.finding, result.usable) == (Finding.EXPIRED, 0)


@given(
    st.integers(0, 4), st.integers(0, 2), st.integers(0, 14), st.integers(0, 2), st.integers(0, 3)
)
def test_a_set_and_a_line_of_its_parts_never_count_a_piece_twice(
    gloves: int, shields: int, wipes: int, ready: int, sets: int
) -> None:
    barrier = replace(BARRIER, quantity=sets + 1)
    stock = [
        held(item(1, "gloves", unit="pair"), gloves),
        held(item(2, "mask", "face shield"), shields),
        held(item(3, "wipe"), wipes),
        held(item(4, "mask", "barrier kit"), ready),
    ]
    there = [it for it in stock if it.quantity]
    result = run((barrier, WIPES), *there)
    from_parts = min(gloves // 2, shields, wipes // 2)
    asked = sets + 1
    assert result.lines[0].short == max(0, asked - ready - from_parts)
    used = 2 * min(from_parts, max(0, asked - ready))
    assert result.lines[1].short == max(0, 10 - (wipes - used))
    for it in there:
        parts = [s for line in result.lines for s in line.holdings if s.holding == it]
        assert sum(s.quantity for s in parts) == it.quantity


def test_an_item_for_a_line_is_one_that_serves_it() -> None:
    for line in (GLOVES, SHIELD, WIPE, PACKAGES):
        assert only(line, held(item_for(line), 9)).usable


def test_a_line_asks_otherwise_where_a_condition_of_the_place_holds() -> None:
    water = Line("Water", 2, ("water",), instead=(Instead("far", 1, ("500 ml",)),))
    small, large = item(1, "water", "water, 20 ml"), item(2, "water", "water, 500 ml")
    kits = a_list(water)
    assert kits.conditions == ("far",)
    for of, quantity, near_met, far_met in ((small, 2, True, False), (large, 1, False, True)):
        stock = [held(of, quantity)]
        far = audit(kits, stock, ON, conditions=frozenset({"far"}))
        assert (audit(kits, stock, ON).met == 1, far.met == 1) == (near_met, far_met)
