"""What one piece holds, read from an item's size or name, and lines that ask for a volume."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import box
from given_kit import kit_kind
from stockcheck.core.audit import audit
from stockcheck.core.audit_result import AuditResult, Finding
from stockcheck.core.content import Content, content_in, content_of, pieces_in
from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.model import Holding, Item, Lot
from stockcheck.data.kit_lists import kit_list

ON, GOOD, PAST = date(2026, 11, 25), date(2028, 1, 31), date(2026, 1, 31)
WASH = Line("Eye wash", 29, ("wash",), unit="ml", dated=True, sterile=True)
AMPOULES = Line("Saline", 2, ("wash",), dated=True, sterile=True, content=Content(15_000, "ml"))


def ampoule(size: str = "15 ml", number: int = 1) -> Item:
    return Item(number, "", "saline ampoule", kit_kind("wash"), size=size)


def held(number: int, quantity: int, item: Item, until: date = GOOD) -> Holding:
    return Holding(number, Lot(number, "", item), box("Kit"), quantity, last_usable_day=until)


def audited(*stock: Holding, lines: tuple[Line, ...] = (WASH,)) -> AuditResult:
    return audit(KitList("mine", "Mine", "invented", "", "own", "", lines), stock, ON)


# The sizes are invented; what stands before a figure is common English.
@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("15 ml", "15 ml"),
        ("sterile saline ampoule, 15 ml", "15 ml"),
        ("burn gel sachet, 3.5 g", "3.5 g"),
        ("burn gel sachet, 3,5g", "3.5 g"),
        ("water can, 5 l", "5000 ml"),
        ("syrup 20 cl", "200 ml"),
        ("1/57 oz (0.5 g)", "0.5 g"),
        ("rehydration salts, sachet for 200 ml", None),
        ("epoxy, two tubes, 2 x 15 ml", None),
        ("10 ml and 20 ml", None),
        ("tablets 500 mg", None),
        ("gauze, 10 x 10 cm", None),
        ("", None),
    ],
)
def test_one_content_in_a_text_is_read_and_none_is_guessed(text: str, found: str | None) -> None:
    assert str(content_in(text)) == str(found)


def test_only_what_is_counted_in_pieces_is_taken_apart_by_its_content() -> None:
    assert content_of(ampoule("")) is None
    assert pieces_in(ampoule()) == 15
    assert pieces_in(Item(1, "", "gloves", kit_kind("gloves"), unit="pair")) == 2
    assert pieces_in(Item(1, "", "wash, 500 ml", kit_kind("wash"), unit="ml")) == 1


# 1 US fl oz is 29.57 ml (NIST Handbook 44, Appendix C); the list holds 29.
def test_ampoules_counted_each_meet_a_line_that_asks_for_a_volume() -> None:
    [line] = audited(held(1, 2, ampoule()), held(2, 1, ampoule(), PAST)).lines
    assert (line.finding, line.usable, line.short) == (Finding.EXPIRED, 30, 0)
    assert [(it.holding.id, it.quantity) for it in line.holdings] == [(1, 2), (2, 1)]
    [line] = audited(held(1, 1, ampoule())).lines
    assert (line.finding, line.usable, line.short) == (Finding.SHORT, 15, 14)


def test_a_bottle_of_one_us_fluid_ounce_meets_the_line_for_one() -> None:
    assert audited(held(1, 1, ampoule("29.57 ml"))).met == 1


def test_an_ampoule_stands_at_one_of_two_lines_and_whole() -> None:
    lines = (WASH, AMPOULES)
    assert audited(held(1, 4, ampoule()), lines=lines).met == 2
    assert audited(held(1, 3, ampoule()), lines=lines).met == 1


def test_a_piece_that_holds_too_little_does_not_serve_and_one_that_does_not_say_does() -> None:
    small, silent = ampoule("5 ml", 2), ampoule("", 3)
    [line] = audited(held(1, 4, small), lines=(AMPOULES,)).lines
    assert line.finding is Finding.WRONG_SIZE
    assert "5 ml is too little; the list asks at least 15 ml" in line.why
    assert audited(held(1, 2, silent), lines=(AMPOULES,)).met == 1


@given(st.integers(1, 400), st.integers(0, 60), st.integers(1, 3000))
def test_a_volume_is_met_by_as_many_bottles_as_add_up_to_it(
    each: int, bottles: int, asked: int
) -> None:
    line = Line("Wash", asked, ("wash",), unit="ml")
    [found] = audited(held(1, bottles, ampoule(f"{each} ml")), lines=(line,)).lines
    assert found.usable == each * bottles
    assert found.short == max(0, asked - each * bottles)


# The sizes of the rows: kit-standards reference, lists 1, 3, 5, 13, 20 and 23.
@pytest.mark.parametrize(
    ("list_id", "row", "least"),
    [
        ("au-first-aid-code-example-kit", "Saline", "15 ml"),
        ("au-first-aid-code-example-kit", "Antiseptic liquid or spray", "50 ml"),
        ("au-first-aid-code-example-kit", "Hydrogel sachet", "3.5 g"),
        ("au-first-aid-code-burns-module", "Hydrogel sachet", "3.5 g"),
        ("ca-cohsr-remote-additions", "Burn jelly", "5 ml"),
        ("ie-hsa-occupational-travel", "Sterile water", "20 ml"),
        ("ie-hsa-occupational-26-50", "Sterile water", "500 ml"),
        ("us-ansi-z308-1-2015-class-a", "Burn treatment application", "0.9 g"),
        ("us-ansi-z308-1-2021-class-b", "Antibiotic application", "0.5 g"),
        ("us-wa-296-307-agriculture", "Antiseptic application", "0.5 g"),
    ],
)
def test_what_a_piece_must_hold_is_logic_in_the_lists(list_id: str, row: str, least: str) -> None:
    line = next(it for it in kit_list(list_id).lines if it.name == row)
    assert str(line.content) == least
