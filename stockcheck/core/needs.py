"""What a par level comes to on a trip: fixed, by people, days or distance, from history or a plan.

Days away run from departure to return, both counted. Reserve days come after them: the trip's own
margin (how late the return may be), unless the rule has its own. They are days of need, not a share
of a pack. Quantities are rounded up to whole units.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import ceil

from stockcheck.core.carry import ASSURANCES, Assurances, Carry, Exact, Log, Measure, carry
from stockcheck.core.carry_words import sentence
from stockcheck.core.model import Importance
from stockcheck.core.planned_use import (
    Daily,
    Days,
    Plan,
    Regular,
    Water,
    days_words,
    figure,
    people_words,
    steady,
)
from stockcheck.core.planning import Trip


class Basis(StrEnum):
    """What a par level is worked out from."""

    FIXED = "fixed"
    PERSON = "per person"
    DAY = "per day"
    PERSON_DAY = "per person-day"
    DISTANCE = "per distance"
    HISTORY = "history"
    PLAN = "plan"


CONSUMED = {Basis.DAY, Basis.PERSON_DAY, Basis.PLAN}
"""Used up day by day, and so only wanted good through its own day; everything else stands by to
the end of the trip."""


@dataclass(frozen=True, slots=True)
class Rule:
    """How a par level is worked out: so many units per one of its basis.

    Per distance it is so many per ``per_km``. From history, ``quantity`` is the least carried
    whatever the log says, and what is carried while there is no log to go by; ``measure`` is what
    causes use and ``lasts`` how long one lasts, as the person says. ``reserve_days`` stand in place
    of the trip's margin days. ``plan`` goes with the basis PLAN.
    """

    basis: Basis = Basis.FIXED
    quantity: Exact = 0
    per_km: int = 1000
    reserve_days: int | None = None
    measure: Measure = Measure.DAYS
    lasts: Exact | None = None
    plan: Plan | None = None

    def __post_init__(self) -> None:
        if self.quantity < 0 or self.per_km < 1 or (self.reserve_days or 0) < 0:
            raise ValueError("a quantity and reserve days are 0 or more, a distance above 0")
        if (self.basis is Basis.PLAN) is (self.plan is None):
            raise ValueError("a plan goes with its basis, and only with it")


@dataclass(frozen=True, slots=True)
class Worked:
    """What a par comes to on a trip, and why, in one line of figures.

    ``quantity`` is the units to have aboard at departure, reserve included. ``daily`` is given for
    what is used up, day by day; None for what stands by and must be good to the end. ``before``
    are units that a plan uses up before departure, beside the quantity; ``after`` those of the
    quantity that are used after the return. ``carry`` is the answer from history. ``ask`` says that
    the figures do not suffice: the quantity is what the rule gives by itself, None for nothing.
    ``cautions`` are keys of the shipped texts.
    """

    rule: Rule
    quantity: int | None
    why: str
    daily: Daily | None = None
    before: int = 0
    after: int = 0
    carry: Carry | None = None
    ask: str = ""
    cautions: tuple[str, ...] = ()
    reserve_days: int = 0


def worked(
    rule: Rule,
    trip: Trip,
    importance: Importance = Importance.ESSENTIAL,
    *,
    log: Log | None = None,
    assurances: Assurances = ASSURANCES,
    unit: str = "each",
) -> Worked:
    """What a par level comes to on a trip. ``log`` is the item's, for a rule from history."""
    days = days_of(trip, rule)
    if rule.basis is Basis.HISTORY:
        return _from_history(
            rule, trip, days, carry_for(rule, trip, importance, log, assurances), unit
        )
    if rule.plan is not None:
        return _planned(rule, rule.plan, days)
    if rule.basis is Basis.DISTANCE:
        return _by_distance(rule, trip, days)
    return _by_people_and_days(rule, days)


def days_of(trip: Trip, rule: Rule) -> Days:
    """The days of a trip as a rule counts them."""
    away = (trip.returns - trip.departs).days + 1
    reserve = trip.margin_days if rule.reserve_days is None else rule.reserve_days
    return Days(away, reserve, trip.people)


def carry_for(
    rule: Rule, trip: Trip, importance: Importance, log: Log | None, assurances: Assurances
) -> Carry | None:
    """The answer from history; None where the trip's exposure is not known."""
    days = days_of(trip, rule)
    ahead = {
        Measure.DAYS: days.all_of_them,
        Measure.PERSON_DAYS: days.all_of_them * days.people,
        Measure.KM: trip.distance_km,
    }[rule.measure]
    if ahead is None:
        return None
    known = log or Log(0, 0, rule.measure)
    if known.measure is not rule.measure:
        raise ValueError(f"a log in {known.measure} says nothing of {rule.measure}")
    return carry(known, ahead, importance, assurances=assurances, lasts=rule.lasts)


def _by_people_and_days(rule: Rule, days: Days) -> Worked:
    rate, said = Fraction(rule.quantity), figure(rule.quantity)
    if rule.basis is Basis.FIXED:
        number = ceil(rate)
        return Worked(rule, number, f"{number} on every trip", reserve_days=days.reserve)
    if rule.basis is Basis.PERSON:
        number = ceil(rate * days.people)
        why = f"{said} a person × {people_words(days.people)} = {number}"
        return Worked(rule, number, why, reserve_days=days.reserve)
    a_day, crew = rate, ""
    if rule.basis is Basis.PERSON_DAY:
        a_day, crew = rate * days.people, f" a person × {people_words(days.people)}"
    daily = Daily(steady(a_day, days.all_of_them))
    why = f"{said} a day{crew} × {days_words(days)} = {daily.total}"
    return Worked(rule, daily.total, why, daily, reserve_days=days.reserve)


def _by_distance(rule: Rule, trip: Trip, days: Days) -> Worked:
    said = f"{figure(rule.quantity)} per {rule.per_km} km"
    if trip.distance_km is None:
        ask = f"{said}, and the distance of {trip.name} is not known: how far will it be?"
        return Worked(rule, None, ask, ask=ask, reserve_days=days.reserve)
    number = ceil(Fraction(rule.quantity) * trip.distance_km / rule.per_km)
    why = f"{said} × {trip.distance_km} km = {number}"
    return Worked(rule, number, why, reserve_days=days.reserve)


def _from_history(rule: Rule, trip: Trip, days: Days, answer: Carry | None, unit: str) -> Worked:
    least = ceil(rule.quantity)
    if answer is None:
        said = f"The distance of {trip.name} is not known: how far will it be?"
    else:
        said = sentence(answer, unit)
    if answer is None or answer.number is None:
        kept = f" Until then {least}, as set." if least else ""
        quantity = least or None
        return Worked(
            rule, quantity, said + kept, carry=answer, ask=said, reserve_days=days.reserve
        )
    why = said if answer.number >= least else f"{said} At least {least}, as set."
    quantity = max(least, answer.number)
    return Worked(rule, quantity, why, carry=answer, reserve_days=days.reserve)


def _planned(rule: Rule, plan: Plan, days: Days) -> Worked:
    daily = plan.daily(days)
    before, through = daily.through(0), daily.through(days.all_of_them)
    cautions = {Water: "drinking-water", Regular: "medicine"}
    return Worked(
        rule=rule,
        quantity=daily.total - before,
        why=plan.why(days),
        daily=daily,
        before=before,
        after=daily.total - through,
        cautions=(cautions.get(type(plan), "chemicals"),),
        reserve_days=days.reserve,
    )
