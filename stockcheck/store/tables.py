"""The tables of a store as it has them: which hold facts, in what order, and what they add up to.

Everything that goes through a whole store (backup, export, check, salvage) reads its tables from
the file itself, so that a new table is covered without a word anywhere.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

# Worked out from the rest and so never read back: what the movements add up to.
DERIVED = frozenset({"holding"})
# Settings that are worked out from the rest.
DERIVED_SETTINGS = frozenset({"heat"})
# Their guards stay on while rows are loaded: a ledger must add up however it came in.
_LEDGER = frozenset({"movement", "movement_line", "holding"})


@dataclass(frozen=True, slots=True)
class Column:
    """A column: ``sort`` is SQLite's (INTEGER, TEXT, REAL); ``empty``: may it be NULL."""

    name: str
    sort: str
    empty: bool


@dataclass(frozen=True, slots=True)
class Table:
    """A table; ``key``: the columns of its primary key; ``parents``: which tables it refers to.

    ``rowid``: the key is one whole number, kept as SQLite's own row number.
    """

    name: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    parents: frozenset[str]
    rowid: bool

    @property
    def names(self) -> tuple[str, ...]:
        """The names of its columns."""
        return tuple(column.name for column in self.columns)

    @property
    def derived(self) -> bool:
        """Whether it is worked out from the rest."""
        return self.name in DERIVED


def tables(conn: sqlite3.Connection) -> list[Table]:
    """Every table that holds rows of its own, those referred to before those that refer.

    What is derived comes last.
    """
    rows = conn.execute(
        "SELECT name, wr FROM pragma_table_list WHERE schema = 'main' AND type = 'table'"
        " AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name"
    ).fetchall()
    found = {name: _table(conn, name, without_rowid=bool(wr)) for name, wr in rows}
    done: dict[str, Table] = {}
    while len(done) < len(found):
        ready = [
            each
            for each in found.values()
            if each.name not in done and each.parents & found.keys() <= done.keys()
        ]
        done.update((each.name, each) for each in ready or found.values())
    return sorted(done.values(), key=lambda table: table.derived)


def _table(conn: sqlite3.Connection, name: str, *, without_rowid: bool) -> Table:
    info = conn.execute(
        'SELECT name, type, "notnull", pk FROM pragma_table_info(?) ORDER BY cid', (name,)
    ).fetchall()
    parents = conn.execute('SELECT DISTINCT "table" FROM pragma_foreign_key_list(?)', (name,))
    key = tuple(each[0] for each in sorted(info, key=lambda each: each[3]) if each[3])
    sorts = {each[0]: each[1].upper() for each in info}
    return Table(
        name,
        tuple(Column(each, sort.upper(), not need and not pk) for each, sort, need, pk in info),
        key,
        frozenset(row[0] for row in parents.fetchall()) - {name},
        not without_rowid and [sorts[each] for each in key] == ["INTEGER"],
    )


def rows_of(conn: sqlite3.Connection, table: Table) -> Iterator[tuple[Any, ...]]:
    """Its rows in the order of its key, one by one; finish before leaving the transaction."""
    order = ", ".join(quoted(each) for each in table.key) or "rowid"
    columns = ", ".join(quoted(each) for each in table.names)
    yield from conn.execute(f"SELECT {columns} FROM {quoted(table.name)} ORDER BY {order}")


@contextmanager
def loading(conn: sqlite3.Connection) -> Iterator[None]:
    """Inside a write: rows go in as they once stood, in whichever order, into an empty store.

    A guard against writing over is in the way there, and one that looks at what stands beside a row
    would see it half loaded: those are taken out and put back word for word. The ledger's own stay,
    and so do those that keep on-hand and the search index. References are looked at on COMMIT.
    """
    guards = conn.execute(
        "SELECT name, tbl_name, sql FROM sqlite_master WHERE type = 'trigger'"
    ).fetchall()
    out = [
        (name, sql)
        for name, table, sql in guards
        if " BEFORE INSERT ON " in sql and table not in _LEDGER
    ]
    for name, _ in out:
        conn.execute(f"DROP TRIGGER {quoted(name)}")
    conn.execute("PRAGMA defer_foreign_keys = ON")
    yield
    for _, sql in out:
        conn.execute(sql)


def putting(table: Table, columns: Sequence[str] | None = None) -> str:
    """The statement that puts one row into a table."""
    names = table.names if columns is None else columns
    marks = ", ".join("?" for _ in names)
    listed = ", ".join(quoted(each) for each in names)
    return f"INSERT INTO {quoted(table.name)} ({listed}) VALUES ({marks})"


def quoted(name: str) -> str:
    """A name as SQL takes it."""
    return '"' + name.replace('"', '""') + '"'
