"""The readings of a temperature logger: their steps, gaps, excursions and kinetic temperature.

Between two readings the temperature is taken to run straight. A step longer than the log's longest
one is a gap, which is never bridged: what happened in it is not known. Times are wall-clock times
at one fixed offset, so that their differences are true.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import NamedTuple

from stockcheck.core.heat_rates import kinetic_rate, kinetic_temperature

LONGEST_STEP = timedelta(hours=3)
"""Our own choice: a sine's peak midway between readings 3 h apart stands out 8 % of its half-swing
above them; with longer steps the day's peak is lost."""
DAY = timedelta(days=1)
ROOM_WINDOW, COLD_WINDOW = timedelta(days=30), timedelta(hours=24)
"""Spans over which a mean kinetic temperature is taken for goods kept at room temperature and in a
fridge: Pharmacopeial Forum 44(4), 2018, as reported; adopted in USP <1079.2> (from memory)."""


class Reading(NamedTuple):
    """What the logger showed at a time."""

    at: datetime
    celsius: float


class Step(NamedTuple):
    """A part of one day over which the temperature runs straight; ``day`` is the date's ordinal."""

    day: int
    share: float
    first_c: float
    last_c: float


class Gap(NamedTuple):
    """A time without readings, longer than the log's longest step."""

    after: datetime
    before: datetime

    @property
    def length(self) -> timedelta:
        """How long it lasts."""
        return self.before - self.after


class Excursion(NamedTuple):
    """A stay beyond a limit. ``cut`` tells that the log begins, ends or has a gap there, so that it
    may have been longer; ``peak_c`` is the hottest of it, or the coldest below a lower limit.
    """

    start: datetime
    end: datetime
    peak_c: float
    cut: bool

    @property
    def length(self) -> timedelta:
        """How long it lasted, as far as the readings tell."""
        return self.end - self.start


class Merged(NamedTuple):
    """Readings in order of time, one for each time; how many were doubled, and how many of those
    disagreed, where the warmer one was kept.
    """

    readings: tuple[Reading, ...]
    duplicates: int
    conflicts: int


# eq=False: a log is itself, so that what was worked out from it can be kept without comparing
# half a million readings
@dataclass(frozen=True, slots=True, eq=False)
class TemperatureLog:
    """Readings in order of time; ValueError when they are not, or two have one time."""

    readings: tuple[Reading, ...]
    longest_step: timedelta = LONGEST_STEP
    name: str = ""

    def __post_init__(self) -> None:
        for one, two in pairwise(self.readings):
            if two.at <= one.at:
                raise ValueError(f"reading at {two.at} does not come after the one at {one.at}")

    def stretches(self) -> Iterator[tuple[Reading, ...]]:
        """The readings between gaps, in order."""
        start = 0
        for index, (one, two) in enumerate(pairwise(self.readings), 1):
            if two.at - one.at > self.longest_step:
                yield self.readings[start:index]
                start = index
        if self.readings:
            yield self.readings[start:]

    def gaps(self) -> tuple[Gap, ...]:
        """Where readings are missing between the first and the last."""
        return tuple(
            Gap(one.at, two.at)
            for one, two in pairwise(self.readings)
            if two.at - one.at > self.longest_step
        )

    def steps(self) -> Iterator[Step]:
        """Every bridged step, cut at midnights, so that each lies within one day."""
        for stretch in self.stretches():
            one, day = stretch[0], stretch[0].at.toordinal()
            for two in stretch[1:]:
                next_day = two.at.toordinal()
                if next_day == day:
                    yield Step(day, (two.at - one.at) / DAY, one.celsius, two.celsius)
                else:
                    yield from _cut_at_midnights(one, two)
                one, day = two, next_day


def _cut_at_midnights(one: Reading, two: Reading) -> Iterator[Step]:
    slope = (two.celsius - one.celsius) / (two.at - one.at).total_seconds()
    at, celsius = one
    while at < two.at:
        midnight = at.replace(hour=0, minute=0, second=0, microsecond=0) + DAY
        end = min(midnight, two.at)
        last = one.celsius + slope * (end - one.at).total_seconds()
        yield Step(at.toordinal(), (end - at) / DAY, celsius, last)
        at, celsius = end, last


