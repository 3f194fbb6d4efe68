"""Boxes, items, suppliers, offers, par levels and trips: adding, changing, retiring.

Nothing that the ledger mentions is deleted; it is retired on a day and stays readable.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from stockcheck.core.codes import make_code
from stockcheck.core.errors import BadInput
from stockcheck.core.names import name_key, tidy_name
from stockcheck.store.limits import lots_of_item, refresh_limits

_NAMED = {"box", "item", "supplier", "trip"}
_CODED = {"box", "item"}


def add(conn: sqlite3.Connection, what: str, values: Mapping[str, Any]) -> int:
    """A new row of a box, item, supplier, offer, par or trip; returns its number."""
    row = _ready(what, values)
    number = int(conn.execute(f"SELECT ifnull(max({what}_id), 0) + 1 FROM {what}").fetchone()[0])
    row[f"{what}_id"] = number
    if what in _CODED:
        row["code"] = make_code(what, number)
    columns = ", ".join(row)
    marks = ", ".join("?" for _ in row)
    try:
        conn.execute(f"INSERT INTO {what} ({columns}) VALUES ({marks})", tuple(row.values()))
    except sqlite3.IntegrityError as error:
        raise _refused(error, what, values) from error
    return number


def change(conn: sqlite3.Connection, what: str, number: int, values: Mapping[str, Any]) -> None:
    """Change some fields of a row, and the limits that depend on them."""
    row = _ready(what, values)
    if not row:
        raise BadInput(f"nothing to change: name at least one field of the {what}")
    if what == "box" and row.get("parent_id") is not None:
        _no_circle(conn, number, int(row["parent_id"]))
    sets = ", ".join(f"{column} = ?" for column in row)
    try:
        conn.execute(f"UPDATE {what} SET {sets} WHERE {what}_id = ?", (*row.values(), number))
    except sqlite3.IntegrityError as error:
        raise _refused(error, what, values) from error
    if what == "item":
        refresh_limits(conn, lots_of_item(conn, number))


def retire(conn: sqlite3.Connection, what: str, number: int, on: date) -> None:
    """Take a row out of use from a day on. BadInput while a box or item still holds stock."""
    if what in {"box", "item"}:
        column = "box_id" if what == "box" else "item_id"
        row = conn.execute(
            "SELECT count(*), ifnull(sum(quantity), 0) FROM holding JOIN lot USING (lot_id)"
            f" WHERE {column} = ? AND quantity > 0",
            (number,),
        ).fetchone()
        if row[0]:
            raise BadInput(
                f"{what} {number} still has {row[0]} holdings; move them or write them off first"
            )
    if (
        what == "box"
        and conn.execute(
            "SELECT 1 FROM box WHERE parent_id = ? AND retired_on IS NULL", (number,)
        ).fetchone()
    ):
        raise BadInput("there are boxes inside it; retire them or put them elsewhere first")
    conn.execute(f"UPDATE {what} SET retired_on = ? WHERE {what}_id = ?", (on.isoformat(), number))


def add_gtins(conn: sqlite3.Connection, item_id: int, gtins: Iterable[tuple[str, int]]) -> None:
    """Maker's codes of an item, as fourteen digits, with the units that such a pack holds."""
    for gtin, quantity in gtins:
        taken = conn.execute(
            "SELECT item.name, item_id FROM item_gtin JOIN item USING (item_id) WHERE gtin = ?",
            (gtin,),
        ).fetchone()
        if taken and taken[1] != item_id:
            raise BadInput(f"GTIN {gtin} is the code of {taken[0]!r} already")
        conn.execute(
            "INSERT INTO item_gtin (gtin, item_id, quantity) VALUES (?, ?, ?)"
            " ON CONFLICT (gtin) DO UPDATE SET quantity = excluded.quantity",
            (gtin, item_id, quantity),
        )


def _ready(what: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """Values as the columns take them: tidy names with their key, days as text."""
    row = {
        column: value.isoformat() if isinstance(value, date) else value
        for column, value in values.items()
    }
    if what in _NAMED and "name" in row:
        row["name"] = tidy_name(str(row["name"]), what)
        row["name_key"] = name_key(row["name"])
    return row


def _no_circle(conn: sqlite3.Connection, number: int, parent: int) -> None:
    at: int | None = parent
    while at is not None:
        if at == number:
            raise BadInput("a box cannot be inside itself; choose another box for it to be in")
        row = conn.execute("SELECT parent_id FROM box WHERE box_id = ?", (at,)).fetchone()
        at = row[0] if row else None


def _refused(error: sqlite3.IntegrityError, what: str, values: Mapping[str, Any]) -> Exception:
    """A refusal of the store's rules in the person's words, told by SQLite's code."""
    if error.sqlite_errorname == "SQLITE_CONSTRAINT_UNIQUE":
        named = f" {values['name']!r}" if "name" in values else " for that"
        return BadInput(f"there is a {what}{named} already; change that one, or choose other words")
    if error.sqlite_errorname == "SQLITE_CONSTRAINT_CHECK":
        return BadInput(f"the {what} does not fit: {_rule(what, values)}")
    return error


def _rule(what: str, values: Mapping[str, Any]) -> str:
    if what == "trip":
        return "it must return on or after the day it departs, with at least one person"
    shown = ", ".join(f"{key} {value}" for key, value in values.items() if value is not None)
    return f"one of its figures is out of range ({shown})"
