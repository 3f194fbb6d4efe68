"""Days, reduced-precision dates and lives, with the month arithmetic of the trade.

Months are calendar months, never thirty days; a missing day is clipped to the month's last one
(Regulation (EEC, Euratom) 1182/71 Art. 3, and dateutil's ``relativedelta`` does the same). The day
of the event is not counted: opened on day D and good for 28 days means good through D + 28.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

MONTHS = ("JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC")


class Precision(StrEnum):
    """How much of a date was printed."""

    DAY = "day"
    WEEK = "week"
    MONTH = "month"
    YEAR = "year"


@dataclass(frozen=True, slots=True)
class PartialDate:
    """A date as precise as it was printed: ``2027``, ``2027-11``, ``2027-W09``, ``2027-11-30``.

    Kept as ISO 8601 text, never padded to a day that nobody printed. A week that is not an ISO
    week (tyre weeks run from Sunday) is kept as the interval ``2024-09-01/2024-09-07``.
    """

    iso: str

    def __post_init__(self) -> None:
        try:
            self.first_day()
        except ValueError as error:
            raise ValueError(f"{self.iso!r} is not a date: {error}") from error

    @property
    def precision(self) -> Precision:
        """Day, week, month or year."""
        if "W" in self.iso or "/" in self.iso:
            return Precision.WEEK
        return (Precision.YEAR, Precision.MONTH, Precision.DAY)[self.iso.count("-")]

    def first_day(self) -> date:
        """The first day that the printed date covers; ValueError when it is no date."""
        if "/" in self.iso:
            return self._first_of_interval()
        found = re.fullmatch(r"(\d{4})(?:-(\d\d)(?:-(\d\d))?|-W(\d\d))?", self.iso, re.ASCII)
        if not found:
            raise ValueError("it is not YYYY, YYYY-MM, YYYY-Www or YYYY-MM-DD")
        year, month, day, week = found.groups()
        if week:
            return date.fromisocalendar(int(year), int(week), 1)
        return date(int(year), int(month or 1), int(day or 1))

    def _first_of_interval(self) -> date:
        start, _, end = self.iso.partition("/")
        first = date.fromisoformat(start)
        if self.iso != f"{first}/{first + timedelta(days=6)}":
            raise ValueError(f"{end!r} does not end a week that begins {start}")
        return first

    def last_day(self) -> date:
        """The last day that the printed date covers."""
        first = self.first_day()
        match self.precision:
            case Precision.WEEK:
                return first + timedelta(days=6)
            case Precision.MONTH:
                return end_of_month(first)
            case Precision.YEAR:
                return date(first.year, 12, 31)
            case _:
                return first

    def __str__(self) -> str:
        return self.iso


@dataclass(frozen=True, slots=True)
class Life:
    """How long something keeps: whole months, or whole days. ``Life()`` is "at once, keep none"."""

    months: int = 0
    days: int = 0

    @classmethod
    def parse(cls, text: str) -> Life:
        """Read ``24 months``, ``2 years``, ``28 days``, ``6 weeks``; ValueError for other text."""
        found = re.fullmatch(r"(\d{1,4})\s*(day|week|month|year)s?", text.strip().lower(), re.ASCII)
        if not found:
            raise ValueError(f"{text!r} is not a life such as '24 months' or '28 days'")
        count, unit = int(found[1]), found[2]
        if unit in {"day", "week"}:
            return cls(days=count * (7 if unit == "week" else 1))
        return cls(months=count * (12 if unit == "year" else 1))

    def after(self, start: date) -> date:
        """The last day of this life when it begins on ``start`` (``start`` is not counted)."""
        from dateutil.relativedelta import relativedelta

        return start + relativedelta(months=self.months, days=self.days)

    def __str__(self) -> str:
        count, unit = (self.months, "month") if self.months else (self.days, "day")
        return f"{count} {unit}" if count == 1 else f"{count} {unit}s"


def end_of_month(day: date) -> date:
    """The last day of the month that ``day`` lies in."""
    following = date(day.year + day.month // 12, day.month % 12 + 1, 1)
    return following - timedelta(days=1)


def spoken(day: date | None, precision: Precision = Precision.DAY) -> str:
    """A day for people: ``30 NOV 2027``, ``NOV 2027``, ``2027``; ``-`` for none."""
    if day is None:
        return "-"
    if precision is Precision.YEAR:
        return str(day.year)
    month = f"{MONTHS[day.month - 1]} {day.year}"
    return month if precision is Precision.MONTH else f"{day.day:02d} {month}"


def in_words(printed: PartialDate) -> str:
    """A printed date for people, no more precise than it is: ``NOV 2027``."""
    if printed.precision is Precision.WEEK:
        return f"the week from {spoken(printed.first_day())}"
    return spoken(printed.first_day(), printed.precision)
