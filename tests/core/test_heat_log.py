"""A logger's readings: steps, gaps, excursions, kinetic temperature."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from stockcheck.core.temperature_log import (
    Excursion,
    Gap,
    Merged,
    Reading,
    Step,
    TemperatureLog,
    excursions_above,
    excursions_below,
    log_mkt,
    merge_readings,
    worst_mkt,
)


def at(text: str) -> datetime:
    return datetime.fromisoformat(f"2027-{text}")


def log(*readings: tuple[str, float]) -> TemperatureLog:
    return TemperatureLog(tuple(Reading(at(time), celsius) for time, celsius in readings))


def even(*celsius: float, hours: float = 1.0) -> TemperatureLog:
    start = at("06-01 00:00")
    step = timedelta(hours=hours)
    return TemperatureLog(tuple(Reading(start + step * n, it) for n, it in enumerate(celsius)))


def test_doubled_readings_are_counted_and_the_warmer_of_two_that_disagree_is_kept() -> None:
    noon, one = at("06-01 12:00"), at("06-01 13:00")
    merged = merge_readings(
        [Reading(one, 31.0), Reading(noon, 30.0), Reading(noon, 30.0), Reading(one, 33.5)]
    )
    assert merged == Merged((Reading(noon, 30.0), Reading(one, 33.5)), duplicates=2, conflicts=1)


def test_a_log_whose_readings_go_back_in_time_is_refused() -> None:
    with pytest.raises(ValueError, match="does not come after"):
        log(("06-01 12:00", 30), ("06-01 11:00", 30))


def test_a_step_longer_than_three_hours_is_a_gap_and_not_bridged() -> None:
    found = log(("06-01 08:00", 30), ("06-01 11:00", 36), ("06-01 14:01", 50))
    assert found.gaps() == (Gap(at("06-01 11:00"), at("06-01 14:01")),)
    assert list(found.steps()) == [Step(at("06-01 08:00").toordinal(), 0.125, 30, 36)]


def test_a_step_over_midnight_is_cut_there_on_the_straight_line() -> None:
    first, second = log(("06-01 23:00", 30), ("06-02 01:00", 26)).steps()
    assert second.day == first.day + 1
    assert (first.share, second.share) == pytest.approx((1 / 24, 1 / 24))
    assert (first.first_c, first.last_c, second.first_c, second.last_c) == (30, 28, 28, 26)


def test_no_reading_and_a_lone_reading_are_logs_without_steps() -> None:
    for empty in (log(), log(("06-01 08:00", 30))):
        assert list(empty.steps()) == []
        assert empty.gaps() == ()
        with pytest.raises(ValueError, match=r"reading|readings"):
            log_mkt(empty)


def test_an_excursion_has_its_crossings_its_length_and_its_peak() -> None:
    found = excursions_above(even(24, 28, 34, 30, 26, 20), 27)
    assert found == (Excursion(at("06-01 00:45"), at("06-01 03:45"), 34, cut=False),)
    assert found[0].length == timedelta(hours=3)


def test_an_excursion_at_the_logs_end_or_a_gap_may_have_been_longer() -> None:
    found = excursions_above(
        log(("06-01 08:00", 31), ("06-01 10:00", 29), ("06-01 11:00", 33), ("06-01 20:00", 31)), 30
    )
    assert [(it.start, it.end, it.cut) for it in found] == [
        (at("06-01 08:00"), at("06-01 09:00"), True),
        (at("06-01 10:15"), at("06-01 11:00"), True),
        (at("06-01 20:00"), at("06-01 20:00"), True),
    ]


def test_exactly_at_the_limit_is_no_excursion() -> None:
    assert excursions_above(even(30, 30, 29, 30), 30) == ()


def test_an_excursion_below_a_limit_has_the_coldest_as_its_peak() -> None:
    (found,) = excursions_below(even(4, 1, -1, -3, 1), 0)
    assert (found.start, found.peak_c, found.cut) == (at("06-01 01:30"), -3, False)


def test_the_kinetic_temperature_weighs_readings_by_the_time_they_stand_for() -> None:
    often = log(("06-01 00:00", 20), ("06-01 01:00", 20), ("06-01 02:00", 40))
    seldom = log(("06-01 00:00", 20), ("06-01 01:00", 20), ("06-01 01:15", 20), ("06-01 02:00", 40))
    assert log_mkt(often) > log_mkt(seldom) > 20
    assert log_mkt(even(30, 30, 30)) == pytest.approx(30, abs=1e-9)


def test_a_gap_weighs_nothing_in_the_kinetic_temperature() -> None:
    gapped = log(("06-01 00:00", 20), ("06-01 01:00", 20), ("06-01 09:00", 40), ("06-01 10:00", 40))
    assert log_mkt(gapped) == pytest.approx(34.3579, abs=5e-5)  # equal weights at 20 and 40 °C


def test_the_shorter_the_window_the_higher_its_worst_kinetic_temperature() -> None:
    """The USP's stimuli article, PF 44(4), as reported: 23.98 for the year, 28.98 for the worst 30
    days, 30.7 °C for the worst day of one store, whose readings it does not print.
    """
    days = [22 + (8 if 40 <= day < 60 else 0) + (3 if day == 47 else 0) for day in range(90)]
    store = even(*(float(it) for it in days for _ in range(12)), hours=2)
    month, day = worst_mkt(store, timedelta(days=30)), worst_mkt(store, timedelta(days=1))
    assert day[0] > month[0] > log_mkt(store)
    assert day[1].date() == (at("06-01 00:00") + timedelta(days=47)).date()


def test_short_spikes_hardly_move_a_kinetic_temperature_of_many_days() -> None:
    """As Gill (2004) found in ambulances: 45 days, peaks of 52 °C for 795 min, at most 28.9 °C."""
    hours = [24.0] * (45 * 24)
    for hour in range(13):
        hours[500 + hour] = 52.0
    assert max(hours) == 52
    assert log_mkt(even(*hours)) < 28.9
