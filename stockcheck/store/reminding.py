"""What calendars were told, kept with the store's settings until its day is past."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping
from datetime import date

from stockcheck.core.reminded import Told
from stockcheck.core.reminders import Sort
from stockcheck.store.files import Store

_KEY = "reminders"


def told_before(store: Store) -> dict[str, Told]:
    """Each reminder as it was handed over last, by its key; what cannot be read counts as none."""
    row = store.conn.execute("SELECT value FROM setting WHERE key = ?", (_KEY,)).fetchone()
    try:
        return {key: _told(values) for key, values in json.loads(row[0]).items()} if row else {}
    except (ValueError, TypeError, AttributeError, KeyError):
        return {}  # another tool wrote it; at worst a reminder is not called off


def _told(values: list[str]) -> Told:
    sort, thing, day, title, checksum, on, revision = values
    return Told(
        Sort(sort), thing, date.fromisoformat(day), title, checksum, date.fromisoformat(on),
        int(revision),
    )  # fmt: skip


def keep_told(store: Store, told: Mapping[str, Told]) -> None:
    """Remember these in place of what was remembered; not where the store cannot be written."""
    if told == told_before(store):
        return
    rows = {
        key: [it.sort.value, it.thing, it.day.isoformat(), it.title, it.checksum,
              it.on.isoformat(), str(it.revision)]
        for key, it in told.items()
    }  # fmt: skip
    text = json.dumps(rows, ensure_ascii=False, separators=(",", ":"))
    try:
        with store.writing() as conn:
            conn.execute(
                "INSERT INTO setting (key, value) VALUES (?, ?)"
                " ON CONFLICT (key) DO UPDATE SET value = excluded.value",
                (_KEY, text),
            )
    except sqlite3.OperationalError as error:
        if not error.sqlite_errorname.startswith("SQLITE_READONLY"):
            raise
