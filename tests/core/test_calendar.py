from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.calendar import Life, PartialDate, Precision, end_of_month, in_words, spoken


@pytest.mark.parametrize(
    ("iso", "precision", "first", "last"),
    [
        ("2027", Precision.YEAR, "2027-01-01", "2027-12-31"),
        ("2028-02", Precision.MONTH, "2028-02-01", "2028-02-29"),
        ("2027-12", Precision.MONTH, "2027-12-01", "2027-12-31"),
        ("2027-W09", Precision.WEEK, "2027-03-01", "2027-03-07"),
        ("2024-09-01/2024-09-07", Precision.WEEK, "2024-09-01", "2024-09-07"),
        ("2027-11-30", Precision.DAY, "2027-11-30", "2027-11-30"),
    ],
)
def test_a_printed_date_covers_its_first_to_its_last_day(
    iso: str, precision: Precision, first: str, last: str
) -> None:
    printed = PartialDate(iso)

    assert (printed.precision, str(printed)) == (precision, iso)
    assert (str(printed.first_day()), str(printed.last_day())) == (first, last)


@pytest.mark.parametrize(
    "iso",
    [
        *("", "27", "2027-2", "2027-13", "2027-02-29", "2025-W53", "20270228", "٢٠٢٧"),
        *("2024-09-01/2024-09-08", "2024-09-01/", "2024-W01/2024-W02", "/", "2027\n"),
    ],
)
def test_what_is_no_iso_date_is_refused(iso: str) -> None:
    with pytest.raises(ValueError, match="is not a date: "):
        PartialDate(iso)


@given(st.dates())
def test_a_day_survives_the_way_through_its_text(day: date) -> None:
    printed = PartialDate(day.isoformat())

    assert printed.first_day() == printed.last_day() == day


@pytest.mark.parametrize(
    ("text", "life"),
    [
        ("24 months", Life(months=24)),
        ("2 Years", Life(months=24)),
        ("28days", Life(days=28)),
        (" 6 weeks ", Life(days=42)),
        ("1 month", Life(months=1)),
    ],
)
def test_a_life_is_read_as_people_write_it(text: str, life: Life) -> None:
    assert Life.parse(text) == life


@pytest.mark.parametrize("text", ["", "months", "2 fortnights", "-1 month", "1.5 years", "٣ days"])
def test_other_words_are_no_life(text: str) -> None:
    with pytest.raises(ValueError, match="is not a life"):
        Life.parse(text)


@pytest.mark.parametrize(
    ("life", "words"),
    [
        (Life(months=1), "1 month"),
        (Life(months=24), "24 months"),
        (Life(days=1), "1 day"),
        (Life(days=28), "28 days"),
        (Life(), "0 days"),
    ],
)
def test_a_life_tells_its_length(life: Life, words: str) -> None:
    assert str(life) == words


def test_a_life_of_nothing_ends_on_the_day_itself() -> None:
    assert Life().after(date(2026, 11, 25)) == date(2026, 11, 25)


@pytest.mark.parametrize(
    ("day", "last"),
    [
        (date(2027, 2, 1), date(2027, 2, 28)),
        (date(2028, 2, 29), date(2028, 2, 29)),
        (date(2027, 12, 5), date(2027, 12, 31)),
    ],
)
def test_a_month_ends_on_its_last_day(day: date, last: date) -> None:
    assert end_of_month(day) == last


@pytest.mark.parametrize(
    ("precision", "words"),
    [
        (Precision.DAY, "05 NOV 2027"),
        (Precision.WEEK, "05 NOV 2027"),
        (Precision.MONTH, "NOV 2027"),
        (Precision.YEAR, "2027"),
    ],
)
def test_a_day_is_spoken_as_precisely_as_it_was_printed(precision: Precision, words: str) -> None:
    assert spoken(date(2027, 11, 5), precision) == words


def test_no_day_is_a_dash() -> None:
    assert spoken(None) == "-"


@pytest.mark.parametrize(
    ("iso", "words"),
    [
        ("2027", "2027"),
        ("2027-11", "NOV 2027"),
        ("2027-11-30", "30 NOV 2027"),
        ("2027-W09", "the week from 01 MAR 2027"),
        ("2024-09-01/2024-09-07", "the week from 01 SEP 2024"),
    ],
)
def test_a_printed_date_is_told_no_more_precisely_than_it_is(iso: str, words: str) -> None:
    assert in_words(PartialDate(iso)) == words
