"""A round: answers at the box, what was found as stock, what changed, and when to look again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from given_kit import FAR, KIT, kit_kind
from stockcheck.core.audit import audit
from stockcheck.core.audit_due import USUAL_DAYS, next_due
from stockcheck.core.audit_result import Finding
from stockcheck.core.audit_round import (
    Answer,
    Round,
    Seen,
    SeenLot,
    as_found,
    changed_since,
    lines_of,
    read_found,
    read_line,
    seen_lots,
    still_true,
    walk,
)
from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.model import Holding, Item, Lot, State
from stockcheck.data.kit_lists import kit_list

ON = date(2027, 3, 1)
PAD = Item(1, "", "pad", kit_kind("pad"), width_mm=100)
ROPE = Item(2, "", "rope", kit_kind("rope"))
PADS = Line("Pads", 4, ("pad",), dated=True)
WIDE = Line("Wide pads", 1, ("pad",), dated=True, width_mm=100)
LIST = KitList("mine", "My list", "invented", "", "own", "", (PADS, WIDE))


def held(number: int, of: Item, quantity: int) -> Holding:
    return Holding(number, Lot(number, "", of), KIT, quantity, last_usable_day=FAR)


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("", (6, 0)),
        ("4", (4, 0)),
        ("0", (0, 0)),
        ("4 d1", (4, 1)),
        ("4d1", (4, 1)),
        ("D2", (6, 2)),
        (" 4  d 4 ", (4, 4)),
        ("4 d5", None),
        ("0 d1", None),
        ("-1", None),
        ("4.5", None),
        ("four", None),
        ("d", None),
        ("1000000667", None),
        ("٣", (3, 0)),
    ],
)
def test_an_answer_is_a_number_with_the_damaged_or_nothing_at_all(
    text: str, answer: tuple[int, int] | None
) -> None:
    assert read_found(text, 6) == answer


def test_damaged_pieces_stand_on_hold_and_count_for_nothing() -> None:
    pads = held(1, PAD, 6)
    result = audit(LIST, as_found([Seen(pads, 6, 5, damaged=1)]), ON)
    assert [(it.state, it.quantity) for it in as_found([Seen(pads, 6, 5, 1)])] == [
        (State.STOCK, 4),
        (State.HELD, 1),
    ]
    assert sum(line.short for line in result.lines) == 1
    assert Finding.ON_HOLD in {word for line in result.lines for word in line.also}


def test_what_is_not_there_any_more_is_no_holding() -> None:
    assert as_found([Seen(held(1, PAD, 6), 6, 0)]) == []


def test_every_holding_is_looked_at_once_and_what_no_line_asks_for_last() -> None:
    steps = walk(audit(LIST, [held(1, PAD, 6), held(2, ROPE, 1)], ON))
    assert [(it.line, [held.id for held in it.look_at], it.above) for it in steps] == [
        ("Pads", [1], ()),
        ("Wide pads", [], ("L1",)),
        ("", [2], ()),
    ]


def a_round(number: int, quantity: int, **more: Any) -> Round:
    seen = [Seen(held(1, PAD, 6), 6, quantity)]
    result = audit(LIST, as_found(seen), ON)
    found = Round(
        number, 1, "Kit", ("mine",), "My list", ON, None, "Nina", "0417", None, (), 1, 1,
        result.met, result.verdict, ON, "invented", "", lines_of(result), seen_lots(seen),
    )  # fmt: skip
    return replace(found, **more)


def test_what_changed_since_the_last_round_is_told_line_by_line_and_lot_by_lot() -> None:
    assert changed_since(a_round(1, 6), a_round(2, 6)) == ()
    assert changed_since(a_round(1, 6), a_round(2, 3, seal="")) == (
        "seal none, before 0417",
        "1 of 2 lines met, before 2 of 2",
        "Pads: short 2, before ok",
        "Wide pads: ok, before surplus",
        "L1 pad: 3 there, before 6",
    )


def test_a_lot_that_came_and_one_that_went_are_told() -> None:
    other = SeenLot("L9", "tape", "Kit", 1, 1, 0)
    before, now = a_round(1, 6), a_round(2, 6, seen=(other,))
    assert changed_since(before, now) == (
        "L9 tape: 1 there, before 0",
        "L1 pad: 0 there, before 6",
    )


def test_another_list_than_before_is_told() -> None:
    assert "held against yours, before mine" in changed_since(
        a_round(1, 6), a_round(2, 6, lists=("yours",))
    )


# The intervals are those of the regulations that the lists name.
@pytest.mark.parametrize(
    ("list_id", "every", "days", "why"),
    [
        ("ca-cohsr-type-a", None, 30, "SOR/86-304 section 16.5(4)"),
        ("us-wa-296-307-agriculture", None, 7, "at least weekly"),
        ("au-first-aid-code-example-kit", None, 365, "every 12 months"),
        ("de-din-13164-2022", None, USUAL_DAYS, "common practice"),
        ("ca-cohsr-type-a", 90, 90, "the box's own interval"),
    ],
)
def test_a_kit_is_to_be_looked_at_again_by_its_box_its_list_or_common_practice(
    list_id: str, every: int | None, days: int, why: str
) -> None:
    due = next_due(date(2028, 2, 29), kit_list(list_id), every)
    assert ((due.on - date(2028, 2, 29)).days, due.every_days) == (days, days)
    assert why in due.why


@pytest.mark.parametrize(
    ("text", "code", "answer"),
    [
        ("L75", "L75", ""),
        ("L75 4", "L75", "4"),
        ("1000000756, 4 d1", "1000000756", "4 d1"),
        ("L75;d2", "L75", "d2"),
        ("  L75   12  ", "L75", "12"),
        ("1000000756", "1000000756", ""),
        ("", "", ""),
    ],
)
def test_a_line_is_a_code_and_how_many(text: str, code: str, answer: str) -> None:
    assert read_line(text) == (code, answer)


def test_an_answer_holds_while_the_books_are_as_they_were_then() -> None:
    here = held(1, PAD, 4)
    same, other = Answer(1, 1, 4, 3, 0, ON), Answer(1, 1, 5, 5, 0, ON)
    gone, brought = Answer(9, 9, 1, 1, 0, ON), Answer(-7, 7, 0, 2, 0, ON)
    come = Answer(-1, 1, 0, 2, 0, ON)
    assert still_true([same, brought], [here]) == (same, brought)
    assert still_true([other, gone, come], [here]) == ()
