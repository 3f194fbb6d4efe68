"""When boxes were counted last, and which are due; light, as the expiry report tells it too."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import date, timedelta

from stockcheck.store.reads import day_of

USUAL_DAYS = 90
"""Days from one count of a kit box to the next: each quarter. Common practice, from memory."""


@dataclass(frozen=True, slots=True)
class Counted:
    """When a box was counted last, None for never, and by when it is to be counted again."""

    box_id: int
    box: str
    last_on: date | None
    every: int
    due_on: date | None

    def overdue(self, on: date) -> bool:
        """Whether its day is past."""
        return self.due_on is not None and self.due_on < on


def when_counted(conn: sqlite3.Connection) -> list[Counted]:
    """Of every box in use when it was counted last, and by when it is to be counted again.

    A count whose corrections were undone is none. A box that was never counted is due from the day
    that its first stock came in; an empty one that never was used is due at no time.
    """
    rows = conn.execute(
        "SELECT box_id, name, ifnull(count_days, ?), (SELECT max(e.on_day) FROM stocktake_box"
        "  JOIN stocktake_end AS e USING (stocktake_id) WHERE stocktake_box.box_id = box.box_id"
        "  AND how = 'closed' AND NOT EXISTS (SELECT 1 FROM movement WHERE reverses = e.together)),"
        " (SELECT on_day FROM movement WHERE movement_id = (SELECT movement_id FROM movement_line"
        "  WHERE movement_line.box_id = box.box_id ORDER BY line_id LIMIT 1))"
        " FROM box WHERE retired_on IS NULL ORDER BY name_key",
        (USUAL_DAYS,),
    ).fetchall()
    return [
        Counted(number, name, day_of(last), every, _due(last or first, every))
        for number, name, every, last, first in rows
    ]


def last_counted(conn: sqlite3.Connection, box: int) -> date | None:
    """The day of a box's last count; None for never."""
    return next((each.last_on for each in when_counted(conn) if each.box_id == box), None)


def _due(since: str | None, every: int) -> date | None:
    day = day_of(since)
    return day + timedelta(days=every) if day and every else None


def overdue(conn: sqlite3.Connection, on: date) -> list[Counted]:
    """The boxes that should have been counted by a day, the longest waiting first."""
    found = [each for each in when_counted(conn) if each.overdue(on)]
    return sorted(found, key=lambda it: (it.due_on or on, it.box))


def set_interval(conn: sqlite3.Connection, box: int, days: int | None) -> None:
    """How many days lie between two counts of a box: 0 for never, None for the usual."""
    conn.execute("UPDATE box SET count_days = ? WHERE box_id = ?", (days, box))
