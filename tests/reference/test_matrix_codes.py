"""Data Matrix ECC 200 and QR codes against the standards' worked examples, sizes and two readers.

Capacities are those of tables in ISO/IEC 16022 and ISO/IEC 18004 as makers of readers and printers
publish them (easymanua.ls inkjet coder manual p. 480; keyence.com barcode lecture); the worked
examples are from memory of ISO/IEC 16022 Annex O and ISO/IEC 18004 Annex I. The second readers in
``tests/support`` are written from the standards' descriptions and share nothing with zxing-cpp.
"""

from __future__ import annotations

import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from reader_bars import Unreadable
from reader_data_matrix import SIZES, placement, read_data_matrix
from reader_fields import DATA_MATRIX, QR
from reader_qr import read_qr
from stockcheck.core.codes import make_code
from stockcheck.core.errors import BadInput
from stockcheck.labels.matrix import Rows, data_matrix, gs1_data_matrix, qr, rectangles

DIGITS = "0123456789"


def picture(rows: Rows, quiet: int, dots: int = 4) -> Image.Image:
    side = len(rows) + 2 * quiet
    image = Image.new("L", (side, side), 255)
    for y, row in enumerate(rows):
        for x, module in enumerate(row):
            if module == "1":
                image.putpixel((x + quiet, y + quiet), 0)
    return image.resize((side * dots, side * dots), Image.Resampling.NEAREST)


def test_the_codewords_of_the_worked_data_matrix_are_those_of_the_standard() -> None:
    """123456: codewords 142 164 186 and error correction 114 25 5 88 102."""
    rows = data_matrix("123456")
    inner = [row[1:-1] for row in rows[1:-1]]
    found = [int("".join(inner[row][column] for row, column in cells), 2) for cells in placement(8)]
    assert found[:8] == [142, 164, 186, 114, 25, 5, 88, 102]


def test_the_second_readers_arithmetic_is_that_of_the_worked_examples() -> None:
    """QR: 01234567 in version 1-M, its 16 data and 10 error correction codewords."""
    assert DATA_MATRIX.is_whole([142, 164, 186, 114, 25, 5, 88, 102], 5, first=1)
    assert not DATA_MATRIX.is_whole([142, 164, 187, 114, 25, 5, 88, 102], 5, first=1)
    data = bytes.fromhex("10200C566180EC11EC11EC11EC11EC11")
    corrections = bytes.fromhex("A524D4C1ED36C7872C55")
    assert QR.is_whole([*data, *corrections], 10, first=0)


@pytest.mark.parametrize(
    ("side", "digits", "capitals"),
    [(10, 6, 3), (12, 10, 6), (14, 16, 10), (16, 24, 16), (18, 36, 25), (20, 44, 31), (22, 60, 43),
     (24, 72, 52), (26, 88, 64)],
)  # fmt: skip
def test_a_data_matrix_holds_as_much_as_its_size_is_said_to(
    side: int, digits: int, capitals: int
) -> None:
    assert len(data_matrix((DIGITS * 9)[:digits])) == side
    assert len(data_matrix((DIGITS * 9)[: digits + 1])) > side
    assert len(data_matrix("A" * capitals)) <= side


@pytest.mark.parametrize(
    ("side", "digits", "capitals", "most"),
    [(21, 17, 10, 41), (25, 34, 20, 77), (29, 58, 35, 127), (33, 82, 50, 187)],
)
def test_a_qr_code_is_the_smallest_at_the_highest_correction_that_it_allows(
    side: int, digits: int, capitals: int, most: int
) -> None:
    """Digits and capitals at level H, and the most digits at level L (ISO/IEC 18004, table 7)."""
    for text in ((DIGITS * 9)[:digits], "A" * capitals):
        rows = qr(text)
        if len(rows) == side:
            assert read_qr(rows)[1] == "H"
    assert len(qr((DIGITS * 19)[:most])) == side
    assert len(qr((DIGITS * 19)[: most + 1])) == side + 4


@given(st.integers(1, 99_999_999), st.sampled_from(["lot", "box", "item", "action"]))
def test_our_codes_are_square_twelve_and_twenty_one_and_both_readers_read_them(
    serial: int, kind: str
) -> None:
    code = make_code(kind, serial)
    dense, open_ = data_matrix(code), qr(code)
    assert (len(dense), len(open_)) == (12, 21)
    assert read_data_matrix(dense) == (code, False)
    assert read_qr(open_) == (code, "H")
    for rows, quiet, identifier in ((dense, 1, "]d1"), (open_, 4, "]Q1")):
        found = zxingcpp.read_barcode(picture(rows, quiet))
        assert found is not None
        assert (found.symbology_identifier, found.text) == (identifier, code)


PRINTABLE = st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=40)


@given(PRINTABLE)
def test_any_short_text_is_read_by_the_second_readers(text: str) -> None:
    dense, open_ = data_matrix(text), qr(text)
    if len(dense) in SIZES:
        assert read_data_matrix(dense) == (text, False)
    if len(open_) <= 33:
        assert read_qr(open_)[0] == text


def test_an_element_string_begins_with_fnc1_for_both_readers() -> None:
    rows = gs1_data_matrix("[01]09506000134352[17]291231[10]ABC123")
    data = "01095060001343521729123110ABC123"
    assert read_data_matrix(rows) == (data, True)
    found = zxingcpp.read_barcode(picture(rows, 1))
    assert found is not None
    assert (found.symbology_identifier, bytes(found.bytes).decode()) == ("]d2", data)


@pytest.mark.parametrize("make", [data_matrix, qr])
def test_a_module_turned_over_is_seen_by_the_second_reader(make: object) -> None:
    rows = data_matrix("1000000423") if make is data_matrix else qr("1000000423")
    middle = len(rows) // 2
    row = rows[middle]
    turned = row[:middle] + ("0" if row[middle] == "1" else "1") + row[middle + 1 :]
    broken = (*rows[:middle], turned, *rows[middle + 1 :])
    with pytest.raises(Unreadable):
        read_data_matrix(broken) if make is data_matrix else read_qr(broken)


@given(st.lists(st.text("01", min_size=5, max_size=5), min_size=1, max_size=6))
def test_rectangles_cover_the_dark_modules_once_and_nothing_else(rows: list[str]) -> None:
    covered = [
        (x, y)
        for left, top, width, height in rectangles(tuple(rows))
        for x in range(left, left + width)
        for y in range(top, top + height)
    ]
    dark = {(x, y) for y, row in enumerate(rows) for x, module in enumerate(row) if module == "1"}
    assert len(covered) == len(set(covered))
    assert set(covered) == dark


@pytest.mark.parametrize("text", ["", "x" * 4000])
def test_what_no_symbol_can_hold_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="no symbol can hold it"):
        data_matrix(text)
