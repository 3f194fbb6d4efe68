"""Rows into tables inside the caller's transaction: some by one statement, many by sqlite-utils."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any

# Rows that go in by one statement: the search index writes what it gathered at the end of each, and
# a hundred take a third of the time of one by one. Importing sqlite-utils, which batches them too,
# takes as long as a whole small command; SQLite takes 32,766 values at most.
MANY = 500


def next_number(conn: sqlite3.Connection, table: str) -> int:
    """The number of the next row of a table whose key is called after it."""
    row = conn.execute(f"SELECT ifnull(max({table}_id), 0) + 1 FROM {table}").fetchone()
    return int(row[0])


def insert(conn: sqlite3.Connection, table: str, rows: Sequence[dict[str, Any]]) -> None:
    """Put rows into a table; each has the same columns in the same order.

    Call inside ``writing()``: outside of it each statement would be durable by itself.
    """
    if not rows:
        return
    if not conn.in_transaction:
        raise RuntimeError("rows are written inside Store.writing() only")
    if len(rows) > MANY:
        _insert_many(conn, table, rows)
        return
    columns, one = ", ".join(rows[0]), f"({', '.join('?' for _ in rows[0])})"
    conn.execute(
        f"INSERT INTO {table} ({columns}) VALUES {', '.join([one] * len(rows))}",
        [value for row in rows for value in row.values()],
    )


def _insert_many(conn: sqlite3.Connection, table: str, rows: Sequence[dict[str, Any]]) -> None:
    from sqlite_utils import Database

    db = Database(conn, recursive_triggers=False, execute_plugins=False)
    db.table(table).insert_all(rows, batch_size=MANY)
