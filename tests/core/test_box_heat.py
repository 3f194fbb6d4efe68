"""What is known of the heat in a box, told line by line. Boxes and readings are invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from stockcheck.core.box_heat import ceilings, lasting, of_climate, of_gaps, told
from stockcheck.core.climate import Basis, Climate, DailyRange, fixed_climate
from stockcheck.core.exposure import Exposure
from stockcheck.core.model import Kind
from stockcheck.core.temperature_log import Gap, Reading, TemperatureLog
from stockcheck.data.kinds import shipped_kinds

MIDNIGHT = datetime(2027, 6, 14)
HOUR = timedelta(hours=1)
SEALANT = shipped_kinds()["rtv-silicone"]  # at most 27 °C
SUMMER = Climate(
    "roof", tuple(DailyRange(5, 15 + n) for n in range(12)), "a logger", Basis.OWN, "a roof box"
)


def log(celsius: Sequence[float], step: timedelta = HOUR) -> TemperatureLog:
    return TemperatureLog(tuple(Reading(MIDNIGHT + n * step, c) for n, c in enumerate(celsius)))


def lines(exposure: Exposure, *kinds: Kind) -> list[str]:
    return [" " * indent + words for indent, words in told(exposure, kinds, 2027)]


def test_a_climate_tells_its_basis_its_source_and_a_year_in_it() -> None:
    assert of_climate(SUMMER, 2027) == [
        (0, "climate 'roof' (your own figure)"),
        (2, "a roof box"),
        (2, "source: a logger"),
        (2, "5 to 26 °C, mean kinetic temperature of a year 14.8 °C (USP <1160>, 83.144 kJ/mol)"),
    ]
    assert of_climate(fixed_climate("fridge", 5), 2027)[-1] == (2, "5 °C all year round")


def test_readings_tell_their_span_their_kinetic_mean_and_their_gaps() -> None:
    readings = (*log([20, 20, 20]).readings, Reading(MIDNIGHT + timedelta(days=1), 22.5))
    assert lines(Exposure(log=TemperatureLog(readings))) == [
        "4 readings, 14 JUN 2027 00:00 to 15 JUN 2027 00:00: 20.0 to 22.5 °C",
        "  mean kinetic temperature 20.0 °C (USP <1160>, 83.144 kJ/mol)",
        "  gap of 22 h: 14 JUN 2027 02:00 to 15 JUN 2027 00:00",
    ]


def test_one_reading_alone_has_no_mean() -> None:
    assert lines(Exposure(log=log([20]))) == [
        "1 readings, 14 JUN 2027 00:00 to 14 JUN 2027 00:00: 20.0 to 20.0 °C"
    ]


def test_the_worst_thirty_days_are_told_once_there_are_so_many() -> None:
    warm = [20.0] * (24 * 20) + [30.0] * (24 * 31)
    assert "  worst 30 days 30.0 °C, to 03 AUG 2027" in lines(Exposure(log=log(warm)))
    assert not [line for line in lines(Exposure(log=log(warm[: 24 * 20]))) if "worst" in line]


def test_the_times_above_a_storage_ceiling_with_the_longest_and_the_hottest() -> None:
    swing = [20, 34, 20, 20, 28, 29, 28, 20]
    found = lines(Exposure(SUMMER, log(swing)), SEALANT)
    assert found[-4:] == [
        "above 27 °C, the storage ceiling of RTV silicone gasket maker:",
        "  2 times, 3 h 15 min in all",
        "  longest 2 h 15 min from 14 JUN 2027 03:52, at most 29.0 °C",
        "  hottest 1 h from 14 JUN 2027 00:30, at most 34.0 °C",
    ]


def test_an_excursion_cut_off_by_the_log_was_at_least_so_long() -> None:
    assert lines(Exposure(log=log([30, 30, 30])), SEALANT)[-2:] == [
        "  once, 2 h in all",
        "  longest at least 2 h from 14 JUN 2027 00:00, at most 30.0 °C",
    ]


@pytest.mark.parametrize(
    ("high", "said"),
    [(27.0, []), (32.0, ["  by its climate on usual days of every month"])],
)
def test_without_a_logger_the_climate_tells_the_months(high: float, said: list[str]) -> None:
    climate = Climate("box", (DailyRange(5, high),) * 12)
    assert lines(Exposure(climate), SEALANT)[2 + bool(said) :] == said
    months = lines(
        Exposure(replace(SUMMER, months=(*SUMMER.months[:11], DailyRange(5, 40)))), SEALANT
    )
    assert months[-1] == "  by its climate on usual days of DEC"


def test_kinds_with_one_ceiling_stand_together_and_many_are_counted() -> None:
    kinds = shipped_kinds()
    several = [kinds[key] for key in ("cloth-tape", "rtv-silicone", "threadlocker", "tool")]
    assert ceilings(several) == {
        27: "RTV silicone gasket maker and cloth tape",
        28: "anaerobic threadlocker",
    }
    alike = [replace(SEALANT, key=f"s{n}", name=f"sealant {n}") for n in range(5)]
    assert ceilings(alike) == {27: "sealant 0, sealant 1 and 3 other kinds"}


def test_of_many_gaps_the_longest_are_named_in_their_order() -> None:
    gaps = [Gap(MIDNIGHT + n * 24 * HOUR, MIDNIGHT + (n * 24 + 4 + n) * HOUR) for n in range(5)]
    assert of_gaps(gaps) == [
        "gap of 6 h: 16 JUN 2027 00:00 to 16 JUN 2027 06:00",
        "gap of 7 h: 17 JUN 2027 00:00 to 17 JUN 2027 07:00",
        "gap of 8 h: 18 JUN 2027 00:00 to 18 JUN 2027 08:00",
        "and 2 shorter gaps",
    ]
    assert of_gaps([]) == []


@pytest.mark.parametrize(
    ("length", "said"),
    [
        (timedelta(0), "0 min"),
        (timedelta(minutes=45), "45 min"),
        (timedelta(hours=9), "9 h"),
        (timedelta(hours=9, minutes=5, seconds=40), "9 h 6 min"),
        (timedelta(days=1), "1 day"),
        (timedelta(days=3, hours=4, minutes=50), "3 days 4 h"),
    ],
)
def test_a_length_is_told_in_its_two_largest_units(length: timedelta, said: str) -> None:
    assert lasting(length) == said
