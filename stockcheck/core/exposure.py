"""What a box's contents were exposed to, and how much of a measure that adds up to between days.

A measure is an amount a day (label days used up, hours above a limit). Where a box has readings
they count; where they stop or have a gap its climate does, its average day in proportion to the
time left uncovered; where neither is known the measure says what to assume.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from itertools import accumulate
from math import inf, log, pi
from typing import NamedTuple, Protocol

from stockcheck.core.calendar import end_of_month
from stockcheck.core.climate import Climate, DailyRange, month_lengths
from stockcheck.core.heat_rates import clipped_sine_factor, clipped_step_factor, hot_half_angle
from stockcheck.core.temperature_log import TemperatureLog

_ROUNDING = 1e-6  # days: sums of factors are not exact


class Measure(Protocol):
    """An amount a day that a temperature gives; frozen and hashable."""

    def __hash__(self) -> int: ...

    @property
    def unknown(self) -> float:
        """The amount a day where no temperature is known."""

    def of_day(self, usual: DailyRange) -> float:
        """The amount of a climate's usual day."""

    def of_step(self, first_c: float, last_c: float) -> float:
        """The mean amount a day over a step in which the temperature runs straight."""


@dataclass(frozen=True, slots=True)
class LabelDays:
    """Days of label life used up; at every moment a day uses up at least one."""

    q10: float
    reference_c: float

    @property
    def unknown(self) -> float:
        """Unknown counts as kept at the reference."""
        return 1.0

    def of_day(self, usual: DailyRange) -> float:
        """Label days that one usual day uses up."""
        return clipped_sine_factor(usual.centre_c, usual.half_swing, self.q10, self.reference_c)

    def of_step(self, first_c: float, last_c: float) -> float:
        """Label days a day over a straight step."""
        slope = log(self.q10) / 10
        return clipped_step_factor(
            slope * (first_c - self.reference_c), slope * (last_c - self.reference_c)
        )


@dataclass(frozen=True, slots=True)
class HoursAbove:
    """Hours spent above a temperature."""

    limit_c: float

    @property
    def unknown(self) -> float:
        """Unknown counts as never above."""
        return 0.0

    def of_day(self, usual: DailyRange) -> float:
        """Hours of one usual day that are above the limit."""
        return 24 * hot_half_angle(usual.centre_c, usual.half_swing, self.limit_c) / pi

    def of_step(self, first_c: float, last_c: float) -> float:
        """Hours a day above the limit over a straight step."""
        low, high = min(first_c, last_c), max(first_c, last_c)
        if low > self.limit_c:
            return 24.0
        return 0.0 if high <= self.limit_c else 24 * (high - self.limit_c) / (high - low)


# eq=False: an exposure is itself, so that its totals are kept without comparing readings
@dataclass(frozen=True, slots=True, eq=False)
class Exposure:
    """What is known of the temperatures in a box: a logger's readings, a climate, both or neither.

    Make one for each box and keep it: totals are remembered by the object.
    """

    climate: Climate | None = None
    log: TemperatureLog | None = None

    def named(self) -> str:
        """Where its temperatures come from, in words."""
        climate = (
            f"climate {self.climate.name!r} ({self.climate.basis})"
            if self.climate
            else "nothing known, counted as kept at the reference"
        )
        if self.log is None or not self.log.readings:
            return climate
        return " ".join(filter(None, ("readings", self.log.name, "and where they stop", climate)))


class Extremes(NamedTuple):
    """The coldest and the hottest of a day, °C."""

    low_c: float
    high_c: float

    def beyond(self, above_c: float, below_c: float) -> bool:
        """Whether they go above one temperature or below another."""
        return self.high_c > above_c or self.low_c < below_c


class Totals:
    """The running total of a measure in one exposure, from the first of January of year 1."""

    def __init__(self, exposure: Exposure, measure: Measure) -> None:
        self._monthly = _MonthlyTotals(_rates(exposure.climate, measure))
        self._first, self._running = 0, [0.0]
        if exposure.log is not None and exposure.log.readings:
            self._first = exposure.log.readings[0].at.toordinal()
            amounts = _logged_days(exposure.log, measure, self._monthly)
            self._running = [0.0, *accumulate(amounts)]
        self._before = self._monthly.up_to(self._first) if self._first else 0.0
        end = self._first + len(self._running) - 1
        self._after = self._monthly.up_to(end) if self._first else 0.0

    def between(self, start: date, end: date) -> float:
        """The amount from the start of one day to the start of another."""
        return self._up_to(end.toordinal()) - self._up_to(start.toordinal())

    def days_within(self, start: date, amount: float, at_most: int) -> int:
        """How many whole days from ``start`` the amount lasts, but no more than ``at_most``."""
        ordinal = start.toordinal()
        begun = self._up_to(ordinal)
        goal = begun + amount + _ROUNDING
        low, high, at_low, at_high = 0, at_most, begun, self._up_to(ordinal + at_most)
        if at_high <= goal:
            return at_most
        by_halves = False
        while low + 1 < high:  # by interpolation and halving in turn: quick, and never slow
            share = 0.5 if by_halves else (goal - at_low) / (at_high - at_low)
            middle = min(max(low + int(share * (high - low)), low + 1), high - 1)
            at_middle = self._up_to(ordinal + middle)
            if at_middle <= goal:
                low, at_low = middle, at_middle
            else:
                high, at_high = middle, at_middle
            by_halves = not by_halves
        return low

    def _up_to(self, ordinal: int) -> float:
        if not self._first or ordinal <= self._first:
            return self._monthly.up_to(ordinal)
        logged = ordinal - self._first
        if logged < len(self._running):
            return self._before + self._running[logged]
        return self._before + self._running[-1] + self._monthly.up_to(ordinal) - self._after


