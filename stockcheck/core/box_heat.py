"""What is known of the heat in a box, in lines to be told: its climate, its readings, what is kept
there too warm.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime, timedelta

from stockcheck.core.calendar import MONTHS, spoken
from stockcheck.core.climate import Climate, climate_mkt
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat_models import heat_model
from stockcheck.core.model import Kind
from stockcheck.core.temperature_log import (
    ROOM_WINDOW,
    Excursion,
    Gap,
    TemperatureLog,
    excursions_above,
    log_mkt,
    worst_mkt,
)
from stockcheck.core.words import Told, listed

MKT = "mean kinetic temperature"
MKT_SOURCE = "USP <1160>, 83.144 kJ/mol"
_NAMED = 3


def told(exposure: Exposure, kinds: Collection[Kind], year: int) -> list[Told]:
    """All that is known of a box, and for each storage ceiling of what is in it the time above."""
    climate, log = exposure.climate, exposure.log
    lines = of_climate(climate, year) if climate else []
    if log is not None and log.readings:
        lines += of_log(log)
    for ceiling, names in ceilings(kinds).items():
        over = _logged(log, ceiling) or _usual(climate, ceiling)
        if over:
            lines += [(0, f"above {ceiling:g} °C, the storage ceiling of {names}:"), *over]
    return lines


def of_climate(climate: Climate, year: int) -> list[Told]:
    """A climate in words: what it is, where it is from, how warm a year in it is."""
    lines = [(0, f"climate {climate.name!r} ({climate.basis.value})")]
    lines += [(2, climate.note)] if climate.note else []
    lines += [(2, f"source: {climate.source}")] if climate.source else []
    if climate.is_fixed:
        return [*lines, (2, f"{climate.months[0].low_c:g} °C all year round")]
    low = min(day.low_c for day in climate.months)
    high = max(day.high_c for day in climate.months)
    mkt = climate_mkt(climate, year)
    return [*lines, (2, f"{low:g} to {high:g} °C, {MKT} of a year {mkt:.1f} °C ({MKT_SOURCE})")]


def of_log(log: TemperatureLog) -> list[Told]:
    """A logger's readings in words: since when, how warm, with which gaps."""
    first, last = log.readings[0].at, log.readings[-1].at
    low = min(each.celsius for each in log.readings)
    high = max(each.celsius for each in log.readings)
    span = f"{len(log.readings)} readings, {moment(first)} to {moment(last)}"
    lines: list[Told] = [(0, f"{span}: {low:.1f} to {high:.1f} °C")]
    gaps = log.gaps()
    if len(log.readings) - len(gaps) > 1:
        lines.append((2, f"{MKT} {log_mkt(log):.1f} °C ({MKT_SOURCE})"))
        worst, end = worst_mkt(log, ROOM_WINDOW)
        if end - first >= ROOM_WINDOW:
            until = spoken(end.date())
            lines.append((2, f"worst {ROOM_WINDOW.days} days {worst:.1f} °C, to {until}"))
    return lines + [(2, line) for line in of_gaps(gaps)]


def of_gaps(gaps: Sequence[Gap], at_most: int = _NAMED) -> list[str]:
    """The gaps in words, the longest ones by name."""
    longest = sorted(gaps, key=lambda gap: gap.length, reverse=True)[:at_most]
    named = [
        f"gap of {lasting(gap.length)}: {moment(gap.after)} to {moment(gap.before)}"
        for gap in sorted(longest)
    ]
    more = len(gaps) - len(named)
    return [*named, *([f"and {more} shorter gap{'s' * (more > 1)}"] if more else [])]


def _logged(log: TemperatureLog | None, ceiling: float) -> list[Told]:
    over = excursions_above(log, ceiling) if log is not None else ()
    if not over:
        return []
    in_all = sum((each.length for each in over), timedelta())
    times = "once" if len(over) == 1 else f"{len(over)} times"
    longest = max(over, key=lambda each: each.length)
    hottest = max(over, key=lambda each: each.peak_c)
    lines: list[Told] = [
        (2, f"{times}, {lasting(in_all)} in all"),
        (2, f"longest {_one(longest)}"),
    ]
    same = round(hottest.peak_c, 1) == round(longest.peak_c, 1)
    return lines if same else [*lines, (2, f"hottest {_one(hottest)}")]


def _one(each: Excursion) -> str:
    """``8 h from 14 JUN 2027 10:20, at most 47.3 °C``; the length is a least one where cut off."""
    least = "at least " if each.cut else ""
    return f"{least}{lasting(each.length)} from {moment(each.start)}, at most {each.peak_c:.1f} °C"


def _usual(climate: Climate | None, ceiling: float) -> list[Told]:
    months = climate.months if climate else ()
    warm = [name for name, day in zip(MONTHS, months, strict=False) if day.high_c > ceiling]
    if not warm:
        return []
    when = "every month" if len(warm) == len(MONTHS) else listed(warm)
    return [(2, f"by its climate on usual days of {when}")]


def ceilings(kinds: Collection[Kind]) -> dict[float, str]:
    """The storage ceilings of kinds in °C, the lowest first, each with what it is of."""
    names: dict[float, list[str]] = {}
    for kind in sorted(kinds, key=lambda it: it.name):
        ceiling = heat_model(kind).storage.high_c
        if ceiling is not None and kind.name not in names.setdefault(ceiling, []):
            names[ceiling].append(kind.name)
    return {
        ceiling: listed(
            each if len(each) <= _NAMED else [*each[: _NAMED - 1], f"{len(each) - 2} other kinds"]
        )
        for ceiling, each in sorted(names.items())
    }


def moment(at: datetime) -> str:
    """A time by the box's clock: ``14 JUN 2027 10:20``."""
    return f"{spoken(at.date())} {at:%H:%M}"


def lasting(length: timedelta) -> str:
    """How long something lasts, in the two largest units: ``45 min``, ``9 h``, ``3 days 4 h``."""
    minutes = round(length.total_seconds() / 60)
    hours, minutes = divmod(minutes, 60)
    days, hours = divmod(hours, 24)
    if days:
        parts = [f"{days} day{'s' * (days > 1)}", f"{hours} h" if hours else ""]
    else:
        parts = [f"{hours} h" if hours else "", f"{minutes} min" if minutes or not hours else ""]
    return " ".join(part for part in parts if part)
