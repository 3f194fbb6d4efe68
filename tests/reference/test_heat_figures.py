"""The arithmetic of heat against published figures, and against numpy as an independent check.

Where no published example with its complete input was found, the vector has a closed form that can
be worked by hand, and says so. K, kJ/mol and Q10 figures are held to the digits printed.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from math import log

import numpy as np
import pytest

from stockcheck.core.exposure import Exposure, LabelDays, totals
from stockcheck.core.heat_rates import (
    GAS_CONSTANT,
    MKT_CONSTANT,
    accelerated_ageing_factor,
    activation_energy,
    arrhenius_ratio,
    bessel_i,
    clipped_sine_factor,
    clipped_step_factor,
    mean_kinetic_temperature,
    q10_factor,
    sine_factor,
)
from stockcheck.core.temperature_log import Reading, TemperatureLog, log_mkt
from stockcheck.data.climates import climates

KCAL = 4.184
SCHOOL = 273.0  # the published exercises below take 25 °C as 298 K, not 298.15 K
PLACES = 5e-5


def school(kelvin: float) -> float:
    return kelvin - 273.15


# V1 to V12: mean kinetic temperature. Formula and dH/R = 10 000 K: USP 29 <1160>. The results are
# worked from that formula: no published example with its whole input series was found.
MKT_VECTORS = [
    ("V2", [(20, 1), (30, 1)], 26.2599),
    ("V3", [(25, 1), (35, 1)], 31.2210),
    ("V4", [(20, 1), (40, 1)], 34.3579),
    ("V5", [(20, 1), (25, 1), (30, 1)], 25.8582),
    ("V6, passes 25 °C although a month at 40 °C is not allowed", [(20, 11), (40, 1)], 24.3830),
    ("V7, days", [(25, 29), (40, 1)], 26.1130),
    ("V7, days, from 22 °C", [(22, 29), (40, 1)], 23.5996),
    ("V8, hours", [(22, 717), (29, 3)], 22.0432),
    ("V9, days", [(22, 15), (31, 15)], 27.5197),
    ("V10, hours, fails a fridge's 8 °C", [(5, 18), (14, 6)], 8.2852),
]


@pytest.mark.parametrize(("vector", "parts", "mkt"), MKT_VECTORS)
def test_mean_kinetic_temperatures_worked_from_the_usp_formula(
    vector: str, parts: list[tuple[float, float]], mkt: float
) -> None:
    assert mean_kinetic_temperature(parts) == pytest.approx(mkt, abs=PLACES), vector


@pytest.mark.parametrize("celsius", [-20.0, 0.0, 5.0, 25.0, 71.0])
def test_v1_a_constant_series_has_itself_as_its_mean_kinetic_temperature(celsius: float) -> None:
    assert mean_kinetic_temperature([(celsius, 1)] * 7) == pytest.approx(celsius, abs=1e-9)


def test_v12_neither_order_nor_splitting_a_step_changes_a_mean_kinetic_temperature() -> None:
    whole = mean_kinetic_temperature([(20, 2), (31, 3), (44, 1)])
    assert mean_kinetic_temperature([(44, 1), (20, 2), (31, 3)]) == pytest.approx(whole, abs=1e-9)
    split = [(20, 2), (31, 1.25), (31, 1.75), (44, 1)]
    assert mean_kinetic_temperature(split) == pytest.approx(whole, abs=1e-9)


def test_v11_a_constant_a_thousand_times_too_small_shows_as_a_figure_below_the_mean() -> None:
    """The unit slip of J for kJ; with the right constant the figure is never below the mean."""
    slipped = mean_kinetic_temperature([(20, 1), (40, 1)], constant=10.0)
    assert slipped == pytest.approx(29.676, abs=5e-4)
    assert slipped < 30 < mean_kinetic_temperature([(20, 1), (40, 1)])


def test_p6_the_usp_constant_is_83_144_kj_over_the_gas_constant() -> None:
    """USP 29 <1160>."""
    assert pytest.approx(83.144 / GAS_CONSTANT) == MKT_CONSTANT == 10_000


USP_AS_Q10 = [
    (5, 15, 3.48),
    (15, 25, 3.20),
    (20, 30, 3.08),
    (25, 35, 2.97),
    (30, 40, 2.87),
    (40, 50, 2.69),
    (50, 60, 2.53),
]


@pytest.mark.parametrize(("from_c", "to_c", "q10"), USP_AS_Q10)
def test_the_usp_constant_means_a_q10_near_three_that_falls_with_temperature(
    from_c: float, to_c: float, q10: float
) -> None:
    """Worked from 83.144 kJ/mol."""
    assert arrhenius_ratio(83.144, from_c, to_c) == pytest.approx(q10, abs=5e-3)


def test_forty_degrees_apart_the_three_conventions_differ_by_more_than_five_times() -> None:
    """25 to 65 °C, worked: Q10 2 and 3, and Arrhenius with 83.144 kJ/mol."""
    assert q10_factor(65, 2, 25) == pytest.approx(16)
    assert q10_factor(65, 3, 25) == pytest.approx(81)
    assert arrhenius_ratio(83.144, 25, 65) == pytest.approx(52.9, abs=0.05)


@pytest.mark.parametrize(("celsius", "factor"), [(25, 1), (35, 2), (45, 4), (15, 0.5), (55, 8)])
def test_v13_q10_of_two_doubles_every_ten_degrees(celsius: float, factor: float) -> None:
    """By hand; before anything is clipped."""
    assert q10_factor(celsius, 2, 25) == pytest.approx(factor)


def test_p1_a_rate_that_doubles_from_298_to_308_k_has_52_9_kj_per_mol() -> None:
    """The standard school exercise on Arrhenius."""
    assert round(activation_energy(2, school(298), school(308)), 1) == 52.9


def test_p2_fifty_kj_per_mol_make_a_rate_1_93_times_faster_from_298_to_308_k() -> None:
    """A worked school exercise."""
    assert round(arrhenius_ratio(50, school(298), school(308)), 2) == 1.93


@pytest.mark.parametrize(("kcal", "q10"), [(12.2, 2), (19.4, 3), (24.5, 4)])
def test_p3_activation_energies_pair_with_a_q10_of_two_three_and_four(
    kcal: float, q10: float
) -> None:
    """Pharmacy texts (Simonelli and Dresback; Connors and others), from memory; 20 to 30 °C."""
    assert arrhenius_ratio(kcal * KCAL, 20, 30) == pytest.approx(q10, abs=0.02)


def test_p4_solutions_of_a_pharmacy_textbook_keep_as_it_says() -> None:
    """48 h at 5 °C are 5.33 h at 25 °C, 6 h at 25 °C are 54 h at 5 °C, Q10 3: from memory."""
    assert 48 / q10_factor(25, 3, 5) == pytest.approx(5.33, abs=5e-3)
    assert 6 / q10_factor(5, 3, 25) == pytest.approx(54)


def test_p5_accelerated_ageing_factors_of_astm_f1980() -> None:
    """Figures in wide use with ASTM F1980: 55 °C against 22 and 25 °C, Q10 2, year of 365 days."""
    assert round(accelerated_ageing_factor(55, 22), 2) == 9.85
    assert round(365 / accelerated_ageing_factor(55, 22), 1) == 37.1
    assert accelerated_ageing_factor(55, 25) == pytest.approx(8)
    assert round(365 / accelerated_ageing_factor(55, 25), 1) == 45.6
    assert 730 / accelerated_ageing_factor(55, 25) == pytest.approx(91.25)


@pytest.mark.parametrize(("q10", "days"), [(2, 158), (3, 982)])
def test_p9_seven_days_at_70_degrees_stand_for_no_known_time_at_25(q10: float, days: int) -> None:
    """The oven test of 21 CFR 801.435, which asks for real time too: worked."""
    assert round(7 * accelerated_ageing_factor(70, 25, q10)) == days


def test_p10_the_shipped_zones_have_the_test_conditions_of_the_who() -> None:
    """WHO Technical Report Series 953, Annex 2, Appendix 1."""
    conditions = {"I": 21, "II": 25, "III": 30, "IVA": 30, "IVB": 30}
    shipped = climates()
    for zone, celsius in conditions.items():
        climate = shipped[f"zone {zone}, store"]
        assert climate.is_fixed
        assert climate.months[0].high_c == celsius


# V14, H1 to H6: label days used up, days at temperatures against a reference of 25 °C; worked.
HEAT_CASES = [
    ("H1", [(90, 35)], {1.5: 135.0, 2: 180.0, 2.5: 225.0, 3: 270.0}),
    ("H2", [(30, 25), (30, 35), (30, 45)], {1.5: 142.5, 2: 210.0, 2.5: 292.5, 3: 390.0}),
    ("H3", [(80, 30), (40, 50)], {1.5: 208.2, 2: 339.4, 2.5: 521.8, 3: 762.1}),
    ("H5 before clipping", [(365, 15)], {1.5: 243.3, 2: 182.5, 2.5: 146.0, 3: 121.7}),
]


@pytest.mark.parametrize(("case", "parts", "expected"), HEAT_CASES)
def test_v14_label_days_used_up_by_spells_of_heat(
    case: str, parts: list[tuple[float, float]], expected: dict[float, float]
) -> None:
    for q10, days in expected.items():
        used = sum(time * q10_factor(celsius, q10, 25) for time, celsius in parts)
        assert used == pytest.approx(days, abs=0.05), (case, q10)


@pytest.mark.parametrize(("reference_c", "days"), [(20, 509.1), (25, 360.0), (30, 254.6)])
def test_v14_h6_the_reference_temperature_changes_the_sum(reference_c: float, days: float) -> None:
    assert 180 * q10_factor(35, 2, reference_c) == pytest.approx(days, abs=0.05)


# Hours 1 to 24 of the hot dry design days of MIL-STD-810 Method 501, A1: from memory.
INDUCED = "35 34 34 33 33 33 36 40 44 51 56 63 69 70 71 70 67 63 55 48 41 39 37 35"
NATURAL = "35 34 34 33 33 32 33 36 38 41 43 44 47 48 48 49 48 48 46 42 41 39 38 37"
# mean, MKT by the hour, MKT of minimum and maximum, then Q10 2 factors against 25 °C: by the hour,
# of the mean, of the middle, of the two extremes, of a sine between them. Worked.
DESIGN_DAYS = [
    (NATURAL, 40.29, 41.83, 43.59, 3.124, 2.886, 2.928, 3.451, 3.188),
    (INDUCED, 48.21, 56.58, 63.28, 8.085, 4.996, 6.498, 12.996, 9.636),
]


@pytest.mark.parametrize(
    ("hours", "mean", "mkt", "mkt_pair", "hourly", "of_mean", "of_mid", "of_pair", "of_sine"),
    DESIGN_DAYS,
)
def test_v14_a_design_day_by_the_hour_and_by_every_shortcut(
    hours: str,
    mean: float,
    mkt: float,
    mkt_pair: float,
    hourly: float,
    of_mean: float,
    of_mid: float,
    of_pair: float,
    of_sine: float,
) -> None:
    day = [float(it) for it in hours.split()]
    low, high = min(day), max(day)
    middle, half = (low + high) / 2, (high - low) / 2
    assert sum(day) / 24 == pytest.approx(mean, abs=5e-3)
    assert mean_kinetic_temperature((it, 1) for it in day) == pytest.approx(mkt, abs=5e-3)
    assert mean_kinetic_temperature([(low, 1), (high, 1)]) == pytest.approx(mkt_pair, abs=5e-3)
    assert sum(q10_factor(it, 2, 25) for it in day) / 24 == pytest.approx(hourly, abs=5e-4)
    assert q10_factor(sum(day) / 24, 2, 25) == pytest.approx(of_mean, abs=5e-4)
    assert q10_factor(middle, 2, 25) == pytest.approx(of_mid, abs=5e-4)
    pair = (q10_factor(low, 2, 25) + q10_factor(high, 2, 25)) / 2
    assert pair == pytest.approx(of_pair, abs=1e-3)
    assert clipped_sine_factor(middle, half, 2, 25) == pytest.approx(of_sine, abs=5e-4)


@pytest.mark.parametrize(("q10", "days"), [(1.5, 182.1), (2, 485.1), (2.5, 1126.2), (3, 2325.7)])
def test_v14_h4_sixty_induced_design_days(q10: float, days: float) -> None:
    day = [float(it) for it in INDUCED.split()]
    used = 60 * sum(q10_factor(it, q10, 25) for it in day) / 24
    assert used == pytest.approx(days, abs=0.06)


def test_v14_a_life_of_730_days_goes_in_90_induced_design_days() -> None:
    day = [float(it) for it in INDUCED.split()]
    assert 730 / (sum(q10_factor(it, 2, 25) for it in day) / 24) == pytest.approx(90.3, abs=0.05)


def test_v14_the_sine_day_of_30_plus_and_minus_10_degrees() -> None:
    """Worked: 2 ** 0.5 times I0(ln 2), and the MKT of the same day."""
    assert sine_factor(30, 10, 2, 25) == pytest.approx(1.58925, abs=5e-6)
    moments = 30 + 10 * np.cos(np.linspace(0, 2 * np.pi, 1000, endpoint=False))
    assert mean_kinetic_temperature((float(it), 1) for it in moments) == pytest.approx(
        32.380, abs=5e-4
    )


def test_half_a_day_at_15_and_half_at_35_degrees_counts_as_one_and_a_half_days() -> None:
    """Clipped at every moment, the cautious way: 1.5, where the plain average says 1.25."""
    measure = LabelDays(2, 25)
    assert (measure.of_step(15, 15) + measure.of_step(35, 35)) / 2 == pytest.approx(1.5)
    assert (q10_factor(15, 2, 25) + q10_factor(35, 2, 25)) / 2 == pytest.approx(1.25)


# numpy as an independent check of the series and the closed forms
@pytest.mark.parametrize("x", [0.0, 1e-6, 0.5, 0.693, 2.2, 7.5, 15.0])
def test_the_bessel_series_agrees_with_numpy(x: float) -> None:
    assert bessel_i(0, x) == pytest.approx(float(np.i0(x)), rel=1e-12)


@pytest.mark.parametrize("q10", [1.5, 2.0, 3.0, 4.0])
@pytest.mark.parametrize(("centre", "half"), [(30, 10), (25, 12), (24.9, 0.5), (10, 20), (52, 19)])
def test_the_clipped_sine_day_agrees_with_a_fine_sum_in_numpy(
    q10: float, centre: float, half: float
) -> None:
    turn = (np.arange(400_000) + 0.5) * (2 * np.pi / 400_000)
    celsius = centre + half * np.cos(turn)
    fine = float(np.maximum(1.0, q10 ** ((celsius - 25) / 10)).mean())
    assert clipped_sine_factor(centre, half, q10, 25) == pytest.approx(fine, rel=1e-8)


@pytest.mark.parametrize(("first_c", "last_c"), [(20, 40), (40, 20), (26, 60), (5, 24), (33, 33)])
def test_the_straight_step_agrees_with_a_fine_sum_in_numpy(first_c: float, last_c: float) -> None:
    share = (np.arange(400_000) + 0.5) / 400_000
    celsius = first_c + (last_c - first_c) * share
    fine = float(np.maximum(1.0, 2 ** ((celsius - 25) / 10)).mean())
    slope = log(2) / 10
    mine = clipped_step_factor(slope * (first_c - 25), slope * (last_c - 25))
    assert mine == pytest.approx(fine, rel=1e-8)


def wave(days: int, minutes: int, mean: float, half: float) -> TemperatureLog:
    start = datetime(2027, 5, 1)
    count = days * 1440 // minutes
    turn = np.arange(count + 1) * (minutes / 1440 * 2 * np.pi)
    return TemperatureLog(
        tuple(
            Reading(start + timedelta(minutes=minutes * index), float(celsius))
            for index, celsius in enumerate(mean + half * np.sin(turn))
        )
    )


def test_a_log_of_sine_days_uses_up_what_the_sine_formula_says() -> None:
    log_of_box = wave(days=10, minutes=10, mean=32, half=14)
    running = totals(Exposure(log=log_of_box), LabelDays(2, 25))
    first = log_of_box.readings[0].at.date()
    used = running.between(first, first + timedelta(days=10))
    assert used == pytest.approx(
        10 * clipped_sine_factor(32, 14, 2, 25), rel=1e-4
    )  # chords under the arc


def test_the_kinetic_temperature_of_a_log_agrees_with_the_formula_in_numpy() -> None:
    log_of_box = wave(days=3, minutes=15, mean=30, half=10)
    kelvin = np.array([it.celsius for it in log_of_box.readings]) + 273.15
    weights = np.ones(len(kelvin))
    weights[[0, -1]] = 0.5
    rate = np.average(np.exp(-10_000 / kelvin), weights=weights)
    assert log_mkt(log_of_box) == pytest.approx(float(-10_000 / np.log(rate) - 273.15), abs=1e-9)
