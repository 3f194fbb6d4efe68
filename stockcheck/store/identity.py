"""What tells this store from every other, for what leaves it and comes back to the same place."""

from __future__ import annotations

import sqlite3
from uuid import NAMESPACE_OID, uuid4, uuid5

from stockcheck.store.files import Store


def identity(store: Store) -> str:
    """The store's identity: a random UUID, kept from the first time that it is asked for.

    It goes along into copies, backups and exports. Where the store cannot be written and has none,
    one is derived from its name and its first movement: the same as long as these are.
    """
    kept = _kept(store.conn)
    if kept:
        return kept
    try:
        with store.writing() as conn:
            kept = _kept(conn)  # another process may have made it while this one waited
            if not kept:
                kept = str(uuid4())
                conn.execute("INSERT INTO setting (key, value) VALUES ('identity', ?)", (kept,))
            return kept
    except sqlite3.OperationalError as error:
        if not error.sqlite_errorname.startswith("SQLITE_READONLY"):
            raise
        return _derived(store)


def _kept(conn: sqlite3.Connection) -> str:
    row = conn.execute("SELECT value FROM setting WHERE key = 'identity'").fetchone()
    return str(row[0]) if row else ""


def _derived(store: Store) -> str:
    row = store.conn.execute(
        "SELECT recorded_at FROM movement ORDER BY movement_id LIMIT 1"
    ).fetchone()
    return str(uuid5(NAMESPACE_OID, f"{store.name}\n{row[0] if row else ''}"))
