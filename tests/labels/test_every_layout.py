"""Every sort of label on every stock that holds it: as laid out, as the PDF has it, as it scans.

Fields are short, long, in many scripts, of one word, of digits, and empty. The default run is at
203 dpi; ``tests/benchmarks/labels_matrix.py`` does 203, 300 and 600 dpi with every code.
"""

from __future__ import annotations

from functools import cache

import pytest

from label_cases import every_label
from label_checks import assert_tidy, runs, said
from label_pdf import overlaps, text_boxes
from stockcheck.core.codes import make_code
from stockcheck.labels.elements import Element, Rect
from stockcheck.labels.layout import NoRoom, layout
from stockcheck.labels.measure import Symbology
from stockcheck.labels.printing import label_sheets, label_size, verify_sheets
from stockcheck.labels.sheet import Spot, spots
from stockcheck.labels.stock import Stock, shipped_stocks
from stockcheck.labels.text import LabelText

EVERY = every_label()
STOCKS = shipped_stocks()
SMALLEST_FOR_ALL_IN_BARS = 25.0  # mm of height and
WIDE_ENOUGH_FOR_BARS = 40.0  # mm of width
CODES = {"bars": Symbology.CODE_128, "matrix": Symbology.DATA_MATRIX}


@cache
def fitting(stock: Stock, symbology: Symbology) -> dict[str, tuple[Element, ...]]:
    """The labels that a stock holds, laid out."""
    found = {}
    for what, text in EVERY.items():
        try:
            laid = layout(text.checked(), label_size(stock), 203, symbology)
        except NoRoom:
            continue
        found[what] = laid.elements
    return found


@pytest.mark.parametrize("symbology", CODES.values())
@pytest.mark.parametrize("stock", STOCKS, ids=lambda it: it.name)
def test_nothing_overlaps_leaves_the_label_or_is_too_small(
    stock: Stock, symbology: Symbology
) -> None:
    size = label_size(stock)
    for what, elements in fitting(stock, symbology).items():
        assert_tidy(elements, size)
        text, words = EVERY[what], said(elements)
        assert text.short in words, what
        assert text.date in words, what
        assert text.code in words.replace(" ", ""), what


@pytest.mark.parametrize("stock", STOCKS, ids=lambda it: it.name)
def test_what_decides_over_use_is_never_left_off_or_cut(stock: Stock) -> None:
    for what, elements in fitting(stock, Symbology.DATA_MATRIX).items():
        text, words = EVERY[what], said(elements)
        for wanted in (text.banner, text.date, text.caution.upper()):
            assert wanted in words, what


@pytest.mark.parametrize("stock", STOCKS, ids=lambda it: it.name)
def test_all_labels_fit_all_but_the_smallest_stocks(stock: Stock) -> None:
    wide, high = stock.label_width, stock.label_height
    if wide >= WIDE_ENOUGH_FOR_BARS and high >= SMALLEST_FOR_ALL_IN_BARS:
        assert fitting(stock, Symbology.CODE_128).keys() == EVERY.keys()
    if high >= SMALLEST_FOR_ALL_IN_BARS - 4:
        assert len(fitting(stock, Symbology.DATA_MATRIX)) >= 0.9 * len(EVERY)


PRINTED = [
    pytest.param(stock, code, id=f"{stock.name}-{code}")
    for stock in STOCKS
    for code in CODES
    if code == "bars" or min(stock.label_width, stock.label_height) < 25
]


@pytest.mark.parametrize(("stock", "code"), PRINTED)
def test_every_page_reads_back_and_its_texts_stay_apart_and_inside(stock: Stock, code: str) -> None:
    texts = [EVERY[what] for what in fitting(stock, CODES[code])]
    if stock.grows:  # each label has a length of its own, which is found by trying
        texts = texts[::9]
    if not texts:
        assert stock.label_height < 15
        return
    sheets = label_sheets(texts, stock, code=code)
    assert verify_sheets(sheets, 203) == ()
    boxes = list(text_boxes(sheets.pdf))
    assert overlaps(boxes) == []
    if stock.grows:
        return
    places = list(spots(stock, len(texts)))
    for page, words, box in boxes:
        assert any(_inside(box, page, spot, stock) for spot in places), words


def _inside(box: Rect, page: int, spot: Spot, stock: Stock) -> bool:
    return (
        page == spot.page
        and spot.left < box.left
        and spot.top < box.top
        and box.right < spot.left + stock.label_width
        and box.bottom < spot.top + stock.label_height
    )


@pytest.mark.parametrize("stock", STOCKS, ids=lambda it: it.name)
def test_the_date_is_the_largest_text_or_the_state_above_it(stock: Stock) -> None:
    for what, elements in fitting(stock, Symbology.CODE_128).items():
        if date := EVERY[what].date:
            others = [run for run in runs(elements) if run.text != date and not run.white]
            largest = max(run.size for run in runs(elements) if run.text == date)
            assert all(run.size < largest for run in others), what


def test_a_label_with_less_to_say_is_set_no_larger_than_a_usual_one() -> None:
    """A sheet looks like one hand's work: short names do not shout."""
    stock = next(it for it in STOCKS if it.name == "a4-3x7")
    names = ("tape", "rope", "glue", "patch, round", "plug strings")
    dates = []
    for at, name in enumerate(names, start=1):
        text = LabelText(make_code("lot", at), f"L{at}", name, "30 NOV 2027", "by shelf life")
        found = runs(layout(text, label_size(stock), 203).elements)
        dates.append(next(run.size for run in found if run.text == "30 NOV 2027"))
    assert len(set(dates)) == 1
