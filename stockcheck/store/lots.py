"""Facts of lots: writing them down once, and correcting them with a record of what they were."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from typing import Any
from unicodedata import normalize

from stockcheck.core.codes import make_code
from stockcheck.core.errors import BadInput
from stockcheck.core.intake import LotFacts
from stockcheck.store.ledger import Stamp
from stockcheck.store.limits import refresh_limits


def lot_row(number: int, facts: LotFacts) -> dict[str, Any]:
    """A new lot as its row; its stock comes with a received movement."""
    return {"lot_id": number, "code": make_code("lot", number), **lot_columns(facts)}


def lot_columns(facts: LotFacts) -> dict[str, Any]:
    """A lot's facts as the store's columns take them."""
    printed = facts.expiry
    return {
        "item_id": facts.item_id,
        "batch": normalize("NFC", facts.batch),
        "expiry_text": printed.text if printed else "",
        "expiry": printed.reading.iso if printed else None,
        "printed_last_day": printed.last_usable_day.isoformat() if printed else None,
        "expiry_assumed": printed.assumed if printed else "",
        "made_text": facts.made_text,
        "made": facts.made.iso if facts.made else None,
        "received_on": facts.received_on.isoformat() if facts.received_on else None,
        "gtin": facts.gtin,
        "supplier_id": facts.supplier_id,
        "cost_cents": facts.cost_cents,
        "note": normalize("NFC", facts.note),
    }


def change_lot(
    conn: sqlite3.Connection, number: int, changes: Mapping[str, Any], stamp: Stamp, reason: str
) -> None:
    """Correct some facts of a lot; what they were stays on record. BadInput if nothing differs."""
    changes = {
        column: normalize("NFC", new) if isinstance(new, str) else new
        for column, new in changes.items()
    }
    names = ", ".join(changes)
    was = conn.execute(f"SELECT {names} FROM lot WHERE lot_id = ?", (number,)).fetchone()
    differ = {
        column: (old, new)
        for (column, new), old in zip(changes.items(), was, strict=True)
        if old != new
    }
    if not differ:
        raise BadInput(f"L{number} says that already; nothing was changed")
    conn.executemany(
        "INSERT INTO lot_change"
        " (lot_id, field, was, became, reason, on_day, recorded_at, after_movement)"
        " SELECT ?, ?, ?, ?, ?, ?, ?, ifnull(max(movement_id), 0) FROM movement",
        [
            (
                number,
                column,
                _text(old),
                _text(new),
                reason,
                stamp.on_day.isoformat(),
                stamp.recorded_at,
            )
            for column, (old, new) in differ.items()
        ],
    )
    sets = ", ".join(f"{column} = ?" for column in differ)
    conn.execute(
        f"UPDATE lot SET {sets} WHERE lot_id = ?", (*(new for _, new in differ.values()), number)
    )
    refresh_limits(conn, [number])


def changes_of(conn: sqlite3.Connection, number: int) -> list[tuple[str, str, str, str, str]]:
    """Corrections of a lot, oldest first: day, field, was, became, reason."""
    rows = conn.execute(
        "SELECT on_day, field, was, became, reason FROM lot_change WHERE lot_id = ?"
        " ORDER BY lot_change_id",
        (number,),
    ).fetchall()
    return [(day, field, was or "", became or "", why) for day, field, was, became, why in rows]


def _text(value: object) -> str | None:
    return None if value is None else str(value)
