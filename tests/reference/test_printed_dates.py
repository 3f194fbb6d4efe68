"""The published cases for printed dates, calendar arithmetic and the century, row by row.

Today is 25 November 2026 unless a row says otherwise. Sources of the rules (numbers as in the
field ``rule``):

R1  USP General Chapter <7>: month and year, through the month's last day; R7 its layouts
R2  UK medicines regulator, as reported by the Royal Pharmaceutical Society (MEP ed. 35, p. 36)
R3  Royal Pharmaceutical Society: "use before" a month ends with the month before
R4  a conflict of published guidance on "use by" and "best before" for medicines
R5  an English prescribing group's table: "expires", "discard after", "use before end"
R9  Regulation (EU) 1169/2011 Annex X(1), best before (end); R10 Annex X(2), use by
R11 day and month without a year, from Annex X; the year itself is our own policy
R12 Regulation (EC) 1223/2009 Art. 19 (cosmetics); R13 ISO 15223-1
R14 49 CFR 574.5, tyre weeks; R15 EANCOM code list; R16 ordinal codes in use
R17 ISO 8601-1; R18 other calendars; R19 our own policy: a made date or a batch is no expiry
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pytest
from dateutil.relativedelta import relativedelta

from stockcheck.core.calendar import Life, PartialDate, Precision
from stockcheck.core.dates import Outcome, Says, century, earliest, read_date, read_made
from stockcheck.core.model import (
    Certainty,
    DateContext,
    DateMeaning,
    Item,
    Kind,
    LifeRule,
    Lot,
    PastDate,
    PrintedExpiry,
)
from stockcheck.core.shelf_life import limits, made_life

TODAY = date(2026, 11, 25)
GENERAL, MEDICINE, FOOD = DateContext.GENERAL, DateContext.MEDICINE, DateContext.FOOD
COSMETIC, TYRE = DateContext.COSMETIC, DateContext.TYRE


@dataclass(frozen=True)
class Clear:
    """A text with one reading: its printed precision and its last usable day."""

    row: int
    text: str
    iso: str
    last: str
    rule: str
    context: DateContext = GENERAL
    confirm: bool = False


CLEAR = [
    Clear(1, "EXP 2027-02-28", "2027-02-28", "2027-02-28", "R17"),
    Clear(2, "EXP 2027-02", "2027-02", "2027-02-28", "R1"),
    Clear(3, "EXP 02/2028", "2028-02", "2028-02-29", "R1, leap year"),
    Clear(4, "EXP: 02-2027", "2027-02", "2027-02-28", "R1"),
    Clear(4, "EXP 02 2027", "2027-02", "2027-02-28", "R1"),
    Clear(4, "EXP 02.2027", "2027-02", "2027-02-28", "R1"),
    Clear(5, "EXP FEB 2027", "2027-02", "2027-02-28", "R7"),
    Clear(5, "EXP 2027 FEB", "2027-02", "2027-02-28", "R7"),
    Clear(5, "EXP 2027-FEB", "2027-02", "2027-02-28", "R7"),
    Clear(6, "EXP 2027 FEB 05", "2027-02-05", "2027-02-05", "R7"),
    Clear(6, "EXP 2027/02/05", "2027-02-05", "2027-02-05", "R7"),
    Clear(7, "EXP 05 FEB 2027", "2027-02-05", "2027-02-05", "a named month removes doubt"),
    Clear(7, "05FEB2027", "2027-02-05", "2027-02-05", "a named month removes doubt"),
    Clear(8, "Expires June 2027", "2027-06", "2027-06-30", "R5", MEDICINE),
    Clear(8, "Discard after 06/2027", "2027-06", "2027-06-30", "R5", MEDICINE),
    Clear(9, "Use before end 06/2027", "2027-06", "2027-06-30", "R5"),
    Clear(10, "Use before 06/2027", "2027-06", "2027-05-31", "R3", MEDICINE),
    Clear(13, "Best before end 08/2027", "2027-08", "2027-08-31", "R9", FOOD),
    Clear(13, "BBE AUG 2027", "2027-08", "2027-08-31", "R9, abbreviation from memory"),
    Clear(14, "Best before end: 2027", "2027", "2027-12-31", "R9"),
    Clear(15, "Best before 31.08.2027", "2027-08-31", "2027-08-31", "R9"),
    Clear(16, "Best before: 23 January", "2027-01-23", "2027-01-23", "R11", confirm=True),
    Clear(18, "Use by 14 DEC 2026", "2026-12-14", "2026-12-14", "R10", FOOD),
    Clear(19, "Mindestens haltbar bis Ende 08/2027", "2027-08", "2027-08-31", "R9"),
    Clear(19, "À consommer de préférence avant fin 08/2027", "2027-08", "2027-08-31", "R9"),
    Clear(20, "⌛ 2027-06", "2027-06", "2027-06-30", "R13"),
    Clear(20, "⏳ 2027-06", "2027-06", "2027-06-30", "R13"),
    Clear(20, "hourglass symbol + 2027-06", "2027-06", "2027-06-30", "R13"),
    Clear(23, "EXP 13/06/27", "2027-06-13", "2027-06-13", "only a past one left", confirm=True),
    Clear(24, "EXP 06/13/27", "2027-06-13", "2027-06-13", "only M/D/Y fits"),
    Clear(24, "EXP 31/01/2027", "2027-01-31", "2027-01-31", "31 cannot be a month"),
    Clear(27, "EXP 06/27", "2027-06", "2027-06-30", "27 June is the other", confirm=True),
    Clear(30, "EXP 20270228", "2027-02-28", "2027-02-28", "R17, basic form"),
    Clear(33, "2027-W09", "2027-W09", "2027-03-07", "R17, ends on Sunday"),
    Clear(33, "2027-059", "2027-02-28", "2027-02-28", "R17, ordinal"),
]

NAMED_OUTCOME = {  # from the design's first rule and the shelf-life reference, parts 0.1 and V17
    "EXP 11/2027": "2027-11-30",
    "USE BEFORE 11/2027": "2027-10-31",
    "BBE 2027": "2027-12-31",
    "EXP 07/2020": "2020-07-31",
}


@pytest.mark.parametrize("case", CLEAR, ids=lambda case: f"row {case.row}: {case.text}")
def test_a_clear_text_has_its_published_last_usable_day(case: Clear) -> None:
    found = read_date(case.text, TODAY, context=case.context)

    assert (found.outcome, found.confirm) == (Outcome.CLEAR, case.confirm)
    assert found.reading is not None
    assert (found.reading.date.iso, str(found.reading.last_usable_day)) == (case.iso, case.last)
    assert found.says in {Says.EXPIRY, Says.NOTHING}
    assert bool(found.note) is case.confirm


@pytest.mark.parametrize(("text", "last"), NAMED_OUTCOME.items())
def test_the_word_beside_a_month_counts(text: str, last: str) -> None:
    found = read_date(text, TODAY)

    assert found.reading is not None
    assert str(found.reading.last_usable_day) == last


@dataclass(frozen=True)
class Ask:
    """A text that must not be guessed: the last days of every reading named, the safe one first."""

    row: int
    text: str
    lasts: tuple[str, ...]
    rule: str
    context: DateContext = GENERAL
    more: bool = False  # readings beyond those named exist


ASK = [
    Ask(11, "Use by 06/2027", ("2027-05-31", "2027-06-30"), "R4", MEDICINE),
    Ask(12, "Best before 06/2027", ("2027-05-31", "2027-06-30"), "R4", MEDICINE),
    Ask(17, "Best before: 23 November", ("2026-11-23", "2027-11-23"), "R11"),
    Ask(25, "EXP 05/06/27", ("2027-05-06", "2027-06-05"), "D/M or M/D"),
    Ask(25, "EXP 01/02/2027", ("2027-01-02", "2027-02-01"), "D/M or M/D"),
    Ask(26, "EXP 28/02/27", ("2027-02-28", "2028-02-27"), "both plausible"),
    Ask(26, "EXP 27/02/28", ("2027-02-28", "2028-02-27"), "both plausible"),
    Ask(28, "EXP 10/11", ("2010-11-30", "2011-10-31", "2027-10-11", "2027-11-10"), "-"),
    Ask(29, "EXP 270228", ("2027-02-28", "2028-02-27"), "print, not AI 17"),
    Ask(29, "EXP 310127", ("2027-01-31", "2031-01-27"), "print, not AI 17"),
    Ask(31, "EXP 022027", ("2027-02-20", "2027-02-28"), "six digits"),
    Ask(32, "EXP MA 2027", ("2027-03-31", "2027-05-31"), "R7"),
    Ask(32, "EXP JN 27", ("2027-01-31", "2027-06-30"), "R7", more=True),
    Ask(32, "EXP JUN27", ("2027-06-27", "2027-06-30"), "June 2027 or 27 June"),
    Ask(32, "27 JUN", ("2027-06-27", "2027-06-30"), "June 2027 or 27 June"),
    Ask(37, "2435", ("2024-09-01", "2035-06-17"), "R15, 2024-W35 or 2035-W24", more=True),
    Ask(38, "24123", ("2024-05-02",), "R16"),
    Ask(38, "4123", ("2014-05-03", "2024-05-02"), "R16", more=True),
    Ask(39, "1234", ("2021-08-22", "2024-05-02"), "R16", more=True),
    Ask(40, "EXP 06/2570", ("2027-06-30",), "R18"),
    Ask(41, "EXP 2027", ("2026-12-31", "2027-12-31"), "no rule found"),
]


@pytest.mark.parametrize("case", ASK, ids=lambda case: f"row {case.row}: {case.text}")
def test_a_text_that_must_be_asked_comes_with_every_reading(case: Ask) -> None:
    found = read_date(case.text, TODAY, context=case.context)
    lasts = [str(reading.last_usable_day) for reading in found.readings]

    assert (found.outcome, found.reading) == (Outcome.UNSURE, None)
    assert [last for last in lasts if last in case.lasts] == list(case.lasts)
    assert case.more or lasts == list(case.lasts)
    assert found.note


def test_the_safe_reading_of_use_by_a_month_is_the_month_before() -> None:
    # Shelf-life reference V17: use by 07/2020 -> 2020-06-30
    safe = earliest(read_date("use by 07/2020", TODAY, context=MEDICINE))

    assert safe is not None
    assert safe.last_usable_day == date(2020, 6, 30)


REJECT = [  # row 34: no such day; months are 1 to 12. Row 44: nothing printed, unreadable
    *("EXP 2027-02-29", "30 FEB 2027", "31/06/2027", "EXP 13/2027", "EXP 00/2027"),
    *("", "   ", "(illegible)", "????"),
]


@pytest.mark.parametrize("text", REJECT)
def test_what_no_calendar_has_is_not_a_date(text: str) -> None:
    found = read_date(text, TODAY)

    assert (found.outcome, found.readings) == (Outcome.NOT_A_DATE, ())
    assert found.note


@pytest.mark.parametrize("text", ["factory symbol 2025-06", "🏭 2025-06", "MFG 2025-06"])
def test_a_made_date_says_so_and_is_no_expiry(text: str) -> None:  # row 21, R19
    found = read_date(text, TODAY)

    assert found.says is Says.MADE
    assert found.reading is not None
    assert found.reading.date == PartialDate("2025-06")


@pytest.mark.parametrize("text", ["LOT 270228", "B/N 270228", "batch no. 270228"])
def test_a_batch_number_is_not_a_date(text: str) -> None:  # row 21, R19
    found = read_date(text, TODAY)

    assert (found.outcome, found.says, found.readings) == (Outcome.NOT_A_DATE, Says.BATCH, ())


@pytest.mark.parametrize("text", ["12M", "PAO 12M", "open jar 12 M", "open jar symbol: 1 year"])
def test_an_open_jar_has_a_life_and_no_day_until_it_is_opened(text: str) -> None:  # row 22, R12
    found = read_date(text, TODAY, context=COSMETIC)

    assert (found.outcome, found.says) == (Outcome.NOT_A_DATE, Says.OPENED_LIFE)
    assert found.life is not None
    assert found.life.after(date(2026, 8, 31)) == date(2027, 8, 31)


@pytest.mark.parametrize("text", ["DOT … 3524", "DOT XXXX XXXX 3524", "DOTXXXXXXXX3524", "3524"])
def test_a_tyre_code_is_week_and_year_made_by_tyre_weeks(text: str) -> None:  # row 35, R14
    found = read_date(text, TODAY, context=TYRE)

    assert found.says is Says.MADE
    assert found.reading is not None
    made = found.reading.date
    assert (made.first_day(), made.last_day()) == (date(2024, 9, 1), date(2024, 9, 7))
    assert made.precision is Precision.WEEK


@pytest.mark.parametrize("text", ["DOT … 359", "359"])
def test_a_three_figure_tyre_code_is_asked(text: str) -> None:  # row 36, R14
    found = read_date(text, TODAY, context=TYRE)

    assert (found.outcome, found.says) == (Outcome.UNSURE, Says.MADE)
    assert [reading.last_usable_day.year for reading in found.readings] == [1989, 1999]


def _lot(made: str = "", printed: str = "", opened: str = "") -> Lot:
    """An invented lot: made and printed as ISO texts, the kind's opened life in words."""
    rule = LifeRule(Life.parse(opened), "invented", Certainty.OWN) if opened else None
    meanings = DateMeaning.QUALITY, PastDate.DISCARD
    kind = Kind("k", "k", "g", GENERAL, *meanings, "", "", Certainty.OWN, opened=rule)
    return Lot(
        1,
        "",
        Item(1, "", "invented", kind),
        expiry=_day_printed(printed) if printed else None,
        made=PartialDate(made) if made else None,
    )


