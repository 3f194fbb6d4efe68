"""The answers of rounds that are under way: each written as it is given, let go when recorded."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection
from datetime import date

from stockcheck.core.audit_round import Answer, Seen


def keep(conn: sqlite3.Connection, box_id: int, seen: Seen, on: date) -> None:
    """Write an answer down, in place of the one before of the same holding."""
    conn.execute(
        "INSERT INTO audit_answer (box_id, holding_id, lot_id, booked, found, damaged, on_day)"
        " VALUES (?, ?, ?, ?, ?, ?, ?) ON CONFLICT (box_id, holding_id) DO UPDATE SET"
        " booked = excluded.booked, found = excluded.found, damaged = excluded.damaged,"
        " on_day = excluded.on_day",
        (
            box_id,
            seen.holding.id,
            seen.holding.lot.id,
            seen.booked,
            seen.found,
            seen.damaged,
            on.isoformat(),
        ),
    )


def kept(conn: sqlite3.Connection, box_id: int) -> list[Answer]:
    """What was answered so far of a box."""
    rows = conn.execute(
        "SELECT holding_id, lot_id, booked, found, damaged, on_day FROM audit_answer"
        " WHERE box_id = ? ORDER BY holding_id",
        (box_id,),
    ).fetchall()
    return [
        Answer(holding_id, lot_id, booked, found, damaged, date.fromisoformat(on))
        for holding_id, lot_id, booked, found, damaged, on in rows
    ]


def let_go(
    conn: sqlite3.Connection, box_id: int, holding_ids: Collection[int] | None = None
) -> None:
    """Forget what was answered of these holdings, or of the whole box."""
    if holding_ids is None:
        conn.execute("DELETE FROM audit_answer WHERE box_id = ?", (box_id,))
        return
    conn.executemany(
        "DELETE FROM audit_answer WHERE box_id = ? AND holding_id = ?",
        [(box_id, each) for each in holding_ids],
    )
