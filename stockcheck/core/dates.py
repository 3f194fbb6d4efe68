"""Printed dates: read as their printer meant them, or not at all.

A text comes out *clear* with one reading, *unsure* with every reading that it could have, or as
*not a date*. The words beside the date decide what it is and how far a month or a year reaches:
EXP 11/2027 is good through 30 November 2027, USE BEFORE 11/2027 only through 31 October. A made
date or a batch number is never an expiry. Today is an argument, needed for two-digit years and for
days without a year.

Where no published rule was found the safer way is taken: six figures in a row and makers' week and
day codes are asked; a made date after today is asked; years of other calendars are offered, never
converted silently (Buddhist era minus 543); text longer than 80 characters is no date.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from functools import lru_cache

from stockcheck.core.calendar import Life, PartialDate, Precision
from stockcheck.core.date_candidates import (
    YEARS_AHEAD,
    YEARS_BACK,
    Asked,
    Shape,
    century,
    year_of,
)
from stockcheck.core.date_codes import read_tyre, read_week, tyre_digits
from stockcheck.core.date_figures import read_figures
from stockcheck.core.date_meaning import reaches, wants_confirming
from stockcheck.core.date_names import has_name, read_named
from stockcheck.core.date_words import Printed, Says, Wording, take_apart, tidy
from stockcheck.core.model import DateContext

__all__ = [
    "MAX_CHARACTERS",
    "ORDERS",
    "DateText",
    "Outcome",
    "Reading",
    "Says",
    "century",
    "earliest",
    "read_date",
    "read_made",
]

MAX_CHARACTERS = 80
ORDERS = ("dmy", "mdy", "ymd")
_Day = date  # a reading has a date of its own
_BUDDHIST_ERA = 543
_FAR_AHEAD_YEARS = 20
_TAKEN_AS = {
    "dmy": "day, month, year",
    "mdy": "month, day, year",
    "ymd": "year, month, day",
    "my": "month and year",
    "ym": "year and month",
    "y": "year alone",
    "dm": "day and month, the year taken",
    "md": "month and day, the year taken",
    "yyyyddd": "year and day of the year",
    "yyyyww": "ISO week, Monday to Sunday",
    "yyyywwd": "day of an ISO week",
    "yyddd": "two figures of the year, three of the day",
    "yddd": "last figure of the year, three of the day",
    "dddy": "three figures of the day, last of the year",
    "yyww": "year and week",
    "wwyy": "week and year",
    "tyre": "week and year of a tyre, Sunday to Saturday (49 CFR 574.5)",
}


class Outcome(StrEnum):
    """How a text was read."""

    CLEAR = "clear"
    UNSURE = "unsure"
    NOT_A_DATE = "not a date"


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read a text: the date at its printed precision and how far it reaches.

    ``last_usable_day`` is good through its end; for a made date it is the last day that the made
    date covers. ``order`` tells how the figures were taken (``dmy``, ``my``, ``yyyyww`` ...),
    ``why`` the same and the rule in words.
    """

    date: PartialDate
    last_usable_day: _Day
    order: str
    why: str


@dataclass(frozen=True, slots=True)
class DateText:
    """What a printed text says.

    ``readings`` holds one when clear, all of them when unsure, earliest last usable day first.
    ``says`` is NOTHING for a bare date; who asked with ``read_date`` may take it as the expiry.
    ``confirm`` marks a clear reading that should be shown first where somebody can answer.
    ``life`` is the period after opening of an open-jar text such as ``12M``.
    """

    text: str
    outcome: Outcome
    says: Says
    readings: tuple[Reading, ...] = ()
    note: str = ""
    life: Life | None = None
    confirm: bool = False

    @property
    def reading(self) -> Reading | None:
        """The one clear reading."""
        return self.readings[0] if self.outcome is Outcome.CLEAR else None


def earliest(text: DateText) -> Reading | None:
    """The reading that ends first, which is the safe one; None when there is none."""
    return text.readings[0] if text.readings else None


# A delivery has the same dates on many lines, and a text says the same each time that it is read.
_remembered = lru_cache(maxsize=2_000)


