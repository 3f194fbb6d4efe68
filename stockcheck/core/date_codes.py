"""Week and day codes: ISO weeks, tyre weeks, and the short codes that makers print.

ISO weeks begin on Monday and week 01 holds 4 January (ISO 8601-1). A tyre's week 01 is the year's
first full week, Sunday to Saturday (49 CFR 574.5; the Sunday from memory), so the two differ. Short
codes such as YYDDD, YDDD, DDDY, YYWW and WWYY are all in use and never taken without asking.
"""

from __future__ import annotations

import re
from datetime import date, timedelta

from stockcheck.core.date_candidates import (
    NO_SHAPE,
    Asked,
    Candidate,
    Shape,
    as_candidate,
    century,
    year_of,
)

_CODE_NOTE = "a maker's code: year with week or day of the year, in an order that is not told"


def day_of_year(year: int, day: str, order: str) -> tuple[Candidate, ...]:
    """Day 001 to 365 or 366 of a year; none for another number."""
    if not 1000 <= year <= 9000 or int(day) == 0:
        return ()
    found = date(year, 1, 1) + timedelta(days=int(day) - 1)
    return as_candidate(found.isoformat(), order) if found.year == year else ()


def read_week(parts: tuple[str, ...], joints: tuple[str, ...], asked: Asked) -> Shape:
    """``2027-W09`` and ``2027-W09-7``, with or without the hyphens."""
    if len(parts) not in {3, 4} or joints[:2] not in {("", ""), ("-", "")}:
        return NO_SHAPE
    year = year_of(parts[0], asked.today) if len(parts[0]) == 4 else None
    week, day = parts[2], "".join(parts[3:])
    if len(parts) == 3 and joints[0] == "":
        week, day = week[:2], week[2:]
    elif len(parts) == 4 and joints[2] != "-":
        return NO_SHAPE
    if year is None or len(week) != 2 or len(day) > 1:
        return NO_SHAPE
    if not day:
        return Shape(as_candidate(f"{year:04d}-W{week}", "yyyyww"))
    try:
        found = date.fromisocalendar(year, int(week), int(day))
    except ValueError:
        return NO_SHAPE
    return Shape(as_candidate(found.isoformat(), "yyyywwd"))


def read_code(figures: str, asked: Asked) -> Shape:
    """Every meaning of four or five figures as a maker's code; none is taken without asking."""
    today = asked.today
    if len(figures) == 5:
        found = day_of_year(century(int(figures[:2]), today), figures[2:], "yyddd")
    elif len(figures) == 4:
        first, last = int(figures[:2]), int(figures[2:])
        found = as_candidate(f"{century(first, today):04d}-W{last:02d}", "yyww")
        found += as_candidate(f"{century(last, today):04d}-W{first:02d}", "wwyy")
        for year in _decades(int(figures[0]), asked):
            found += day_of_year(year, figures[1:], "yddd")
        for year in _decades(int(figures[3]), asked):
            found += day_of_year(year, figures[:3], "dddy")
    else:
        return NO_SHAPE
    return Shape(found, settled=False, note=_CODE_NOTE)


def _decades(last_figure: int, asked: Asked) -> tuple[int, int]:
    """The latest year with this last figure and the one before; for an expiry the one after."""
    latest = asked.today.year - (asked.today.year - last_figure) % 10
    return latest, latest + (10 if asked.marked and not asked.made else -10)


def tyre_digits(tidied: str, *, is_tyre: bool) -> str:
    """The date figures at the end of a ``DOT`` number, "" when the text is none.

    Brake fluid says DOT too, so where it is not known to be a tyre, what follows must look like
    an identification number: an ellipsis, or a first group with letters, unlike a grade.
    """
    found = re.fullmatch(r"DOT[ :]*(.*?)([0-9]+)", tidied)
    if not found:
        return ""
    middle, run = found[1], found[2]
    if not is_tyre and not re.match(r"…|\.\.\.|[0-9]*[A-Z][0-9A-Z]|[0-9]+[A-Z]", middle):
        return ""
    return run[-4:] if len(run) >= 3 else ""


def read_tyre(figures: str, asked: Asked, *, bare: bool) -> Shape:
    """Week and year of a tyre: WWYY; three figures are WWY of a decade before mid-2000, ask.

    ``bare`` figures that look like a year near today's may be one.
    """
    week = int(figures[:2])
    if len(figures) == 3:
        last = int(figures[2])
        years = [1980 + last, 1990 + last] + ([2000] if last == 0 and week <= 26 else [])
        found = tuple(one for year in years for one in tyre_week(year, week))
        return Shape(found, settled=False, note="three figures: made before mid-2000")
    found = tyre_week(century(int(figures[2:]), asked.today), week)
    year = year_of(figures, asked.today) if bare else None
    if found and year is not None and abs(year - asked.today.year) <= 10:
        found += as_candidate(figures, "y")
    return Shape(found)


def tyre_week(year: int, week: int) -> tuple[Candidate, ...]:
    """Week 01 is the first full one, Sunday to Saturday; none for a week that does not exist."""
    if not 1000 <= year <= 9000:
        return ()
    weeks = (_first_sunday(year + 1) - _first_sunday(year)).days // 7
    if not 1 <= week <= weeks:
        return ()
    sunday = _first_sunday(year) + timedelta(weeks=week - 1)
    return as_candidate(f"{sunday}/{sunday + timedelta(days=6)}", "tyre")


def _first_sunday(year: int) -> date:
    january = date(year, 1, 1)
    return january + timedelta(days=6 - january.weekday())
