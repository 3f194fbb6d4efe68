"""The times that temperature loggers write: ISO 8601, or figures and a clock; never a guess."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone
from enum import StrEnum
from typing import NamedTuple

_DAY = re.compile(r"(\d{1,4})[/.\-](\d{1,2})[/.\-](\d{1,4})", re.ASCII)
_CLOCK = re.compile(
    r"(\d{1,2})[:.](\d\d)(?:[:.](\d\d)(?:[.,]\d+)?)?\s*(?:([ap])\.?m\.?)?"
    r"\s*(z|utc|gmt|[+-]\d\d:?\d\d)?",
    re.ASCII | re.IGNORECASE,
)


class DateOrder(StrEnum):
    """The order of day, month and year in a date of figures only."""

    YMD = "ymd"
    DMY = "dmy"
    MDY = "mdy"


class Trouble(NamedTuple):
    """Why a cell cannot be read, and what to do; whether every row of the file would have it."""

    what: str
    remedy: str
    of_whole_file: bool = False


def read_time(text: str, order: DateOrder | None = None) -> datetime | Trouble:
    """A logger's time: ISO 8601, or a date of figures and a clock, with an offset or none.

    Year first needs no ``order``; a two-digit year is one of this century.
    """
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        pass
    found = _DAY.match(text)
    if found is None:
        return Trouble("it is no time", "Write it as 2027-05-31 14:30 or 2027-05-31T14:30+02:00.")
    day = _day(found[1], found[2], found[3], order)
    return day if isinstance(day, Trouble) else _with_clock(day, text[found.end() :].strip(" T,"))


def _day(one: str, two: str, three: str, order: DateOrder | None) -> datetime | Trouble:
    if len(one) == 4:
        order = DateOrder.YMD
    if order is None:
        return Trouble(
            "which figure is the day and which the month is not told",
            "Name the order of the file's dates: dmy, mdy or ymd.",
            of_whole_file=True,
        )
    figures = dict(zip(order, (one, two, three), strict=True))
    year = figures["y"]
    if len(year) not in {2, 4} or max(len(figures["m"]), len(figures["d"])) > 2:
        return Trouble(f"it is no date in the order {order}", "Look at the order that was named.")
    try:
        return datetime(  # noqa: DTZ001 - the zone, if any, stands with the clock
            int(year) + (2000 if len(year) == 2 else 0), int(figures["m"]), int(figures["d"])
        )
    except ValueError:
        return Trouble(f"there is no such day in the order {order}", "Look at the order named.")


def _with_clock(day: datetime, text: str) -> datetime | Trouble:
    found = _CLOCK.fullmatch(text)
    if found is None:
        return Trouble("its clock cannot be read", "Write it as 14:30, 14:30:00 or 2:30 PM.")
    hour, half = int(found[1]), (found[4] or "").lower()
    if half and not 1 <= hour <= 12:
        return Trouble(f"there is no hour {hour} {half}m", "Write it as 14:30 or 2:30 PM.")
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    try:
        clock = day.replace(hour=hour, minute=int(found[2]), second=int(found[3] or 0))
    except ValueError:
        return Trouble("there is no such time of day", "Write it as 14:30 or 2:30 PM.")
    return _with_zone(clock, (found[5] or "").lower())


def _with_zone(at: datetime, zone: str) -> datetime | Trouble:
    if not zone:
        return at
    if zone in {"z", "utc", "gmt"}:
        return at.replace(tzinfo=UTC)
    sign = -1 if zone[0] == "-" else 1
    offset = timedelta(hours=int(zone[1:3]), minutes=int(zone[-2:]))
    if offset >= timedelta(days=1):
        return Trouble(f"there is no zone {zone}", "Write the offset from UTC as +02:00.")
    return at.replace(tzinfo=timezone(sign * offset))
