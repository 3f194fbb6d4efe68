"""The rows that were read of a damaged store, on disk until all are: by table and key."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress

from stockcheck.store.files import scratch
from stockcheck.store.salvage_pages import Value
from stockcheck.store.tables import Table, putting, quoted

Row = tuple[Value, ...]


class Found:
    """Rows by table, one for each key; in a file of SQLite's own, so that no store is too large."""

    def __init__(self, tables: Sequence[Table]) -> None:
        """Room for the rows of these tables."""
        self.conn = scratch()
        self.conn.execute("PRAGMA journal_mode = OFF")
        self.conn.execute("BEGIN")
        self._put = {}
        for table in tables:
            columns = ", ".join(map(quoted, table.names))  # without sorts: kept as they are
            key = ", ".join(map(quoted, table.key))
            self.conn.execute(f"CREATE TABLE {quoted(table.name)} ({columns}, PRIMARY KEY ({key}))")
            self._put[table.name] = putting(table)

    def close(self) -> None:
        """Let go of it all."""
        self.conn.close()

    def take(self, table: Table, row: Row) -> None:
        """Keep a row; of two with one key the first."""
        with suppress(sqlite3.IntegrityError):
            self.conn.execute(self._put[table.name], row)

    def count(self, table: Table) -> int:
        """How many rows of a table there are."""
        found = self.conn.execute(f"SELECT count(*) FROM {quoted(table.name)}").fetchone()
        return int(found[0])

    def rows(self, table: Table) -> Iterator[Row]:
        """A table's rows in the order of their keys."""
        order = ", ".join(map(quoted, table.key))
        yield from self.conn.execute(f"SELECT * FROM {quoted(table.name)} ORDER BY {order}")

    def numbers(self, table: Table, column: str) -> set[int]:
        """The whole numbers in a column."""
        name = quoted(column)
        rows = self.conn.execute(
            f"SELECT DISTINCT {name} FROM {quoted(table.name)} WHERE typeof({name}) = 'integer'"
        )
        return {row[0] for row in rows}

    def put(self, table: Table, values: Mapping[str, Value]) -> None:
        """Keep a row told by column, NULL where nothing is told."""
        self.take(table, tuple(values.get(name) for name in table.names))
