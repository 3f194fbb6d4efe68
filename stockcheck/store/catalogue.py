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
from stockcheck.core.model import Importance
from stockcheck.core.names import name_key, tidy_name
from stockcheck.core.words import listed
from stockcheck.store.limits import lots_of_item, note_heat, refresh_limits
from stockcheck.store.names import name_of
from stockcheck.store.rows import insert, next_number

_RULES = {
    "box": "it cannot be inside itself",
    "item": "one of its figures is out of range",
    "supplier": "one of its figures is out of range",
    "offer": "one of its figures is out of range",
    "par": "it is for an item or for a kind, one of both",
    "trip": "it returns on or after the day it departs",
}
_NAMED = {"box", "item", "supplier", "trip"}
_CODED = {"box", "item"}


def add(conn: sqlite3.Connection, what: str, values: Mapping[str, Any]) -> int:
    """A new row of a box, item, supplier, offer, par or trip; returns its number."""
    row = _ready(what, values)
    number = next_number(conn, what)
    row[f"{what}_id"] = number
    if what in _CODED:
        row["code"] = make_code(what, number)
    try:
        insert(conn, what, [row])
    except sqlite3.IntegrityError as error:
        raise _refused(conn, error, what, row) from error
    if what == "box" and row.get("climate"):
        note_heat(conn)
    return number


def change(conn: sqlite3.Connection, what: str, number: int, values: Mapping[str, Any]) -> int:
    """Change some fields of a row, and the limits that depend on them; returns how many moved."""
    row = _ready(what, values)
    if not row:
        raise BadInput(f"nothing to change: name at least one field of the {what}")
    if what == "item" and "unit" in row:
        _refuse_new_unit(conn, number, str(row["unit"]))
    if what == "item" and "pack" in row:
        _repack(conn, number, int(row["pack"]))
    sets = ", ".join(f"{column} = ?" for column in row)
    try:
        conn.execute(f"UPDATE {what} SET {sets} WHERE {what}_id = ?", (*row.values(), number))
    except sqlite3.IntegrityError as error:
        raise _refused(conn, error, what, row) from error
    if what == "item":
        return refresh_limits(conn, lots_of_item(conn, number))
    if what == "box" and {"climate", "parent_id"} & row.keys():
        note_heat(conn)
        return refresh_limits(conn)
    return 0


def retire(conn: sqlite3.Connection, what: str, number: int, on: date) -> None:
    """Take a row out of use from a day on. BadInput while a box or item still holds stock."""
    if what in _CODED:
        held = conn.execute(
            "SELECT count(*) FROM holding JOIN lot USING (lot_id)"
            f" WHERE {what}_id = ? AND quantity > 0",
            (number,),
        ).fetchone()[0]
        if held:
            what_of_it = (
                "a holding; move it or write it off"
                if held == 1
                else (f"{held} holdings; move them or write them off")
            )
            raise BadInput(f"{_name(conn, what, number)} still has {what_of_it} first")
    if what == "box":
        _refuse_boxes_inside(conn, number)
    row = conn.execute(f"SELECT retired_on FROM {what} WHERE {what}_id = ?", (number,)).fetchone()
    if row[0] is not None:
        raise BadInput(f"{_name(conn, what, number)} is out of use since {row[0]} already")
    conn.execute(f"UPDATE {what} SET retired_on = ? WHERE {what}_id = ?", (on.isoformat(), number))


def take_back(conn: sqlite3.Connection, what: str, number: int) -> None:
    """Take a retired row back into use. BadInput when it is in use, or another took its place."""
    row = conn.execute(f"SELECT retired_on FROM {what} WHERE {what}_id = ?", (number,)).fetchone()
    if row[0] is None:
        raise BadInput(f"{_name(conn, what, number)} is in use; there is nothing to take back")
    try:
        conn.execute(f"UPDATE {what} SET retired_on = NULL WHERE {what}_id = ?", (number,))
    except sqlite3.IntegrityError as error:
        raise _refused(conn, error, what, {}) from error


