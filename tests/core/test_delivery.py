"""To which lines of a purchase what came belongs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.delivery import OpenLine, lines_for

TWO = (OpenLine(1, 7, 10, 1), OpenLine(2, 7, 4, 2), OpenLine(3, 8, 5))


@pytest.mark.parametrize(
    ("item", "box", "quantity", "found"),
    [
        (7, 1, 10, [(1, 10)]),
        (7, 2, 3, [(2, 3)]),  # for the box that it went into first
        (7, 2, 6, [(2, 4), (1, 2)]),
        (7, 9, 12, [(1, 10), (2, 2)]),
        (7, 1, 20, [(1, 10), (2, 10)]),  # six more than were ordered
        (8, 1, 9, [(3, 9)]),
        (9, 1, 1, []),
    ],
)
def test_what_came_goes_to_the_lines_that_wait(
    item: int, box: int, quantity: int, found: list[tuple[int, int]]
) -> None:
    assert lines_for(TWO, item, box, quantity) == found


def test_more_of_a_line_that_is_whole_already_is_counted_to_it() -> None:
    assert lines_for([OpenLine(1, 7, 0)], 7, 1, 2) == [(1, 2)]


@given(st.lists(st.integers(0, 9), min_size=1, max_size=5), st.integers(1, 60))
def test_no_unit_is_lost_or_doubled(waiting: list[int], quantity: int) -> None:
    lines = [OpenLine(number, 7, units, number) for number, units in enumerate(waiting, 1)]
    assert sum(units for _, units in lines_for(lines, 7, 1, quantity)) == quantity
