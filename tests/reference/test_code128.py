"""Code 128 against worked examples, a second encoder and an independent reader.

The check values and lengths are those of published worked examples of ISO/IEC 15417 symbols
(barcodeisland.com/code128.phtml, barcoderesource.com/code128_check_character) for the code sets
that our own codes and names can come to, sets B and C; patterns and the width of
(11 C + 35) modules are from memory of the standard and are held against zxing-cpp here. Two readers
read what is drawn: zxing-cpp, and ``reader_bars``, which knows neither encoder.
"""

from __future__ import annotations

import re

import pytest
import zxingcpp
from barcode.charsets import code128 as charset
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from reader_bars import Unreadable, checked, read_bars, text_of, values_of
from stockcheck.core.codes import make_code
from stockcheck.labels.code128 import bars, modules
from stockcheck.labels.measure import Measure, Symbology
from stockcheck.labels.measure import measures as measures_of


def measures(dpi: int) -> tuple[Measure, ...]:
    return measures_of("1000000420", Symbology.CODE_128, dpi)


# text; start, values; check value; modules without and with quiet zones
WORKED = [
    ("abcdef", [104, 65, 66, 67, 68, 69, 70], 97, 101, 121),
    ("345678", [105, 34, 56, 78], 73, 68, 88),
    ("KIT-0001", [104, 43, 41, 52, 13, 99, 0, 1], 12, 112, 132),
    ("BOX7", [104, 34, 47, 56, 23], 80, 79, 99),
]


def values(row: str) -> list[int]:
    """The symbol characters of a row of modules, start and check included, stop left off."""
    assert row.endswith(charset.STOP + "11")
    body = row[: -len(charset.STOP) - 2]
    return [charset.CODES.index(body[at : at + 11]) for at in range(0, len(body), 11)]


@pytest.mark.parametrize(("text", "expected", "check", "wide", "with_quiet"), WORKED)
def test_the_worked_examples_have_their_values_check_and_length(
    text: str, expected: list[int], check: int, wide: int, with_quiet: int
) -> None:
    row = modules(text)
    assert values(row) == [*expected, check]
    total = expected[0] + sum(at * value for at, value in enumerate(expected[1:], start=1))
    assert total % 103 == check
    assert len(row) == wide == 11 * (len(expected) - 1) + 35
    assert len(row) + 20 == with_quiet


def test_start_and_stop_have_the_published_patterns() -> None:
    assert modules("345678").startswith("11010011100")
    assert modules("abcdef").startswith("11010010000")
    assert modules("345678").endswith("1100011101011")


@given(st.integers(1, 99_999_999), st.sampled_from(["lot", "box", "item", "action"]))
def test_our_codes_are_five_pairs_in_set_c_and_ninety_modules(serial: int, kind: str) -> None:
    code = make_code(kind, serial)
    row = modules(code)
    assert values(row)[:-1] == [105, *(int(code[at : at + 2]) for at in range(0, 10, 2))]
    assert len(row) == 90


@given(st.integers(1, 99_999_999))
def test_a_second_encoder_makes_the_same_modules(serial: int) -> None:
    code = make_code("lot", serial)
    assert modules(code) == _second_encoder(code)


def _second_encoder(text: str) -> str:
    made = zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.Code128)
    image = Image.fromarray(made.to_image(scale=1, add_quiet_zones=False)).convert("L")
    row = image.crop((0, 0, image.width, 1)).tobytes()
    return "".join("1" if value < 128 else "0" for value in row)


def _drawn(text: str) -> Image.Image:
    image = Image.new("L", (2 * (len(modules(text)) + 20), 40), 255)
    for start, width in bars(text):
        image.paste(0, (2 * (10 + start), 0, 2 * (10 + start + width), 40))
    return image


@given(st.integers(1, 99_999_999))
def test_two_independent_readers_read_the_bars(serial: int) -> None:
    code = make_code("box", serial)
    image = _drawn(code)
    found = zxingcpp.read_barcode(image)
    assert found is not None
    assert (found.format, found.text) == (zxingcpp.BarcodeFormat.Code128, code)
    assert read_bars(image) == code


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=24))
def test_what_a_maker_prints_is_read_by_both_readers_too(text: str) -> None:
    image = _drawn(text)
    found = zxingcpp.read_barcode(image, text_mode=zxingcpp.TextMode.Plain)
    assert found is not None
    assert found.text == text
    assert read_bars(image) == text


# Worked examples that our encoder packs otherwise: the values of the symbol characters, start
# first; the check value; the text. Set A, and GS1's with FNC1 (the standard's arithmetic by hand).
BY_HAND = [
    ([103, 33, 34, 35, 36, 37, 38], 42, "ABCDEF"),
    ([103, 40, 41, 99, 34, 56, 78], 67, "HI345678"),
    ([103, 48, 42, 42, 17, 18, 19, 35], 54, "PJJ123C"),
    ([104, 43, 41, 52, 13, 16, 16, 16, 17], 37, "KIT-0001"),
    ([105, 102, 1, 9, 50, 60, 0, 13, 43, 52], 94, "\x1d0109506000134352"),
    ([105, 102, 1, 9, 50, 60, 0, 13, 43, 52, 17, 29, 12, 31], 100, "\x1d010950600013435217291231"),
]


@pytest.mark.parametrize(("characters", "check", "text"), BY_HAND)
def test_the_second_readers_arithmetic_is_that_of_the_worked_examples(
    characters: list[int], check: int, text: str
) -> None:
    assert checked(characters) == check
    assert text_of([*characters, check]) == text


def test_the_second_reader_refuses_a_wrong_check_value() -> None:
    row = modules("1000000423")
    check = row[-24:-13]
    other = next(code for code in charset.CODES[:103] if code != check)
    widths = [len(run) for run in re.findall("1+|0+", row[:-24] + other + row[-13:])]
    with pytest.raises(Unreadable, match="check value"):
        values_of(widths)


def test_bars_are_the_dark_modules() -> None:
    row = modules("1000000423")
    dark = {at for start, width in bars("1000000423") for at in range(start, start + width)}
    assert dark == {at for at, module in enumerate(row) if module == "1"}
    assert len(bars("1000000423")) == 3 * 7 + 4


@pytest.mark.parametrize(
    ("dpi", "dots", "module"),
    [  # our own arithmetic: 25.4 / dpi
        (203, [2, 3, 4], [0.250, 0.375, 0.500]),
        (300, [3, 4, 5, 6], [0.254, 0.339, 0.423, 0.508]),
        (600, [6, 7, 8, 9, 10, 11, 12], [0.254, 0.296, 0.339, 0.381, 0.423, 0.466, 0.508]),
    ],
)
def test_modules_are_whole_dots_within_the_range_of_the_general_specifications(
    dpi: int, dots: list[int], module: list[float]
) -> None:
    """GS1 General Specifications, symbol table 4: 0.250 to 0.495 mm, rounded up to whole dots."""
    found = measures(dpi)[::-1]
    assert [it.dots for it in found] == dots
    assert [it.module_mm for it in found] == pytest.approx(module, abs=0.001)


def test_the_narrowest_symbol_is_as_wide_as_the_design_says() -> None:
    """90 modules and two quiet zones of 10 at 0.25 mm: 27.5 mm; and a dot to spare on each side."""
    assert measures(203)[-1].width_mm == pytest.approx(27.5 + 2 * 0.125, abs=0.05)


@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_bars_are_at_least_five_millimetres_and_fifteen_per_cent_of_the_width(dpi: int) -> None:
    for measure in measures(dpi):
        assert measure.min_height_mm == max(5.0, 0.15 * measure.width_mm)
