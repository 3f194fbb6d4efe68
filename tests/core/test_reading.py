"""Any text: one of our codes, a maker's code, a GTIN, a printed date, or nothing known."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockcheck.core.calendar import PartialDate
from stockcheck.core.codes import make_code
from stockcheck.core.reading import LONGEST, Meaning, read_any

TODAY = date(2026, 11, 25)
T = "0109506000134352"
LOT = make_code("lot", 42)


def _read(text: str, context: str = "general", order: str | None = None) -> Meaning:
    return read_any(text, TODAY, context, order)


@pytest.mark.parametrize(
    ("text", "kind", "short"),
    [
        (LOT, "lot", "L42"),
        (f" {LOT}\n", "lot", "L42"),
        ("l42", "lot", "L42"),
        (make_code("box", 3), "box", "B3"),
        (make_code("item", 17), "item", "I17"),
        (make_code("action", 5), "action", "5"),
        (f"]C0{LOT}", "lot", "L42"),  # our label, from a scanner that tells the symbol
        (f"]d1{LOT}", "lot", "L42"),
    ],
)
def test_our_own_codes_are_known(text: str, kind: str, short: str) -> None:
    assert _read(text) == Meaning(text, kind, short=short)


@pytest.mark.parametrize("text", [f"]C1{LOT}", "]C0L42", f"]E0{LOT}"])
def test_our_code_is_not_read_under_a_symbol_that_we_do_not_print(text: str) -> None:
    assert _read(text).type in {"unknown", "gs1"}  # 10... is a batch under ]C1


def test_a_slip_in_one_of_our_codes_is_told() -> None:
    wrong = LOT[:-1] + str((int(LOT[-1]) + 1) % 10)
    assert "check digit" in (_read(wrong).problem or "")


@pytest.mark.parametrize(
    ("text", "gtin"),
    [
        ("95012346", "00000095012346"),
        ("614141123452", "00614141123452"),
        ("9506000134352", "09506000134352"),
        ("19506000134359", "19506000134359"),
    ],
)
def test_a_gtin_of_each_length_is_known(text: str, gtin: str) -> None:
    assert _read(text) == Meaning(text, "gtin", gtin=gtin)


def test_a_gs1_string_is_known_with_what_it_holds() -> None:
    text = f" {T}1729020010A1\x1d21S7 "
    found = _read(text)
    assert (found.text, found.type, found.last_usable_day) == (text, "gs1", date(2029, 2, 28))
    assert (found.precision, found.batch, found.serial) == ("month", "A1", "S7")


def test_elements_that_begin_with_another_than_the_gtin_are_known_too() -> None:
    assert _read(f"1729123110A1\x1d{T}").batch == "A1"
    assert _read(f"17291231{T}").gtin == T[2:]


def test_eight_digits_of_an_expiry_alone_are_gs1_unless_they_are_a_gtin() -> None:
    assert (_read("17291130").type, _read("17291130").last_usable_day) == (
        "gs1",
        date(2029, 11, 30),
    )
    gtin = _read("17291231")
    assert (gtin.type, gtin.last_usable_day) == ("gtin", None)
    assert "it could also be expiry (17) 2029-12-31" in (gtin.problem or "")


def test_a_date_of_eight_digits_that_begins_with_2_is_no_gtin_of_a_maker() -> None:
    """20270223 has the check digit of a GTIN-8, but prefix 2 is for numbers within a company."""
    found = _read("20270223")
    assert (found.type, found.last_usable_day, found.gtin) == ("date", date(2027, 2, 23), None)


def test_eight_digits_that_are_a_date_and_a_gtin_stay_unsure() -> None:
    found = _read("30112025")
    assert (found.type, found.settled) == ("date", False)
    assert (found.readings, found.gtin) == ((date(2025, 11, 30),), "00000030112025")


def test_a_upc_e_typed_without_its_symbol_is_only_named() -> None:
    found = _read("04252614")
    assert (found.type, found.gtin) == ("unknown", None)
    assert "its GTIN is 00042100005264" in (found.problem or "")


@pytest.mark.parametrize("digits", ["400638133393", "4006381333930", "09520123000178"])
def test_the_length_of_a_gtin_with_a_wrong_check_digit_says_so(digits: str) -> None:
    found = _read(digits)
    assert (found.type, found.gtin) == ("unknown", None)
    assert "length of a GTIN, but its check digit is wrong" in (found.problem or "")


def test_a_printed_date_is_read_as_its_printer_meant_it() -> None:
    found = _read("EXP 11/2027")
    assert (found.type, found.last_usable_day, found.precision) == (
        "date", date(2027, 11, 30), "month",
    )  # fmt: skip
    assert _read("USE BEFORE 11/2027").last_usable_day == date(2027, 10, 31)
    assert _read("BBE 2027", "food").precision == "year"
    assert _read("2027-W09").precision == "day"


def test_an_unsure_date_has_every_reading_and_a_line_for_each() -> None:
    found = _read("03/04/27")
    assert found.readings == (date(2027, 3, 4), date(2027, 4, 3))
    assert (found.settled, found.last_usable_day, found.precision) == (False, None, None)
    assert len(found.why.splitlines()) == 2
    assert _read("03/04/27", order="dmy").last_usable_day == date(2027, 4, 3)


def test_a_made_date_is_no_expiry() -> None:
    found = _read("MFG 2025-06")
    assert (found.type, found.made_on, found.last_usable_day) == (
        "date", PartialDate("2025-06"), None,
    )  # fmt: skip
    assert found.settled
    unsure = _read("MFG 03/04/2025")
    assert (unsure.settled, unsure.made_on) == (False, None)
    assert unsure.readings == (PartialDate("2025-03-04"), PartialDate("2025-04-03"))


def test_the_sort_of_goods_matters_to_a_date() -> None:
    assert not _read("USE BY 11/2027", "medicine").settled
    assert _read("3524", "tyre").made_on == PartialDate("2024-09-01/2024-09-07")


@pytest.mark.parametrize("text", ["", "  ", "LOT 270228", "EXP 2027-02-29", "threadlocker", "%"])
def test_what_is_neither_is_unknown_and_says_why(text: str) -> None:
    found = _read(text)
    assert (found.type, found.settled) == ("unknown", False)
    assert found.problem


def test_a_text_that_is_too_long_is_not_looked_into() -> None:
    assert _read(T + "10" + "A" * LONGEST).problem == "longer than 400 characters"


AWKWARD = "0123456789()[]{}<>|^\\\x1d/-.: ABCEGSQTXdeé²٣\ud800"


@settings(max_examples=300, deadline=None)
@given(st.one_of(st.text(max_size=500), st.text(AWKWARD, max_size=60), st.binary(max_size=300)))
def test_no_text_makes_it_fail(text: str | bytes) -> None:
    if isinstance(text, bytes):
        text = text.decode("utf-8", "backslashreplace")
    for lead in ("", "]C1", "]E0", "]Q1", T, "(01)", "https://x.org/01/"):
        found = _read(lead + text)
        assert found.text == lead + text
        assert found.settled or found.problem


@pytest.mark.parametrize(
    "text", ["(10)A" * 80, "(17)" * 100, T + "\x1d" * 384, "(91)" + "(17)291231" * 39 + "(18)"]
)
def test_the_longest_awkward_text_is_answered(text: str) -> None:
    """Each place of a bracket is tried once; trying every split anew would never end."""
    assert len(text) <= LONGEST
    assert _read(text).text == text
