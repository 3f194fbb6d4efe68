"""Use that follows a plan, day by day: water tablets, repellent, regular medicines.

Quantities are whole units of stock. What a tablet treats and how a medicine is taken come from the
packet, the leaflet and the prescriber: this is arithmetic and no advice.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from stockcheck.core.carry import Exact


@dataclass(frozen=True, slots=True)
class Days:
    """The days of a trip: so many away and so many of reserve after them, for so many people."""

    away: int
    reserve: int
    people: int

    def __post_init__(self) -> None:
        if self.away < 1 or self.reserve < 0 or self.people < 0:
            raise ValueError("a trip has 1 day or more, no negative reserve, and no negative crew")

    @property
    def all_of_them(self) -> int:
        """Days away and of reserve."""
        return self.away + self.reserve


@dataclass(frozen=True, slots=True)
class Daily:
    """Units wanted day by day; ``first`` is the first day's number, 1 being that of departure.

    Units are whole: a part of one is wanted on the day on which it has to be begun.
    """

    quantities: tuple[int, ...]
    first: int = 1

    @property
    def total(self) -> int:
        """All units wanted."""
        return sum(self.quantities)

    def through(self, day: int) -> int:
        """Units wanted up to and with a day."""
        return sum(self.quantities[: max(0, day - self.first + 1)])


@dataclass(frozen=True, slots=True)
class Water:
    """Tablets for drinking water: litres a person a day, the share treated, litres a tablet.

    ``litres_a_tablet`` stands on the packet; it never follows from the milligrams, as tablets of
    one strength are sold for different volumes. Water that looks turbid takes twice the tablets
    (local guidance, one tablet tested to 100 NTU: J Water Health 13(2) 544, 2015); the packet
    decides. With ``by_day`` each day's water is one batch, rounded up to whole tablets; without
    it what is left of a treated batch is drunk the next day.
    """

    litres_a_person: Exact
    litres_a_tablet: Exact
    treated_percent: int = 100
    turbid: bool = False
    by_day: bool = True

    def __post_init__(self) -> None:
        if self.litres_a_person < 0 or self.litres_a_tablet <= 0:
            raise ValueError("litres a person are 0 or more, litres a tablet above 0")
        if not 0 <= self.treated_percent <= 100:
            raise ValueError("the share of water treated is 0 to 100 %")

    def daily(self, days: Days) -> Daily:
        """The tablets wanted, day by day."""
        litres = days.people * Fraction(self.litres_a_person) * self.treated_percent / 100
        batches = litres / Fraction(self.litres_a_tablet)
        dose = 2 if self.turbid else 1
        if self.by_day:
            return Daily((dose * ceil(batches),) * days.all_of_them)
        return Daily(tuple(dose * it for it in steady(batches, days.all_of_them)))

    def why(self, days: Days) -> str:
        """The sum in one line."""
        share = "" if self.treated_percent == 100 else f" × {self.treated_percent} % treated"
        a_tablet = figure(self.litres_a_tablet)
        batch = ", a batch a day rounded up" if self.by_day else ", what is left kept for tomorrow"
        turbid = ", twice the tablets for turbid water" if self.turbid else ""
        return (
            f"{people_words(days.people)} × {figure(self.litres_a_person)} l a day{share}"
            f" × {days_words(days)}, a tablet for {a_tablet} l{batch}{turbid}"
            f" = {self.daily(days).total} tablets"
        )


@dataclass(frozen=True, slots=True)
class Spread:
    """What is used up by every person every day, such as millilitres of repellent.

    ``holds`` is how much one unit of stock holds: 100 where 100 ml bottles are counted one by one,
    1 where the stock is counted in millilitres.
    """

    a_person_a_day: Exact
    holds: Exact = 1
    measure: str = "ml"

    def __post_init__(self) -> None:
        if self.a_person_a_day < 0 or self.holds <= 0:
            raise ValueError("what a person uses a day is 0 or more, what a unit holds above 0")

    def daily(self, days: Days) -> Daily:
        """The units to begin, day by day."""
        rate = days.people * Fraction(self.a_person_a_day) / Fraction(self.holds)
        return Daily(steady(rate, days.all_of_them))

    def why(self, days: Days) -> str:
        """The sum in one line."""
        total = days.people * Fraction(self.a_person_a_day) * days.all_of_them
        held = f", in units of {figure(self.holds)} {self.measure}" if self.holds != 1 else ""
        return (
            f"{people_words(days.people)} × {figure(self.a_person_a_day)} {self.measure} a day"
            f" × {days_words(days)} = {figure(total)} {self.measure}{held}"
            f" = {self.daily(days).total}"
        )


@dataclass(frozen=True, slots=True)
class Regular:
    """A medicine taken by schedule, as the prescriber or the leaflet gives it.

    ``units`` a dose, ``times`` on a dose day, a dose day every so many days, from ``days_before``
    the day of departure to ``days_after`` the last day away (reserve included: a late return is
    dosed too). ``persons`` is None for everybody. Where a dose is a part of a unit, the units of
    each person are rounded up.
    """

    units: Exact = 1
    times: int = 1
    every_days: int = 1
    days_before: int = 0
    days_after: int = 0
    persons: int | None = None

    def __post_init__(self) -> None:
        if self.units <= 0 or self.times < 1 or self.every_days < 1:
            raise ValueError("a dose is above 0, once a day or more often, every 1 day or more")
        if self.days_before < 0 or self.days_after < 0 or (self.persons or 0) < 0:
            raise ValueError("days before and after, and persons, are 0 or more")

    def takers(self, days: Days) -> int:
        """How many people take it."""
        return days.people if self.persons is None else self.persons

    def doses(self, days: Days) -> int:
        """How many dose days there are for one person."""
        span = self.days_before + days.all_of_them + self.days_after
        return (span - 1) // self.every_days + 1

    def daily(self, days: Days) -> Daily:
        """The units wanted day by day, from the first day before departure on."""
        span = self.days_before + days.all_of_them + self.days_after
        dose = Fraction(self.units) * self.times
        one = [
            ceil(dose * (day // self.every_days + 1)) - ceil(dose * (day // self.every_days))
            if day % self.every_days == 0
            else 0
            for day in range(span)
        ]
        return Daily(tuple(it * self.takers(days) for it in one), 1 - self.days_before)

    def why(self, days: Days) -> str:
        """The sum in one line."""
        often = "every day" if self.every_days == 1 else f"every {self.every_days} days"
        times = "" if self.times == 1 else f", {self.times} times a day"
        around = [
            f"{number} days {when}"
            for number, when in ((self.days_before, "before"), (self.days_after, "after"))
            if number
        ]
        span = f" ({' and '.join(around)} included)" if around else ""
        return (
            f"{figure(self.units)} {often}{times}, {days_words(days)}{span}:"
            f" {self.doses(days)} dose days × {people_words(self.takers(days))}"
            f" = {self.daily(days).total}, by the prescriber's schedule"
        )


Plan = Water | Spread | Regular


def steady(rate: Fraction, days: int) -> tuple[int, ...]:
    """A steady use in whole units, day by day: what is begun by each day's end, rounded up."""
    begun = [ceil(rate * day) for day in range(days + 1)]
    return tuple(after - before for before, after in itertools.pairwise(begun))


def days_words(days: Days) -> str:
    """``84 days (7 of them reserve)``."""
    all_of_them = days.all_of_them
    said = "1 day" if all_of_them == 1 else f"{all_of_them} days"
    return f"{said} ({days.reserve} of them reserve)" if days.reserve else said


def people_words(people: int) -> str:
    """``1 person``, ``3 people``."""
    return "1 person" if people == 1 else f"{people} people"


def figure(value: Exact) -> str:
    """A number as people write it: ``3``, ``0.5``, ``2.67`` where it does not end."""
    exact = Fraction(value)
    if exact.denominator == 1:
        return str(exact.numerator)
    return f"{float(exact):.2f}".rstrip("0").rstrip(".")
