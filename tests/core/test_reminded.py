"""What calendars were told before: revisions of one day, and what is called off.

All reminders are invented.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.reminded import MOST_REVISIONS, Told, called_off, remembered, revised
from stockcheck.core.reminders import Reminder, Sort

ON, DAY = date(2026, 11, 25), timedelta(days=1)
TUBE = Reminder(Sort.GOES_OFF, "tube", ON + 30 * DAY, "tube goes off (Cab)", ("L1: 2",), "Cab")
ORDER = Reminder(Sort.ORDER_BY, "trip-1-supplier-2", ON + 5 * DAY, "Order from the shop")


def told(*found: Reminder, on: date = ON) -> dict[str, Told]:
    return remembered({}, found, on)


def test_what_is_told_unchanged_keeps_its_revision() -> None:
    assert [it.revision for it in revised([TUBE], {}, ON)] == [0]
    assert [it.revision for it in revised([TUBE], told(TUBE), ON)] == [0]


def test_each_change_of_one_day_is_a_revision_and_the_next_day_begins_anew() -> None:
    moved = replace(TUBE, day=TUBE.day - DAY)
    [second] = revised([moved], told(TUBE), ON)
    assert second.revision == 1
    [third] = revised([TUBE], told(second), ON)
    assert third.revision == 2
    assert [it.revision for it in revised([moved], told(third), ON + DAY)] == [0]


def test_a_revision_never_goes_beyond_what_one_day_has() -> None:
    last = {TUBE.key: told(TUBE)[TUBE.key]._replace(revision=MOST_REVISIONS, checksum="other")}
    assert [it.revision for it in revised([TUBE], last, ON)] == [MOST_REVISIONS]


def test_what_is_no_longer_known_is_called_off_on_the_day_that_it_was_told_for() -> None:
    [gone] = called_off(told(TUBE, ORDER), {TUBE.key}, ON)
    assert (gone.key, gone.day, gone.title, gone.gone) == (ORDER.key, ORDER.day, ORDER.title, True)


def test_what_is_past_is_neither_called_off_nor_remembered() -> None:
    later = ORDER.day + DAY
    assert called_off(told(ORDER), (), later) == []
    assert remembered(told(TUBE, ORDER), (), later).keys() == {TUBE.key}


def test_what_was_called_off_stays_so_until_its_day_and_may_come_back() -> None:
    before = told(TUBE)
    gone = revised(called_off(before, (), ON), before, ON)
    assert [it.revision for it in gone] == [1]
    after = remembered(before, gone, ON)
    assert [it.key for it in called_off(after, (), ON + DAY)] == [TUBE.key]
    assert called_off(after, {TUBE.key}, ON + DAY) == []
    assert [it.revision for it in revised([TUBE], after, ON)] == [2]


THINGS = st.builds(
    Reminder,
    st.sampled_from(Sort),
    st.sampled_from("abc"),
    st.dates(ON, ON + 40 * DAY),
    st.sampled_from(["one", "two"]),
)


@given(st.lists(st.lists(THINGS, max_size=5, unique_by=lambda it: it.key), max_size=5))
def test_every_reminder_that_is_not_told_again_is_called_off(files: list[list[Reminder]]) -> None:
    """Whatever files are made one after the other, the last one leaves nothing stale."""
    known: dict[str, Told] = {}
    seen: set[str] = set()
    for found in files:
        off = called_off(known, {it.key for it in found}, ON)
        handed = revised([*found, *off], known, ON)
        seen |= {it.key for it in found}
        assert {it.key for it in handed} == seen
        assert {it.key for it in handed if it.gone} == seen - {it.key for it in found}
        known = remembered(known, handed, ON)