def merge_readings(readings: Iterable[Reading]) -> Merged:
    """Put readings in order of time, ignore doubles, keep the warmer of two that disagree."""
    found: dict[datetime, float] = {}
    duplicates = conflicts = 0
    for at, celsius in readings:
        known = found.get(at)
        if known is None:
            found[at] = celsius
            continue
        duplicates += 1
        if known != celsius:
            conflicts += 1
            found[at] = max(known, celsius)
    return Merged(tuple(Reading(at, found[at]) for at in sorted(found)), duplicates, conflicts)


def log_mkt(log: TemperatureLog) -> float:
    """The mean kinetic temperature of a log, each reading weighing half of the steps beside it.

    °C. Gaps weigh nothing. ValueError for a log without a single step.
    """
    steps = _kinetic_steps(log)
    return kinetic_temperature(sum(rate for _, _, rate in steps), sum(time for _, time, _ in steps))


def worst_mkt(log: TemperatureLog, window: timedelta) -> tuple[float, datetime]:
    """The highest mean kinetic temperature of any ``window`` that ends with a reading; its end.

    Only a log that is shorter than the window has a part of one told. ValueError without any step.
    """
    steps = _kinetic_steps(log)
    full = (
        log.readings[0].at + window
        if steps and steps[-1][0] - log.readings[0].at >= window
        else None
    )
    first, weight, rate = 0, 0.0, 0.0
    worst: tuple[float, datetime] | None = None
    for end, time, area in steps:
        weight, rate = weight + time, rate + area
        while steps[first][0] <= end - window:
            weight, rate = weight - steps[first][1], rate - steps[first][2]
            first += 1
        if full is not None and end < full:
            continue
        if worst is None or rate / weight > worst[0]:
            worst = (rate / weight, end)
    if worst is None:
        raise ValueError("a mean kinetic temperature needs two readings without a gap between them")
    return kinetic_temperature(worst[0], 1.0), worst[1]


def _kinetic_steps(log: TemperatureLog) -> list[tuple[datetime, float, float]]:
    """The end, the length in days and the kinetic rate times the length, of each bridged step."""
    found = []
    for stretch in log.stretches():
        for one, two in pairwise(stretch):
            length = (two.at - one.at) / DAY
            rate = (kinetic_rate(one.celsius) + kinetic_rate(two.celsius)) / 2
            found.append((two.at, length, rate * length))
    return found


def excursions_above(log: TemperatureLog, limit_c: float) -> tuple[Excursion, ...]:
    """Each time that the log is above a limit, crossings taken on the straight line between two
    readings. A gap ends an excursion: what happened in it is not known.
    """
    return tuple(
        found for stretch in log.stretches() for found in _excursions(stretch, limit_c, sign=1.0)
    )


def excursions_below(log: TemperatureLog, limit_c: float) -> tuple[Excursion, ...]:
    """Each time that the log is below a limit; as ``excursions_above``."""
    return tuple(
        found for stretch in log.stretches() for found in _excursions(stretch, limit_c, sign=-1.0)
    )


def _excursions(
    stretch: tuple[Reading, ...], limit_c: float, *, sign: float
) -> Iterator[Excursion]:
    start: datetime | None = None
    peak, cut = 0.0, False
    before: Reading | None = None
    for reading in stretch:
        beyond = sign * (reading.celsius - limit_c)
        if beyond > 0 and start is None:
            cut = before is None
            start = reading.at if before is None else _crossing(before, reading, limit_c)
            peak = beyond
        elif beyond > 0:
            peak = max(peak, beyond)
        elif start is not None and before is not None:
            end = _crossing(before, reading, limit_c)
            yield Excursion(start, end, limit_c + sign * peak, cut)
            start = None
        before = reading
    if start is not None:
        yield Excursion(start, stretch[-1].at, limit_c + sign * peak, cut=True)


def _crossing(one: Reading, two: Reading, limit_c: float) -> datetime:
    share = (limit_c - one.celsius) / (two.celsius - one.celsius)
    return one.at + (two.at - one.at) * share
