"""The governing limit kept with each holding, worked out anew whenever a fact behind it changes."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import TYPE_CHECKING

from stockcheck.core import shelf_life
from stockcheck.core.model import Holding, Limit

if TYPE_CHECKING:
    from stockcheck.store.heat import Estimate


def refresh_limits(conn: sqlite3.Connection, lot_ids: Sequence[int] | None = None) -> int:
    """Work out the limits of the holdings of some lots, or of all; returns how many changed."""
    from stockcheck.store.reads import holdings

    changed = []
    held = holdings(conn, lot_ids=lot_ids, empty=True)
    hot = heat_limits(conn, held)
    for holding in held:
        limit = shelf_life.governing(shelf_life.limits(holding.lot, holding.opened_on))
        heat = hot.get(holding.id)
        if heat is not None and limit is not None and heat.last_usable_day < limit.last_usable_day:
            limit = heat
        last = limit.last_usable_day if limit else None
        word = shelf_life.governed_by(holding.kind, limit)
        if (last, word) != (holding.last_usable_day, holding.governed_by):
            changed.append((last.isoformat() if last else None, word, holding.id))
    conn.executemany(
        "UPDATE holding SET last_usable_day = ?, governed_by = ? WHERE holding_id = ?", changed
    )
    return len(changed)


def heat_limits(conn: sqlite3.Connection, held: Sequence[Holding]) -> dict[int, Limit]:
    """The heat limits by the holdings' numbers; nothing is worked out where no heat is known."""
    if not held or not _heat_is_known(conn):
        return {}
    from stockcheck.store.heat import limits_by_heat

    return limits_by_heat(conn, held)


def heat_estimates(conn: sqlite3.Connection, held: Sequence[Holding]) -> dict[int, list[Estimate]]:
    """What heat is estimated to do to holdings, by their numbers, for telling why."""
    if not held or not _heat_is_known(conn):
        return {}
    from stockcheck.store.heat import estimates_of

    return estimates_of(conn, held)


def _heat_is_known(conn: sqlite3.Connection) -> bool:
    row = conn.execute(
        "SELECT EXISTS (SELECT 1 FROM box WHERE climate <> '')"
        " OR EXISTS (SELECT 1 FROM temperature)"
    ).fetchone()
    return bool(row[0])


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
