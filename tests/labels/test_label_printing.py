from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from stockcheck.core.codes import make_code
from stockcheck.core.errors import BadInput
from stockcheck.labels.draw import symbol_rectangles
from stockcheck.labels.elements import Symbol
from stockcheck.labels.layout import NoRoom, layout
from stockcheck.labels.printing import Sheets, label_sheets, label_size, verify_sheets
from stockcheck.labels.readback import read_pages, rendered, verify
from stockcheck.labels.sheet import Spot, spots
from stockcheck.labels.stock import Stock, load_stock
from stockcheck.labels.text import LabelText
from stocks import with_bars

USUAL = load_stock("a4-3x7")


def fitting(samples: tuple[LabelText, ...], stock: Stock, dpi: int) -> list[LabelText]:
    """The samples that a stock can hold."""
    found = []
    for text in samples:
        try:
            layout(text.checked(), label_size(stock), dpi)
        except NoRoom:
            continue
        found.append(text)
    return found


def many(plain: LabelText, count: int) -> list[LabelText]:
    return [
        replace(plain, code=make_code("lot", serial), short=f"L{serial}")
        for serial in range(1, count + 1)
    ]


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("stock", with_bars(), ids=lambda it: it.name)
def test_every_code_on_every_stock_reads_back_at_the_printers_resolution(
    samples: tuple[LabelText, ...], stock: Stock, dpi: int
) -> None:
    texts = fitting(samples, stock, dpi)
    assert len(texts) >= 5
    sheets = label_sheets(texts, stock, dpi=dpi)
    assert verify_sheets(sheets, dpi) == ()


@pytest.mark.parametrize("stock", with_bars(), ids=lambda it: it.name)
def test_a_whole_page_reads_back_wherever_a_label_stands_on_it(
    plain: LabelText, stock: Stock
) -> None:
    sheets = label_sheets(many(plain, stock.per_page), stock)
    assert sheets.pages == 1
    assert verify_sheets(sheets, 203) == ()


def test_four_hundred_labels_fill_twenty_sheets_and_all_read_back(plain: LabelText) -> None:
    sheets = label_sheets(many(plain, 400), USUAL)
    assert sheets.pages == 20
    assert [len(page) for page in sheets.codes] == [21] * 19 + [1]
    assert verify_sheets(sheets, 203) == ()


def test_a_part_used_sheet_goes_on_at_its_first_free_label(plain: LabelText) -> None:
    sheets = label_sheets(many(plain, 3), USUAL, start=20)
    codes = [make_code("lot", serial) for serial in (1, 2, 3)]
    assert sheets.codes == (tuple(codes[:2]), tuple(codes[2:]))
    assert list(read_pages(sheets.pdf, 203)) == [tuple(codes[:2]), tuple(codes[2:])]
    assert _ink_above(sheets, share=0.8) == 0


def _ink_above(sheets: Sheets, share: float) -> int:
    """How many pixels of the upper share of page one are not white."""
    image = next(rendered(sheets.pdf, 203))
    upper = image.crop((0, 0, image.width, int(image.height * share)))
    return sum(upper.histogram()[:250])


def test_copies_stand_side_by_side(plain: LabelText) -> None:
    first, second = many(plain, 2)
    sheets = label_sheets([first, second], USUAL, copies=3)
    assert sheets.codes == ((first.code,) * 3 + (second.code,) * 3,)
    assert verify_sheets(sheets, 203) == ()


def test_labels_are_counted_row_by_row_from_the_top_left() -> None:
    assert [*spots(USUAL, 3, start=3)] == [
        Spot(0, 7.25 + 2 * 66.0, 15.15),
        Spot(0, 7.25, 15.15 + 38.1),
        Spot(0, 7.25 + 66.0, 15.15 + 38.1),
    ]


@pytest.mark.parametrize(
    ("name", "start", "message"),
    [
        ("a4-3x7", 0, "start 0: a sheet of a4-3x7 has 21 labels"),
        ("a4-3x7", 22, "Give 1 to 21"),
        ("roll-57x32", 2, "start 2: roll-57x32 is a roll, which has no part-used sheet"),
    ],
)
def test_a_start_that_the_stock_does_not_have_is_refused(
    plain: LabelText, name: str, start: int, message: str
) -> None:
    with pytest.raises(BadInput) as caught:
        label_sheets([plain], load_stock(name), start=start)
    assert message in str(caught.value)


@pytest.mark.parametrize("copies", [0, -1, 1001])
def test_an_odd_number_of_copies_is_refused(plain: LabelText, copies: int) -> None:
    with pytest.raises(BadInput, match=f"copies {copies}: give 1 to 1000"):
        label_sheets([plain], USUAL, copies=copies)


@pytest.mark.parametrize("dpi", [0, 72, 9600])
def test_an_odd_resolution_is_refused(plain: LabelText, dpi: int) -> None:
    with pytest.raises(BadInput, match=f"dpi {dpi}: a label printer has 150 to 2400 dots"):
        label_sheets([plain], USUAL, dpi=dpi)


