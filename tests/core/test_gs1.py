"""Makers' codes as they reach us: from scanners, keyboards, print and web addresses."""

from __future__ import annotations

from datetime import date

import pytest

from stockcheck.core.calendar import PartialDate
from stockcheck.core.gs1 import read_gs1
from stockcheck.core.meaning import Meaning

TODAY = date(2026, 11, 25)
GTIN = "09506000134352"
T = f"01{GTIN}"


def _read(text: str) -> Meaning:
    found = read_gs1(text, TODAY)
    assert found is not None
    return found


@pytest.mark.parametrize("text", ["EXP 11/2027", "threadlocker", "", "10", "L42", "270228", "3012"])
def test_a_text_that_is_no_makers_code_is_left_to_others(text: str) -> None:
    assert read_gs1(text, TODAY) is None


@pytest.mark.parametrize("symbol", ["C1", "e0", "d2", "Q3", "J1"])
def test_element_strings_are_read_under_the_symbols_of_gs1(symbol: str) -> None:
    assert _read(f"]{symbol}{T}17291231").last_usable_day == date(2029, 12, 31)


@pytest.mark.parametrize("symbol", ["C0", "A0", "d1", "Q1", "Q0", "X0"])
def test_data_under_any_other_symbol_is_never_split(symbol: str) -> None:
    """Even where it starts with 01 and would read."""
    found = _read(f"]{symbol}{T}17291231")
    assert (found.type, found.gtin, found.last_usable_day) == ("unknown", None, None)


@pytest.mark.parametrize(
    ("scan", "gtin"),
    [
        ("]E09506000134352", "09506000134352"),
        ("]E00416000336108", "00416000336108"),  # UPC-A as a scanner pads it, ISO/IEC 15424
        ("]E0416000336108", "00416000336108"),
        ("]E004252614", "00042100005264"),  # UPC-E, the example of biip's documentation
        ("]E0425261", "00042100005264"),
        ("]E495012346", "00000095012346"),
        ("]E3950600013435212", "09506000134352"),  # the add-on of two digits is left out
        ("]I119506000134359", "19506000134359"),
    ],
)
def test_a_retail_symbol_holds_a_gtin(scan: str, gtin: str) -> None:
    found = _read(scan)
    assert (found.type, found.gtin, found.problem) == ("gtin", gtin, None)


@pytest.mark.parametrize("scan", ["]E09506000134353", "]E004252615", "]E0", "]E112", "]I1abc"])
def test_a_retail_symbol_with_a_wrong_number_is_refused(scan: str) -> None:
    assert _read(scan).type == "unknown"


STAND_INS = ["\x1d", "␝", "{GS}", "{gs}", "[GS]", "{FNC1}", "[FNC1]", "^]", "|", "\\x1d", "\\u001d"]


@pytest.mark.parametrize("separator", STAND_INS)
def test_what_scanners_send_for_the_separator_separates(separator: str) -> None:
    found = _read(f"{T}10ABC123{separator}17291231")
    assert (found.batch, found.last_usable_day) == ("ABC123", date(2029, 12, 31))


def test_a_separator_in_front_is_the_flag_of_gs1_and_no_data() -> None:
    assert _read(f"{{GS}}{T}17291231").last_usable_day == date(2029, 12, 31)


@pytest.mark.parametrize("word", ["<GS>", "<gs>", "<FNC1>"])
def test_a_stand_in_that_could_be_part_of_a_batch_is_not_guessed(word: str) -> None:
    found = _read(f"{T}10ABC123{word}17291231")
    assert (found.type, found.batch) == ("unknown", None)
    assert "let the scanner send ASCII 29" in (found.problem or "")


def test_a_variable_field_without_its_separator_is_refused_where_it_shows() -> None:
    """A batch of twenty characters followed straight by a serial is one field, and too long."""
    assert _read(f"{T}10ABCDEFGHIJKLMNOPQRST21SN1").type == "unknown"


@pytest.mark.parametrize(
    ("typed", "batch"),
    [
        (f"(01){GTIN}(17)291231(10)7C21-B", "7C21-B"),
        ("(01) 09506 00013435 2 (17) 291231 (10) 7C21-B", "7C21-B"),
        (f"(01){GTIN}(10)7C21-B(17)291231", "7C21-B"),
        (f"(01){GTIN}(17)291231(10)A(1)B", "A(1)B"),  # 1 is no AI
        (f"(01){GTIN}(10)A(17)C(17)291231", "A(17)C"),  # C is no date
        (f"(01){GTIN}(17)291231(10)A(21)", "A(21)"),  # no serial follows
        (f"(01){GTIN}(17)291231(10)(A)", "(A)"),
        (f"(01){GTIN}(10)A(99999)B(17)291231", "A(99999)B"),
    ],
)
def test_brackets_as_printed_are_taken_off_and_a_batch_keeps_its_own(
    typed: str, batch: str
) -> None:
    found = _read(typed)
    assert (found.type, found.gtin, found.batch) == ("gs1", GTIN, batch)
    assert found.last_usable_day == date(2029, 12, 31)


