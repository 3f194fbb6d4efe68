"""Sums over everything in a store, worked out in Python: equal facts, equal sums."""

from __future__ import annotations

import json
import sqlite3
from hashlib import sha256

from stockcheck.store.tables import Table, rows_of, tables


def digests(conn: sqlite3.Connection) -> dict[str, tuple[int, str]]:
    """Of each table how many rows it has and the SHA-256 over them."""
    return {table.name: _digest(conn, table) for table in tables(conn)}


def _digest(conn: sqlite3.Connection, table: Table) -> tuple[int, str]:
    count, sum_, encode = 0, sha256(), json.JSONEncoder(ensure_ascii=True).encode
    for row in rows_of(conn, table):
        count += 1
        sum_.update(encode(row).encode())
    return count, sum_.hexdigest()
