"""Every sort of code on drawn labels: whole dots, quiet zones, what is read back and reported."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL.Image import Image

from given import TODAY, item, kind, lot, printed
from reader_bars import read_bars
from reader_data_matrix import read_data_matrix
from reader_modules import sampled
from reader_qr import read_qr
from stockcheck.core.codes import make_code
from stockcheck.core.errors import BadInput
from stockcheck.core.gs1_make import SET_82, element_string
from stockcheck.core.model import Lot
from stockcheck.core.printer import Setting
from stockcheck.core.reading import read_any
from stockcheck.labels.draw import draw
from stockcheck.labels.elements import Rule, Symbol
from stockcheck.labels.layout import NoRoom, layout
from stockcheck.labels.measure import Symbology, measures
from stockcheck.labels.printing import (
    Sheets,
    label_sheets,
    label_size,
    read_back_sheets,
    verify_sheets,
)
from stockcheck.labels.readback import PlacedCode, decoded, read_back, rendered
from stockcheck.labels.sheet import Spot
from stockcheck.labels.stock import Stock, load_stock, shipped_stocks
from stockcheck.labels.text import LabelText

USUAL, SMALL = load_stock("a4-3x7"), load_stock("a4-5x13")
ELEMENTS = "[01]09506000134352[17]291231[10]ABC123"
SCANNED = "01095060001343521729123110ABC123"
CODES = ["bars", "matrix", "qr", "gs1"]


@pytest.fixture(scope="module")
def coded(plain: LabelText) -> LabelText:
    return replace(plain, gs1=ELEMENTS)


def ink(image: Image, placed: PlacedCode, dpi: int) -> tuple[int, int, int, int]:
    left, bottom, right, top = (round(edge * dpi / 25.4) for edge in placed.ink)
    return left, image.height - top, right, image.height - bottom


def second_reading(crop: Image, placed: PlacedCode) -> str:
    """The dark modules in a crop of nothing else, by the reader that knows no library."""
    side = placed.measure.modules_wide
    match placed.measure.symbology:
        case Symbology.CODE_128:
            return read_bars(crop)
        case Symbology.QR:
            return read_qr(sampled(crop, side))[0]
        case symbology:
            text, is_gs1 = read_data_matrix(sampled(crop, side))
            assert is_gs1 == (symbology is Symbology.GS1_DATA_MATRIX)
            return text


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("name", ["a4-3x7", "a4-4x10", "roll-62x29"])
def test_two_independent_readers_read_every_code_from_the_page(
    coded: LabelText, name: str, code: str, dpi: int
) -> None:
    sheets = label_sheets([coded, coded], load_stock(name), dpi=dpi, code=code)
    assert verify_sheets(sheets, dpi) == ()
    wanted = SCANNED if code == "gs1" else coded.code
    images = list(rendered(sheets.pdf, dpi))
    assert [text for page in sheets.codes for text in page] == [wanted] * 2
    for placed in sheets.placed:
        image = images[placed.page]
        assert second_reading(image.crop(ink(image, placed, dpi)), placed) == wanted


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("stock", [it for it in shipped_stocks() if not it.grows], ids=str)
def test_quiet_zones_modules_and_heights_measured_on_the_page_are_the_standards(
    coded: LabelText, stock: Stock, code: str, dpi: int
) -> None:
    try:
        sheets = label_sheets([coded] * min(stock.per_page, 8), stock, dpi=dpi, code=code)
    except NoRoom as refused:
        says = str(refused).casefold()
    else:
        says = ""
    if says:
        assert "it fits" in says
        return
    result = read_back_sheets(sheets, dpi)
    assert result.problems == ()
    asked = {"bars": 10, "qr": 4}.get(code, 1)
    for found, placed in zip(result.codes, sheets.placed, strict=True):
        assert found.asked == asked <= found.quiet_modules
        assert found.module_dots == placed.measure.dots
        assert found.module_mm >= 0.250 - 0.001
        left, bottom, right, top = placed.ink
        quiet_x, quiet_y = (it * placed.measure.module_mm for it in placed.measure.quiet_modules)
        assert left - quiet_x >= placed.label[0] - 1e-6
        assert right + quiet_x <= placed.label[2] + 1e-6
        assert bottom - quiet_y >= placed.label[1] - 1e-6
        assert top + quiet_y <= placed.label[3] + 1e-6
        if code == "bars":
            assert found.height_mm >= max(5.0, 0.15 * found.width_mm)


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_every_module_covers_whole_dots(coded: LabelText, code: str, dpi: int) -> None:
    """At one pixel a dot nothing within a code is grey."""
    sheets = label_sheets([coded] * 21, USUAL, dpi=dpi, code=code)
    image = next(rendered(sheets.pdf, dpi))
    for placed in sheets.placed:
        histogram = image.crop(ink(image, placed, dpi)).histogram()
        assert sum(histogram[8:248]) == 0


@pytest.mark.parametrize(
    ("symbology", "least", "most"),
    [  # GS1 General Specifications, symbol tables 4 and 6; 1.5 times as much for matrices
        (Symbology.CODE_128, 0.250, 0.510),
        (Symbology.DATA_MATRIX, 0.254, 0.752),
        (Symbology.GS1_DATA_MATRIX, 0.254, 0.752),
        (Symbology.QR, 0.254, 0.752),
    ],
)
@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_modules_lie_within_the_published_range(
    symbology: Symbology, least: float, most: float, dpi: int
) -> None:
    text = ELEMENTS if symbology is Symbology.GS1_DATA_MATRIX else "1000000423"
    for measure in measures(text, symbology, dpi):
        assert least - 1e-9 <= measure.dots * 25.4 / dpi <= most


LOTS = st.builds(
    lambda reading, batch: replace(
        lot(
            replace(item(kind()), gtins=("9506000134352",)),
            expiry=printed(f"EXP {reading}", reading),
        ),
        batch=batch,
    ),
    st.sampled_from(["2027-11", "2028-02", "2029-12-31", "2028-02-29"]),
    st.text(sorted(SET_82 - {"<"}), max_size=20),
)


@settings(max_examples=15, deadline=None)
@given(LOTS)
def test_a_lots_facts_come_back_from_its_printed_gs1_code(plain: LabelText, made: Lot) -> None:
    text = element_string(made, TODAY)
    sheets = label_sheets([replace(plain, gs1=text.encoded)], USUAL, code="gs1")
    ((identifier, data),) = decoded(next(rendered(sheets.pdf, 203)))
    assert identifier == "]d2"
    found = read_any(identifier + data, TODAY, "general", None)
    assert found.gtin == "09506000134352"
    assert found.batch == (made.batch or None)
    assert made.expiry is not None
    assert found.last_usable_day == made.expiry.last_usable_day


def test_a_label_without_element_string_keeps_our_own_code(
    plain: LabelText, coded: LabelText
) -> None:
    sheets = label_sheets([plain, coded], USUAL, code="gs1")
    assert sheets.codes == ((plain.code, SCANNED),)
    assert "our own code on 1 of 2 labels: no GS1 code for them" in sheets.left_off
    assert verify_sheets(sheets, 203) == ()


def narrow(width: float, height: float) -> Stock:
    return replace(
        load_stock("roll-40x30"),
        name="mine",
        label_width=width,
        label_height=height,
        page_width=width,
        page_height=height,
        pitch_x=width,
        pitch_y=height,
    )


def test_bars_that_do_not_fit_are_refused_with_what_would(plain: LabelText) -> None:
    with pytest.raises(NoRoom) as caught:
        label_sheets([plain], narrow(25, 25))
    message = str(caught.value)
    assert "25 × 25 mm has no room" in message
    assert "With a Data Matrix it fits. It fits " in message
    assert "mm)" in message


def test_a_data_matrix_takes_the_place_of_bars_where_that_is_allowed(plain: LabelText) -> None:
    sheets = label_sheets([plain], narrow(25, 25), code="auto")
    assert [it.measure.symbology for it in sheets.placed] == [Symbology.DATA_MATRIX]
    assert "Data Matrix on 1 of 1 label: bars do not fit 25 × 25 mm as well" in sheets.left_off
    assert verify_sheets(sheets, 203) == ()


def test_bars_stay_where_nothing_is_lost_by_them(plain: LabelText) -> None:
    sheets = label_sheets([plain], USUAL, code="auto")
    assert [it.measure.symbology for it in sheets.placed] == [Symbology.CODE_128]
    assert not sheets.left_off


def test_nothing_fits_a_stamp(plain: LabelText) -> None:
    for code in ("bars", "matrix", "qr", "auto"):
        with pytest.raises(NoRoom, match="It fits "):
            label_sheets([plain], narrow(9, 9), code=code)


@pytest.mark.parametrize("dpi", [203, 600])
@pytest.mark.parametrize("code", CODES)
def test_a_printers_correction_moves_codes_and_keeps_them_on_dots(
    coded: LabelText, code: str, dpi: int
) -> None:
    setting = Setting(offset_x=1.37, offset_y=-0.83, scale_x=1.004, scale_y=0.996)
    plainly, corrected = (
        label_sheets([coded] * 21, USUAL, dpi=dpi, code=code, setting=it)
        for it in (Setting(), setting)
    )
    result = read_back_sheets(corrected, dpi)
    assert result.problems == ()
    image = next(rendered(corrected.pdf, dpi))
    for before, after in zip(plainly.placed, corrected.placed, strict=True):
        assert sum(image.crop(ink(image, after, dpi)).histogram()[8:248]) == 0
        middle_x, middle_y = (
            (before.ink[0] + before.ink[2]) / 2,
            (before.ink[1] + before.ink[3]) / 2,
        )
        x, y = setting.placed(middle_x, USUAL.page_height - middle_y)
        assert (after.ink[0] + after.ink[2]) / 2 == pytest.approx(x, abs=25.4 / dpi)
        assert (after.ink[1] + after.ink[3]) / 2 == pytest.approx(
            USUAL.page_height - y, abs=25.4 / dpi
        )


def test_a_printers_correction_moves_words_and_lines_too(plain: LabelText) -> None:
    setting = Setting(offset_x=2.0, offset_y=1.0, scale_x=1.01, scale_y=0.99)
    before, after = (
        _first_letter(label_sheets([plain], USUAL, setting=it)) for it in (Setting(), setting)
    )
    x, y = setting.placed(*before)
    assert list(after) == pytest.approx([x, y], abs=0.05)


def _first_letter(sheets: Sheets) -> tuple[float, float]:
    """Left and top of the first letter in mm from the page's top left corner."""
    left, _, _, top = pypdfium2.PdfDocument(sheets.pdf)[0].get_textpage().get_charbox(0)
    return left * 25.4 / 72, USUAL.page_height - top * 25.4 / 72


