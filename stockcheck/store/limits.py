"""The governing limit kept with each holding, worked out anew whenever a fact behind it changes."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core import shelf_life
from stockcheck.core.model import Holding, Limit

if TYPE_CHECKING:
    from stockcheck.core.ageing import Ageing

_AT_ONCE = 4000  # lots in memory: more are no faster


def refresh_limits(conn: sqlite3.Connection, lot_ids: Sequence[int] | None = None) -> int:
    """Work out the limits of the holdings of some lots, or of all; returns how many changed."""
    if lot_ids is None:
        lot_ids = [row[0] for row in conn.execute("SELECT lot_id FROM lot ORDER BY lot_id")]
    portions = (lot_ids[at : at + _AT_ONCE] for at in range(0, len(lot_ids), _AT_ONCE))
    return sum(len(refreshed(conn, some)) for some in portions)


def refreshed(conn: sqlite3.Connection, lot_ids: Sequence[int] | None = None) -> list[Holding]:
    """Work out limits as ``refresh_limits`` does; returns what changed, as it was before."""
    from stockcheck.store.reads import holdings

    changed, touched = [], []
    held = holdings(conn, lot_ids=lot_ids, empty=True)
    limits = {each.id: shelf_life.limits(each.lot, each.opened_on) for each in held}
    hot = days_by_heat(conn, held, limits)
    for holding in held:
        limit = shelf_life.governing(limits[holding.id])
        last = limit.last_usable_day if limit else None
        word = shelf_life.governed_by(holding.kind, limit)
        if last is not None and (heat := hot.get(holding.id)) is not None:
            last, word = _shortened(last, word, heat)
        if (last, word) != (holding.last_usable_day, holding.governed_by):
            changed.append((last.isoformat() if last else None, word, holding.id))
            touched.append(holding)
    conn.executemany(
        "UPDATE holding SET last_usable_day = ?, governed_by = ? WHERE holding_id = ?", changed
    )
    return touched


def _shortened(last: date, word: str, heat: date) -> tuple[date, str]:
    from stockcheck.core.shelf_life import HEAT

    return (heat, HEAT) if heat < last else (last, word)


def days_by_heat(
    conn: sqlite3.Connection, held: Sequence[Holding], limits: Mapping[int, Sequence[Limit]]
) -> dict[int, date]:
    """The last days that heat leaves holdings; nothing is worked out where no heat is known."""
    if not held or not _heat_is_known(conn):
        return {}
    from stockcheck.store import heat

    return heat.days_by_heat(conn, held, limits)


def ageing_by_heat(conn: sqlite3.Connection, held: Sequence[Holding]) -> dict[int, list[Ageing]]:
    """What heat makes of holdings, by their numbers, for telling why."""
    if not held or not _heat_is_known(conn):
        return {}
    from stockcheck.store.heat import ageing_of

    return ageing_of(conn, held)


def _heat_is_known(conn: sqlite3.Connection) -> bool:
    """Whether any box has a climate or readings; kept, so that most commands load no heat."""
    row = conn.execute("SELECT value FROM setting WHERE key = 'heat'").fetchone()
    return row is not None and row[0] == "known"


def note_heat(conn: sqlite3.Connection) -> None:
    """Keep whether any heat is known, after a change of a climate, a box or readings."""
    from stockcheck.store.heat import heat_is_known

    conn.execute(
        "INSERT INTO setting (key, value) VALUES ('heat', ?)"
        " ON CONFLICT (key) DO UPDATE SET value = excluded.value",
        ("known" if heat_is_known(conn) else "none",),
    )


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


def lots_of_box(conn: sqlite3.Connection, box_id: int) -> list[int]:
    """The lots that are or ever were in a box, not counting the boxes inside it."""
    rows = conn.execute("SELECT DISTINCT lot_id FROM movement_line WHERE box_id = ?", (box_id,))
    return [row[0] for row in rows.fetchall()]
