"""Texts that the store keeps whole and later reads: rules of kinds and climates, partial dates.

SQLite sees only that they are texts; a row in which one cannot be read would stop every command.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from stockcheck.core.calendar import PartialDate
from stockcheck.core.codes import TYPES, make_code
from stockcheck.core.errors import StockcheckError
from stockcheck.core.store_findings import Finding, Part
from stockcheck.store.tables import quoted

_UNREADABLE = (StockcheckError, ValueError, TypeError, KeyError, AttributeError, OverflowError)


def _kind(row: Mapping[str, Any]) -> None:
    from stockcheck.data.kinds import kind_from_table

    kind_from_table(json.loads(row["rule"]), f"kind {row['key']}")
    dict(json.loads(row["changes"]))


def _climate(row: Mapping[str, Any]) -> None:
    from stockcheck.data.climates import climate_from_table

    climate_from_table(json.loads(row["rule"]), f"climate {row['key']}")


def _lot(row: Mapping[str, Any]) -> None:
    for name in ("expiry", "made"):
        if row[name] is not None:
            PartialDate(row[name])


def _own_list(row: Mapping[str, Any]) -> None:
    dict(json.loads(row["body"]))


_READ: dict[str, Callable[[Mapping[str, Any]], None]] = {
    "kind": _kind,
    "climate": _climate,
    "lot": _lot,
    "own_kit_list": _own_list,
}


def why_not(table: str, row: Mapping[str, Any]) -> str:
    """Why a row cannot be read, "" where it can; a code that belongs to another number too."""
    if table in TYPES and row["code"] != _code(table, row[f"{table}_id"]):
        return "its code is not that of its number"
    try:
        if table in _READ:
            _READ[table](row)
    except _UNREADABLE as error:
        return f"what it keeps cannot be read: {error}"
    return ""


def _code(table: str, number: int) -> str:
    return make_code(table, number) if 0 < number < 10**8 else ""


def unreadable(conn: sqlite3.Connection) -> Iterator[Finding]:
    """The rows of a store that cannot be read; their codes are told elsewhere."""
    for table, read in _READ.items():
        rows = conn.execute(f"SELECT * FROM {quoted(table)}")
        names = [column[0] for column in rows.description]
        for row in rows.fetchall():
            try:
                read(dict(zip(names, row, strict=True)))
            except _UNREADABLE as error:
                what = f"what it keeps cannot be read: {error}"
                remedy = "go back to a backup: stockcheck restore FILE"
                yield Finding(Part.RECORDS, f"{table} {row[0]}", what, remedy)
