"""How a line's quantity grows with people and days."""

from __future__ import annotations

import pytest

from stockcheck.core.kit_list import Line
from stockcheck.core.kit_list_scale import Scale

# The Irish guideline's plasters: 20 for 1-10 and 11-25 people, 40 for 26-50, over 50 pro rata
# (Health and Safety Authority, Guidelines on First Aid at Places of Work, Table 1).
PLASTERS = Scale(steps=((10, 20), (25, 20), (50, 40)))


@pytest.mark.parametrize(
    ("people", "asked"),
    [(1, 20), (10, 20), (11, 20), (25, 20), (26, 40), (50, 40), (51, 41), (100, 80)],
)
def test_steps_hold_up_to_so_many_people_and_then_in_proportion(people: int, asked: int) -> None:
    assert PLASTERS.of(1, people, 1) == asked


@pytest.mark.parametrize(
    ("scale", "people", "days", "asked"),
    [
        (Scale(), 9, 9, 3),
        (Scale(per_people=1), 4, 9, 12),
        (Scale(per_people=4), 4, 1, 3),
        (Scale(per_people=4), 5, 1, 6),
        (Scale(per_days=1), 1, 77, 231),
        (Scale(per_days=7), 1, 8, 6),
        (Scale(per_people=1, per_days=1), 3, 77, 693),
        (Scale(steps=((10, 2),), per_days=7), 3, 14, 4),
    ],
)
def test_a_quantity_is_taken_once_for_each_started_so_many(
    scale: Scale, people: int, days: int, asked: int
) -> None:
    assert scale.of(3, people, days) == asked
    assert Line("Food", 3, ("food",), scale=scale).required(people, days) == asked


@pytest.mark.parametrize(
    ("scale", "words"),
    [
        (Scale(), ""),
        (Scale(per_people=1), "per person"),
        (Scale(per_people=4, per_days=7), "for each 4 people, for each 7 days"),
        (PLASTERS, "20 up to 10 people, 20 up to 25 people, 40 up to 50 people, pro rata beyond"),
    ],
)
def test_a_scale_tells_itself_in_words(scale: Scale, words: str) -> None:
    assert scale.words == words


def test_a_presence_row_has_no_number_to_scale() -> None:
    assert Line("Whistle", None, ("whistle",)).required(9, 9) is None