def _day_printed(iso: str) -> PrintedExpiry:
    return PrintedExpiry(iso, PartialDate(iso), date.fromisoformat(iso))


@pytest.mark.parametrize(
    ("text", "earliest_last", "latest_last"),
    [
        ("MFG 2025-03-31", "2027-03-31", "2027-03-31"),  # row 42, Reg. 1182/71 Art. 3
        ("MFG 2025-03", "2027-02-28", "2027-03-31"),  # row 43, own policy: from the 1st, or ask
    ],
)
def test_a_shelf_life_counts_from_the_made_date(
    text: str, earliest_last: str, latest_last: str
) -> None:
    found = read_made(text, TODAY)
    assert found.reading is not None

    safe, latest = made_life(_lot(made=found.reading.date.iso), Life.parse("24 months"))

    assert (str(safe), str(latest)) == (earliest_last, latest_last)


# Part 2 of the table. Sources: dateutil's relativedelta; Reg. (EEC, Euratom) 1182/71 Art. 3
MONTHS = [
    ("2025-01-31", "1 month", "2025-02-28"),
    ("2024-01-31", "1 month", "2024-02-29"),
    ("2027-02-28", "1 month", "2027-03-28"),
    ("2026-10-31", "1 month", "2026-11-30"),
    ("2026-11-30", "3 months", "2027-02-28"),
    ("2027-11-30", "3 months", "2028-02-29"),
    ("2026-12-15", "1 month", "2027-01-15"),
    ("2028-02-29", "12 months", "2029-02-28"),
    ("2028-02-29", "48 months", "2032-02-29"),
    ("2096-02-29", "4 years", "2100-02-28"),
    ("2025-12-31", "30 months", "2028-06-30"),
    ("2026-08-31", "18 months", "2028-02-29"),
    ("2026-01-31", "2 months", "2026-03-31"),
    # Shelf-life reference V18
    ("2026-01-31", "1 month", "2026-02-28"),
    ("2026-01-31", "28 days", "2026-02-28"),
    ("2026-03-31", "1 month", "2026-04-30"),
    ("2026-03-31", "28 days", "2026-04-28"),
]