@_remembered
def read_date(
    text: str,
    today: date,
    *,
    context: DateContext = DateContext.GENERAL,
    order: str | None = None,
) -> DateText:
    """Read a text where an expiry is expected; ``says`` tells when it is something else.

    ``order`` (dmy, mdy or ymd) decides between readings of figures where it can; it never makes a
    day exist that does not. ValueError for another order.
    """
    return _Reader(text, today, context, order, as_made=False).read()


@_remembered
def read_made(
    text: str,
    today: date,
    *,
    context: DateContext = DateContext.GENERAL,
    order: str | None = None,
) -> DateText:
    """Read a text of a field known to hold a made date, so that a bare one says MADE.

    An expiry standing there is not a made date. A day without a year is the latest one past.
    """
    return _Reader(text, today, context, order, as_made=True).read()


@dataclass(frozen=True, slots=True)
class _Reader:
    text: str
    today: date
    context: DateContext
    order: str | None
    as_made: bool

    def read(self) -> DateText:
        if self.order is not None and self.order not in ORDERS:
            raise ValueError(f"{self.order!r} is not an order of figures: dmy, mdy or ymd")
        if len(self.text) > MAX_CHARACTERS:
            return self._no_date(Says.NOTHING, f"longer than {MAX_CHARACTERS} characters")
        tidied = tidy(self.text)
        if not tidied:
            return self._no_date(Says.NOTHING, "nothing is printed: unknown, not without limit")
        printed = take_apart(tidied)
        if printed.wording is None:
            figures = tyre_digits(tidied, is_tyre=self.context is DateContext.TYRE)
            if figures:
                return self._judge(read_tyre(figures, self._asked(None), bare=False), Wording.MADE)
        return self._refused(printed) or self._read_parts(printed)

    def _refused(self, printed: Printed) -> DateText | None:
        """Texts whose words say that no such date is to be read here, and open-jar texts."""
        life = _opened_life(printed)
        if life is not None:
            return replace(self._no_date(Says.OPENED_LIFE, f"{life} after opening"), life=life)
        if printed.mixed:
            return self._no_date(printed.says, "it says more than one thing: give the date alone")
        if printed.wording is Wording.BATCH:
            return self._no_date(Says.BATCH, "a batch number is never a date")
        if printed.wording is Wording.SELL_BY:
            return self._no_date(Says.NOTHING, "a sell-by date is not an expiry")
        if self.as_made and printed.says is Says.EXPIRY:
            return self._no_date(Says.EXPIRY, "this is an expiry, not a made date")
        return None

    def _read_parts(self, printed: Printed) -> DateText:
        wording = printed.wording or (Wording.MADE if self.as_made else None)
        asked = self._asked(wording)
        parts, joints = printed.parts, printed.joints
        if self._is_tyre_code(printed):
            bare = printed.wording is None
            return self._judge(read_tyre(parts[0], asked, bare=bare), Wording.MADE)
        western = _western(parts, self.today)
        shape = _read_shape(western, joints, asked)
        if western != parts:
            note = "the year is taken as Buddhist era, 543 ahead: confirm"
            shape = replace(shape, settled=False, note=note)
        found = self._judge(shape, wording)
        return found if found.readings else replace(found, note=_why_none(western, self.today))

    def _is_tyre_code(self, printed: Printed) -> bool:
        if self.context is not DateContext.TYRE or printed.wording not in {None, Wording.MADE}:
            return False
        figures = "".join(printed.parts[:1])
        return len(printed.parts) == 1 and figures.isdigit() and len(figures) in {3, 4}

    def _asked(self, wording: Wording | None) -> Asked:
        shows_day = {Wording.BEST: {DateContext.GENERAL, DateContext.FOOD}}
        shows_day[Wording.USE_BY] = {DateContext.FOOD}
        return Asked(
            self.today,
            made=wording is Wording.MADE,
            marked=wording is not None,
            shows_day=wording is not None and self.context in shows_day.get(wording, set()),
            order=self.order,
        )

    def _judge(self, shape: Shape, wording: Wording | None) -> DateText:
        """The outcome of a shape under the words beside it."""
        says = Says.NOTHING if wording is None else _says(wording)
        rule = wording or Wording.EXPIRES
        readings = self._readings(shape, rule)
        if not readings:
            return self._no_date(says, "no such week")
        notes = [shape.note] if shape.note else []
        first = readings[0]
        ahead = says is Says.MADE and any(one.date.first_day() > self.today for one in readings)
        if ahead:
            notes.append("a made date after today")
        if len(readings) > 1 or ahead or not shape.settled:
            notes = notes or [_why_unsure(readings)]
            return DateText(self.text, Outcome.UNSURE, says, readings, "; ".join(notes))
        if first.last_usable_day.year > self.today.year + _FAR_AHEAD_YEARS:
            notes.append(f"more than {_FAR_AHEAD_YEARS} years ahead: confirm")
        notes += filter(None, [wants_confirming(first.date, rule, self.context)])
        confirm = shape.confirm or len(notes) > bool(shape.note)
        return DateText(self.text, Outcome.CLEAR, says, readings, "; ".join(notes), confirm=confirm)

    def _readings(self, shape: Shape, wording: Wording) -> tuple[Reading, ...]:
        """Each candidate's readings, equal ones once, earliest last usable day first."""
        found: dict[tuple[str, date], Reading] = {}
        for one in shape.candidates:
            for last, why in reaches(one.date, wording, self.context):
                reading = Reading(one.date, last, one.order, f"{_TAKEN_AS[one.order]}: {why}")
                found.setdefault((one.date.iso, last), reading)
        return tuple(sorted(found.values(), key=lambda it: (it.last_usable_day, it.date.iso)))

    def _no_date(self, says: Says, note: str) -> DateText:
        return DateText(self.text, Outcome.NOT_A_DATE, says, note=note)