def test_a_correction_that_would_cut_labels_off_is_refused(plain: LabelText) -> None:
    roll = load_stock("roll-62x29")
    label_sheets([plain], roll, setting=Setting(offset_x=0.5))
    with pytest.raises(BadInput, match="would push labels of roll-62x29 off the page"):
        label_sheets([plain], roll, setting=Setting(offset_x=-4.0))


def test_bookmarks_stand_where_a_group_begins(plain: LabelText) -> None:
    groups = ["Truck", "Truck", "", "Крым / Box", "Truck"]
    sheets = label_sheets([plain] * 5, USUAL, copies=10, outline=groups)
    document = pypdfium2.PdfDocument(sheets.pdf)
    found = [(it.get_title(), it.get_dest().get_index()) for it in document.get_toc()]
    assert found == [("Truck", 0), ("Крым / Box", 1), ("Truck", 1)]
    again = label_sheets([plain] * 5, USUAL, copies=10, outline=groups)
    assert again.pdf == sheets.pdf
    assert not list(pypdfium2.PdfDocument(label_sheets([plain], USUAL).pdf).get_toc())


def only(placed: PlacedCode, **changes: Any) -> list[PlacedCode]:
    return [replace(placed, **changes)]


def test_a_wrong_code_is_told_with_what_it_reads_as(plain: LabelText) -> None:
    sheets = label_sheets([plain], USUAL)
    other = make_code("lot", 43)
    result = read_back(sheets.pdf, only(sheets.placed[0], text=other), 1, 203)
    assert result.problems == (f"page 1 at 203 dpi: {other} reads as {plain.code} (]C0)",)


