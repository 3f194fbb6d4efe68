"""Climates: the temperature that a box is taken to have, month by month, where no logger says more.

Between a day's minimum and maximum the temperature is taken as a sine, the honest default when
only those two are known. Where the mean is given too and is warmer than their middle, the sine is
raised to it; a cooler mean changes nothing, so that the climate errs to the hot side.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from math import cos, pi

from stockcheck.core.heat_rates import mean_kinetic_temperature

COLDEST_C, HOTTEST_C = -70.0, 100.0
"""What a climate may say, °C; beyond it a figure is a slip of the pen."""
_MOMENTS = 48  # evenly spaced over a smooth periodic day they give its mean to machine precision


class Basis(StrEnum):
    """Where a climate's figures come from."""

    PUBLISHED = "published"
    MEMORY = "from memory"
    PRACTICE = "common practice"
    INVENTED = "invented for illustration"
    OWN = "your own figure"


@dataclass(frozen=True, slots=True)
class DailyRange:
    """A month's usual day: minimum and maximum, and the mean where it is known, °C.

    ValueError when they are out of order or out of this world.
    """

    low_c: float
    high_c: float
    mean_c: float | None = None

    def __post_init__(self) -> None:
        middle = self.low_c if self.mean_c is None else self.mean_c
        if not COLDEST_C <= self.low_c <= middle <= self.high_c <= HOTTEST_C:
            raise ValueError(
                f"minimum {self.low_c:g}, mean {middle:g} and maximum {self.high_c:g} °C "
                f"do not rise in that order between {COLDEST_C:g} and {HOTTEST_C:g}"
            )

    @property
    def centre_c(self) -> float:
        """The middle of the day's sine."""
        middle = (self.low_c + self.high_c) / 2
        return middle if self.mean_c is None else max(middle, self.mean_c)

    @property
    def half_swing(self) -> float:
        """How far the day's sine goes up and down from its middle, K."""
        return (self.high_c - self.low_c) / 2


@dataclass(frozen=True, slots=True)
class Climate:
    """Twelve months, January first, of usual days, with where the figures come from.

    ValueError unless there are twelve.
    """

    name: str
    months: tuple[DailyRange, ...] = field(repr=False)
    source: str = ""
    basis: Basis = Basis.OWN
    note: str = ""

    def __post_init__(self) -> None:
        if len(self.months) != 12:
            raise ValueError(f"climate {self.name!r} has {len(self.months)} months, not twelve")

    @property
    def is_fixed(self) -> bool:
        """Whether it is one temperature, day and night, the year round."""
        return len(set(self.months)) == 1 and self.months[0].low_c == self.months[0].high_c


def fixed_climate(
    name: str, celsius: float, source: str = "", basis: Basis = Basis.OWN, note: str = ""
) -> Climate:
    """A climate of one temperature, day and night, the year round."""
    return Climate(name, (DailyRange(celsius, celsius),) * 12, source, basis, note)


def climate_mkt(climate: Climate, year: int) -> float:
    """The mean kinetic temperature of a year in that climate, months by their real lengths, °C."""
    return mean_kinetic_temperature(
        (day.centre_c + day.half_swing * cos(2 * pi * moment / _MOMENTS), length)
        for day, length in zip(climate.months, month_lengths(year), strict=True)
        for moment in range(_MOMENTS)
    )


def month_lengths(year: int) -> tuple[int, ...]:
    """The days in each month of a year."""
    firsts = [date(year, month, 1).toordinal() for month in range(1, 13)]
    following = [*firsts[1:], date(year, 12, 31).toordinal() + 1]
    return tuple(after - first for first, after in zip(firsts, following, strict=True))
