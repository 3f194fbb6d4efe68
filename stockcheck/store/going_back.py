"""What going back to a backup would lose, told before it is done."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from stockcheck.store.backups import Difference, differences, movements_since, past_reading
from stockcheck.store.files import FilePath, Store, connect
from stockcheck.store.ledger import Entry, history
from stockcheck.store.tables import DERIVED

_LINES = 5000


@dataclass(frozen=True, slots=True)
class Comparison:
    """Differences by table, without what is derived; the movements since, the last with lines."""

    differences: list[Difference]
    movements: list[int]
    last: list[Entry]


def compare(path: FilePath, backup: Path, most: int) -> Comparison | None:
    """What of the store the backup has not; None for a store that cannot be read any more."""
    if not Path(path).stat().st_size:
        return None
    try:
        conn = connect(path)
        try:
            store = Store(conn, path)
            found = [each for each in differences(store, backup) if each.table not in DERIVED]
            gone = movements_since(store, backup)
            entries = history(conn, last=_LINES) if gone else []
        finally:
            conn.close()
    except sqlite3.DatabaseError as error:
        if past_reading(error):
            return None
        raise
    numbers = set(gone)
    return Comparison(
        found, gone, [each for each in entries if each.movement_id in numbers][-most:]
    )
