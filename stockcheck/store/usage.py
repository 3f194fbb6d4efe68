"""Use: reading it out of the ledger, and writing what the ledger alone does not know.

Which movements belong to which trip, what was wanted in vain, what is told from memory, and that
a trip's log is complete. All of these are append-only records.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence
from datetime import date

from stockcheck.core.carry import Log, Measure
from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.movements import What
from stockcheck.core.planning import Par
from stockcheck.core.usage import Entry, History, Travelled, Wanted, history, uses
from stockcheck.core.usage_told import Told, with_told
from stockcheck.store.ledger import CLOSING_STANDS, Stamp
from stockcheck.store.plans import trips
from stockcheck.store.rows import insert, next_number


def entries(conn: sqlite3.Connection, item_ids: Sequence[int]) -> list[Entry]:
    """What every movement did to the stock of some items, those undone and reversals included."""
    rows = conn.execute(
        "SELECT movement_id, what, on_day, sum(line.quantity), together, reverses, trip_id,"
        " ifnull(difference, 0) FROM movement JOIN movement_line AS line USING (movement_id)"
        " JOIN lot USING (lot_id) LEFT JOIN trip_movement USING (movement_id)"
        " WHERE item_id IN (SELECT value FROM json_each(?))"
        " GROUP BY movement_id ORDER BY movement_id",
        (json.dumps(list(item_ids)),),
    ).fetchall()
    return [
        Entry(number, What(what), date.fromisoformat(day), units, first, back, trip, bool(diff))
        for number, what, day, units, first, back, trip, diff in rows
    ]


def wanted(conn: sqlite3.Connection, item_ids: Sequence[int]) -> list[Wanted]:
    """What of some items was reached for in vain, without what was taken back."""
    rows = conn.execute(
        "SELECT on_day, quantity, trip_id, together, note FROM wanted AS w"
        " WHERE item_id IN (SELECT value FROM json_each(?)) AND takes_back IS NULL"
        " AND NOT EXISTS (SELECT 1 FROM wanted AS b WHERE b.takes_back = w.wanted_id)"
        " ORDER BY wanted_id",
        (json.dumps(list(item_ids)),),
    ).fetchall()
    return [Wanted(date.fromisoformat(day), *rest) for day, *rest in rows]


def told(conn: sqlite3.Connection, item_ids: Sequence[int]) -> list[Told]:
    """What was told from memory of some items, without what was taken back."""
    rows = conn.execute(
        "SELECT told_use_id, quantity, occasions, days, people, distance_km, year, note"
        " FROM told_use AS t"
        " WHERE item_id IN (SELECT value FROM json_each(?)) AND takes_back IS NULL"
        " AND NOT EXISTS (SELECT 1 FROM told_use AS b WHERE b.takes_back = t.told_use_id)"
        " ORDER BY year, told_use_id",
        (json.dumps(list(item_ids)),),
    ).fetchall()
    return [Told(*row) for row in rows]


def travelled(conn: sqlite3.Connection) -> list[Travelled]:
    """Every trip with what is known of its log; retired ones only where they were closed."""
    closes = {
        number: (date.fromisoformat(back), km)
        for number, back, km in conn.execute(
            f"SELECT trip_id, came_back, distance_km FROM trip_close AS t WHERE {CLOSING_STANDS}"
        ).fetchall()
    }
    found = []
    for trip in trips(conn, retired=True):
        back, km = closes.get(trip.id, (None, None))
        if trip.retired_on is None or back is not None:
            last = back or trip.returns
            recorded = _recorded(conn, trip.id, trip.departs, last)
            found.append(Travelled(trip, back, trip.id in closes, recorded, km))
    return found


def _recorded(conn: sqlite3.Connection, trip_id: int, first: date, last: date) -> bool:
    """Whether anything at all was recorded as used or wanted on a trip."""
    days = (first.isoformat(), last.isoformat(), trip_id)
    row = conn.execute(
        "SELECT EXISTS (SELECT 1 FROM movement AS m LEFT JOIN trip_movement USING (movement_id)"
        " WHERE what = 'issued' AND NOT EXISTS"
        " (SELECT 1 FROM movement WHERE reverses = m.movement_id)"
        " AND (trip_id = ?3 OR (trip_id IS NULL AND on_day BETWEEN ?1 AND ?2)))"
        " OR EXISTS (SELECT 1 FROM wanted"
        " WHERE trip_id = ?3 OR (trip_id IS NULL AND on_day BETWEEN ?1 AND ?2))",
        days,
    ).fetchone()
    return bool(row[0])


def history_of(
    conn: sqlite3.Connection, item_ids: Sequence[int], unit: str, measure: Measure, on: date
) -> History:
    """The log of an item, or of several that stand in for one another: the ledger's and told."""
    moved = entries(conn, item_ids)
    lacked = wanted(conn, item_ids)
    known = History(None, ())
    if moved or lacked:
        days = [it.on for it in moved] + [it.on for it in lacked]
        since = min(days)
        known = history(uses(moved, lacked, unit), travelled(conn), measure, on=on, since=since)
    return with_told(known, told(conn, item_ids), measure)


def logs_for(conn: sqlite3.Connection, pars: Iterable[Par], on: date) -> dict[int, Log | None]:
    """The log that each par level from history goes by, by its id."""
    found: dict[int, Log | None] = {}
    for par in pars:
        if par.basis != "history":
            continue
        unit = par.item.unit if par.item else "each"
        ids = [par.item.id] if par.item else _of_kind(conn, par.kind.key if par.kind else "")
        found[par.id] = history_of(conn, ids, unit, Measure(par.measure), on).log
    return found


