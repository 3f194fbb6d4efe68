"""How made dates and tyre codes are read. Today is 25 November 2026."""

from __future__ import annotations

from datetime import date

import pytest

from stockcheck.core.dates import DateText, Outcome, Says, read_date, read_made
from stockcheck.core.model import DateContext

TODAY = date(2026, 11, 25)


def _isos(found: DateText) -> list[str]:
    return [reading.date.iso for reading in found.readings]


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("2025-06", "2025-06"),
        ("MFG 2025-06-01", "2025-06-01"),
        ("MFD: 06/25", "2025-06"),
        ("PROD 01 JUN 2025", "2025-06-01"),
        ("Packed on 2025-W23", "2025-W23"),
        ("D.O.M. 2025", "2025"),
    ],
)
def test_a_made_field_reads_a_made_date(text: str, iso: str) -> None:
    found = read_made(text, TODAY)

    assert (found.says, found.outcome, _isos(found)) == (Says.MADE, Outcome.CLEAR, [iso])


def test_an_expiry_in_a_made_field_is_not_a_made_date() -> None:
    found = read_made("EXP 2027-02", TODAY)

    assert (found.outcome, found.says) == (Outcome.NOT_A_DATE, Says.EXPIRY)


def test_a_made_date_after_today_is_asked() -> None:
    found = read_made("2027-01", TODAY)

    assert (found.outcome, found.note) == (Outcome.UNSURE, "a made date after today")


def test_a_made_day_without_a_year_is_the_latest_past() -> None:
    assert _isos(read_made("NOV 24", TODAY)) == ["2024-11", "2026-11-24"]


def test_an_old_made_date_is_as_likely_as_a_new_one() -> None:
    assert _isos(read_made("13/06/25", TODAY)) == ["2013-06-25", "2025-06-13"]


def test_a_made_quarter_of_a_rubber_part_is_pointed_out() -> None:
    found = read_made("3/94", TODAY)

    assert (_isos(found), found.confirm) == (["1994-03"], True)
    assert "ISO 2230" in found.note


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("0124", "2024-01-07/2024-01-13"),
        ("5323", "2023-12-31/2024-01-06"),
        ("MFG 3524", "2024-09-01/2024-09-07"),
    ],
)
def test_tyre_weeks_are_full_ones_from_sunday(text: str, iso: str) -> None:
    assert _isos(read_made(text, TODAY, context=DateContext.TYRE)) == [iso]


@pytest.mark.parametrize("text", ["0024", "5424", "9924"])
def test_a_tyre_week_that_the_year_lacks_is_no_date(text: str) -> None:
    assert read_made(text, TODAY, context=DateContext.TYRE).outcome is Outcome.NOT_A_DATE


def test_a_bare_year_on_a_tyre_may_be_a_week() -> None:
    found = read_made("2024", TODAY, context=DateContext.TYRE)

    assert _isos(found) == ["2024-05-19/2024-05-25", "2024"]


def test_a_week_code_off_a_tyre_is_asked() -> None:
    assert read_made("3524", TODAY).outcome is Outcome.UNSURE


@pytest.mark.parametrize("text", ["DOT 4", "DOT 4 2024", "DOT 51 LV 2024", "DOT 5.1 2024"])
def test_the_grade_of_a_brake_fluid_is_no_tyre_code(text: str) -> None:
    assert read_date(text, TODAY).outcome is Outcome.NOT_A_DATE


def test_a_full_tyre_number_is_known_without_being_told() -> None:
    assert _isos(read_date("DOT U2LL LMLR 3524", TODAY)) == ["2024-09-01/2024-09-07"]
