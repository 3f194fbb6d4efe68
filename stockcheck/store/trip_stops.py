"""The stops of a trip where more can be had, by the day that each is reached."""

from __future__ import annotations

import sqlite3
from datetime import timedelta

from stockcheck.core.pack import Stop, There
from stockcheck.core.planning import Trip


def stops_of(conn: sqlite3.Connection, trip: Trip) -> list[Stop]:
    """The stops of a trip that stand, in the order of their days, with what each has.

    Day 1 is that of departure.
    """
    rows = conn.execute(
        "SELECT trip_stop_id, day, place FROM trip_stop"
        " WHERE trip_id = ? AND retired_on IS NULL ORDER BY day, trip_stop_id",
        (trip.id,),
    ).fetchall()
    there = conn.execute(
        "SELECT trip_stop_id, item_id, item.name, item.unit, most FROM trip_stop_item"
        " JOIN trip_stop USING (trip_stop_id) JOIN item USING (item_id)"
        " WHERE trip_id = ? ORDER BY item.name_key",
        (trip.id,),
    ).fetchall()
    return [
        Stop(
            trip.departs + timedelta(days=day - 1),
            place,
            tuple(There(*rest) for stop, *rest in there if stop == number),
        )
        for number, day, place in rows
    ]
