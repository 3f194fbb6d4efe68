"""Check digits against published worked examples and against python-stdnum, written by others."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean
from stdnum.iso7064 import mod_11_10

from stockcheck.core.codes import TYPES, check_digit, gtin_check_digit, make_code, read_gtin

DIGITS = "0123456789"


@pytest.mark.parametrize(
    ("body", "digit", "source"),
    [
        ("0794", "5", "ISO/IEC 7064, example of the hybrid system MOD 11,10 (from memory)"),
        ("79462", "3", "python-stdnum 2.2, stdnum.iso7064.mod_11_10, its docstring"),
    ],
)
def test_the_iso_7064_check_digit_of_worked_examples(body: str, digit: str, source: str) -> None:
    assert check_digit(body) == digit, source


@given(st.text(DIGITS, min_size=1, max_size=20))
def test_iso_7064_mod_11_10_agrees_with_python_stdnum(body: str) -> None:
    assert check_digit(body) == mod_11_10.calc_check_digit(body)


@given(st.sampled_from(sorted(TYPES)), st.integers(1, 99_999_999))
def test_python_stdnum_accepts_every_code_that_we_make(type_name: str, serial: int) -> None:
    assert mod_11_10.is_valid(make_code(type_name, serial))


# GS1 General Specifications, section 7.9. Examples of GS1's own are named; the others are worked
# by hand: weights 3, 1, 3 ... from the right, their sum, and what it lacks to a multiple of ten.
WORKED = [
    ("629104150021", 57, "3", "GS1 Hong Kong, check digit calculator"),
    ("890400021003", 63, "7", "GS1 India, check digit page"),
    ("950600013435", 78, "2", "by hand"),
    ("952012345678", 102, "8", "by hand"),
    ("950110153000", 47, "3", "by hand"),
    ("9501234", 54, "6", "by hand, a GTIN-8"),
    ("61414112345", 78, "2", "by hand, a GTIN-12"),
    ("41600033610", 62, "8", "GS1 Syntax Dictionary, a GTIN-12"),
    ("1234567890123", 109, "1", "GS1 Syntax Dictionary, a GTIN-14"),
    ("12345678901234567", 155, "5", "GS1 Syntax Dictionary, an SSCC"),
    ("10614141234567890", 132, "8", "biip 5.2.0, docstring on Digital Link, an SSCC"),
    ("37610425002123456", 101, "9", "by hand, an SSCC"),
]


@pytest.mark.parametrize(("body", "total", "digit", "source"), WORKED)
def test_the_gs1_check_digit_of_worked_examples(
    body: str, total: int, digit: str, source: str
) -> None:
    assert gtin_check_digit(body) == digit == str(-total % 10), source


@pytest.mark.parametrize(("outer", "indicator"), [("19506000134359", "1"), ("29506000134356", "2")])
def test_an_outer_pack_has_a_check_digit_of_its_own(outer: str, indicator: str) -> None:
    """GTIN-13 9506000134352 in outer packs with indicators 1 and 2, worked by hand."""
    body = f"{indicator}950600013435"
    assert outer == body + gtin_check_digit(body)
    assert read_gtin(outer) == outer


@given(st.sampled_from([7, 11, 12, 13]).flatmap(lambda n: st.text(DIGITS, min_size=n, max_size=n)))
def test_gtins_of_all_lengths_agree_with_python_stdnum(body: str) -> None:
    gtin = body + gtin_check_digit(body)
    assert gtin_check_digit(body) == ean.calc_check_digit(body)
    assert ean.is_valid(gtin)
    assert read_gtin(gtin) == gtin.zfill(14)