def test_a_code_of_another_sort_is_wrong(plain: LabelText) -> None:
    drawn = label_sheets([plain], USUAL, code="matrix")
    wanted = label_sheets([plain], USUAL, code="qr").placed[0]
    result = read_back(drawn.pdf, only(drawn.placed[0], measure=wanted.measure), 1, 203)
    assert f"page 1 at 203 dpi: {plain.code} reads as {plain.code} (]d1)" in result.problems


def test_a_label_with_no_code_on_it_and_a_page_too_few_are_told(plain: LabelText) -> None:
    blank = draw([(Spot(0, 0, 0), ())], USUAL, "nothing")
    placed = label_sheets([plain], USUAL).placed
    problems = read_back(blank, placed, 2, 203).problems
    assert f"page 1 at 203 dpi: {plain.code} is not readable" in problems
    assert "pages in the PDF: 1, expected 2" in problems


@pytest.mark.parametrize(("gap_modules", "is_fault"), [(11, False), (6, True)])
def test_ink_in_the_quiet_zone_is_measured_and_refused(
    plain: LabelText, gap_modules: int, is_fault: bool
) -> None:
    elements = layout(plain, label_size(USUAL), 203).elements
    symbol = next(it for it in elements if isinstance(it, Symbol))
    module = symbol.measure.module_mm
    right = symbol.x + symbol.measure.wide_mm + gap_modules * module
    speck = Rule(right, symbol.y + 2, 2 * module, 0.5)
    pdf = draw([(Spot(0, USUAL.left, USUAL.top), (symbol, speck))], USUAL, "speck")
    result = read_back(pdf, label_sheets([plain], USUAL).placed, 1, 203)
    assert any("its quiet zone is 6." in it and "10 are asked" in it for it in result.problems) == (
        is_fault
    )


def test_the_report_says_module_dots_quiet_zone_size_and_contrast(coded: LabelText) -> None:
    sheets = label_sheets([coded] * 3, USUAL, code="matrix")
    (line,) = read_back_sheets(sheets, 203).report
    assert line.startswith("3 × Data Matrix, ")
    assert "mm: module 0.751 mm (6 dots at 203 dpi); quiet zone " in line
    assert line.endswith("(1 asked); symbol contrast 100% as rendered")
    (bars,) = read_back_sheets(label_sheets([coded], USUAL), 203).report
    assert "mm high at least)" in bars


def test_sheets_of_other_makers_are_read_back_page_by_page(plain: LabelText) -> None:
    sheets = label_sheets([plain], USUAL)
    known_by_page = Sheets(sheets.pdf, sheets.pages, sheets.codes)
    assert verify_sheets(known_by_page, 203) == ()
    assert read_back_sheets(known_by_page, 203).report == ()
