"""Par levels from text: which rules are understood, and what they come to on a trip."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Any

import pytest

from given import box, item, kind, par
from stockcheck.core.carry import Log
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Importance
from stockcheck.core.par_rules import assurances_from, exact, needed, read_plan, rule_of
from stockcheck.core.planned_use import Regular, Spread, Water
from stockcheck.core.planning import Par, Trip

TABLET = item(kind("tablet"), "water tablet", unit="tablet", pack=50)
TRIP = Trip(1, "Spring count", date(2027, 2, 8), date(2027, 3, 9), people=4, distance_km=3500)


def one(**rule: Any) -> Par:
    return replace(par(1, box(), 1, TABLET), **rule)


@pytest.mark.parametrize(
    ("text", "plan"),
    [
        ("water litres=3 tablet=1", Water(3, 1)),
        ("Water litres=2,5 tablet=20 treated=50% turbid keep",
         Water(exact("2.5"), 20, 50, turbid=True, by_day=False)),
        ("spread a-day=5 holds=100", Spread(5, 100)),
        ("spread a_day=5", Spread(5)),
        ("regular dose=1 before=2 after=7 persons=1",
         Regular(1, days_before=2, days_after=7, persons=1)),
        ("regular dose=0.5 times=2 every=7", Regular(exact("0.5"), times=2, every_days=7)),
    ],
)  # fmt: skip
def test_a_plan_is_its_sort_and_its_figures(text: str, plan: object) -> None:
    assert read_plan(text) == plan


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("watr litres=3", "did you mean 'water'"),
        ("water tablet=1", "a water plan needs litres="),
        ("water litres=3 tablet=0", "that plan cannot be"),
        ("water litres=3 tablet=1 dose=2", "'dose=2' is not understood in a water plan"),
        ("water litres=x tablet=1", "'x' is no figure"),
        ("water litres=3 tablet=1 turbid=yes", "'turbid=yes' is not understood"),
        ("regular dose=1 every=0", "that plan cannot be"),
        ("regular dose=1 before=-2", "'-2' is no whole number"),
        ("spread a-day=nan", "'nan' is no figure"),
    ],
)
def test_a_plan_that_is_not_understood_is_told_with_one_that_is(text: str, said: str) -> None:
    with pytest.raises(BadInput, match=r"Such as|Known are|Write it|0 to 9999|mean") as error:
        read_plan(text)
    assert said in str(error.value)


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ({"basis": "plan"}, "needs --plan"),
        ({"plan": "water litres=3 tablet=1"}, "goes with --basis plan"),
        ({"basis": "per day"}, "needs --quantity"),
    ],
)
def test_what_does_not_go_together_makes_no_rule(rule: dict[str, str], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        rule_of(one(**rule))


@pytest.mark.parametrize(
    ("rule", "quantity"),
    [
        ({"basis": "per person", "rate": "2"}, 8),
        ({"basis": "per day", "rate": "0.5"}, 15),
        ({"basis": "per person-day", "rate": "2"}, 240),
        ({"basis": "per distance", "rate": "2"}, 7),
        ({"basis": "per distance", "rate": "1", "per_km": 500}, 7),
        ({"basis": "per day", "rate": "1", "reserve_days": 5}, 35),
        # 4 people, 30 days, 3 l, tablets for 20 l: reference/how-many-to-carry.md, part 3
        ({"basis": "plan", "plan": "water litres=3 tablet=20 keep"}, 18),
        ({"basis": "plan", "plan": "water litres=3 tablet=20"}, 30),
        ({"basis": "plan", "plan": "water litres=3 tablet=20 turbid"}, 60),
    ],
)
def test_a_trip_of_30_days_for_four_over_3500_km(rule: dict[str, object], quantity: int) -> None:
    found = needed([one(**rule)], TRIP, {})
    assert [it.quantity for it in found.pars] == [quantity]
    assert str(quantity) in found.worked[1].why
    assert found.open == ()


def test_from_history_the_log_decides_and_the_least_is_kept() -> None:
    """0 in 30 days against 30 days at 95 %: 4, reference part 2c, row 6 (6 and 6 months)."""
    rule = one(basis="history", rate="1")
    found = needed([rule], TRIP, {1: Log(0, 30)})
    assert found.pars[0].quantity == 4
    surer = needed([replace(rule, assurance="75%")], TRIP, {1: Log(0, 30)})
    assert surer.pars[0].quantity == 1
    at_least = needed([replace(rule, rate="9")], TRIP, {1: Log(0, 30)})
    assert at_least.pars[0].quantity == 9


def test_without_a_log_the_question_is_asked_and_the_least_stands() -> None:
    found = needed([one(basis="history", rate="3"), replace(one(basis="history"), id=2)], TRIP, {})
    assert [(it.id, it.quantity) for it in found.pars] == [(1, 3)]
    assert [ask for _, ask in found.open if "how long does one last" in ask]
    assert len(found.open) == 2


def test_without_a_trip_only_what_is_fixed_stands_and_the_rest_is_told() -> None:
    fixed, rate = par(7, box(), 6, TABLET), one(basis="per person", rate="2")
    least = replace(one(basis="history", rate="2"), id=3)
    found = needed([fixed, rate, least], None, {})
    assert [(it.id, it.quantity) for it in found.pars] == [(7, 6), (3, 2)]
    assert [(it.id, "--trip" in ask) for it, ask in found.open] == [(1, True), (3, False)]


def test_without_a_distance_it_is_asked_for() -> None:
    found = needed([one(basis="per distance", rate="2")], replace(TRIP, distance_km=None), {})
    assert found.pars == ()
    assert "how far will it be?" in found.open[0][1]


def test_assurances_are_changed_by_importance() -> None:
    changed = assurances_from({"vital": "99.9%", "desirable": ""})
    assert changed.of(Importance.VITAL) == Fraction(999, 1000)
    assert changed.of(Importance.DESIRABLE) == Fraction(9, 10)
