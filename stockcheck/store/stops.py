"""Stops of a trip where more can be had."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from datetime import date

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.forecast import PlacedStop
from stockcheck.core.planning import Trip
from stockcheck.store.rows import insert, next_number


def stops(conn: sqlite3.Connection, trip_id: int) -> list[PlacedStop]:
    """The stops of a trip, in order of day."""
    has: dict[int, dict[int, int | None]] = {}
    for stop, item, most in conn.execute(
        "SELECT trip_stop_id, item_id, most FROM trip_stop_item JOIN trip_stop USING (trip_stop_id)"
        " WHERE trip_id = ? ORDER BY item_id",
        (trip_id,),
    ).fetchall():
        has.setdefault(stop, {})[item] = most
    rows = conn.execute(
        "SELECT trip_stop_id, day, place FROM trip_stop"
        " WHERE trip_id = ? AND retired_on IS NULL ORDER BY day, trip_stop_id",
        (trip_id,),
    ).fetchall()
    return [PlacedStop(number, day, place, has.get(number, {})) for number, day, place in rows]


def add_stop(
    conn: sqlite3.Connection, trip: Trip, day: int, place: str, has: Mapping[int, int | None]
) -> int:
    """Write a stop; returns its number. BadInput for a day that the trip does not have."""
    days = (trip.horizon - trip.departs).days + 1
    if not 1 <= day <= days:
        raise BadInput(f"day {day}: {trip.name} has days 1 to {days}, 1 being that of departure")
    if not place.strip():
        raise BadInput("a stop needs its --place")
    number = next_number(conn, "trip_stop")
    row = {"trip_stop_id": number, "trip_id": trip.id, "day": day, "place": place.strip()}
    insert(conn, "trip_stop", [row])
    insert(conn, "trip_stop_item", [
        {"trip_stop_id": number, "item_id": item, "most": most} for item, most in has.items()
    ])  # fmt: skip
    return number


def retire_stop(conn: sqlite3.Connection, trip_id: int, number: int, on: date) -> None:
    """Take a stop out. UnknownName where the trip has none of that number."""
    done = conn.execute(
        "UPDATE trip_stop SET retired_on = ?"
        " WHERE trip_stop_id = ? AND trip_id = ? AND retired_on IS NULL",
        (on.isoformat(), number, trip_id),
    )
    if not done.rowcount:
        raise UnknownName(f"there is no stop {number} on that trip; 'trip stop list' shows them")
