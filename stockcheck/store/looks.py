"""Reading inspections back: who looked at a lot, when, and what was found."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection
from datetime import date

from stockcheck.core.model import Inspection


def inspections(
    conn: sqlite3.Connection, lot_ids: Collection[int] | None
) -> dict[int, tuple[Inspection, ...]]:
    """The inspections of these lots (or of all) that were not undone, in order of day."""
    where = "" if lot_ids is None else "AND lot_id IN (SELECT value FROM json_each(?))"
    values = () if lot_ids is None else (json.dumps(sorted(lot_ids)),)
    rows = conn.execute(
        "SELECT lot_id, on_day, passed, checked_by, note, extends_to FROM inspection"
        " WHERE NOT EXISTS (SELECT 1 FROM movement WHERE reverses = inspection.movement_id)"
        f" {where} ORDER BY on_day, inspection_id",
        values,
    ).fetchall()
    found: dict[int, list[Inspection]] = {}
    for lot_id, on_day, passed, by, note, extends_to in rows:
        found.setdefault(lot_id, []).append(
            Inspection(
                date.fromisoformat(on_day),
                bool(passed),
                by,
                note,
                date.fromisoformat(extends_to) if extends_to else None,
            )
        )
    return {lot_id: tuple(each) for lot_id, each in found.items()}