def test_nothing_to_print_is_refused() -> None:
    with pytest.raises(BadInput, match="nothing to print"):
        label_sheets([], USUAL)


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("name", ["a4-3x7", "letter-3x10", "a4-4x10-edge", "roll-62x29"])
def test_every_bar_covers_whole_dots_of_the_page(plain: LabelText, name: str, dpi: int) -> None:
    """Rendered at one pixel a dot, no pixel across a symbol is grey, and each lies as reckoned."""
    stock = load_stock(name)
    symbols = [
        (spot, it)
        for spot in spots(stock, stock.per_page)
        for it in layout(plain, label_size(stock), dpi).elements
        if isinstance(it, Symbol)
    ]
    texts = [plain] * stock.per_page
    image = next(rendered(label_sheets(texts, stock, dpi=dpi).pdf, dpi))
    assert len(symbols) == stock.per_page
    for spot, symbol in symbols:
        rectangles = symbol_rectangles(symbol, spot, stock.page_height)
        left, bottom = rectangles[0][0], rectangles[0][1]
        right = rectangles[-1][0] + rectangles[-1][2]
        middle = image.height - bottom - rectangles[0][3] // 2
        row = bytes(image.crop((left, middle, right, middle + 1)).tobytes())
        dark = {at for x, _, width, _ in rectangles for at in range(x - left, x - left + width)}
        assert {at for at, value in enumerate(row) if value < 8} == dark
        assert {at for at, value in enumerate(row) if value > 247} == set(range(len(row))) - dark


def test_quiet_zones_of_ten_modules_stay_inside_the_label(plain: LabelText) -> None:
    for stock in with_bars():
        for spot, symbol in (
            (spot, it)
            for spot in spots(stock, stock.per_page)
            for it in layout(plain, label_size(stock), 203).elements
            if isinstance(it, Symbol)
        ):
            dots = symbol_rectangles(symbol, spot, stock.page_height)
            dot, quiet = symbol.measure.dot_mm, 10 * symbol.measure.module_mm
            assert dots[0][0] * dot - quiet >= spot.left - 1e-6
            last = (dots[-1][0] + dots[-1][2]) * dot + quiet
            assert last <= spot.left + stock.label_width + 1e-6


def test_a_bar_is_never_lower_than_the_standard_asks(plain: LabelText) -> None:
    for stock in with_bars():
        found = layout(plain, label_size(stock), 203).elements
        symbol = next(it for it in found if isinstance(it, Symbol))
        height = symbol_rectangles(symbol, Spot(0, 0, 0), stock.page_height)[0][3]
        least = max(5.0, 0.15 * symbol.measure.wide_mm)
        assert height * symbol.measure.dot_mm >= least


def test_the_same_input_gives_the_same_bytes(plain: LabelText, awkward: LabelText) -> None:
    texts = [plain, awkward]
    assert label_sheets(texts, USUAL).pdf == label_sheets(texts, USUAL).pdf


def test_another_process_gives_the_same_bytes_too(tmp_path: Path) -> None:
    program = (
        "import sys; from stockcheck.labels.printing import label_sheets\n"
        "from stockcheck.labels.stock import load_stock\n"
        "from stockcheck.labels.text import LabelText\n"
        "text = LabelText('1000000423', 'L42', 'Клей', 'NOV 2027', caution='flammable')\n"
        "open(sys.argv[1], 'wb').write(label_sheets([text], load_stock('a4-3x7')).pdf)\n"
    )
    files = [tmp_path / name for name in ("one.pdf", "two.pdf")]
    for seed, file in enumerate(files):
        environment = {"PYTHONHASHSEED": str(seed)}
        subprocess.run([sys.executable, "-c", program, str(file)], check=True, env=environment)
    one, two = (file.read_bytes() for file in files)
    assert one == two


def test_the_pdf_has_a_title_embeds_its_typefaces_and_forbids_scaling(plain: LabelText) -> None:
    pdf = label_sheets([plain], USUAL, title="Labels for Tyre kit").pdf
    document = pypdfium2.PdfDocument(pdf)
    assert document.get_metadata_value("Title") == "Labels for Tyre kit"
    assert document.get_metadata_value("Subject") == "Labels for boxes and lots"
    assert pdf.count(b"/FontFile2") == 2
    assert b"Helvetica" not in pdf
    assert b"/PrintScaling /None" in pdf


def test_a_page_is_as_large_as_its_stock(plain: LabelText) -> None:
    for stock in with_bars():
        if stock.grows:
            continue
        page = pypdfium2.PdfDocument(label_sheets([plain], stock).pdf)[0]
        width, height = (side * 25.4 / 72 for side in page.get_size())
        assert width == pytest.approx(stock.page_width, abs=0.01)
        assert height == pytest.approx(stock.page_height, abs=0.01)


def test_reading_back_names_page_resolution_and_code_of_what_is_wrong(plain: LabelText) -> None:
    sheets = label_sheets([plain], USUAL)
    other = make_code("lot", 43)
    assert verify(sheets.pdf, [(other,)], 203) == (
        f"page 1 at 203 dpi: {other} is not readable",
        f"page 1 at 203 dpi: {plain.code} should not be there",
    )
    assert verify(sheets.pdf, [], 203) == ("pages in the PDF: 1, expected 0",)


def test_a_code_printed_too_coarsely_is_found_out(plain: LabelText) -> None:
    sheets = label_sheets([plain], load_stock("a4-5x13"))
    assert verify_sheets(sheets, 60) == (f"page 1 at 60 dpi: {plain.code} is not readable",)
