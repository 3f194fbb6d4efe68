"""Rows into tables inside the caller's transaction: few by plain SQL, many through sqlite-utils."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any

# sqlite-utils writes a hundred rows a statement, which takes two thirds of the time of one by one
# where triggers fill the search index; but importing it takes as long as a whole small command.
MANY = 500


def next_number(conn: sqlite3.Connection, table: str) -> int:
    """The number of the next row of a table whose key is called after it."""
    row = conn.execute(f"SELECT ifnull(max({table}_id), 0) + 1 FROM {table}").fetchone()
    return int(row[0])


def insert(conn: sqlite3.Connection, table: str, rows: Sequence[dict[str, Any]]) -> None:
    """Put rows into a table; each has the same columns in the same order.

    Call inside ``writing()``: outside of a transaction sqlite-utils commits batch by batch.
    """
    if not rows:
        return
    if len(rows) > MANY:
        _insert_many(conn, table, rows)
        return
    columns, marks = ", ".join(rows[0]), ", ".join("?" for _ in rows[0])
    conn.executemany(
        f"INSERT INTO {table} ({columns}) VALUES ({marks})", [tuple(row.values()) for row in rows]
    )


def _insert_many(conn: sqlite3.Connection, table: str, rows: Sequence[dict[str, Any]]) -> None:
    from sqlite_utils import Database

    if not conn.in_transaction:
        raise RuntimeError("rows are written inside Store.writing() only")
    db = Database(conn, recursive_triggers=False, execute_plugins=False)
    db.table(table).insert_all(rows)