def _why_none(parts: tuple[str, ...], today: date) -> str:
    """Why parts have no reading: a year far off, a day that does not exist, or no form at all."""
    figures = [part for part in parts if part.isdigit()]
    if len(parts) > 1 and any(len(it) == 4 and year_of(it, today) is None for it in figures):
        return f"its year is not within {YEARS_BACK} years back and {YEARS_AHEAD} ahead"
    if figures and (len(figures) == len(parts) > 1 or has_name(parts) or "W" in parts):
        return "no such day, month or week in the calendar"
    return "not in a form that dates are printed in"


def _why_unsure(readings: tuple[Reading, ...]) -> str:
    if len({reading.date for reading in readings}) > 1:
        return "the figures can be taken in more than one order"
    if readings[0].date.precision is Precision.YEAR:
        return "outside food no published rule says how far a year alone reaches"
    return "published sources differ on how far these words reach"


def _says(wording: Wording) -> Says:
    return Printed(wording, (), ()).says


def _read_shape(parts: tuple[str, ...], joints: tuple[str, ...], asked: Asked) -> Shape:
    if all(part.isdigit() for part in parts):
        return read_figures(parts, joints, asked)
    if "W" in parts[1:2] and parts[0].isdigit() and all(part.isdigit() for part in parts[2:]):
        return read_week(parts, joints, asked)
    return read_named(parts, asked) if has_name(parts) else Shape()


def _western(parts: tuple[str, ...], today: date) -> tuple[str, ...]:
    """The parts with a year of the Buddhist era (2570) turned into ours (2027)."""
    ours = tuple(_our_year(part, today) for part in parts)
    return ours if len(parts) > 1 else parts


def _our_year(part: str, today: date) -> str:
    if not part.isdigit() or len(part) != 4 or year_of(part, today) is not None:
        return part
    turned = f"{max(int(part) - _BUDDHIST_ERA, 0):04d}"
    return part if year_of(turned, today) is None else turned


def _opened_life(printed: Printed) -> Life | None:
    """``12M`` or ``2Y`` on an open jar: months or years after opening (1223/2009, Annex VII)."""
    if printed.wording not in {None, Wording.OPENED} or printed.mixed or len(printed.parts) != 2:
        return None
    count, unit = printed.parts
    units = {"M": "months", "Y": "years"}
    if printed.wording is Wording.OPENED:
        units |= {"MONTH": "months", "MONTHS": "months", "YEAR": "years", "YEARS": "years"}
    if unit not in units or not count.isdigit() or not 1 <= len(count) <= 2 or int(count) == 0:
        return None
    return Life.parse(f"{int(count)} {units[unit]}")