@pytest.mark.parametrize(("start", "life", "last"), MONTHS)
def test_a_life_ends_on_the_published_day(start: str, life: str, last: str) -> None:
    assert str(Life.parse(life).after(date.fromisoformat(start))) == last


def test_a_life_of_months_and_days_takes_the_months_first() -> None:
    assert Life(months=1, days=1).after(date(2026, 5, 31)) == date(2026, 7, 1)


def test_months_are_not_reversible_and_chained_additions_drift() -> None:
    month, end_of_january = Life(months=1), date(2026, 1, 31)

    assert month.after(month.after(end_of_january)) == date(2026, 3, 28)
    assert month.after(end_of_january) - relativedelta(months=1) == date(2026, 1, 28)
    assert date(2028, 3, 31) - relativedelta(months=1) == date(2028, 2, 29)


OPENED = [
    ("2027-06-30", "2026-11-25", "28 days", "2026-12-23"),
    ("2026-12-10", "2026-11-25", "28 days", "2026-12-10"),
    ("2027-06-30", "2026-11-25", "30 days", "2026-12-25"),
    ("2027-06-30", "2026-11-25", "1 month", "2026-12-25"),
    ("2027-06-30", "2027-01-29", "1 month", "2027-02-28"),
    ("2027-06-30", "2027-01-30", "1 month", "2027-02-28"),
    ("2027-06-30", "2027-01-31", "1 month", "2027-02-28"),
    ("2027-06-30", "2026-08-31", "6 months", "2027-02-28"),
    ("2027-01-31", "2026-08-31", "6 months", "2027-01-31"),
    ("2029-12-31", "2027-08-31", "6 months", "2028-02-29"),
    ("2029-12-31", "2028-02-29", "12 months", "2029-02-28"),
    ("", "2026-12-31", "2 months", "2027-02-28"),
    ("2027-02-28", "2027-03-01", "7 days", "2027-02-28"),
]