class _MonthlyTotals:
    """The running total of twelve daily amounts, months by their real lengths."""

    def __init__(self, rates: tuple[float, ...]) -> None:
        self.rates = rates
        lengths = month_lengths(2001)
        self._before = tuple(
            accumulate((n * it for n, it in zip(lengths, rates, strict=True)), initial=0.0)
        )

    def up_to(self, ordinal: int) -> float:
        """The amount before the start of the day with that ordinal."""
        day = date.fromordinal(ordinal)
        month = day.month - 1
        begun = day.year if month > 1 else day.year - 1  # years whose 29 February can be past
        leap_days = begun // 4 - begun // 100 + begun // 400
        return (
            (day.year - 1) * self._before[12]
            + leap_days * self.rates[1]
            + self._before[month]
            + (day.day - 1) * self.rates[month]
        )


@lru_cache(maxsize=4096)
def totals(exposure: Exposure, measure: Measure) -> Totals:
    """The totals of a measure in an exposure, worked out once."""
    return Totals(exposure, measure)


def _rates(climate: Climate | None, measure: Measure) -> tuple[float, ...]:
    if climate is None:
        return (measure.unknown,) * 12
    found = {usual: measure.of_day(usual) for usual in set(climate.months)}
    return tuple(found[usual] for usual in climate.months)


def _logged_days(
    log_of_box: TemperatureLog, measure: Measure, monthly: _MonthlyTotals
) -> list[float]:
    """The amount of each day from the first with readings to the last."""
    readings = log_of_box.readings
    first, last = readings[0].at.toordinal(), readings[-1].at.toordinal()
    amounts, covered = [0.0] * (last - first + 1), [0.0] * (last - first + 1)
    for day, share, first_c, last_c in log_of_box.steps():
        amounts[day - first] += share * measure.of_step(first_c, last_c)
        covered[day - first] += share
    for index, share in enumerate(covered):
        if share < 1:
            month = date.fromordinal(first + index).month
            amounts[index] += (1 - share) * monthly.rates[month - 1]
    return amounts


@lru_cache(maxsize=1024)
def by_readings(exposure: Exposure) -> Exposure:
    """What readings alone tell of it, without its climate."""
    return exposure if exposure.climate is None else Exposure(None, exposure.log)


@lru_cache(maxsize=1024)
def logged_extremes(exposure: Exposure) -> dict[int, Extremes]:
    """The coldest and hottest of each day with readings, by its ordinal; where readings cover only
    a part of it, its climate's too.
    """
    if exposure.log is None:
        return {}
    found: dict[int, Extremes] = {}
    covered: dict[int, float] = {}
    for at, celsius in exposure.log.readings:
        _widen(found, at.toordinal(), celsius, celsius)
    for day, share, first_c, _ in exposure.log.steps():
        _widen(found, day, first_c, first_c)  # at midnight no reading need stand
        covered[day] = covered.get(day, 0.0) + share
    if exposure.climate is not None:
        for day in found:
            if covered.get(day, 0.0) < 1 - 1e-9:
                usual = exposure.climate.months[date.fromordinal(day).month - 1]
                _widen(found, day, usual.low_c, usual.high_c)
    return found


def _widen(found: dict[int, Extremes], day: int, low_c: float, high_c: float) -> None:
    known = found.get(day)
    if known is None:
        found[day] = Extremes(low_c, high_c)
    elif low_c < known.low_c or high_c > known.high_c:
        found[day] = Extremes(min(low_c, known.low_c), max(high_c, known.high_c))


def days_beyond(
    exposure: Exposure, since: date, until: date, above_c: float = inf, below_c: float = -inf
) -> Iterator[tuple[date, Extremes]]:
    """The days from ``since`` to before ``until`` that go above one temperature or below another,
    with their extremes, in order. Days of which nothing is known are not among them.
    """
    most = widest(exposure)
    if most is None or not most.beyond(above_c, below_c):
        return
    logged = logged_extremes(exposure)
    first, last = min(logged, default=0), max(logged, default=0)
    day, end = since.toordinal(), until.toordinal()
    while day < end:
        at = date.fromordinal(day)
        found = logged.get(day) or _usual_extremes(exposure.climate, at)
        if found is not None and found.beyond(above_c, below_c):
            yield at, found
            day += 1
        elif first <= day <= last:
            day += 1
        else:  # the rest of the month is like it, up to where readings begin
            following = end_of_month(at).toordinal() + 1
            day = min(following, first) if day < first else following


def _usual_extremes(climate: Climate | None, day: date) -> Extremes | None:
    if climate is None:
        return None
    usual = climate.months[day.month - 1]
    return Extremes(usual.low_c, usual.high_c)


@lru_cache(maxsize=1024)
def widest(exposure: Exposure) -> Extremes | None:
    """The coldest and hottest that an exposure knows of at all; None where it knows nothing."""
    known = list(logged_extremes(exposure).values())
    if exposure.climate is not None:
        known += [Extremes(usual.low_c, usual.high_c) for usual in exposure.climate.months]
    if not known:
        return None
    return Extremes(min(it.low_c for it in known), max(it.high_c for it in known))
