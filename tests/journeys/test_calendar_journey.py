"""Leaving: reminders taken into a calendar, and taken in again after something changed."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

from icalendar import Calendar

Run = Callable[..., "subprocess.CompletedProcess[str]"]


def events(path: Path) -> dict[str, Any]:
    """The events of a file by their UID, which stands once (RFC 5545, section 3.8.4.7)."""
    calendar: Any = Calendar.from_ical(path.read_bytes())
    found = calendar.walk("VEVENT")
    by_uid = {str(event["uid"]): event for event in found}
    assert len(by_uid) == len(found)
    return by_uid


def test_a_trip_in_one_file_and_everything_in_another(demo: Run, tmp_path: Path) -> None:
    done = demo("calendar", "Spring count")
    assert done.returncode == 0, done.stderr
    assert "wrote calendar.ics" in done.stderr
    assert "23 go off, 5 orders, 14 counts" in " ".join(done.stderr.split())
    assert "expired or undated already" in done.stderr
    assert demo("calendar", "--output", "all.ics").returncode == 0
    trip, every = events(tmp_path / "calendar.ics"), events(tmp_path / "all.ics")
    assert set(trip) < set(every)
    assert {str(it["categories"].cats[0]) for it in trip.values()} >= {
        "goes off", "order by", "count due", "departs", "returns",
    }  # fmt: skip


def test_a_second_file_of_a_later_day_updates_the_first(demo: Run, tmp_path: Path) -> None:
    demo("calendar", "Spring count", "--output", "one.ics")
    demo("calendar", "Spring count", "--output", "same.ics")
    assert (tmp_path / "one.ics").read_bytes() == (tmp_path / "same.ics").read_bytes()
    demo("calendar", "Spring count", "--output", "two.ics", "--on", "2026-11-26")
    one, two = events(tmp_path / "one.ics"), events(tmp_path / "two.ics")
    shared = set(one) & set(two)
    assert len(shared) > 30
    assert all(two[uid]["sequence"] > one[uid]["sequence"] for uid in shared)


def test_what_was_used_up_is_cancelled_on_the_same_day_and_what_moved_is_revised(
    demo: Run, tmp_path: Path
) -> None:
    demo("calendar", "--what", "goes off", "--output", "one.ics")
    done = demo("write-off", "L36", "--quantity", "4", "--reason", "wet", "--yes")
    assert done.returncode == 0, done.stderr
    assert demo("use", "L35", "--quantity", "1").returncode == 0
    done = demo("calendar", "--what", "goes off", "--output", "two.ics")
    assert "1 cancelled" in done.stderr
    one, two = events(tmp_path / "one.ics"), events(tmp_path / "two.ics")
    [cells] = [uid for uid, it in one.items() if "L36: 4" in str(it["description"])]
    [used] = [uid for uid, it in one.items() if "L35:" in str(it["description"])]
    assert (str(one[cells]["status"]), str(two[cells]["status"])) == ("CONFIRMED", "CANCELLED")
    assert set(one) == set(two)
    revised = {uid for uid in one if two[uid]["sequence"] > one[uid]["sequence"]}
    assert revised == {cells, used}
    assert demo("undo").returncode == 0  # the use
    assert demo("undo").returncode == 0  # the write-off
    demo("calendar", "--what", "goes off", "--output", "three.ics")
    three = events(tmp_path / "three.ics")
    assert str(three[cells]["status"]) == "CONFIRMED"
    assert three[cells]["sequence"] > two[cells]["sequence"]


def test_what_was_ordered_is_called_off_and_another_trips_is_not(demo: Run, tmp_path: Path) -> None:
    demo("calendar", "Spring count", "--what", "order by", "--output", "one.ics")
    one = events(tmp_path / "one.ics")
    [shop] = [uid for uid, it in one.items() if "Corner pharmacy" in str(it["summary"])]
    done = demo("order", "Spring count", "--supplier", "Corner pharmacy", "--yes")
    assert done.returncode == 0, done.stderr
    demo("calendar", "Shakedown weekend", "--output", "other.ics")
    other = events(tmp_path / "other.ics")
    assert [uid for uid in set(one) - {shop} if uid in other] == []  # they still stand
    demo("calendar", "Spring count", "--what", "order by", "--output", "two.ics")
    two = events(tmp_path / "two.ics")
    assert {uid for uid, it in two.items() if str(it["status"]) == "CANCELLED"} == {shop}


def test_what_another_copy_told_of_is_cancelled_where_asked(demo: Run, tmp_path: Path) -> None:
    assert demo("write-off", "L36", "--quantity", "4", "--reason", "wet", "--yes").returncode == 0
    demo("calendar", "--what", "goes off", "--output", "one.ics")
    demo("calendar", "--what", "goes off", "--gone", "--output", "two.ics")
    one, two = events(tmp_path / "one.ics"), events(tmp_path / "two.ics")
    assert set(one) < set(two)
    assert {str(two[uid]["status"]) for uid in set(two) - set(one)} == {"CANCELLED"}


def test_an_audit_is_reminded_of(demo: Run, tmp_path: Path) -> None:
    assert demo("kit-lists", "usual", "First aid", "de-din-13164-2022").returncode == 0
    done = demo("calendar", "--what", "audit due")
    assert "1 audit, from" in done.stderr
    [audit] = events(tmp_path / "calendar.ics").values()
    assert str(audit["summary"]) == "First aid: audit due"


def test_an_inspection_is_reminded_of_until_it_was_done(demo: Run, tmp_path: Path) -> None:
    words = ("calendar", "--what", "inspection due")
    assert demo(*words).returncode == 0
    before = events(tmp_path / "calendar.ics")
    [grease] = [uid for uid, it in before.items() if "L43" in str(it["description"])]
    assert str(before[grease]["summary"]).startswith("Inspect wheel-bearing grease")
    assert demo("inspect", "L43", "--fail", "--by", "Ana").returncode == 0
    demo(*words)
    assert str(events(tmp_path / "calendar.ics")[grease]["status"]) == "CANCELLED"


def test_an_empty_store_has_nothing_to_remind_of(empty: Run, tmp_path: Path) -> None:
    done = empty("calendar")
    assert done.returncode == 0, done.stderr
    assert done.stderr == "Empty truck: nothing to remind of, no file was written\n"
    assert not (tmp_path / "calendar.ics").exists()


def test_on_the_screen_and_without_alarms(demo: Run) -> None:
    done = demo("calendar", "Spring count", "--output", "-", "--no-alarm")
    assert done.stdout.startswith("BEGIN:VCALENDAR")
    assert "VALARM" not in done.stdout


def test_wrong_words_are_answered(demo: Run) -> None:
    wrong = demo("calendar", "Sprin count")
    assert (wrong.returncode, "Spring count" in wrong.stderr) == (3, True)
    assert demo("calendar", "--alarm-days", "-1").returncode == 2
