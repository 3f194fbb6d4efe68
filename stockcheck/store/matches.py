"""What people said of items and lines of kit lists: written down, listed, taken back."""

from __future__ import annotations

import sqlite3
from datetime import date

from stockcheck.core.errors import UnknownName
from stockcheck.core.kit_list_fit import Match


def say(conn: sqlite3.Connection, match: Match, on: date) -> int:
    """Write a match down, in place of what was said of the same two before; its number."""
    same = (match.list_id, match.line, match.item_id)
    conn.execute(
        "UPDATE kit_match SET ended_on = ?"
        " WHERE list_id = ? AND line = ? AND item_id = ? AND ended_on IS NULL",
        (on.isoformat(), *same),
    )
    row = conn.execute(
        "INSERT INTO kit_match (list_id, line, item_id, serves, measure, note, on_day)"
        " VALUES (?, ?, ?, ?, ?, ?, ?) RETURNING kit_match_id",
        (*same, match.serves, match.measure, match.note, on.isoformat()),
    ).fetchone()
    return int(row[0])


def take_back(conn: sqlite3.Connection, number: int, on: date) -> Match:
    """End a match, which stays on record; UnknownName for none that counts."""
    found = next((it for it in matches(conn) if it.id == number), None)
    if found is None:
        raise UnknownName(
            f"no match by hand has the number {number}; 'kit-lists matches' lists them"
        )
    conn.execute(
        "UPDATE kit_match SET ended_on = ? WHERE kit_match_id = ?", (on.isoformat(), number)
    )
    return found


def matches(conn: sqlite3.Connection, list_ids: tuple[str, ...] = ()) -> list[Match]:
    """The matches that count, of these lists or of all, by list, line and number."""
    rows = conn.execute(
        "SELECT kit_match_id, list_id, line, item_id, serves, measure, on_day, note FROM kit_match"
        " WHERE ended_on IS NULL ORDER BY list_id, line, kit_match_id"
    ).fetchall()
    return [
        Match(list_id, line, item_id, bool(serves), measure, date.fromisoformat(on), note, number)
        for number, list_id, line, item_id, serves, measure, on, note in rows
        if not list_ids or list_id in list_ids
    ]
