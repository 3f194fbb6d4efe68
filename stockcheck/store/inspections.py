"""Inspections and decisions: writing them down with their movement, and reading them back."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core.model import Holding, Inspection, Status
from stockcheck.core.movements import Line, Movement, What
from stockcheck.store.ledger import Stamp, post
from stockcheck.store.limits import refresh_limits


def record(
    conn: sqlite3.Connection, lot_id: int, held: Sequence[Holding], found: Inspection, stamp: Stamp
) -> int:
    """Write an inspection of a lot and its movement; returns the movement's number."""
    lines = tuple(Line(lot_id, each.box.id, 0, each.opened_on, each.state) for each in held)
    word = "passed" if found.passed else "FAILED"
    reason = f"{word}{f': {found.note}' if found.note else ''}"
    movement = post(conn, [Movement(What.INSPECTED, lines, reason)], stamp)[0]
    conn.execute(
        "INSERT INTO inspection (movement_id, lot_id, on_day, passed, checked_by, note, extends_to)"
        " VALUES (?, ?, ?, ?, ?, ?, ?)",
        (
            movement,
            lot_id,
            found.on.isoformat(),
            int(found.passed),
            found.by,
            found.note,
            found.extends_to.isoformat() if found.extends_to else None,
        ),
    )
    refresh_limits(conn, [lot_id])
    return movement


@dataclass(frozen=True, slots=True)
class Decision:
    """What was decided about a holding, how it stood then, and why."""

    lot_id: int
    box_id: int
    opened_on: date | None
    decided: str
    standing: Status
    reason: str
    on: date


def decide(conn: sqlite3.Connection, decision: Decision, movement_id: int, stamp: Stamp) -> None:
    """Write a decision down beside its movement; it counts while that is not undone."""
    conn.execute(
        "INSERT INTO decision (lot_id, box_id, opened_on, decided, standing, reason, movement_id,"
        " on_day, recorded_at) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            decision.lot_id,
            decision.box_id,
            decision.opened_on.isoformat() if decision.opened_on else None,
            decision.decided,
            decision.standing.value,
            decision.reason,
            movement_id,
            decision.on.isoformat(),
            stamp.recorded_at,
        ),
    )


def decisions(
    conn: sqlite3.Connection, lot_ids: Collection[int]
) -> dict[tuple[int, int, date | None], Decision]:
    """The last decision that stands about each lot in each box, sealed or opened on a day."""
    rows = conn.execute(
        "SELECT lot_id, box_id, opened_on, decided, standing, reason, on_day FROM decision"
        " WHERE lot_id IN (SELECT value FROM json_each(?)) AND NOT EXISTS"
        " (SELECT 1 FROM movement WHERE reverses = decision.movement_id) ORDER BY decision_id",
        (json.dumps(sorted(lot_ids)),),
    ).fetchall()
    found = {}
    for lot, box, opened, decided, standing, reason, day in rows:
        opened_on = date.fromisoformat(opened) if opened else None
        found[lot, box, opened_on] = Decision(
            lot, box, opened_on, decided, Status(standing), reason, date.fromisoformat(day)
        )
    return found
