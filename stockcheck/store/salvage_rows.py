"""Which table a row from a damaged file belongs to, and how its values stand in that table."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stockcheck.store.salvage_pages import INDEX_LEAF, TABLE_LEAF, Pages, Record, Value
from stockcheck.store.tables import Table, quoted, tables

_SEARCH_FROM = 10**9
_PYTHON = {"INTEGER": (int,), "REAL": (int, float), "TEXT": (str,)}


@dataclass(frozen=True, slots=True)
class Shape:
    """How rows of a table lie in the file.

    ``order``: the columns in the order of the file, with the key first where the table has no row
    numbers; ``defaults``: what a column has in rows from before it was added.
    """

    table: Table
    leaf: int
    order: tuple[str, ...]
    defaults: dict[str, Value]

    def row(self, record: Record) -> tuple[Value, ...] | None:
        """The values in the order of the table's columns; None where they do not fit it."""
        if len(record.values) > len(self.order):
            return None
        told = dict(zip(self.order, record.values, strict=False))
        for name in self.order[len(record.values) :]:
            if name not in self.defaults:
                return None
            told[name] = self.defaults[name]
        if self.table.rowid:
            if told[self.table.key[0]] is not None:
                return None
            told[self.table.key[0]] = record.rowid
        for column in self.table.columns:
            value = told[column.name]
            if value is None:
                if not column.empty:
                    return None
            elif not isinstance(value, _PYTHON[column.sort]):
                return None
        return tuple(told[name] for name in self.table.names)


def shapes(conn: sqlite3.Connection) -> list[Shape]:
    """The shapes of every table of a store, read from a store that is whole."""
    return [_shape(conn, table) for table in tables(conn)]


def _shape(conn: sqlite3.Connection, table: Table) -> Shape:
    plain = conn.execute("SELECT wr FROM pragma_table_list WHERE name = ?", (table.name,))
    without = bool(plain.fetchone()[0])
    rest = tuple(name for name in table.names if name not in table.key)
    info = conn.execute(
        'SELECT name, dflt_value, "notnull" FROM pragma_table_info(?)', (table.name,)
    ).fetchall()
    defaults = {
        name: conn.execute(f"SELECT {text or 'NULL'}").fetchone()[0]
        for name, text, need in info
        if text is not None or not need
    }
    order = (*table.key, *rest) if without else table.names
    return Shape(table, INDEX_LEAF if without else TABLE_LEAF, order, defaults)


def indexed(conn: sqlite3.Connection) -> list[tuple[str, ...]]:
    """What the entries of each index look like: the sorts of their values, the row's key last."""
    found = []
    for table in tables(conn):
        sorts = {column.name: column.sort for column in table.columns}
        for row in conn.execute(f"PRAGMA index_list({quoted(table.name)})").fetchall():
            parts = conn.execute(f"PRAGMA index_xinfo({quoted(row[1])})").fetchall()
            if row[3] != "pk":
                entry = ["INTEGER" if p[1] == -1 else sorts.get(p[2], "TEXT") for p in parts]
                found.append(tuple(entry))
    return found


def stray_rows(
    pages: Pages, known: Sequence[Shape], entries: Sequence[tuple[str, ...]]
) -> Iterator[tuple[int, list[Shape], Record]]:
    """Rows on pages that no root led to, with the tables that every row on that page fits."""
    for leaf in (TABLE_LEAF, INDEX_LEAF):
        for number in list(pages.strays(leaf)):
            found = list(pages.records(number))
            pages.seen.add(number)
            fits = [
                shape
                for shape in known
                if shape.leaf == leaf and found and all(shape.row(each) for each in found)
            ]
            if leaf == INDEX_LEAF and any(_is_entry(found, entry) for entry in entries):
                continue  # of an index, as far as anybody can tell: indexes are made anew
            if fits and not (leaf == TABLE_LEAF and _is_search(found)):
                for each in found:
                    yield number, fits, each


def _is_search(found: Sequence[Record]) -> bool:
    """Entries of the search index: numbered past a thousand million, two texts."""
    return all(each.rowid > _SEARCH_FROM and len(each.values) == 3 for each in found)


def _is_entry(found: Sequence[Record], entry: tuple[str, ...]) -> bool:
    return all(
        len(record.values) == len(entry)
        and all(
            value is None or isinstance(value, _PYTHON[sort])
            for value, sort in zip(record.values, entry, strict=True)
        )
        for record in found
    )


def roots(pages: Pages) -> dict[str, int]:
    """The first page of each table, as far as the table of tables can be read."""
    found = {}
    for record in pages.walk(1, TABLE_LEAF, "first"):
        if len(record.values) == 5 and record.values[0] == "table":
            name, root = record.values[1], record.values[3]
            if isinstance(name, str) and isinstance(root, int):
                found[name] = root
    return found
