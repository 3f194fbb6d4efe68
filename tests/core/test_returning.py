"""What came back from a trip, held against the books."""

from __future__ import annotations

from datetime import date

import pytest

from given import box, holding, item, kind
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Holding, State
from stockcheck.core.returning import CameBack, read_returned, used_up

TUBE, TRUCK = item(kind(), "tube"), box()
LEFT = date(2027, 2, 8)
EARLY = holding(1, TUBE, TRUCK, 3, date(2027, 5, 1))
LATE = holding(2, TUBE, TRUCK, 4, date(2028, 5, 1))
PAST = holding(3, TUBE, TRUCK, 2, date(2026, 5, 1))
HELD = holding(4, TUBE, TRUCK, 2, date(2028, 5, 1), state=State.HELD)


@pytest.mark.parametrize(
    ("lines", "found"),
    [
        (["L12", "L12", "L13 3"], {"L12": 2, "L13": 3}),
        (["L12 3", "L12 =1"], {"L12": 1}),
        (["pain tablets 500 mg 40"], {"pain tablets 500 mg": 40}),
        (["", "# nothing", "L1 0"], {"L1": 0}),
        (["Аптечка 2"], {"Аптечка": 2}),
    ],
)
def test_lines_say_what_came_back(lines: list[str], found: dict[str, int]) -> None:
    assert read_returned(lines) == found


@pytest.mark.parametrize(
    ("held", "back", "used"),
    [
        ((EARLY, LATE), 7, {}),
        ((EARLY, LATE), 5, {1: 2}),
        ((LATE, EARLY), 2, {1: 3, 2: 2}),
        ((PAST, LATE), 3, {2: 3}),
        ((HELD, PAST, EARLY), 1, {1: 3, 3: 2, 4: 1}),
        ((), 0, {}),
    ],
)
def test_what_is_missing_was_used_first_expired_first(
    held: tuple[Holding, ...], back: int, used: dict[int, int]
) -> None:
    takes = used_up([CameBack("tube", held, back)], LEFT)
    assert {it.holding.id: it.quantity for it in takes} == used


def test_more_than_the_books_have_is_refused() -> None:
    with pytest.raises(BadInput, match="5 came back, and the books have 3"):
        used_up([CameBack("tube", (EARLY,), 5)], LEFT)


def test_the_same_stock_named_twice_is_refused() -> None:
    with pytest.raises(BadInput, match="partly the same stock"):
        used_up([CameBack("L1", (EARLY,), 1), CameBack("tube", (EARLY, LATE), 1)], LEFT)
