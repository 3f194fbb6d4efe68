"""Limits against the published rule for periods, and against calendar arithmetic done by hand.

The rule is Regulation (EEC, Euratom) 1182/71 Article 3: the day of the event is not counted; a
period in months ends on the day with the same number, or on the last day of its month where that
day is missing (paragraph 2 (c), from memory). Its shift to the next working day (paragraph 4) is
not applied to shelf lives.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.calendar import Life, PartialDate
from stockcheck.core.model import (
    Certainty,
    DateContext,
    DateMeaning,
    Item,
    Kind,
    LifeRule,
    Limit,
    Lot,
    PastDate,
    PrintedExpiry,
)
from stockcheck.core.shelf_life import governing, limits, made_life


def lot(
    *, printed: str | None = None, made: str | None = None, sealed: str = "", opened: str = ""
) -> Lot:
    """A lot of a kind with these lives, with a printed last usable day and a made date or none."""
    kind = Kind(
        key="eye-drops",
        name="eye drops",
        group="invented",
        dates=DateContext.MEDICINE,
        meaning=DateMeaning.SAFETY,
        past=PastDate.DISCARD,
        disposal="d4",
        source="invented",
        certainty=Certainty.OWN,
        sealed=life(sealed),
        opened=life(opened),
    )
    expiry = PrintedExpiry(printed, PartialDate(printed), day(printed)) if printed else None
    made_on = PartialDate(made) if made else None
    return Lot(1, "1000000013", Item(1, "3000000016", "eye drops", kind), "", expiry, made_on)


def life(text: str) -> LifeRule | None:
    return LifeRule(Life.parse(text), "invented", Certainty.OWN) if text else None


def day(iso: str) -> date:
    return date.fromisoformat(iso)


def first(one: Lot, opened_on: str | None = None) -> Limit:
    found = governing(limits(one, day(opened_on) if opened_on else None))
    assert found is not None
    return found


# Worked by hand: the effective day is the earlier of the printed day and opening day + period.
@pytest.mark.parametrize(
    ("printed", "opened_on", "period", "effective", "governs"),
    [
        ("2027-06-30", "2026-11-25", "28 days", "2026-12-23", "opened"),
        ("2026-12-10", "2026-11-25", "28 days", "2026-12-10", "printed"),
        ("2027-06-30", "2026-11-25", "30 days", "2026-12-25", "opened"),
        ("2027-06-30", "2026-11-25", "1 month", "2026-12-25", "opened"),
        ("2027-06-30", "2027-01-29", "1 month", "2027-02-28", "opened"),
        ("2027-06-30", "2027-01-30", "1 month", "2027-02-28", "opened"),
        ("2027-06-30", "2027-01-31", "1 month", "2027-02-28", "opened"),
        ("2027-06-30", "2026-08-31", "6 months", "2027-02-28", "opened"),
        ("2027-01-31", "2026-08-31", "6 months", "2027-01-31", "printed"),
        ("2029-12-31", "2027-08-31", "6 months", "2028-02-29", "opened"),
        ("2029-12-31", "2028-02-29", "12 months", "2029-02-28", "opened"),
        (None, "2026-12-31", "2 months", "2027-02-28", "opened"),
        ("2027-02-28", "2027-03-01", "7 days", "2027-02-28", "printed"),
    ],
)
def test_an_opened_pack_is_good_to_the_earlier_of_its_two_days(
    printed: str | None, opened_on: str, period: str, effective: str, governs: str
) -> None:
    limit = first(lot(printed=printed, opened=period), opened_on)
    assert (limit.last_usable_day, limit.name) == (day(effective), governs)


def test_a_pack_opened_after_its_printed_day_is_flagged() -> None:
    found = limits(lot(printed="2027-02-28", opened="7 days"), day("2027-03-01"))
    assert [limit.name for limit in found if "opened after its printed date" in limit.why] == [
        "opened"
    ]


# By calendar month and by days, from two openings; last usable day = opened + 28.
@pytest.mark.parametrize(
    ("opened_on", "period", "last"),
    [
        ("2026-01-31", "1 month", "2026-02-28"),
        ("2026-01-31", "28 days", "2026-02-28"),
        ("2026-03-31", "1 month", "2026-04-30"),
        ("2026-03-31", "28 days", "2026-04-28"),
    ],
)
def test_a_month_is_a_calendar_month_and_never_a_number_of_days(
    opened_on: str, period: str, last: str
) -> None:
    assert first(lot(opened=period), opened_on).last_usable_day == day(last)


# Made dates with a stated shelf life: the day itself by 1182/71; a bare month has a safe reading,
# counted from its first day (that day included), and a latest one, counted from its last.
@pytest.mark.parametrize(
    ("made", "safe", "latest"),
    [
        ("2025-03-31", "2027-03-31", "2027-03-31"),
        ("2025-03", "2027-02-28", "2027-03-31"),
    ],
)
def test_a_made_date_and_a_shelf_life_of_24_months(made: str, safe: str, latest: str) -> None:
    one = lot(made=made, sealed="24 months")
    assert first(one).last_usable_day == day(safe)
    assert made_life(one, Life(months=24)) == (day(safe), day(latest))


# Month arithmetic worked by hand, as a sealed life from a made day.
@pytest.mark.parametrize(
    ("made", "period", "last"),
    [
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
    ],
)
def test_a_missing_day_is_clipped_to_the_last_of_its_month(
    made: str, period: str, last: str
) -> None:
    assert first(lot(made=made, sealed=period)).last_usable_day == day(last)


@given(st.dates(date(1990, 1, 1), date(2090, 12, 31)), st.integers(1, 240))
def test_months_agree_with_the_regulation_and_with_dateutil(made: date, months: int) -> None:
    """``relativedelta`` clips as Article 3 does; so the months counted back never overshoot."""
    last = first(lot(made=made.isoformat(), sealed=f"{months} months")).last_usable_day
    assert last == made + relativedelta(months=months)
    assert (last.year * 12 + last.month) - (made.year * 12 + made.month) == months
    assert last.day == made.day or (last + timedelta(days=1)).day == 1


@pytest.mark.parametrize(
    ("made", "last"), [("2027-01-06", "2027-02-06"), ("2027-04-01", "2027-05-01")]
)
def test_a_life_that_ends_on_a_weekend_is_not_shifted_to_a_working_day(
    made: str, last: str
) -> None:
    """Article 3 (4) would move the end of a period; a shelf life ends when it ends."""
    assert day(last).isoweekday() == 6
    assert first(lot(made=made, sealed="1 month")).last_usable_day == day(last)
