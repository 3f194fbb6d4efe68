"""What a printed date could mean: candidates, and how one is made from figures.

Two-digit years follow the GS1 General Specifications, section 7.12. Years printed in full must lie
from 80 years back to 50 years ahead, so that a slip such as 2207 is no date rather than one that
never comes (the 50 is the same section's window, the 80 our own choice).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from stockcheck.core.calendar import PartialDate

YEARS_BACK, YEARS_AHEAD = 80, 50
_FAR_PAST_DAYS = 3653


@dataclass(frozen=True, slots=True)
class Candidate:
    """One thing that the figures could mean; ``order`` tells how they were taken, as ``dmy``."""

    date: PartialDate
    order: str


@dataclass(frozen=True, slots=True)
class Shape:
    """Everything that the figures could mean, without regard to the words beside them.

    ``settled`` is False where even a single candidate must not be taken without asking;
    ``confirm`` where the candidate may be taken but is worth a look; ``note`` says why.
    """

    candidates: tuple[Candidate, ...] = ()
    settled: bool = True
    confirm: bool = False
    note: str = ""


NO_SHAPE = Shape()


@dataclass(frozen=True, slots=True)
class Asked:
    """What is known when figures are read.

    ``made``: a made date is looked for, so a day without a year is the latest one past.
    ``marked``: words beside the date say what it is. ``shows_day``: after these words EU food
    law has a day, not a year, before the month's name. ``order``: dmy, mdy or ymd, as told.
    """

    today: date
    made: bool = False
    marked: bool = False
    shows_day: bool = False
    order: str | None = None


def century(two_digits: int, today: date) -> int:
    """The full year of a two-digit one: from 49 years back to 50 ahead (GS1 GenSpecs 7.12)."""
    difference = two_digits - today.year % 100
    shift = -100 if difference >= 51 else 100 if difference <= -50 else 0
    return today.year - today.year % 100 + two_digits + shift


def year_of(text: str, today: date) -> int | None:
    """The year that two or four figures stand for; None when there is no likely one."""
    if len(text) == 2:
        return century(int(text), today)
    year = int(text)
    near = today.year - YEARS_BACK <= year <= today.year + YEARS_AHEAD
    return year if len(text) == 4 and near else None


def as_candidate(iso: str, order: str) -> tuple[Candidate, ...]:
    """The candidate of an ISO text; none when there is no such day, month or week."""
    if not "1000" <= iso[:4] <= "9000":
        return ()
    try:
        return (Candidate(PartialDate(iso), order),)
    except ValueError:
        return ()


def a_day(year: str, month: str, day: str, order: str, today: date) -> tuple[Candidate, ...]:
    """The day that three figures name; none when it does not exist."""
    full = year_of(year, today)
    if full is None:
        return ()
    return as_candidate(f"{full:04d}-{int(month):02d}-{int(day):02d}", order)


def a_month(year: str, month: str, order: str, today: date) -> tuple[Candidate, ...]:
    """The month that two figures name; none when it does not exist."""
    full = year_of(year, today)
    return () if full is None else as_candidate(f"{full:04d}-{int(month):02d}", order)


def next_day(month: str, day: str, order: str, today: date) -> tuple[Candidate, ...]:
    """The first such day on or after today: the year is not printed."""
    return _nearest(month, day, order, range(today.year, today.year + 9), (today, date.max))


def latest_day(month: str, day: str, order: str, today: date) -> tuple[Candidate, ...]:
    """The last such day on or before today: the year is not printed."""
    return _nearest(month, day, order, range(today.year, today.year - 9, -1), (date.min, today))


def near_day(month: str, day: str, order: str, asked: Asked) -> tuple[Candidate, ...]:
    """A day without a year: the latest past one for a made date, else the next."""
    return (latest_day if asked.made else next_day)(month, day, order, asked.today)


def is_far_past(candidate: Candidate, today: date) -> bool:
    """Whether it lies more than ten years back, which no pack's expiry is likely to."""
    return candidate.date.last_day().toordinal() < today.toordinal() - _FAR_PAST_DAYS


def _nearest(
    month: str, day: str, order: str, years: range, within: tuple[date, date]
) -> tuple[Candidate, ...]:
    for year in years:
        found = as_candidate(f"{year:04d}-{int(month):02d}-{int(day):02d}", order)
        if found and within[0] <= found[0].date.first_day() <= within[1]:
            return found
    return ()