def _refuse_boxes_inside(conn: sqlite3.Connection, number: int) -> None:
    inside = conn.execute(
        "SELECT name FROM box WHERE parent_id = ? AND retired_on IS NULL ORDER BY name_key",
        (number,),
    ).fetchall()
    if inside:
        names = listed([repr(row[0]) for row in inside])
        raise BadInput(
            f"{_name(conn, 'box', number)} still has {names} inside;"
            f" retire {'it or put it' if len(inside) == 1 else 'them or put them'} elsewhere first"
        )


def own_importance(conn: sqlite3.Connection, item_id: int | None) -> str:
    """How important an item is, which its par levels take over; essential for a kind as a whole."""
    row = conn.execute("SELECT importance FROM item WHERE item_id = ?", (item_id,)).fetchone()
    return str(row[0]) if row else Importance.ESSENTIAL.value


def par_item(conn: sqlite3.Connection, number: int) -> int | None:
    """The item that a par level is for; None where it is for a kind."""
    row = conn.execute("SELECT item_id FROM par WHERE par_id = ?", (number,)).fetchone()
    return int(row[0]) if row and row[0] is not None else None


def _refuse_new_unit(conn: sqlite3.Connection, number: int, unit: str) -> None:
    """What is counted in tablets does not become so many millilitres."""
    was = conn.execute("SELECT unit FROM item WHERE item_id = ?", (number,)).fetchone()[0]
    if was != unit and lots_of_item(conn, number):
        raise BadInput(f"its stock was counted in {was}; make a new item counted in {unit}")


def _repack(conn: sqlite3.Connection, number: int, pack: int) -> None:
    """The maker's codes that stand on the usual pack stand on the new one."""
    conn.execute(
        "UPDATE item_gtin SET quantity = ?2 WHERE item_id = ?1"
        " AND quantity = (SELECT pack FROM item WHERE item_id = ?1)",
        (number, pack),
    )


def _name(conn: sqlite3.Connection, what: str, number: int) -> str:
    if what in _NAMED:
        return f"{what} {name_of(conn, what, number)!r}"
    return f"that {what}"


def drop_gtins(conn: sqlite3.Connection, item_id: int) -> None:
    """Forget the maker's codes of an item; its lots keep theirs."""
    conn.execute("DELETE FROM item_gtin WHERE item_id = ?", (item_id,))


def add_gtins(
    conn: sqlite3.Connection, item_id: int, gtins: Iterable[tuple[str, int | None]]
) -> None:
    """Maker's codes of an item, as fourteen digits, with the units that such a pack holds.

    None is as many as the item's usual pack: a maker's code stands on the pack.
    """
    for gtin, quantity in gtins:
        taken = conn.execute(
            "SELECT item.name, item_id FROM item_gtin JOIN item USING (item_id) WHERE gtin = ?",
            (gtin,),
        ).fetchone()
        if taken and taken[1] != item_id:
            raise BadInput(f"GTIN {gtin} is the code of {taken[0]!r} already")
        conn.execute(
            "INSERT INTO item_gtin (gtin, item_id, quantity)"
            " SELECT ?, item_id, ifnull(?, pack) FROM item WHERE item_id = ?"
            " ON CONFLICT (gtin) DO UPDATE SET quantity = excluded.quantity",
            (gtin, quantity, item_id),
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


def _refused(
    conn: sqlite3.Connection, error: sqlite3.IntegrityError, what: str, row: Mapping[str, Any]
) -> Exception:
    """A refusal of the store's rules in the person's words, told by SQLite's code."""
    match error.sqlite_errorname:
        case "SQLITE_CONSTRAINT_UNIQUE":
            return BadInput(_taken(conn, what, row))
        case "SQLITE_CONSTRAINT_CHECK" | "SQLITE_CONSTRAINT_TRIGGER":
            return BadInput(f"the {what} does not fit: {_RULES[what]}")
    return error


def _taken(conn: sqlite3.Connection, what: str, row: Mapping[str, Any]) -> str:
    a = "an" if what[0] in "aeiou" else "a"
    if "name" not in row:
        return f"there is {a} {what} for that already; change that one"
    there, gone = conn.execute(
        f"SELECT name, retired_on FROM {what} WHERE name_key = ?", (row["name_key"],)
    ).fetchone()
    said = f"there is {a} {what} {there!r} already"
    if gone is not None:
        return f'{said}, out of use since {gone}. Take it back: {what} retire "{there}" --undo'
    return f"{said}; change that one, or choose another name"
