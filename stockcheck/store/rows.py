"""Rows into tables inside the caller's transaction, many of them by one statement."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any

# Rows that go in by one statement: the search index writes what it gathered at the end of each, and
# a hundred and more take a third of the time of one by one. SQLite takes 32,766 values at most.
_TOGETHER = 500
_VALUES = 32_000


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
    columns, one = ", ".join(rows[0]), f"({', '.join('?' for _ in rows[0])})"
    at_once = min(_TOGETHER, _VALUES // len(rows[0]))
    for first in range(0, len(rows), at_once):
        some = rows[first : first + at_once]
        conn.execute(
            f"INSERT INTO {table} ({columns}) VALUES {', '.join([one] * len(some))}",
            [value for row in some for value in row.values()],
        )
