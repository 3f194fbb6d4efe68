"""Reminders as iCalendar (RFC 5545); the only place that knows the library for it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from icalendar import Alarm, Calendar, Event

from stockcheck.core.reminders import Reminder, alarms

_PRODUCT = "-//stockcheck//reminders//EN"
_FIRST = date(2000, 1, 1)
_REVISIONS = 500  # of one day; with it the year 9999 stays below 2**31, an INTEGER of section 3.3.8
_MORNING = timedelta(hours=9)
"""Alarms ring at nine: a whole day begins at midnight, when nobody wants to be woken."""


def render_calendar(
    reminders: Sequence[Reminder],
    *,
    title: str,
    identity: str,
    on: date,
    alarm_days: Sequence[int],
) -> bytes:
    """The calendar as bytes, the same for the same reminders on the same day.

    Whole days without an end, which is one day (section 3.6.1), and take up no time (3.8.2.7).
    Without METHOD, DTSTAMP is when the information was revised last (3.8.7.2): the day it is made
    for, as LAST-MODIFIED is, and SEQUENCE counts up with it and with each revision of that day
    (3.8.7.4). ValueError for no reminder: a calendar has at least one component (3.4 and 3.6).
    """
    if not reminders:
        raise ValueError("a calendar has at least one event")
    calendar = Calendar()
    calendar.add("prodid", _PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", title)  # RFC 7986, section 5.1
    calendar.add("x-wr-calname", title)
    for each in reminders:
        calendar.add_component(_event(each, identity, on, alarm_days))
    return bytes(calendar.to_ical())


def _event(each: Reminder, identity: str, on: date, alarm_days: Sequence[int]) -> Event:
    made = datetime.combine(on, time(), UTC)
    event = Event()
    event.add("uid", f"{each.key}@{identity}")
    event.add("dtstamp", made)
    event.add("last-modified", made)
    event.add("sequence", max(0, (on - _FIRST).days) * _REVISIONS + each.revision)
    event.add("dtstart", each.day)
    event.add("summary", each.title)
    event.add("categories", [each.sort.value])
    event.add("transp", "TRANSPARENT")
    event.add("status", "CANCELLED" if each.gone else "CONFIRMED")
    if each.lines:
        event.add("description", "\n".join(each.lines))
    if each.place:
        event.add("location", each.place)
    if not each.gone:
        for days in alarms(each.day, on, alarm_days):
            event.add_component(_alarm(each, days))
    return event


def _alarm(each: Reminder, days: int) -> Alarm:
    """What section 3.6.6 asks of an alarm that is shown: action, description, trigger."""
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", each.title)
    alarm.add("trigger", _MORNING - timedelta(days=days))
    return alarm
