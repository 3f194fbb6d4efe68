"""By when to order: weekends, holidays, the reason, and what can still be had when it is late."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.errors import BadInput
from stockcheck.core.order_days import (
    EVERY_DAY,
    Lead,
    Prospect,
    WorkingDays,
    arrival,
    order_by,
    prospects,
    with_holidays,
)

DEPARTS = date(2027, 2, 8)  # a Monday
WEEK = WorkingDays()


def test_without_working_days_it_is_departure_less_handling_and_delivery() -> None:
    assert order_by(DEPARTS, Lead(10)).day == date(2027, 1, 27)


def test_what_would_come_at_a_weekend_has_to_come_before_it() -> None:
    found = order_by(DEPARTS, Lead(1, working=True), WEEK)
    assert (found.must_have, found.last_delivery) == (date(2027, 2, 6), date(2027, 2, 5))
    assert found.why == (
        "order by 04 FEB 2027: departure 08 FEB 2027, there by 06 FEB 2027 to stow, so delivered by"
        " 05 FEB 2027, 1 working day's delivery"
    )


def test_a_weekend_is_what_the_country_takes_off() -> None:
    friday_off = WorkingDays(weekend=frozenset({4, 5}))
    assert order_by(DEPARTS, Lead(0), friday_off).day == date(2027, 2, 4)
    assert order_by(DEPARTS, Lead(0), WEEK, handling_days=1).day == date(2027, 2, 5)


def test_a_carriers_holidays_are_added() -> None:
    strike = with_holidays(WEEK, [date(2027, 2, 5), date(2027, 2, 4)])
    assert order_by(DEPARTS, Lead(0), strike).day == date(2027, 2, 3)


def test_what_is_late_says_what_still_comes_and_how_late_the_others_are() -> None:
    """On Monday a week before departure: by Saturday it must be there."""
    leads = {1: Lead(10), 2: Lead(3, working=True), 3: None, 4: Lead(5)}
    week = dict.fromkeys(leads, WEEK)
    found = prospects(date(2027, 2, 1), DEPARTS, leads, week)
    told = [(it.key, it.arrives, it.days_late, it.in_time) for it in found]
    assert told == [
        (2, date(2027, 2, 4), 0, True),
        (4, date(2027, 2, 8), 2, False),
        (1, date(2027, 2, 11), 5, False),
        (3, None, 0, False),
    ]


def test_no_lead_time_known_means_no_day_to_order_by() -> None:
    assert prospects(DEPARTS, DEPARTS, {7: None}) == (Prospect(7, None, None),)


@given(
    st.dates(date(2020, 1, 1), date(2060, 1, 1)), st.builds(Lead, st.integers(0, 60), st.booleans())
)
def test_what_is_ordered_by_its_day_is_there_in_time_and_a_day_later_never_earlier(
    departs: date, lead: Lead
) -> None:
    for working in (EVERY_DAY, WEEK):
        latest = order_by(departs, lead, working)
        assert arrival(latest.day, lead, working) <= latest.must_have
        after = arrival(latest.day + timedelta(days=1), lead, working)
        assert after >= arrival(latest.day, lead, working)


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one working day"):
        WorkingDays(weekend=frozenset(range(7)))
    with pytest.raises(ValueError, match="0 days or more"):
        Lead(-1)
    for beyond in (
        lambda: order_by(date(1, 1, 9), Lead(30)),
        lambda: arrival(DEPARTS, Lead(10**7)),
    ):
        with pytest.raises(BadInput, match="give the days from order to delivery"):
            beyond()
