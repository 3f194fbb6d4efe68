"""Climates, and what a box's contents are exposed to."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from itertools import pairwise

import pytest

from stockcheck.core.climate import (
    Basis,
    Climate,
    DailyRange,
    climate_mkt,
    fixed_climate,
    month_lengths,
)
from stockcheck.core.exposure import (
    Exposure,
    Extremes,
    HoursAbove,
    LabelDays,
    days_beyond,
    totals,
    widest,
)
from stockcheck.core.temperature_log import Reading, TemperatureLog

LOWS = (8, 10, 14, 18, 23, 27, 29, 28, 25, 20, 13, 9)
HIGHS = (33, 36, 40, 45, 50, 53, 54, 53, 50, 45, 38, 34)
BED = Climate("bed", tuple(DailyRange(*it) for it in zip(LOWS, HIGHS, strict=True)))
Q10_2 = LabelDays(2, 25)


def logged(first: str, *celsius: float, hours: float = 1.0) -> TemperatureLog:
    start, step = datetime.fromisoformat(first), timedelta(hours=hours)
    return TemperatureLog(tuple(Reading(start + step * n, it) for n, it in enumerate(celsius)))


@pytest.mark.parametrize(
    ("low", "high", "mean"), [(20, 10, None), (10, 20, 25), (10, 20, 5), (-80, 0, None)]
)
def test_a_usual_day_out_of_order_or_out_of_this_world_is_refused(
    low: float, high: float, mean: float | None
) -> None:
    with pytest.raises(ValueError, match="do not rise in that order"):
        DailyRange(low, high, mean)


def test_a_mean_moves_the_days_sine_up_and_never_down() -> None:
    assert DailyRange(10, 30).centre_c == 20
    assert DailyRange(10, 30, 24).centre_c == 24
    assert DailyRange(10, 30, 15).centre_c == 20


def test_a_climate_of_fewer_than_twelve_months_is_refused() -> None:
    with pytest.raises(ValueError, match="has 11 months, not twelve"):
        Climate("short", (DailyRange(10, 20),) * 11)


def test_only_one_temperature_the_year_round_is_fixed() -> None:
    assert fixed_climate("store", 25).is_fixed
    assert not Climate("design day", (DailyRange(33, 71),) * 12).is_fixed
    assert not BED.is_fixed


def test_months_count_by_their_real_lengths() -> None:
    assert month_lengths(2027) == (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    assert sum(month_lengths(2028)) == 366
    hours = totals(Exposure(BED), HoursAbove(20))
    by_months = [
        (date(2028, month, 1), date(2028 + month // 12, month % 12 + 1, 1))
        for month in range(1, 13)
    ]
    for (start, end), usual in zip(by_months, BED.months, strict=True):
        a_day = HoursAbove(20).of_day(usual)
        assert hours.between(start, end) == pytest.approx((end - start).days * a_day)


@pytest.mark.parametrize(
    ("year", "days"), [(2027, 365), (2028, 366), (2000, 366), (2100, 365), (1996, 366)]
)
def test_29_february_counts_in_leap_years_and_only_there(year: int, days: int) -> None:
    february = Climate("hot February", tuple(DailyRange(25, 25) for _ in range(12)))
    months = list(february.months)
    months[1] = DailyRange(35, 35)
    hot = totals(Exposure(Climate("hot February", tuple(months))), Q10_2)
    used = hot.between(date(year, 1, 1), date(year + 1, 1, 1))
    assert used == pytest.approx(days + (days - 337))


def test_twelve_equal_months_are_a_fixed_temperature() -> None:
    equal = Climate("equal", tuple(DailyRange(35, 35) for _ in range(12)))
    start, end = date(2027, 3, 5), date(2031, 2, 17)
    one, other = (
        totals(Exposure(it), Q10_2).between(start, end) for it in (equal, fixed_climate("fix", 35))
    )
    assert one == other == pytest.approx(2 * (end - start).days)


def test_a_swing_costs_more_than_its_mean() -> None:
    steady, swinging = fixed_climate("steady", 30), Climate("swing", (DailyRange(20, 40),) * 12)
    days = date(2027, 6, 1), date(2027, 7, 1)
    used = [totals(Exposure(it), Q10_2).between(*days) for it in (steady, swinging)]
    assert used[0] == pytest.approx(30 * 2**0.5)
    assert used[1] > used[0]


def test_the_kinetic_temperature_of_a_sine_climate() -> None:
    """Worked: 30 °C with 10 K up and down each day is 32.380 °C."""
    assert climate_mkt(Climate("swing", (DailyRange(20, 40),) * 12), 2027) == pytest.approx(
        32.380, abs=5e-4
    )
    assert climate_mkt(fixed_climate("fix", 25), 2028) == pytest.approx(25, abs=1e-9)


def test_a_box_of_which_nothing_is_known_ages_by_the_calendar_alone() -> None:
    assert totals(Exposure(), Q10_2).between(date(2027, 1, 1), date(2028, 1, 1)) == 365
    assert totals(Exposure(), HoursAbove(25)).between(date(2027, 1, 1), date(2028, 1, 1)) == 0
    assert widest(Exposure()) is None


def test_readings_count_before_the_climate_and_the_climate_where_they_stop() -> None:
    day = date(2027, 6, 10)
    hot_morning = logged("2027-06-10 00:00", *[35.0] * 13)  # twelve hours
    box = totals(Exposure(fixed_climate("bed", 45), hot_morning), Q10_2)
    assert box.between(day, day + timedelta(days=1)) == pytest.approx((2 + 4) / 2)
    assert box.between(day - timedelta(days=10), day) == pytest.approx(40)
    assert box.between(day + timedelta(days=1), day + timedelta(days=11)) == pytest.approx(40)


def test_a_gap_in_the_readings_is_filled_by_the_climate_and_not_bridged() -> None:
    at = datetime.fromisoformat
    gapped = TemperatureLog(
        (
            Reading(at("2027-06-10 00:00"), 25),
            Reading(at("2027-06-10 03:00"), 25),
            Reading(at("2027-06-10 21:00"), 25),
            Reading(at("2027-06-11 00:00"), 25),
        )
    )
    box = totals(Exposure(fixed_climate("bed", 45), gapped), Q10_2)
    assert box.between(date(2027, 6, 10), date(2027, 6, 11)) == pytest.approx(0.25 + 0.75 * 4)


def test_hours_above_a_limit_add_up_from_readings_and_climate() -> None:
    half_of_each = HoursAbove(30)
    assert half_of_each.of_day(DailyRange(20, 40)) == pytest.approx(12)
    assert half_of_each.of_step(20, 40) == pytest.approx(12)
    assert half_of_each.of_step(31, 31) == 24
    assert half_of_each.of_step(30, 30) == 0


def test_the_days_beyond_a_temperature_are_found_in_climate_and_readings() -> None:
    warm = logged("2027-03-05 00:00", *[30.0] * 12, *[58.0] * 13)
    box = Exposure(BED, warm)
    found = list(days_beyond(box, date(2027, 1, 1), date(2027, 7, 3), above_c=52.9))
    assert found[0] == (date(2027, 3, 5), Extremes(30, 58))
    assert found[1] == (date(2027, 3, 6), Extremes(14, 58))  # midnight, and the climate after it
    assert found[2] == (date(2027, 6, 1), Extremes(27, 53))
    assert [day for day, _ in found[2:]] == [
        date(2027, 6, 1) + timedelta(days=n) for n in range(32)
    ]


def test_days_below_a_temperature_are_found_too() -> None:
    found = list(days_beyond(Exposure(BED), date(2027, 10, 1), date(2028, 3, 1), below_c=8.5))
    assert [found[0][0], found[-1][0], len(found)] == [date(2028, 1, 1), date(2028, 1, 31), 31]
    assert list(days_beyond(Exposure(BED), date(2027, 1, 1), date(2028, 1, 1), below_c=0)) == []


@pytest.mark.parametrize(
    ("exposure", "words"),
    [
        (Exposure(), "nothing known, counted as kept at the reference"),
        (Exposure(BED), "climate 'bed' (your own figure)"),
        (
            Exposure(fixed_climate("store", 25, basis=Basis.PUBLISHED), logged("2027-06-01", 30)),
            "readings and where they stop climate 'store' (published)",
        ),
    ],
)
def test_an_exposure_tells_where_its_temperatures_come_from(exposure: Exposure, words: str) -> None:
    assert exposure.named() == words


@pytest.mark.parametrize("amount", [0.0, 0.5, 10.0, 500.0, 4000.0])
def test_the_days_that_an_amount_lasts_are_those_that_counting_finds(amount: float) -> None:
    start = date(2027, 11, 20)
    log = logged("2028-02-10", *(20 + 3 * (n % 9) for n in range(400)))
    for exposure in (Exposure(BED), Exposure(BED, log)):
        box = totals(exposure, Q10_2)
        days = [start + timedelta(days=n) for n in range(1500)]
        used, counted = 0.0, 0
        for one, two in pairwise(days):
            used += box.between(one, two)
            if used > amount:
                break
            counted += 1
        assert box.days_within(start, amount, 1499) == counted
