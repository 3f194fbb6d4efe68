"""Planned use, held against sums that are done by hand, on schedules and doses that are published.

Arithmetic only. Schedules: atovaquone-proguanil daily from 1 to 2 days before until 7 after,
doxycycline daily until 4 weeks after, mefloquine weekly until 4 weeks after (WHO list, as quoted
by empendium.com); 3 weeks before for the last is from memory. All are taken as prescribed.
"""

from __future__ import annotations

import pytest

from stockcheck.core.offers import packs_for
from stockcheck.core.planned_use import Days, Regular, Spread, Water

MONTH = Days(away=30, reserve=0, people=1)


@pytest.mark.parametrize(
    ("schedule", "units", "before", "after"),
    [
        (Regular(days_before=2, days_after=7), 39, 2, 7),  # 2 + 30 + 7
        (Regular(days_before=2, days_after=28), 60, 2, 28),  # 2 + 30 + 28
        (Regular(every_days=7, days_before=21, days_after=28), 12, 3, 4),  # days -21 ... 56 by 7
    ],
)
def test_units_for_thirty_days(schedule: Regular, units: int, before: int, after: int) -> None:
    daily = schedule.daily(MONTH)
    assert daily.total == units
    assert daily.through(0) == before
    assert daily.total - daily.through(30) == after


def test_litres_a_day_a_tablet_a_litre() -> None:
    """2 people × 45 days × 3 l: 270; 5 days of reserve: 300, which is 6 packs of 50.

    A reserve of 20 % would be 324 and 7 packs: days of need are the rule here.
    """
    water = Water(litres_a_person=3, litres_a_tablet=1)
    assert water.daily(Days(45, 0, 2)).total == 270
    with_reserve = water.daily(Days(45, 5, 2)).total
    assert (with_reserve, packs_for(with_reserve, 50)) == (300, 6)


@pytest.mark.parametrize(
    ("by_day", "turbid", "tablets"),
    [(False, False, 18), (True, False, 30), (False, True, 36), (True, True, 60)],
)
def test_tablets_for_twenty_litres(by_day: bool, turbid: bool, tablets: int) -> None:
    """4 people × 30 days × 3 l = 360 l; one tablet treats 20 l (67 mg NaDCC: Tufts review)."""
    water = Water(3, 20, turbid=turbid, by_day=by_day)
    assert water.daily(Days(30, 0, 4)).total == tablets


def test_repellent_by_hand() -> None:
    """3 people × 4 ml × 77 days = 924 ml: 10 bottles of 100 ml."""
    assert Spread(4).daily(Days(77, 0, 3)).total == 924
    assert Spread(4, holds=100).daily(Days(77, 0, 3)).total == 10
