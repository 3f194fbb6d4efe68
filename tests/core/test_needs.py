"""What a par level comes to on a trip: each basis, rounding, reserve days, and the reason."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.carry import Log, Measure
from stockcheck.core.model import Importance
from stockcheck.core.needs import Basis, Rule, worked
from stockcheck.core.planned_use import Daily, Days, Regular, Spread, Water, steady
from stockcheck.core.planning import Trip

DEPARTS = date(2027, 2, 8)
TRIP = Trip(
    1, "Larks", DEPARTS, DEPARTS + timedelta(days=76), people=3, distance_km=4500, margin_days=7
)
HALF = Decimal("0.5")


@pytest.mark.parametrize(
    ("rule", "quantity", "why"),
    [
        (Rule(quantity=6), 6, "6 on every trip"),
        (Rule(Basis.PERSON, 2), 6, "2 a person × 3 people = 6"),
        (Rule(Basis.DAY, HALF), 42, "0.5 a day × 84 days (7 of them reserve) = 42"),
        (
            Rule(Basis.PERSON_DAY, 1, reserve_days=0),
            231,
            "1 a day a person × 3 people × 77 days = 231",
        ),
        (Rule(Basis.DISTANCE, 2), 9, "2 per 1000 km × 4500 km = 9"),
        (Rule(Basis.DISTANCE, 1, per_km=800), 6, "1 per 800 km × 4500 km = 6"),
        (
            Rule(Basis.PLAN, plan=Water(3, 20, treated_percent=50)),
            84,
            ("3 people × 3 l a day × 50 % treated × 84 days (7 of them reserve), a tablet for 20 l,"
            " a batch a day rounded up = 84 tablets"),
        ),
        (
            Rule(Basis.PLAN, plan=Spread(4, holds=100)),
            11,
            ("3 people × 4 ml a day × 84 days (7 of them reserve) = 1008 ml, in units of 100 ml"
            " = 11"),
        ),
        (
            Rule(Basis.PLAN, plan=Regular(days_before=2, days_after=7, persons=1)),
            91,
            ("1 every day, 84 days (7 of them reserve) (2 days before and 7 days after included):"
            " 93 dose days × 1 person = 93, by the prescriber's schedule"),
        ),
    ],
)  # fmt: skip
def test_each_basis_with_its_reason(rule: Rule, quantity: int, why: str) -> None:
    found = worked(rule, TRIP)
    assert (found.quantity, found.why) == (quantity, why)


def test_what_is_used_up_is_told_day_by_day_and_what_stands_by_is_not() -> None:
    a_day = worked(Rule(Basis.DAY, HALF, reserve_days=1), replace(TRIP, returns=DEPARTS))
    assert a_day.daily == Daily((1, 0))
    for rule in (Rule(quantity=2), Rule(Basis.PERSON, 2), Rule(Basis.DISTANCE, 2)):
        assert worked(rule, TRIP).daily is None


def test_doses_before_departure_are_beside_what_goes_aboard_and_those_after_are_in_it() -> None:
    rule = Rule(Basis.PLAN, plan=Regular(every_days=7, days_before=21, days_after=28))
    found = worked(rule, replace(TRIP, people=1, margin_days=0))
    assert (found.before, found.quantity, found.after) == (3, 15, 4)


def test_cautions_go_with_medicines_water_and_repellent() -> None:
    plans = (Water(3, 20), Spread(4), Regular())
    told = [worked(Rule(Basis.PLAN, plan=plan), TRIP).cautions for plan in plans]
    assert told == [("drinking-water",), ("chemicals",), ("medicine",)]


def test_history_gives_what_the_log_says_and_never_less_than_the_least_set() -> None:
    log = Log(0, 910)
    found = worked(Rule(Basis.HISTORY), TRIP, log=log)
    assert found.quantity == 1
    assert found.why.startswith("None used in 910 days away. Carry 1: that covers this 84-day trip")
    least = worked(Rule(Basis.HISTORY, 3), TRIP, log=log)
    assert (least.quantity, least.why[-20:]) == (3, " At least 3, as set.")


def test_without_a_log_it_asks_and_until_then_keeps_to_what_was_set() -> None:
    nothing = worked(Rule(Basis.HISTORY), TRIP)
    assert nothing.quantity is None
    assert nothing.ask.endswith("About how long does one last you?")
    assert worked(Rule(Basis.HISTORY, 2), TRIP).quantity == 2
    assert worked(Rule(Basis.HISTORY, 2, lasts=2000), TRIP).ask == ""


def test_history_is_measured_in_what_causes_use() -> None:
    by_km = Rule(Basis.HISTORY, measure=Measure.KM)
    found = worked(by_km, TRIP, Importance.VITAL, log=Log(1, 9000, Measure.KM))
    assert found.carry is not None
    assert found.carry.ahead == 4500
    by_person = Rule(Basis.HISTORY, measure=Measure.PERSON_DAYS)
    crew = worked(by_person, TRIP, log=Log(1, 900, Measure.PERSON_DAYS))
    assert crew.carry is not None
    assert crew.carry.ahead == 252
    with pytest.raises(ValueError, match="a log in days says nothing of km"):
        worked(by_km, TRIP, log=Log(1, 30))


def test_an_unknown_distance_is_asked_for() -> None:
    nowhere = replace(TRIP, distance_km=None)
    for rule in (Rule(Basis.DISTANCE, 2), Rule(Basis.HISTORY, measure=Measure.KM)):
        found = worked(rule, nowhere)
        assert found.quantity is None
        assert found.ask.endswith("how far will it be?")


def test_a_half_tablet_is_rounded_up_for_each_person() -> None:
    half = Regular(units=Fraction(1, 2), times=1)
    assert half.daily(Days(5, 0, 2)).quantities == (2, 0, 2, 0, 2)


RATES, LENGTHS = st.fractions(0, 9, max_denominator=12), st.integers(1, 90)
PLANS = st.one_of(
    st.builds(Water, RATES, st.integers(1, 25), st.integers(0, 100), st.booleans(), st.booleans()),
    st.builds(Spread, RATES, st.integers(1, 100)),
    st.builds(Regular, RATES.filter(bool), st.integers(1, 3), st.integers(1, 9), st.integers(0, 9)),
)


@given(PLANS, LENGTHS, st.integers(0, 9), st.integers(1, 4))
def test_a_longer_trip_more_people_or_more_reserve_never_need_less(
    plan: Water | Spread | Regular, away: int, reserve: int, people: int
) -> None:
    total = plan.daily(Days(away, reserve, people)).total
    assert plan.daily(Days(away + 1, reserve, people)).total >= total
    assert plan.daily(Days(away, reserve + 1, people)).total >= total
    assert plan.daily(Days(away, reserve, people + 1)).total >= total


@given(RATES, LENGTHS)
def test_a_steady_use_is_never_behind_and_never_a_whole_unit_ahead(
    rate: Fraction, days: int
) -> None:
    begun = 0
    for day, units in enumerate(steady(rate, days), 1):
        begun += units
        assert rate * day <= begun < rate * day + 1


def test_what_makes_no_sense_is_refused() -> None:
    for wrong in (
        lambda: Rule(quantity=-1),
        lambda: Rule(Basis.PLAN),
        lambda: Rule(plan=Water(3, 20)),
        lambda: Water(3, 0),
        lambda: Water(3, 20, treated_percent=101),
        lambda: Spread(-1),
        lambda: Regular(every_days=0),
        lambda: Regular(days_after=-1),
        lambda: Days(0, 0, 1),
    ):
        with pytest.raises(ValueError, match=r"."):
            wrong()
