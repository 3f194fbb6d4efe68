"""Whether a file is equal to a store: told by SQLite itself, row by row, in bounded memory.

Each table of the one is joined with the same of the other by its row number or its key, and every
column is compared by value, by storage class and byte by byte, whatever the column's own way of
comparing is. What holds no facts of its own (the search index's tables, the schema) counts too.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from stockcheck.store.files import FilePath, uri_of
from stockcheck.store.tables import quoted

_HEADER = ("user_version", "application_id", "encoding")


@dataclass(frozen=True, slots=True)
class Compared:
    """What was compared: the first thing that differs, "" for none; and the rows of each table."""

    differs: str
    rows: dict[str, int]


@contextmanager
def unchanging(conn: sqlite3.Connection) -> Iterator[None]:
    """Whoever wants to write waits; readers go on."""
    conn.execute("BEGIN")
    try:
        conn.execute("SELECT count(*) FROM sqlite_master").fetchone()
        yield
    finally:
        if conn.in_transaction:
            conn.execute("ROLLBACK")
        _let_go(conn)


def compare_with(conn: sqlite3.Connection, other: FilePath) -> Compared:
    """Hold a store against another file, which is only read; call inside ``unchanging()``.

    The store is read by the connection that keeps it from changing, the other file as it is on
    disk. What cannot be read is sqlite3's error.
    """
    conn.execute("ATTACH ? AS other", (uri_of(other, "ro"),))
    for name in _HEADER:
        ours, theirs = (
            conn.execute(f"PRAGMA {side}.{name}").fetchone() for side in ("main", "other")
        )
        if ours != theirs:
            return Compared(name, {})
    tables = [_tables(conn, side) for side in ("main", "other")]
    if tables[0] != tables[1]:
        return Compared("the list of tables", {})
    rows: dict[str, int] = {}
    for name, keyed in tables[0].items():
        count = _same_rows(conn, name, keyed=keyed)
        if count is None:
            return Compared(name, rows)
        rows[name] = count
    return Compared("", rows)


def _let_go(conn: sqlite3.Connection) -> None:
    if any(row[1] == "other" for row in conn.execute("PRAGMA database_list").fetchall()):
        conn.execute("DETACH other")


def _tables(conn: sqlite3.Connection, side: str) -> dict[str, bool]:
    """Everything that has rows in the file, and whether its rows lie by their key."""
    rows = conn.execute(
        "SELECT name, wr FROM pragma_table_list WHERE schema = ? AND type IN ('table', 'shadow')"
        " ORDER BY name",
        (side,),
    ).fetchall()
    return {name: bool(wr) for name, wr in rows}


def _same_rows(conn: sqlite3.Connection, table: str, *, keyed: bool) -> int | None:
    """How many rows both have, None where they are not the same.

    A row has at most one with its key on the other side: when as many of the store's rows as it has
    find their equal, and the other has no more, then the tables are equal.
    """
    columns = conn.execute(
        "SELECT name, type, pk FROM pragma_table_info(?) ORDER BY cid", (table,)
    ).fetchall()
    name = quoted(table)
    by = [quoted(column) for column, _, pk in columns if pk] if keyed else ["rowid"]
    found = " AND ".join(f"theirs.{each} = ours.{each}" for each in by)
    same = " AND ".join([found, *(_same(quoted(column), sort) for column, sort, _ in columns)])
    # by the rows themselves, never by an index, which may be what is damaged
    ours, equal = conn.execute(
        f"SELECT count(*), count(CASE WHEN {same} THEN 1 END) FROM main.{name} AS ours NOT INDEXED"
        f" LEFT JOIN other.{name} AS theirs ON {found}"
    ).fetchone()
    theirs = conn.execute(f"SELECT count(*) FROM other.{name} NOT INDEXED").fetchone()[0]
    return ours if ours == equal == theirs else None


def _same(column: str, sort: str) -> str:
    """A column's values are the same: 1 is neither '1' nor 1.0, and A is not a.

    Only whole numbers and those with decimals are equal to SQLite though they are kept differently;
    a column of texts keeps neither.
    """
    equal = f"ours.{column} COLLATE BINARY IS theirs.{column}"
    if sort.upper() == "TEXT":
        return equal
    return f"{equal} AND typeof(ours.{column}) = typeof(theirs.{column})"
