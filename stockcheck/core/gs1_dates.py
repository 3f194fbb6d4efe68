"""Dates in GS1 element strings: YYMMDD, the century by today, day 00 where it is allowed.

The library that takes element strings apart reads the clock for the century and accepts day 00
everywhere, so the figures are read here. GS1 General Specifications: section 7.12 for the century;
day 00 is the last day of the month (text for AI 17); which dates may have it and which must name a
day from the GS1 Syntax Dictionary.
"""

from __future__ import annotations

from datetime import date

from stockcheck.core.calendar import PartialDate
from stockcheck.core.date_candidates import century

WHOLE_DATES = frozenset({"11", "12", "13", "15", "16", "17"})
"""Dates of six figures, where the day may be 00."""

_WITH_TIME = {"7003": 10, "7006": 6, "7007": 12, "7011": 10, "8008": 12}
"""Dates that must name a day, with the most figures that they may have."""


class Malformed(ValueError):
    """A GS1 code that breaks its own rules; the message says which and where."""


def element_date(ai: str, value: str, today: date) -> PartialDate | None:
    """The date of an element as precisely as it is given; None when it holds no date."""
    if ai in WHOLE_DATES:
        return _read(ai, value, today, may_be_month=True)
    if ai not in _WITH_TIME:
        return None
    first = _read(ai, value[:6], today, may_be_month=False)
    if ai == "7007" and value[6:]:
        _read(ai, value[6:], today, may_be_month=False)
    elif value[6:]:
        _check_time(ai, value[6:])
    return first


def _read(ai: str, figures: str, today: date, *, may_be_month: bool) -> PartialDate:
    year, month, day = century(int(figures[:2]), today), figures[2:4], figures[4:6]
    if day == "00" and not may_be_month:
        raise Malformed(f"AI {ai} {figures}: this date must name a day, 00 is not allowed")
    iso = f"{year:04d}-{month}" if day == "00" else f"{year:04d}-{month}-{day}"
    try:
        return PartialDate(iso)
    except ValueError as error:
        raise Malformed(f"AI {ai} {figures}: there is no day {iso} in the calendar") from error


def _check_time(ai: str, figures: str) -> None:
    hour, rest = figures[:2], (figures[2:4], figures[4:6])
    if int(hour) > 23 or any(int(part or 0) > 59 for part in rest):
        raise Malformed(f"AI {ai}: there is no time {hour}:{''.join(rest)}")
