"""A card of large codes: read back, in frames, and no level line crosses two of them."""

from __future__ import annotations

from itertools import combinations

import pytest

from stockcheck.core.actions import Action
from stockcheck.core.codes import make_code
from stockcheck.core.errors import BadInput
from stockcheck.labels.elements import Frame, Run, Symbol
from stockcheck.labels.form import PAGES
from stockcheck.labels.form_card import BAR_HEIGHT, CardCode, CardPart, card_pages, card_sheets
from stockcheck.labels.printing import verify_sheets

ACTIONS = CardPart("Actions", tuple(CardCode(it.code, it.value, "what it does") for it in Action))
BOXES = CardPart(
    "Boxes",
    tuple(
        CardCode(make_code("box", n), "Аптечка " * (1 + n * 3 % 15), "Truck / " * (n % 9))
        for n in range(1, 41)
    ),
    ("Invented truck",),
)


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("page", PAGES)
def test_every_code_reads_back(page: str, dpi: int) -> None:
    sheets = card_sheets([ACTIONS, BOXES], page=page, dpi=dpi)
    assert verify_sheets(sheets, dpi) == ()
    codes = [code for page in sheets.codes for code in page]
    assert codes == [it.code for it in (*ACTIONS.codes, *BOXES.codes)]


@pytest.mark.parametrize("page", PAGES)
def test_the_actions_stand_on_one_page(page: str) -> None:
    assert card_sheets([ACTIONS], page=page).pages == 1


@pytest.mark.parametrize("page", PAGES)
def test_no_level_line_crosses_two_codes_and_the_modules_are_large(page: str) -> None:
    for sheet in card_pages([ACTIONS, BOXES], *PAGES[page], 203):
        bars = [each for each in sheet.elements if isinstance(each, Symbol)]
        assert min(each.measure.module_mm for each in bars) >= 0.375
        for one, two in combinations(bars, 2):
            assert abs(one.y - two.y) >= BAR_HEIGHT + 5


@pytest.mark.parametrize("page", PAGES)
def test_nothing_overlaps_and_words_stay_in_their_frames(page: str) -> None:
    width, height = PAGES[page]
    for sheet in card_pages([ACTIONS, BOXES], width, height, 300):
        boxes = [each.box for each in sheet.elements if isinstance(each, Run | Symbol)]
        assert not [pair for pair in combinations(boxes, 2) if pair[0].overlaps(pair[1])]
        frames = [each.box for each in sheet.elements if isinstance(each, Frame)]
        assert not [pair for pair in combinations(frames, 2) if pair[0].overlaps(pair[1])]
        for box in boxes:
            for frame in (it for it in frames if it.overlaps(box)):
                assert frame.left <= box.left, box
                assert box.right <= frame.right, box
                assert frame.top <= box.top, box
                assert box.bottom <= frame.bottom, box
        assert max(each.bottom for each in frames) < height - 10


def test_an_empty_card_is_refused() -> None:
    with pytest.raises(BadInput, match="nothing to print"):
        card_sheets([])
