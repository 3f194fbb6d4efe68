"""Sizes that a kit list asks for: minimums, and what "about" so much leaves room for."""

from __future__ import annotations

import pytest

from stockcheck.core.kit_list_way import Way
from stockcheck.core.model import Certainty, DateContext, DateMeaning, Item, Kind, PastDate


def item(width_mm: int | None, length_mm: int | None) -> Item:
    general, none, no_limit = DateContext.GENERAL, DateMeaning.NONE, PastDate.NO_LIMIT
    kind = Kind("pad", "pad", "first aid", general, none, no_limit, "", "", Certainty.PRACTICE)
    return Item(1, "", "pad", kind, width_mm=width_mm, length_mm=length_mm)


@pytest.mark.parametrize(
    ("way", "size", "told"),
    [
        (Way((), minimum_area_mm2=1900), (40, 40), "40 x 40 mm is too small; at least 1900 mm²"),
        (Way((), minimum_area_mm2=1900), (40, 50), ""),
        (Way((), width_mm=75), (50, None), "50 mm wide is too small; at least 75 mm wide"),
        (Way((), width_mm=75), (4000, 75), ""),
        (Way((), length_mm=100), (None, None), "size not recorded; at least 100 mm long"),
        (Way((), 120, 120, about=True), (114, 120), ""),
        (
            Way((), 120, 120, about=True),
            (113, 120),
            "113 x 120 mm is too small; about 120 x 120 mm, at least 114 x 114 mm",
        ),
        (
            Way((), width_mm=75, about=True),
            (71, None),
            "71 mm wide is too small; about 75 mm wide, at least 72 mm wide",
        ),
    ],
)
def test_a_size_is_a_minimum_of_width_length_or_area(
    way: Way, size: tuple[int | None, int | None], told: str
) -> None:
    assert way.misfit(item(*size)).replace("the list asks ", "") == told


def test_a_side_that_is_smaller_but_about_right_wastes_nothing() -> None:
    about = Way((), 180, 180, about=True)
    assert [about.waste_mm(item(side, side)) for side in (175, 180, 200)] == [0, 0, 40]