@pytest.mark.parametrize(("printed", "opened", "period", "effective"), OPENED)
def test_an_opened_pack_is_good_through_the_earlier_of_printed_and_opened(
    printed: str, opened: str, period: str, effective: str
) -> None:
    found = limits(_lot(printed=printed, opened=period), date.fromisoformat(opened))

    assert str(found[0].last_usable_day) == effective


def test_a_pack_opened_after_its_date_is_flagged() -> None:
    found = limits(_lot(printed="2027-02-28", opened="7 days"), date(2027, 3, 1))

    assert "opened after its printed date" in found[-1].why


@pytest.mark.parametrize(
    ("day", "week"),
    [
        ("2026-12-31", "2026-W53-4"),
        ("2027-01-01", "2026-W53-5"),
        ("2027-01-03", "2026-W53-7"),
        ("2027-01-04", "2027-W01-1"),
        ("2024-12-30", "2025-W01-1"),
        ("2021-01-03", "2020-W53-7"),
    ],
)
def test_an_iso_week_date_is_its_day(day: str, week: str) -> None:
    found = read_date(week, TODAY)

    assert found.reading is not None
    assert str(found.reading.last_usable_day) == day


@pytest.mark.parametrize(("text", "day"), [("2026-060", "2026-03-01"), ("2028-060", "2028-02-29")])
def test_an_ordinal_date_is_its_day(text: str, day: str) -> None:
    found = read_date(text, TODAY)

    assert found.reading is not None
    assert str(found.reading.last_usable_day) == day


