"""Dates with the month's name: ``05 FEB 2027``, ``2027-FEB``, ``NOV 26``, ``23 January``.

A named month settles day against month (USP <7>), but two figures beside it may still be a year or
a day. Names are English and German, in full or in three letters; two letters are never taken
without asking, since MA is March or May and JN is January or June (USP <7>).
"""

from __future__ import annotations

from stockcheck.core.calendar import MONTHS, Life
from stockcheck.core.date_candidates import (
    NO_SHAPE,
    Asked,
    Candidate,
    Shape,
    a_day,
    a_month,
    is_far_past,
    latest_day,
    near_day,
    next_day,
)

_FULL = (
    *("JANUARY", "FEBRUARY", "MARCH", "APRIL", "MAY", "JUNE"),
    *("JULY", "AUGUST", "SEPTEMBER", "OCTOBER", "NOVEMBER", "DECEMBER"),
)
_GERMAN = {
    1: "JANUAR JAENNER JAEN",
    2: "FEBRUAR FEBER",
    3: "MAERZ MAER MRZ",
    5: "MAI",
    6: "JUNI",
    7: "JULI",
    9: "SEPT",
    10: "OKTOBER OKT",
    12: "DEZEMBER DEZ",
}
_NUMBERS = {name: number for names in (MONTHS, _FULL) for number, name in enumerate(names, 1)}
_NUMBERS |= {name: number for number, names in _GERMAN.items() for name in names.split()}
_TWO_LETTERS = {"MA": (3, 5), "JN": (1, 6), "JU": (6, 7)}
_SHORT_LIFE = Life(months=3)


def is_month(word: str) -> bool:
    """Whether a word in capitals is the name of one month."""
    return word in _NUMBERS


def has_name(parts: tuple[str, ...]) -> bool:
    """Whether one of the parts names a month, if only in two letters."""
    return any(part in _NUMBERS or part in _TWO_LETTERS for part in parts)


def read_named(parts: tuple[str, ...], asked: Asked) -> Shape:
    """What a month's name with one or two figures beside it can mean."""
    names = [place for place, part in enumerate(parts) if part.isalpha()]
    if len(names) != 1 or len(parts) not in {2, 3}:
        return NO_SHAPE
    place = names[0]
    figures = parts[:place] + parts[place + 1 :]
    name = parts[place]
    if name in _TWO_LETTERS:
        shapes = [_read(str(month), place, figures, asked) for month in _TWO_LETTERS[name]]
        found = tuple(candidate for shape in shapes for candidate in shape.candidates)
        return Shape(found, settled=False, note=f"{name} may stand for two months (USP <7>)")
    return _read(str(_NUMBERS[name]), place, figures, asked)


def _read(month: str, place: int, figures: tuple[str, ...], asked: Asked) -> Shape:
    if len(figures) == 2:
        return _with_two(month, place, figures, asked)
    (figure,) = figures
    if len(figure) == 4:
        return Shape(a_month(figure, month, "ym" if place else "my", asked.today))
    if len(figure) > 2:
        return NO_SHAPE
    return _before(month, figure, asked) if place else _after(month, figure, asked)


def _with_two(month: str, place: int, figures: tuple[str, ...], asked: Asked) -> Shape:
    """Day, month and year: four figures are the year wherever they stand, else the last two are.

    No published layout puts a two-digit year before a named month, so ``27 NOV 28`` is the 27th;
    where the other way is a day too, it is told.
    """
    years = [figure for figure in figures if len(figure) == 4]
    if len(years) == 1:
        year_at = figures.index(years[0])
        day = figures[1 - year_at]
        order = ("mdy", "dmy", "dmy")[place] if year_at else "ymd"
        return Shape(a_day(years[0], month, day, order, asked.today) if len(day) <= 2 else ())
    first, last = figures
    if years or len(last) != 2 or len(first) > 2 or place == 2:
        return NO_SHAPE
    found = a_day(last, month, first, "dmy" if place else "mdy", asked.today)
    other = a_day(first, month, last, "ymd", asked.today) if place and len(first) == 2 else ()
    if not other or (found and is_far_past(other[0], asked.today)):
        return Shape(found)
    note = f"year first it would be {other[0].date}"
    return Shape(found or other, settled=bool(found), confirm=True, note=note)


def _after(month: str, figure: str, asked: Asked) -> Shape:
    """``FEB 30``, ``NOV 26``: month and year, unless the figures may be a day as well."""
    by_month = a_month(figure, month, "my", asked.today) if len(figure) == 2 else ()
    by_day = near_day(month, figure, "md", asked)
    if by_day or not by_month:
        return _day_or_month(by_month + by_day)
    return Shape(by_month, confirm=int(figure) <= 31)


def _before(month: str, figure: str, asked: Asked) -> Shape:
    """``27 JUN``: a day without a year, or year and month."""
    if asked.shows_day:
        return _day_of_food(month, figure, asked)
    by_month = a_month(figure, month, "ym", asked.today) if len(figure) == 2 else ()
    by_day = near_day(month, figure, "dm", asked)
    if by_month and int(figure) > 31:
        return Shape(by_month)
    return _day_or_month(by_month + by_day)


def _day_or_month(candidates: tuple[Candidate, ...]) -> Shape:
    return Shape(candidates, settled=False, note="the figures may be a year or a day")


def _day_of_food(month: str, figure: str, asked: Asked) -> Shape:
    """EU food may go without the year when it keeps at most three months (1169/2011, Annex X).

    So the next such day is taken when it is no further off than that; else the last one may
    have passed, and both are offered.
    """
    coming = next_day(month, figure, "dm", asked.today)
    if not coming:
        return NO_SHAPE
    day = coming[0].date.first_day()
    if day <= _SHORT_LIFE.after(asked.today):
        note = f"the year is not printed; the next {day.day} {_FULL[day.month - 1].title()} taken"
        return Shape(coming, confirm=True, note=f"{note}: confirm")
    passed = latest_day(month, figure, "dm", asked.today)
    return Shape(passed + coming, settled=False, note="the year is not printed")
