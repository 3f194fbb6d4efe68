"""The expiry report's picture as values: a bar for each holding, and the scale of days they share.

Named tuples, for a quick start. Days count whole: a bar begins where its first day begins and ends
where its last usable day ends.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

from stockcheck.core.calendar import MONTHS, spoken
from stockcheck.core.model import Status

if TYPE_CHECKING:
    from stockcheck.output.report import Tone

AHEAD = 12  # months shown at least, so that a trip has something round it
BEYOND = 3  # months shown at least after that, or after a later horizon
SHARE_BEYOND = 8  # for a far horizon it is one part in so many of the months before it
REASONS = {"heat": "heat estimate"}  # estimates say so; the other limits' names stand as they are
MONTH_STEPS = (1, 2, 3, 6)
YEAR_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)
_SHORTEST_MONTH, _SHORTEST_YEAR = 28, 365
_LAST_MONTH = date.max.year * 12 + date.max.month - 1


class Window(NamedTuple):
    """A trip's days, and the horizon that its margin reaches to."""

    departs: date
    returns: date
    horizon: date


class Bar(NamedTuple):
    """How long one holding is good. ``reason`` names the governing limit, ``status`` is a Status.

    ``last_usable_day`` is None for the undated.
    """

    box: str
    label: str
    lot: str
    last_usable_day: date | None
    reason: str
    status: str
    tone: Tone

    def expired(self, start: date) -> bool:
        """Whether its day was past when the chart begins."""
        return self.last_usable_day is not None and self.last_usable_day < start

    @property
    def set_aside(self) -> bool:
        """Whether it is on hold or a last resort, and never counted on."""
        return self.status in {Status.HELD, Status.LAST_RESORT}

    def words(self, start: date) -> str:
        """What stands at the bar's end: ``printed 30 NOV 2027``, ``HELD, NO DATE``."""
        set_aside = f"{self.status.upper()}, " if self.set_aside else ""
        if self.last_usable_day is None:
            return f"{set_aside}NO DATE"
        day = spoken(self.last_usable_day)
        reason = REASONS.get(self.reason, self.reason)
        if self.expired(start):
            return f"{set_aside}EXPIRED {day} ({reason})"
        return f"{set_aside}{reason} {day}"


class Timeline(NamedTuple):
    """Bars from a day on, in the order of their boxes and days; ``no_limit`` holdings have none."""

    start: date
    bars: tuple[Bar, ...]
    window: Window | None = None
    no_limit: int = 0

    @property
    def end(self) -> date:
        """The last day shown: a month's end, past the horizon and a year from the start."""
        horizon = self.window.horizon if self.window else self.start
        first = _month_number(self.start)
        months = max(AHEAD, _month_number(horizon) - first)
        return _month_end(first + months + max(BEYOND, months // SHARE_BEYOND))


class Scale(NamedTuple):
    """Where days lie across the page, in points; days outside the chart lie at its edges."""

    start: date
    end: date
    left: float
    width: float

    @property
    def right(self) -> float:
        """Where the last day ends."""
        return self.left + self.width

    @property
    def day_width(self) -> float:
        """How wide one day is."""
        return self.width / ((self.end - self.start).days + 1)

    def begin(self, day: date) -> float:
        """Where a day begins."""
        inside = min(max((day - self.start).days, 0), (self.end - self.start).days + 1)
        return self.left + inside * self.day_width

    def finish(self, day: date) -> float:
        """Where a day ends."""
        inside = min(max((day - self.start).days + 1, 0), (self.end - self.start).days + 1)
        return self.left + inside * self.day_width


class Tick(NamedTuple):
    """A mark at a month's first day, or at the chart's left edge.

    ``month`` and ``year`` are its labels, written from there on; empty where none is to be written.
    """

    x: float
    month: str
    year: str


def ticks(scale: Scale, month_room: float, year_room: float) -> tuple[Tick, ...]:
    """The left edge, and as many months and years as leave each label its room."""
    step = _step(MONTH_STEPS, month_room / _SHORTEST_MONTH / scale.day_width)
    years = _step(YEAR_STEPS, year_room / _SHORTEST_YEAR / scale.day_width) or YEAR_STEPS[-1]
    marks = list(_marks(scale, step or years * 12, years))
    first = _month_number(scale.start)
    marks.insert(0, Tick(scale.left, MONTHS[first % 12], str(first // 12)))
    months = _roomy([tick.x for tick in marks if tick.month], scale.right, month_room)
    numbers = _roomy([tick.x for tick in marks if tick.year], scale.right, year_room)
    shown = months if step else set()
    return tuple(
        Tick(x, month if x in shown else "", year if x in numbers else "")
        for x, month, year in marks
    )


def _marks(scale: Scale, step: int, years: int) -> Iterator[Tick]:
    """The months whose number is a multiple of ``step``, with a year where that is one too."""
    first, last = _month_number(scale.start), _month_number(scale.end)
    for number in range(first + step - first % step, last + 1, step):
        year, month = divmod(number, 12)
        new_year = month == 0 and year % years == 0
        yield Tick(scale.begin(_first_day(number)), MONTHS[month], str(year) if new_year else "")


def _roomy(starts: list[float], right: float, room: float) -> set[float]:
    """Where a label may begin: those that end before the next one and the right edge."""
    return {x for x, following in pairwise([*starts, right]) if x + room <= following}


def _step(steps: tuple[int, ...], least: float) -> int:
    """The first step that is long enough, else 0."""
    return next((step for step in steps if step >= least), 0)


def _month_number(day: date) -> int:
    return day.year * 12 + day.month - 1


def _first_day(number: int) -> date:
    return date(number // 12, number % 12 + 1, 1)


def _month_end(number: int) -> date:
    if number >= _LAST_MONTH:
        return date.max
    return _first_day(number + 1) - timedelta(days=1)
