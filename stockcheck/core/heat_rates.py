"""The arithmetic of heat: Q10, Arrhenius, mean kinetic temperature, and a day's swing integrated.

A *factor* is how many days of label life one day uses up: 1 at the reference temperature. It is
never counted below 1, at no moment: cool hours give no credit for hot ones. Averaging the
temperature before taking the exponential under-counts, so every integral here is taken after it.
Temperatures are in °C unless a name says kelvin.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import acos, exp, expm1, factorial, log, pi, sin

KELVIN = 273.15
GAS_CONSTANT = 8.3144e-3
"""kJ/(mol K), as USP 29 <1160> prints it."""
MKT_CONSTANT = 10_000.0
"""Kelvin: 83.144 kJ/mol over the gas constant, USP 29 <1160>, where a product's own is unknown."""


def q10_factor(celsius: float, q10: float, reference_c: float) -> float:
    """How much faster a thing ages at a temperature than at the reference; not clipped at 1."""
    return float(q10 ** ((celsius - reference_c) / 10))


def accelerated_ageing_factor(ageing_c: float, storage_c: float, q10: float = 2.0) -> float:
    """AAF of ASTM F1980: real time stood for by one unit of time in the oven."""
    return q10_factor(ageing_c, q10, storage_c)


def arrhenius_ratio(activation_kj_mol: float, from_c: float, to_c: float) -> float:
    """The rate at ``to_c`` over the rate at ``from_c`` for an activation energy in kJ/mol."""
    return exp(activation_kj_mol / GAS_CONSTANT * _inverse_step(from_c, to_c))


def activation_energy(ratio: float, from_c: float, to_c: float) -> float:
    """The activation energy in kJ/mol of a rate that grows by ``ratio`` between two temperatures.

    ValueError for equal temperatures, which tell nothing.
    """
    if from_c == to_c:
        raise ValueError("two different temperatures are needed for an activation energy")
    return GAS_CONSTANT * log(ratio) / _inverse_step(from_c, to_c)


def _inverse_step(from_c: float, to_c: float) -> float:
    return 1 / (from_c + KELVIN) - 1 / (to_c + KELVIN)


def mean_kinetic_temperature(
    parts: Iterable[tuple[float, float]], constant: float = MKT_CONSTANT
) -> float:
    """The steady temperature that ages as much as these (°C, weight) parts together.

    USP 29 <1160> and ICH Q1A(R2), after Haynes 1971; a weight is usually a time. It is never below
    the weighted mean. ValueError when the weights come to nothing.
    """
    weight_sum = rate_sum = 0.0
    for celsius, weight in parts:
        weight_sum += weight
        rate_sum += weight * kinetic_rate(celsius, constant)
    return kinetic_temperature(rate_sum, weight_sum, constant)


def kinetic_rate(celsius: float, constant: float = MKT_CONSTANT) -> float:
    """The rate that a mean kinetic temperature averages; it has a meaning only as a ratio."""
    return exp(-constant / (celsius + KELVIN))


def kinetic_temperature(
    rate_sum: float, weight_sum: float, constant: float = MKT_CONSTANT
) -> float:
    """°C of a sum of weighted kinetic rates; ValueError when the weights come to nothing."""
    if weight_sum <= 0:
        raise ValueError("a mean kinetic temperature needs at least one reading with a weight")
    return -constant / log(rate_sum / weight_sum) - KELVIN


def bessel_i(order: int, x: float) -> float:
    """The modified Bessel function of the first kind, for whole orders and x >= 0: its series."""
    quarter = x * x / 4
    term = (x / 2) ** order / factorial(order)
    total, step = term, 0
    while term > total * 1e-17:
        step += 1
        term *= quarter / (step * (step + order))
        total += term
    return total


def sine_factor(centre_c: float, half_swing: float, q10: float, reference_c: float) -> float:
    """The mean factor of a day whose temperature is a sine; exact and not clipped at 1."""
    return q10_factor(centre_c, q10, reference_c) * bessel_i(0, half_swing * log(q10) / 10)


def clipped_sine_factor(
    centre_c: float, half_swing: float, q10: float, reference_c: float
) -> float:
    """The mean factor of a sine day in which every moment counts as at least 1; exact.

    Over the hot part of the day exp(z cos t) is integrated by its series of Bessel functions
    (Jacobi-Anger), term by term.
    """
    hot = hot_half_angle(centre_c, half_swing, reference_c)
    if hot == 0.0:
        return 1.0
    if hot == pi:
        return sine_factor(centre_c, half_swing, q10, reference_c)
    z = half_swing * log(q10) / 10
    area, order = bessel_i(0, z) * hot, 1
    while (weight := bessel_i(order, z)) > 1e-17:
        area += 2 * weight * sin(order * hot) / order
        order += 1
    factor = (pi - hot + q10_factor(centre_c, q10, reference_c) * area) / pi
    return max(1.0, factor)


def hot_half_angle(centre_c: float, half_swing: float, limit_c: float) -> float:
    """Half the arc, 0 to pi, in which a sine day is above a limit; over pi it is a share of it."""
    if centre_c + half_swing <= limit_c:
        return 0.0
    if centre_c - half_swing >= limit_c:
        return pi
    return acos((limit_c - centre_c) / half_swing)


def clipped_step_factor(first: float, last: float) -> float:
    """The mean factor of a step in which the logarithm of the factor runs straight; exact.

    ``first`` and ``last`` are those logarithms: ln(Q10) / 10 times the degrees above the reference.
    Every moment counts as at least 1.
    """
    low, high = (first, last) if first < last else (last, first)
    if high <= 0:
        return 1.0
    if low >= 0:
        rise = high - low
        return exp(low) * (expm1(rise) / rise if rise else 1.0)
    hot_share = high / (high - low)
    return 1 - hot_share + hot_share * expm1(high) / high
