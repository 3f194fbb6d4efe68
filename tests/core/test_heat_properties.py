"""What holds for every history of boxes and temperatures."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.climate import Climate, DailyRange
from stockcheck.core.exposure import Exposure, LabelDays
from stockcheck.core.heat import HeatLimit, Stay, amount, heat_limit
from stockcheck.core.heat_rates import mean_kinetic_temperature
from stockcheck.core.temperature_log import Reading, TemperatureLog
from stockcheck.data.kinds import shipped_kinds

SEALANT = shipped_kinds()["rtv-silicone"]
START = date(2027, 1, 15)
TEMPERATURES = st.floats(-10, 55)
MEASURES = st.builds(LabelDays, st.floats(1.2, 4), st.floats(15, 30))


@st.composite
def climates(draw: st.DrawFn) -> Climate:
    days = draw(st.lists(st.tuples(TEMPERATURES, TEMPERATURES), min_size=12, max_size=12))
    return Climate("any", tuple(DailyRange(min(it), max(it)) for it in days))


@st.composite
def logs(draw: st.DrawFn) -> TemperatureLog:
    at = datetime(2027, 2, 1) + timedelta(minutes=draw(st.integers(0, 90_000)))
    readings = []
    for minutes, celsius in draw(st.lists(st.tuples(st.integers(1, 400), TEMPERATURES))):
        at += timedelta(minutes=minutes)
        readings.append(Reading(at, celsius))
    return TemperatureLog(tuple(readings))


EXPOSURES = st.builds(Exposure, climates(), st.none() | logs())


@st.composite
def histories(draw: st.DrawFn) -> list[Stay]:
    moves = sorted(draw(st.sets(st.integers(0, 500), max_size=3)))
    days = [START, *(START + timedelta(days=n) for n in moves if n)]
    ends = [*days[1:], None]
    return [
        Stay("a box", since, until, draw(EXPOSURES))
        for since, until in zip(days, ends, strict=True)
    ]


DAYS = st.integers(0, 800).map(lambda n: START + timedelta(days=n))


@given(histories(), MEASURES, DAYS, DAYS, DAYS)
def test_a_dose_is_the_sum_of_its_parts_wherever_time_is_split(
    stays: list[Stay], measure: LabelDays, one: date, two: date, three: date
) -> None:
    start, middle, end = sorted((one, two, three))
    parts = amount(stays, measure, start, middle) + amount(stays, measure, middle, end)
    assert amount(stays, measure, start, end) == pytest.approx(parts, abs=1e-6)


@given(histories(), st.integers(1, 1000))
def test_heat_never_leaves_a_thing_good_for_longer(stays: list[Stay], life: int) -> None:
    unheated = START + timedelta(days=life)
    found = heat_limit(SEALANT, START, unheated, stays)
    assert isinstance(found, HeatLimit)
    assert START <= found.early <= found.last_usable_day <= found.late <= unheated


@given(histories(), MEASURES, DAYS, EXPOSURES)
def test_moving_a_holding_changes_no_dose_before_the_move(
    stays: list[Stay], measure: LabelDays, move: date, elsewhere: Exposure
) -> None:
    moved = moved_on(stays, move, elsewhere)
    assert amount(moved, measure, START, move) == pytest.approx(amount(stays, measure, START, move))


def moved_on(stays: Sequence[Stay], move: date, elsewhere: Exposure) -> list[Stay]:
    before = [it for it in stays if it.since < move]
    if before:
        last = before.pop()
        before.append(Stay(last.box, last.since, move, last.exposure))
    return [*before, Stay("elsewhere", move, None, elsewhere)]


@given(climates(), logs(), st.floats(0, 15), MEASURES)
def test_a_hotter_box_never_uses_up_less(
    climate: Climate, log: TemperatureLog, hotter: float, measure: LabelDays
) -> None:
    days = START, START + timedelta(days=400)
    warm = Climate(
        "warm", tuple(DailyRange(it.low_c + hotter, it.high_c + hotter) for it in climate.months)
    )
    warm_log = TemperatureLog(tuple(Reading(at, c + hotter) for at, c in log.readings))
    cool_box = [Stay("cool", START, None, Exposure(climate, log))]
    warm_box = [Stay("warm", START, None, Exposure(warm, warm_log))]
    used = amount(cool_box, measure, *days)
    assert used >= 400 - 1e-6
    assert amount(warm_box, measure, *days) >= used - 1e-6


@given(climates(), MEASURES, st.integers(0, 700), st.integers(1, 12))
def test_a_log_of_the_steady_temperature_is_as_good_as_a_climate_of_it(
    climate: Climate, measure: LabelDays, day: int, step: int
) -> None:
    """Per hour or per day, readings and climates count in one unit."""
    celsius = climate.months[0].high_c
    first = datetime(2027, 1, 15) + timedelta(days=day)
    count = 48 * 4 // step
    log = TemperatureLog(
        tuple(Reading(first + timedelta(minutes=15 * step * n), celsius) for n in range(count + 1))
    )
    steady = Climate("steady", (DailyRange(celsius, celsius),) * 12)
    days = first.date(), first.date() + timedelta(days=3)
    with_log = amount([Stay("a", days[0], None, Exposure(steady, log))], measure, *days)
    without = amount([Stay("a", days[0], None, Exposure(steady))], measure, *days)
    assert with_log == pytest.approx(without)


@given(st.lists(st.tuples(st.floats(-20, 70), st.floats(0.1, 100)), min_size=1))
def test_a_mean_kinetic_temperature_lies_between_the_mean_and_the_peak(
    parts: list[tuple[float, float]],
) -> None:
    mean = sum(c * w for c, w in parts) / sum(w for _, w in parts)
    assert mean - 1e-9 <= mean_kinetic_temperature(parts) <= max(c for c, _ in parts) + 1e-9