@pytest.mark.parametrize(
    ("typed", "problem"),
    [
        ("(01)09506000134353(17)291231", "check digit"),
        (f"(01){GTIN}(17)291331", "no day 2029-13-31"),
        (f"(01){GTIN}(18)291231", "assigned"),
        (f"(010){GTIN}", "cannot hold"),
        ("(0109)506000134352", "there is no AI 0109"),  # the brackets stand in the wrong place
        (f"(01){GTIN}(17)٢٩١٢٣١", "not in the set"),
    ],
)
def test_wrong_brackets_are_refused_with_the_first_thing_that_is_wrong(
    typed: str, problem: str
) -> None:
    found = _read(typed)
    assert found.type == "unknown"
    assert problem in (found.problem or "")


def test_a_made_date_with_day_00_counts_from_the_first_of_its_month() -> None:
    found = _read(f"{T}11250200")
    assert found.made_on == PartialDate("2025-02")
    assert "counted from the 1st" in found.why


def test_the_expiry_goes_before_the_best_before_date() -> None:
    both = _read(f"{T}1527063017291231")
    assert (both.last_usable_day, both.problem) == (date(2029, 12, 31), None)
    assert "best before (15) 2027-06-30" in both.why


@pytest.mark.parametrize("ai", ["12", "13", "16"])
def test_due_packing_and_sell_by_dates_are_no_expiry(ai: str) -> None:
    found = _read(f"{T}{ai}270630")
    assert (found.last_usable_day, found.made_on) == (None, None)
    assert "not an expiry" in found.why


@pytest.mark.parametrize(
    ("time", "last"), [("1430", "2027-05-31"), ("0001", "2027-05-31"), ("0000", "2027-05-30")]
)
def test_an_expiry_to_the_minute_says_its_minute(time: str, last: str) -> None:
    found = _read(f"{T}7003270531{time}")
    assert found.last_usable_day == date.fromisoformat(last)
    assert "2027-05-31" in (found.problem or "")


def test_the_earlier_of_two_expiries_governs() -> None:
    assert _read(f"{T}1727063070032705311430").last_usable_day == date(2027, 5, 31)


@pytest.mark.parametrize(
    ("data", "problem"),
    [
        ("11270101", "still to come"),
        ("1125013117240131", "made after it expires"),
        ("17150101", "years back"),
        ("17500101", "years ahead"),
    ],
)
def test_what_is_odd_is_read_and_told(data: str, problem: str) -> None:
    found = _read(f"{T}{data}")
    assert found.type == "gs1"
    assert problem in (found.problem or "")


@pytest.mark.parametrize(
    ("data", "needs"),
    [
        (f"02{GTIN}", "AI 02 needs AI 37"),
        (f"02{GTIN}3712", "AI 37 needs AI 00 with 02 or 00 with 8026"),
        (f"{T}250X1", "AI 250 needs AI 21"),
        ("1729123110A", "AI 17 needs AI 01, 02, 03, 8006, 8026 or 255"),
    ],
)
def test_what_lacks_its_partner_is_read_but_incomplete(data: str, needs: str) -> None:
    found = _read(data)
    assert found.type == "gs1"
    assert (found.problem or "").startswith(f"incomplete: {needs}")


@pytest.mark.parametrize("others", ["3712", "2559501101020917"])
def test_numbers_that_exclude_each_other_are_refused(others: str) -> None:
    assert "must not stand beside" in (_read(f"{T}{others}").problem or "")


def test_the_same_element_given_twice_is_one() -> None:
    assert _read(f"{T}1729123117291231").why.count("expiry") == 1


@pytest.mark.parametrize(
    ("data", "right"),
    [("00106141412345678908", True), ("00106141412345678907", False), ("4149520123456788", True)],
)
def test_the_check_digits_of_other_numbers_are_checked_too(data: str, right: bool) -> None:
    assert (_read(f"]C1{data}").type == "gs1") is right


@pytest.mark.parametrize("data", ["", "\x1d", "17", "01", "]C1"])
def test_a_symbol_of_gs1_without_sound_data_is_refused(data: str) -> None:
    assert _read(f"]C1{data}").type == "unknown"


def test_a_link_is_read_in_capitals_too_as_dense_qr_codes_hold_it() -> None:
    assert _read(f"HTTPS://ID.GS1.ORG/01/{GTIN}?17=291231").last_usable_day == date(2029, 12, 31)


@pytest.mark.parametrize("address", ["http://[", f"https:///01/{GTIN}", "https://x", "http://"])
def test_an_address_that_is_no_link_is_refused(address: str) -> None:
    assert "no GS1 Digital Link" in (_read(address).problem or "")
