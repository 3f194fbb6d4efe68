"""The governing limit kept with each holding, worked out anew whenever a fact behind it changes."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence

from stockcheck.core import shelf_life


def refresh_limits(conn: sqlite3.Connection, lot_ids: Sequence[int] | None = None) -> int:
    """Work out the limits of the holdings of some lots, or of all; returns how many changed."""
    from stockcheck.store.reads import holdings

    changed = []
    for holding in holdings(conn, lot_ids=lot_ids, empty=True):
        limit = shelf_life.governing(shelf_life.limits(holding.lot, holding.opened_on))
        last = limit.last_usable_day if limit else None
        word = shelf_life.governed_by(holding.kind, limit)
        if (last, word) != (holding.last_usable_day, holding.governed_by):
            changed.append((last.isoformat() if last else None, word, holding.id))
    conn.executemany(
        "UPDATE holding SET last_usable_day = ?, governed_by = ? WHERE holding_id = ?", changed
    )
    return len(changed)


def lots_of_kind(conn: sqlite3.Connection, key: str) -> list[int]:
    """The lots whose limits depend on a kind."""
    rows = conn.execute(
        "SELECT lot_id FROM lot JOIN item USING (item_id) JOIN kind USING (kind_id)"
        " WHERE kind.key = ?",
        (key,),
    ).fetchall()
    return [row[0] for row in rows]


def lots_of_item(conn: sqlite3.Connection, item_id: int) -> list[int]:
    """The lots of an item."""
    return [row[0] for row in conn.execute("SELECT lot_id FROM lot WHERE item_id = ?", (item_id,))]