@pytest.mark.parametrize("text", ["2025-W53", "2026-366", "2026-000", "2027-W00", "2027-W09-8"])
def test_a_week_or_day_number_that_the_year_lacks_is_no_date(text: str) -> None:
    assert read_date(text, TODAY).outcome is Outcome.NOT_A_DATE


YEARS = [0, 26, 49, 50, 51, 68, 69, 75, 76, 77, 99]
CENTURIES = {  # GS1 General Specifications, section 7.12: today - 49 to today + 50
    2018: [2000, 2026, 2049, 2050, 2051, 2068, 1969, 1975, 1976, 1977, 1999],
    2026: [2000, 2026, 2049, 2050, 2051, 2068, 2069, 2075, 2076, 1977, 1999],
    2030: [2000, 2026, 2049, 2050, 2051, 2068, 2069, 2075, 2076, 2077, 1999],
    2049: [2000, 2026, 2049, 2050, 2051, 2068, 2069, 2075, 2076, 2077, 2099],
    2050: [2100, 2026, 2049, 2050, 2051, 2068, 2069, 2075, 2076, 2077, 2099],
    2099: [2100, 2126, 2149, 2050, 2051, 2068, 2069, 2075, 2076, 2077, 2099],
}


@pytest.mark.parametrize("today", CENTURIES)
def test_two_digit_years_follow_the_century_window(today: int) -> None:
    assert [century(year, date(today, 11, 25)) for year in YEARS] == CENTURIES[today]
