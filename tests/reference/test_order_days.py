"""The last day to order, held against worked cases and against trying every day.

Public holidays from 3 April to 25 May 2026: Good Friday, Easter Monday, 1 May, Ascension, Whit
Monday. The cases and their wrong answers were worked out with numpy's busday_offset, rolled back.
"""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.order_days import Lead, WorkingDays, arrival, order_by
from stockcheck.data.public_holidays import working_days

HOLIDAYS = [date(2026, 4, 3), date(2026, 4, 6), date(2026, 5, 1), date(2026, 5, 14),
            date(2026, 5, 25)]  # fmt: skip
WORKING = WorkingDays(holidays=frozenset(HOLIDAYS))
SPRING = st.integers(0, 89).map(lambda it: date(2026, 3, 20) + timedelta(days=it))
LEADS = st.builds(Lead, st.integers(0, 15), st.booleans())


@pytest.mark.parametrize(
    ("departs", "lead", "margin", "latest"),
    [
        ((5, 16), Lead(10, working=True), 3, (4, 28)),  # 29 Apr leaves out 1 May
        ((5, 16), Lead(10), 3, (4, 30)),  # 3 May is a Sunday
        ((5, 16), Lead(10, working=True), 0, (4, 29)),  # 30 Apr rolls forward
        ((4, 9), Lead(3, working=True), 2, (3, 31)),  # Easter between
        ((5, 4), Lead(0, working=True), 2, (4, 30)),  # collect; 4 May is the day of departure
    ],
)
def test_worked_cases(
    departs: tuple[int, int], lead: Lead, margin: int, latest: tuple[int, int]
) -> None:
    assert order_by(date(2026, *departs), lead, WORKING, margin).day == date(2026, *latest)


def test_the_same_holidays_by_country() -> None:
    by_country = working_days("de", date(2026, 3, 20), date(2026, 6, 30))
    spring = {it for it in by_country.holidays if date(2026, 3, 20) <= it <= date(2026, 6, 30)}
    assert sorted(spring) == HOLIDAYS


@given(SPRING, LEADS, st.sampled_from([0, 2, 5]))
def test_it_is_the_last_working_day_from_which_it_still_arrives(
    departs: date, lead: Lead, margin: int
) -> None:
    must_have = departs - timedelta(days=margin)
    day = must_have
    while not WORKING.includes(day) or arrival(day, lead, WORKING) > must_have:
        day -= timedelta(days=1)
    assert order_by(departs, lead, WORKING, margin).day == day


@given(SPRING, LEADS, st.sampled_from([0, 2, 5]))
def test_it_is_what_numpys_business_days_give(departs: date, lead: Lead, margin: int) -> None:
    free = np.array(HOLIDAYS, dtype="M8[D]")
    last = np.busday_offset(np.datetime64(departs) - margin, 0, roll="backward", holidays=free)
    if lead.working:
        day = np.busday_offset(last, -lead.days, holidays=free)
    else:
        day = np.busday_offset(last - lead.days, 0, roll="backward", holidays=free)
    assert str(order_by(departs, lead, WORKING, margin).day) == str(day)


@given(SPRING, LEADS)
def test_an_arrival_is_what_numpys_business_days_give(ordered: date, lead: Lead) -> None:
    free = np.array(HOLIDAYS, dtype="M8[D]")
    sent = np.busday_offset(np.datetime64(ordered), 0, roll="forward", holidays=free)
    if lead.working:
        day = np.busday_offset(sent, lead.days, holidays=free)
    else:
        day = np.busday_offset(sent + lead.days, 0, roll="forward", holidays=free)
    assert str(arrival(ordered, lead, WORKING)) == str(day)
