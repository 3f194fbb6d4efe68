"""A printed form: nothing overlaps or is cut, and every code on it can be scanned one at a time."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import pypdfium2
import pytest

from stockcheck.core.codes import make_code
from stockcheck.core.errors import BadInput
from stockcheck.labels.elements import Frame, Rect, Run, Symbol
from stockcheck.labels.form import (
    PAGES,
    Cell,
    Form,
    FormColumn,
    FormRow,
    checked_form,
    form_pdf,
    read_back,
)
from stockcheck.labels.form_pages import SIDE, FormPage, laid_out
from stockcheck.labels.form_rows import APART
from stockcheck.labels.printing import verify_sheets

COLUMNS = (
    FormColumn("No.", mm=9, right=True),
    FormColumn("scan", Cell.CODE),
    FormColumn("item", share=3),
    FormColumn("batch"),
    FormColumn("note", Cell.WRITE),
    FormColumn("counted", Cell.COUNT),
    FormColumn("seen", Cell.TICK),
)
NAMES = (
    "threadlocker, medium, 10 ml bottle",
    "Клей анаэробный резьбовой средней прочности, флакон 10 мл, для резьбы до М20",
    "W" * 120,
)


def row(number: int, group: str = "") -> FormRow:
    """An invented row, each third with a name longer than its column."""
    name = NAMES[number % 3]
    return FormRow(
        (str(number), make_code("lot", number), name, "7C21-B" * 3, "", "opened", ""), group
    )


def form(rows: int) -> Form:
    return Form(
        "Count of the tyre kit (Аптечка)",
        COLUMNS,
        tuple(
            row(number, group="Sealants" if number < 9 else "Rubber")
            for number in range(1, rows + 1)
        ),
        facts=("Truck / Tyre kit, 25 NOV 2026",),
        fill_in=("counted by", "on"),
        foot=("Write 0 where nothing is there.",),
        cautions=("MEDICINE: read the leaflet.",),
        code=make_code("box", 3),
        code_words="B3 Tyre kit",
    )


def pages(of: Form, page: str, dpi: int = 300) -> tuple[FormPage, ...]:
    return laid_out(of, *PAGES[page], dpi)


def text_of(pdf: bytes, page: int) -> str:
    return str(pypdfium2.PdfDocument(pdf)[page].get_textpage().get_text_bounded())


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("page", PAGES)
def test_every_code_reads_back_at_the_printers_resolution(page: str, dpi: int) -> None:
    sheets = form_pdf(form(30), page=page, dpi=dpi)
    assert verify_sheets(sheets, dpi) == ()
    wanted = [make_code("box", 3), *(make_code("lot", number) for number in range(1, 31))]
    assert [code for codes in sheets.codes for code in codes] == wanted


def test_four_hundred_rows_all_read_back_in_order_and_none_twice() -> None:
    sheets = checked_form(form(400), dpi=203)
    codes = [code for page in sheets.codes for code in page]
    assert codes[1:] == [make_code("lot", number) for number in range(1, 401)]
    assert sheets.pages < 40


@pytest.mark.parametrize("page", PAGES)
def test_nothing_overlaps_and_nothing_leaves_the_margins(page: str) -> None:
    width, height = PAGES[page]
    whole = replace(form(40), rows=(*form(40).rows, FormRow(("",) * 7, "Not listed", blank=True)))
    for sheet in pages(whole, page):
        boxes = [each.box for each in sheet.elements if isinstance(each, Run | Symbol | Frame)]
        assert not [pair for pair in combinations(boxes, 2) if pair[0].overlaps(pair[1])]
        edge = Rect(SIDE - 0.01, 8.0, width - SIDE + 0.01, height - 6.0)
        for box in boxes:
            assert edge.left <= box.left, box
            assert box.right <= edge.right, box
            assert edge.top <= box.top, box
            assert box.bottom <= edge.bottom, box


@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_two_codes_below_one_another_are_far_enough_apart_to_scan_one(dpi: int) -> None:
    for sheet in pages(form(40), "A4", dpi):
        bars = [each for each in sheet.elements if isinstance(each, Symbol)]
        for above, below in pairwise(bars):
            assert below.box.top - above.box.bottom >= APART - 0.01


def test_no_text_is_cut_whatever_its_length() -> None:
    words = " ".join("".join(text_of(form_pdf(form(3)).pdf, 0).split()).split())
    assert all(name.replace(" ", "") in words for name in NAMES)


def test_headings_groups_and_numbers_stand_on_every_page() -> None:
    pdf = form_pdf(form(40)).pdf
    last = len(pypdfium2.PdfDocument(pdf)) - 1
    for number in range(last + 1):
        text = text_of(pdf, number)
        assert "counted" in text
        assert f"page {number + 1} of {last + 1}" in text
    assert "Rubber (continued)" in text_of(pdf, last)
    assert "MEDICINE: read the leaflet." in text_of(pdf, last)


def test_a_form_without_rows_says_so_on_its_one_page() -> None:
    sheets = form_pdf(replace(form(0), empty="The box is empty by the books."))
    assert sheets.pages == 1
    assert "The box is empty by the books." in text_of(sheets.pdf, 0)


def test_what_the_typeface_lacks_is_printed_as_a_question_mark_and_told() -> None:
    odd = replace(form(1), rows=(replace(row(1), cells=("1", "", "水 tablets", "", "", "", "")),))
    sheets = form_pdf(odd)
    assert "? tablets" in text_of(sheets.pdf, 0)
    assert "水 tablets" in sheets.left_off[0]


@pytest.mark.parametrize("code", ["", "1000000012", "L42"])
def test_what_is_no_code_of_ours_is_printed_as_text_and_not_as_bars(code: str) -> None:
    plain = replace(form(1), rows=(replace(row(1), cells=("1", code, "x", "", "", "", "")),))
    assert form_pdf(plain).codes == ((make_code("box", 3),),)


def test_columns_that_do_not_fit_are_refused_with_a_remedy() -> None:
    wide = replace(form(1), columns=tuple(replace(each, mm=60) for each in COLUMNS))
    with pytest.raises(BadInput, match="turn the page, or leave a column out"):
        form_pdf(wide)


def test_a_turned_page_is_as_wide_as_it_was_high() -> None:
    page = pypdfium2.PdfDocument(form_pdf(form(1), landscape=True).pdf)[0]
    assert page.get_width() > page.get_height()


@pytest.mark.parametrize(("page", "dpi"), [("A3", 300), ("A4", 72)])
def test_an_odd_page_or_resolution_is_refused(page: str, dpi: int) -> None:
    with pytest.raises(BadInput, match=r"there are A4 and Letter|dpi 72"):
        form_pdf(form(1), page=page, dpi=dpi)


def test_a_form_that_does_not_read_back_is_not_handed_over() -> None:
    sheets = form_pdf(form(2))
    other = replace(sheets.placed[0], text="1000000099")
    with pytest.raises(BadInput, match="not handed over"):
        read_back(replace(sheets, placed=(other, *sheets.placed[1:])), 300)


def test_every_code_of_a_form_is_read_by_itself() -> None:
    sheets = form_pdf(form(60))
    assert [it.text for it in sheets.placed] == [code for page in sheets.codes for code in page]


def test_the_same_form_gives_the_same_bytes() -> None:
    assert form_pdf(form(5)).pdf == form_pdf(form(5)).pdf
