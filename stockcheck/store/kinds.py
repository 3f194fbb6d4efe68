"""Kinds in a store: the shipped catalogue, the user's changes to it, and the user's own kinds.

Each row keeps the whole rule as it applies now, so that a look-up need not read the catalogue's
files, and the user's changes apart, so that a new catalogue never loses them.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Mapping
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache
from typing import Any

from stockcheck.core.errors import BadInput
from stockcheck.core.model import Kind
from stockcheck.core.names import name_key
from stockcheck.data.kind_table import kind_table
from stockcheck.data.kinds import CATALOGUE_EDITION, CHANGED, OWN, SHIPPED, kind_from_table
from stockcheck.store.limits import lots_of_kind, refresh_limits


def refresh_kinds(conn: sqlite3.Connection) -> bool:
    """Bring the store's kinds up to the shipped catalogue; True when it was of another edition.

    New kinds are added, changed figures taken over, the user's own changes laid over them again.
    A change that the new catalogue no longer allows (its kind's date became a safety date) falls
    away, and a kind of the user's own keeps a key that the catalogue takes up later.
    """
    row = conn.execute("SELECT value FROM setting WHERE key = 'catalogue'").fetchone()
    if row is not None and row[0] == CATALOGUE_EDITION:
        return False
    from stockcheck.data.kinds import shipped_kinds

    rows = conn.execute("SELECT key, origin, changes FROM kind").fetchall()
    known = {key: (origin, changes) for key, origin, changes in rows}
    for key, kind in shipped_kinds().items():
        origin, changes = known.get(key, (SHIPPED, "{}"))
        if origin == SHIPPED:
            _keep(conn, *_laid_over(kind, json.loads(changes)))
    conn.execute(
        "INSERT INTO setting (key, value) VALUES ('catalogue', ?)"
        " ON CONFLICT (key) DO UPDATE SET value = excluded.value",
        (CATALOGUE_EDITION,),
    )
    return True


def _laid_over(kind: Kind, changes: Mapping[str, Any]) -> tuple[Kind, str, dict[str, Any]]:
    """A shipped kind with those of the user's changes that it allows."""
    from stockcheck.data.kinds import with_changes

    try:
        return with_changes(kind, changes) if changes else kind, SHIPPED, dict(changes)
    except BadInput:
        pass
    kept: dict[str, Any] = {}
    for field, value in changes.items():
        with suppress(BadInput):
            with_changes(kind, {**kept, field: value})
            kept[field] = value
    return with_changes(kind, kept) if kept else kind, SHIPPED, kept


def _keep(conn: sqlite3.Connection, kind: Kind, origin: str, changes: Mapping[str, Any]) -> None:
    conn.execute(
        "INSERT INTO kind (key, name, words, origin, changes, rule) VALUES (?, ?, ?, ?, ?, ?)"
        " ON CONFLICT (key) DO UPDATE SET name = excluded.name, words = excluded.words,"
        " changes = excluded.changes, rule = excluded.rule",
        (
            kind.key,
            kind.name,
            " ".join((kind.group, *kind.also)),
            origin,
            json.dumps(changes),
            json.dumps(kind_table(kind), ensure_ascii=False),
        ),
    )


def add_kind(conn: sqlite3.Connection, table: Mapping[str, Any]) -> Kind:
    """A kind of the user's own. BadInput when its key or name is taken or its rule is wrong."""
    kind = kind_from_table(table, f"kind {table.get('key', '')}", OWN)
    if conn.execute("SELECT 1 FROM kind WHERE key = ?", (kind.key,)).fetchone():
        raise BadInput(f"there is a kind {kind.key!r} already; use 'kind change {kind.key}'")
    _refuse_same_name(conn, kind)
    _keep(conn, kind, OWN, {})
    return kind


def change_kind(conn: sqlite3.Connection, key: str, changes: Mapping[str, Any]) -> int:
    """Lay the user's figures over a kind; returns how many holdings' limits moved.

    For a shipped kind they are kept apart.
    """
    from stockcheck.data.kinds import shipped_kind, with_changes

    row = conn.execute("SELECT origin, changes FROM kind WHERE key = ?", (key,)).fetchone()
    shipped = shipped_kind(key) if row[0] == SHIPPED else None
    if shipped is None:
        kind, merged = with_changes(kinds_by_key(conn)[key], changes), {}
    else:
        merged = {**json.loads(row[1]), **changes}
        kind = with_changes(shipped, merged)
    if "name" in changes:
        _refuse_same_name(conn, kind)
    _keep(conn, kind, str(row[0]), merged)
    return refresh_limits(conn, lots_of_kind(conn, key))


def _refuse_same_name(conn: sqlite3.Connection, kind: Kind) -> None:
    """Kinds are found by their names too, so two of one name would be one too many."""
    wanted = {name_key(kind.name), kind.key}
    for key, name in conn.execute("SELECT key, name FROM kind").fetchall():
        if key != kind.key and wanted & {key, name_key(name)}:
            raise BadInput(f"{kind.name!r} is the name of kind {key!r} already; choose another")


def kind_changes(conn: sqlite3.Connection, key: str) -> dict[str, Any]:
    """What the person laid over a shipped kind."""
    row = conn.execute("SELECT changes FROM kind WHERE key = ?", (key,)).fetchone()
    return dict(json.loads(row[0]))


def unchange_kind(conn: sqlite3.Connection, key: str) -> int:
    """Go back to the shipped figures of a kind; returns how many holdings' limits moved."""
    from stockcheck.data.kinds import shipped_kind

    shipped = shipped_kind(key)
    if shipped is None:
        raise BadInput(f"kind {key!r} is your own; there is no shipped one to go back to")
    _keep(conn, shipped, SHIPPED, {})
    return refresh_limits(conn, lots_of_kind(conn, key))


def kinds_by_id(conn: sqlite3.Connection, ids: Collection[int]) -> dict[int, Kind]:
    """The kinds with these row numbers."""
    rows = conn.execute(
        "SELECT kind_id, key, origin, changes, rule FROM kind"
        " WHERE kind_id IN (SELECT value FROM json_each(?))",
        (json.dumps(sorted(ids)),),
    ).fetchall()
    return {row[0]: _kind(*row[1:]) for row in rows}


def kinds_by_key(conn: sqlite3.Connection, *, retired: bool = True) -> dict[str, Kind]:
    """Every kind by its key, in order of name."""
    rows = conn.execute(
        "SELECT key, origin, changes, rule FROM kind WHERE ? OR retired_on IS NULL"
        " ORDER BY name COLLATE NOCASE",
        (retired,),
    ).fetchall()
    return {row[0]: _kind(*row) for row in rows}


@lru_cache(maxsize=1024)
def _kind(key: str, origin: str, changes: str, rule: str) -> Kind:
    """A kind from its row; its rule was checked when it was kept, so not again.

    Remembered by its texts: a session reads the same few kinds with each scan.
    """
    kind = kind_from_table(json.loads(rule), f"kind {key}")
    if origin == SHIPPED and changes == "{}":
        return kind
    return replace(kind, origin=CHANGED if origin == SHIPPED else OWN)