def _of_kind(conn: sqlite3.Connection, key: str) -> list[int]:
    rows = conn.execute(
        "SELECT item_id FROM item JOIN kind USING (kind_id) WHERE key = ?", (key,)
    ).fetchall()
    return [row[0] for row in rows]


def note_wanted(conn: sqlite3.Connection, item_id: int, what: Wanted, recorded_at: str) -> int:
    """Write that something was reached for in vain; returns the line's number."""
    number = next_number(conn, "wanted")
    insert(conn, "wanted", [{
        "wanted_id": number, "item_id": item_id, "quantity": what.quantity,
        "on_day": what.on.isoformat(), "trip_id": what.trip_id, "together": what.together,
        "note": what.note, "recorded_at": recorded_at,
    }])  # fmt: skip
    return number


def note_told(conn: sqlite3.Connection, item_id: int, one: Told, recorded_at: str) -> int:
    """Write what is told from memory; returns the line's number."""
    number = next_number(conn, "told_use")
    insert(conn, "told_use", [{
        "told_use_id": number, "item_id": item_id, "quantity": one.quantity,
        "occasions": one.occasions, "days": one.days, "people": one.people,
        "distance_km": one.distance_km, "year": one.year, "note": one.note,
        "recorded_at": recorded_at,
    }])  # fmt: skip
    return number


def take_back(conn: sqlite3.Connection, table: str, number: int, recorded_at: str) -> None:
    """Withdraw a line of ``wanted`` or ``told_use``: a line of its own says so."""
    columns = {
        "wanted": "item_id, quantity, on_day",
        "told_use": "item_id, quantity, occasions, days, year",
    }[table]
    row = conn.execute(
        f"SELECT {columns}, takes_back,"
        f" EXISTS (SELECT 1 FROM {table} AS b WHERE b.takes_back = t.{table}_id)"
        f" FROM {table} AS t WHERE {table}_id = ?",
        (number,),
    ).fetchone()
    if row is None or row[-2] is not None:
        raise UnknownName(f"there is no line {number} of that; --list shows them")
    if row[-1]:
        raise BadInput(f"line {number} was taken back already")
    kept = dict(zip(columns.split(", "), row, strict=False))
    fresh = {f"{table}_id": next_number(conn, table), **kept, "recorded_at": recorded_at}
    insert(conn, table, [fresh | {"takes_back": number}])


def mark_trip(
    conn: sqlite3.Connection, movements: Iterable[int], trip_id: int, *, difference: bool
) -> None:
    """Say that movements belong to a trip, whatever their day."""
    insert(conn, "trip_movement", [
        {"movement_id": number, "trip_id": trip_id, "difference": int(difference)}
        for number in movements
    ])  # fmt: skip


def close_trip(
    conn: sqlite3.Connection,
    trip_id: int,
    came_back: date,
    distance_km: int | None,
    stamp: Stamp,
    note: str = "",
) -> None:
    """Write that what came back was gone through. BadInput where that is written already."""
    if closed_on(conn, trip_id) is not None:
        raise BadInput("that trip was closed already; its log is complete")
    insert(conn, "trip_close", [{
        "trip_close_id": next_number(conn, "trip_close"), "trip_id": trip_id,
        "came_back": came_back.isoformat(), "distance_km": distance_km,
        "on_day": stamp.on_day.isoformat(), "recorded_at": stamp.recorded_at, "note": note,
    }])  # fmt: skip


def closed_on(conn: sqlite3.Connection, trip_id: int) -> date | None:
    """The day on which a trip was closed; None for one that is open."""
    row = conn.execute(
        f"SELECT on_day FROM trip_close AS t WHERE trip_id = ? AND {CLOSING_STANDS}", (trip_id,)
    ).fetchone()
    return date.fromisoformat(row[0]) if row else None


def trip_on(conn: sqlite3.Connection, on: date) -> int | None:
    """The trip under way on a day, the one that left last where two overlap; None for none."""
    row = conn.execute(
        "SELECT trip_id FROM trip WHERE retired_on IS NULL AND departs <= ?1 AND returns >= ?1"
        " ORDER BY departs DESC, trip_id DESC LIMIT 1",
        (on.isoformat(),),
    ).fetchone()
    return int(row[0]) if row else None


def assurance_settings(conn: sqlite3.Connection) -> dict[str, str]:
    """The chances of not running out that were changed, as typed, by importance."""
    rows = conn.execute(
        "SELECT substr(key, 11), value FROM setting WHERE key LIKE 'assurance.%'"
    ).fetchall()
    return dict(rows)


def set_assurance(conn: sqlite3.Connection, importance: str, text: str) -> None:
    """Change a chance that is aimed at; an empty text goes back to the usual one."""
    if not text:
        conn.execute("DELETE FROM setting WHERE key = ?", (f"assurance.{importance}",))
        return
    conn.execute(
        "INSERT INTO setting (key, value) VALUES (?, ?)"
        " ON CONFLICT (key) DO UPDATE SET value = excluded.value",
        (f"assurance.{importance}", text),
    )


_SAID = {
    "wanted_in_vain": "quantity || CASE unit WHEN 'each' THEN '' ELSE ' ' || unit END"
    " || ' on ' || on_day || ifnull(', ' || trip, '') || ifnull(', ' || nullif(note, ''), '')",
    "told_uses": "year || ', ' || quantity || CASE unit WHEN 'each' THEN '' ELSE ' ' || unit END"
    " || ' used in ' || days || ' days' || ifnull(', ' || nullif(note, ''), '')",
}


def lines_of(conn: sqlite3.Connection, view: str) -> list[tuple[str, str, str]]:
    """The lines of ``wanted_in_vain`` or ``told_uses``: number, item, and the rest in words."""
    return conn.execute(f"SELECT number, item, {_SAID[view]} FROM {view}").fetchall()
