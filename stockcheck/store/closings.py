"""Closings of trips that are taken back, and those that still stand."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable

from stockcheck.core.errors import BadInput
from stockcheck.store.ledger import CLOSING_STANDS, Stamp, undo
from stockcheck.store.rows import insert, next_number


def reopen_trip(conn: sqlite3.Connection, trip_id: int, stamp: Stamp, note: str = "") -> list[int]:
    """Take the closing of a trip back, and the uses it wrote that still stand; returns those.

    BadInput where the trip is not closed, or a use cannot be reversed.
    """
    row = conn.execute(
        "SELECT trip_close_id, came_back FROM trip_close AS t"
        f" WHERE trip_id = ? AND {CLOSING_STANDS}",
        (trip_id,),
    ).fetchone()
    if row is None:
        raise BadInput("that trip is not closed, so there is nothing to take back")
    insert(conn, "trip_close", [{
        "trip_close_id": next_number(conn, "trip_close"), "trip_id": trip_id, "came_back": row[1],
        "on_day": stamp.on_day.isoformat(), "recorded_at": stamp.recorded_at, "note": note,
        "takes_back": row[0],
    }])  # fmt: skip
    written = conn.execute(
        "SELECT movement_id FROM trip_movement AS m WHERE trip_id = ? AND difference = 1"
        " AND NOT EXISTS (SELECT 1 FROM movement WHERE reverses = m.movement_id)"
        " ORDER BY movement_id DESC",
        (trip_id,),
    ).fetchall()
    return [done for (each,) in written for done in undo(conn, each, stamp, note)]


def still_closed(conn: sqlite3.Connection, undone: Iterable[int]) -> list[str]:
    """The trips whose closing wrote some of these movements, and that stand closed."""
    rows = conn.execute(
        "SELECT DISTINCT name FROM trip_movement AS m JOIN trip USING (trip_id)"
        f" JOIN trip_close AS t USING (trip_id) WHERE difference = 1 AND {CLOSING_STANDS}"
        " AND movement_id IN (SELECT value FROM json_each(?)) ORDER BY name",
        (json.dumps(sorted(undone)),),
    ).fetchall()
    return [row[0] for row in rows]
