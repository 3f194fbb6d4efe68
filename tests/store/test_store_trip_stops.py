"""Stops of a trip are read with their days and with what can be had there. All is invented."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from stockcheck.core.pack import Stop, There
from stockcheck.store import bulk, plans
from stockcheck.store.files import opened
from stockcheck.store.migrate import create
from stockcheck.store.trip_stops import stops_of

STOPS = (  # number, trip, day, place, let go on
    (1, 1, 20, "the crossing", None),
    (2, 1, 3, "the pump", None),
    (3, 1, 9, "shut since", "2028-01-01"),
    (4, 2, 5, "elsewhere", None),
)
HAS = ((1, 2, 4), (1, 1, None), (4, 1, None))  # stop, item, at most


def test_they_come_by_day_with_what_each_has_29_february_counted(tmp_path: Path) -> None:
    create(tmp_path / "kit.db", "Kit")
    with opened(tmp_path / "kit.db") as store:
        with store.writing() as conn:
            for name, unit in (("water tablet", "tablet"), ("gas", "each")):
                kind = {"kind": "chlorine-dioxide-tablets"}
                bulk.add_text(conn, "item", {"item": name, "unit": unit} | kind)
            for name in ("Spring count", "Other"):
                days = {"departs": "2028-02-27", "returns": "2028-04-01"}
                bulk.add_text(conn, "trip", {"trip": name} | days)
            conn.executemany(
                "INSERT INTO trip_stop (trip_stop_id, trip_id, day, place, retired_on)"
                " VALUES (?, ?, ?, ?, ?)",
                STOPS,
            )
            conn.executemany("INSERT INTO trip_stop_item VALUES (?, ?, ?)", HAS)
        found = stops_of(store.conn, plans.trip(store.conn, 1))
    assert found == [
        Stop(date(2028, 2, 29), "the pump"),
        Stop(
            date(2028, 3, 17),
            "the crossing",
            (There(2, "gas", "each", 4), There(1, "water tablet", "tablet")),
        ),
    ]
    assert [each.amount for each in found[1].items] == ["at most 4", ""]
