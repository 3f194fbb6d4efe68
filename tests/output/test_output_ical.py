"""The calendar file against RFC 5545, by its text and as the icalendar library reads it back.

Where a section is named the file is held against that section's rule; the numbers of sections are
from memory.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, strategies
from icalendar import Calendar

from stockcheck.core.reminders import Reminder, Sort
from stockcheck.output.ical import render_calendar

ON = date(2026, 11, 25)
WHO = "6e90caef-c9bd-4820-92c8-5ab30792e827"
TUBE = Reminder(
    Sort.GOES_OFF, "1000000013-2000000018", date(2028, 2, 29), "tube; sealant, black",
    ("L1: 2, batch A\\B", "good through the end; see label"), "Аптечка, Нины",
)  # fmt: skip


def written(*found: Reminder, on: date = ON, alarms: tuple[int, ...] = (7,)) -> bytes:
    return render_calendar(found, title="Truck: Весна", identity=WHO, on=on, alarm_days=alarms)


def read(data: bytes) -> Any:
    calendar: Any = Calendar.from_ical(data)
    return calendar


def unfolded(data: bytes) -> list[str]:
    return data.decode().replace("\r\n ", "").split("\r\n")


def test_what_a_calendar_must_say_once() -> None:
    """Section 3.6: PRODID and VERSION are required and stand once; 3.7.4: the version is 2.0."""
    lines = unfolded(written(TUBE))
    assert (lines[0], lines[-2:]) == ("BEGIN:VCALENDAR", ["END:VCALENDAR", ""])
    assert [line for line in lines if line.startswith("VERSION")] == ["VERSION:2.0"]
    assert len([line for line in lines if line.startswith("PRODID")]) == 1


def test_no_method_so_that_no_organizer_is_owed() -> None:
    """RFC 5546, section 3.2.1: an event that is published names its organizer."""
    assert not [line for line in unfolded(written(TUBE)) if line.startswith("METHOD")]


def test_a_calendar_without_an_event_is_none() -> None:
    """Sections 3.4 and 3.6: at least one component."""
    with pytest.raises(ValueError, match="at least one"):
        written()


def test_what_an_event_must_say() -> None:
    """Section 3.6.1: UID and DTSTAMP once; a date without an end is that one day."""
    [event] = read(written(TUBE)).walk("VEVENT")
    assert str(event["uid"]) == f"goes-off-1000000013-2000000018@{WHO}"
    assert event["dtstart"].dt == date(2028, 2, 29)
    assert "dtend" not in event
    assert "duration" not in event
    assert event["dtstamp"].dt == event["last-modified"].dt == datetime(2026, 11, 25, tzinfo=UTC)


def test_a_whole_day_is_a_date_and_moments_are_utc() -> None:
    """Section 3.3.4: VALUE=DATE, YYYYMMDD; 3.8.7.2: DTSTAMP is in UTC, 3.3.5 form 2."""
    lines = unfolded(written(TUBE))
    assert "DTSTART;VALUE=DATE:20280229" in lines
    assert "DTSTAMP:20261125T000000Z" in lines


def test_commas_semicolons_backslashes_and_line_ends_are_escaped() -> None:
    """Section 3.3.11: each of them has a backslash before it, a line's end is ``\\n``."""
    lines = unfolded(written(TUBE))
    assert r"SUMMARY:tube\; sealant\, black" in lines
    assert r"DESCRIPTION:L1: 2\, batch A\\B\ngood through the end\; see label" in lines
    assert r"LOCATION:Аптечка\, Нины" in lines


def test_an_alarm_has_all_that_it_must() -> None:
    """Section 3.6.6: ACTION, DESCRIPTION and TRIGGER; 3.3.6: durations."""
    [event] = read(written(TUBE, alarms=(7, 0))).walk("VEVENT")
    alarms = event.walk("VALARM")
    assert [(str(it["action"]), str(it["description"])) for it in alarms] == [
        ("DISPLAY", TUBE.title),
        ("DISPLAY", TUBE.title),
    ]
    nine = timedelta(hours=9)
    assert [it["trigger"].dt for it in alarms] == [nine - timedelta(days=7), nine]
    assert {"TRIGGER:-P6DT15H", "TRIGGER:PT9H"} <= set(unfolded(written(TUBE, alarms=(7, 0))))


def test_what_has_left_is_cancelled_and_rings_no_more() -> None:
    """Section 3.8.1.11: CANCELLED is one of the three that an event may have."""
    gone = Reminder(Sort.GOES_OFF, "x", ON, "x", gone=True)
    [event] = read(written(gone)).walk("VEVENT")
    assert (str(event["status"]), event.walk("VALARM")) == ("CANCELLED", [])


def test_a_reminder_takes_up_no_time() -> None:
    """Section 3.8.2.7."""
    assert "TRANSP:TRANSPARENT" in unfolded(written(TUBE))


def test_the_same_day_gives_the_same_bytes_and_a_later_one_a_higher_sequence() -> None:
    """Section 3.8.7.4: SEQUENCE never counts down; 3.8.4.7: the UID stays."""
    assert written(TUBE) == written(TUBE)
    [first], [later] = (
        read(written(TUBE, on=on)).walk("VEVENT") for on in (ON, ON + timedelta(days=1))
    )
    assert later["sequence"] > first["sequence"] >= 0
    assert later["uid"] == first["uid"]


@pytest.mark.parametrize("day", [date(1999, 1, 1), date.min, date.max], ids=str)
def test_days_at_the_ends(day: date) -> None:
    """Section 3.8.7.4: a sequence is not negative; 3.3.4: a year has four digits."""
    [event] = read(written(Reminder(Sort.DEPARTS, "x", date.max, "x"), on=day)).walk("VEVENT")
    assert event["sequence"] >= 0
    assert event["dtstart"].dt == date.max


TEXT = strategies.text(
    strategies.characters(exclude_categories=("Cs", "Cc", "Zl", "Zp")), min_size=1, max_size=150
).filter(lambda text: text.strip() == text)


@given(TEXT, strategies.lists(TEXT, min_size=1, max_size=4), TEXT)
def test_any_words_come_back_and_no_line_is_too_long(
    title: str, lines: list[str], place: str
) -> None:
    """Section 3.1: lines end with CRLF and have at most 75 octets, none of them cut in a
    character that would not decode."""
    data = written(Reminder(Sort.INSPECT, "x", ON, title, tuple(lines), place))
    physical = data.split(b"\r\n")
    assert max(len(line) for line in physical) <= 75
    assert [line for line in physical if b"\n" in line or b"\r" in line] == []
    for line in physical:
        line.decode()
    [event] = read(data).walk("VEVENT")
    assert str(event["summary"]) == title
    assert str(event["description"]) == "\n".join(lines)
    assert str(event["location"]) == place
