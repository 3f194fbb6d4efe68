"""Dates in figures alone: ``02/2028``, ``13/06/27``, ``20270228``, ``10/11``.

Year first with four figures is ISO 8601; otherwise day, month and year can stand in any of three
orders, and whatever exists in the calendar is a candidate, until an order is told.
"""

from __future__ import annotations

from datetime import date

from stockcheck.core.date_candidates import (
    NO_SHAPE,
    Asked,
    Candidate,
    Shape,
    a_day,
    a_month,
    as_candidate,
    is_far_past,
    near_day,
    year_of,
)
from stockcheck.core.date_codes import day_of_year, read_code

_YEARS_AROUND = 30
_QUARTERS = frozenset("1234")
_QUARTER_NOTE = "on rubber parts such a figure is a quarter of the year (ISO 2230): confirm"


def read_figures(parts: tuple[str, ...], joints: tuple[str, ...], asked: Asked) -> Shape:
    """What one to three groups of figures can mean."""
    if len(parts) == 1:
        return _one(parts[0], asked)
    if len(parts) == 2:
        return _two(*parts, asked)
    if len(parts) == 3 and joints[0] == joints[1]:
        return _three(parts, asked)
    return NO_SHAPE


def _two(first: str, last: str, asked: Asked) -> Shape:
    lengths = len(first), len(last)
    if lengths == (4, 3):
        return Shape(ordinal(first, last, asked.today))
    if lengths[0] <= 2 and lengths[1] == 4:
        return Shape(a_month(last, first, "my", asked.today))
    if lengths[0] == 4 and lengths[1] <= 2:
        return Shape(a_month(first, last, "ym", asked.today))
    return _short_pair(first, last, asked) if max(lengths) <= 2 else NO_SHAPE


def _short_pair(first: str, last: str, asked: Asked) -> Shape:
    """``06/27``: month and year as it is mostly meant; ``10/11``: no telling.

    Month and year are taken when neither year-month nor day-month fits and they do not lie far
    back; month-day remains a possibility that is told. No rule puts a two-digit year first.
    """
    my = a_month(last, first, "my", asked.today) if len(last) == 2 else ()
    ym = a_month(first, last, "ym", asked.today) if len(first) == 2 else ()
    dm = near_day(last, first, "dm", asked)
    md = near_day(first, last, "md", asked)
    if my and not ym and not dm and not (md and is_far_past(my[0], asked.today)):
        if asked.made and first in _QUARTERS:
            return Shape(my, confirm=True, note=_QUARTER_NOTE)
        note = f"as month and day it would be {md[0].date}" if md else ""
        return Shape(my, confirm=bool(md), note=note)
    found = _in_order(my + ym + dm + md, asked)
    by_rule = len(found) == 1 and asked.order is not None and len(my + ym + dm + md) > 1
    return Shape(found, settled=by_rule, note="two figures each: year, month or day")


def _three(parts: tuple[str, ...], asked: Asked) -> Shape:
    first, middle, last = parts
    lengths = tuple(map(len, parts))
    if max(lengths) > 4 or lengths[1] > 2:
        return NO_SHAPE
    if lengths[0] == 4 and lengths[2] <= 2:
        return Shape(a_day(first, middle, last, "ymd", asked.today))
    if lengths[0] > 2 or lengths[2] not in {2, 4}:
        return NO_SHAPE
    found = a_day(last, middle, first, "dmy", asked.today)
    found += a_day(last, first, middle, "mdy", asked.today)
    if lengths[0] == lengths[2] == 2:
        found += a_day(first, middle, last, "ymd", asked.today)
    return _weed(_in_order(found, asked), asked)


def _weed(found: tuple[Candidate, ...], asked: Asked) -> Shape:
    """Of an expiry's readings leave out those ten years past, if others remain; tell them."""
    near = tuple(one for one in found if asked.made or not is_far_past(one, asked.today))
    if not near or near == found:
        return Shape(found)
    far = ", ".join(dict.fromkeys(str(one.date) for one in found if one not in near))
    several = "day, month and year fit in more than one order; " if len(near) > 1 else ""
    return Shape(near, confirm=True, note=f"{several}another reading lies far in the past: {far}")


def _one(figures: str, asked: Asked) -> Shape:
    match len(figures):
        case 8:
            return Shape(_eight(figures, asked), confirm=not asked.marked)
        case 7:
            found = ordinal(figures[:4], figures[4:], asked.today)
            return Shape(found, settled=asked.marked, confirm=True)
        case 6:
            return Shape(_six(figures, asked), settled=asked.marked, confirm=True)
        case 4:
            return _four(figures, asked)
        case _:
            return read_code(figures, asked)


def _eight(figures: str, asked: Asked) -> tuple[Candidate, ...]:
    """ISO 8601 basic form, or four figures of the year at the end."""
    today = asked.today
    found = a_day(figures[:4], figures[4:6], figures[6:], "ymd", today)
    found += a_day(figures[4:], figures[2:4], figures[:2], "dmy", today)
    return _in_order(found + a_day(figures[4:], figures[:2], figures[2:4], "mdy", today), asked)


def _six(figures: str, asked: Asked) -> tuple[Candidate, ...]:
    """Six figures in a row: any order of day, month and year, or a month with a full year."""
    today, (first, middle, last) = asked.today, (figures[:2], figures[2:4], figures[4:])
    found = a_day(first, middle, last, "ymd", today)
    found += a_day(last, middle, first, "dmy", today) + a_day(last, first, middle, "mdy", today)
    found += a_month(figures[2:], first, "my", today) + a_month(figures[:4], last, "ym", today)
    return _in_order(found, asked)


def _four(figures: str, asked: Asked) -> Shape:
    """A year, when it is within thirty of today's; else a code or a month, to be asked."""
    year = year_of(figures, asked.today)
    if year is not None and abs(year - asked.today.year) <= _YEARS_AROUND:
        return Shape(as_candidate(figures, "y"))
    first, last = figures[:2], figures[2:]
    months = a_month(last, first, "my", asked.today) + a_month(first, last, "ym", asked.today)
    codes = read_code(figures, asked)
    found = months + codes.candidates + (as_candidate(figures, "y") if year else ())
    return Shape(found, settled=False, note=codes.note)


def ordinal(year: str, day: str, today: date) -> tuple[Candidate, ...]:
    """The ISO 8601 ordinal date YYYY-DDD: day 060 of a common year is 1 March."""
    full = year_of(year, today)
    return () if full is None else day_of_year(full, day, "yyyyddd")


def _in_order(found: tuple[Candidate, ...], asked: Asked) -> tuple[Candidate, ...]:
    """Those that agree with the order that was told; all of them when none does."""
    if asked.order is None:
        return found
    told = tuple(one for one in found if _is_within(one.order, asked.order))
    return told or found


def _is_within(order: str, told: str) -> bool:
    """``my`` agrees with ``dmy`` and ``mdy``, ``md`` with ``mdy`` and ``ymd``."""
    return [letter for letter in told if letter in order] == list(order)
