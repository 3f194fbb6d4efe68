"""From what a person types or scans to the thing meant: names, short forms, codes, GTINs."""

from __future__ import annotations

import json
import sqlite3
from unicodedata import normalize

from stockcheck.core.codes import (
    full_form,
    looks_like_code,
    near_codes,
    near_gtins,
    read_code,
    read_gtin,
)
from stockcheck.core.errors import UnknownName
from stockcheck.core.names import name_key, nearest, nearest_of
from stockcheck.core.recognising import Near
from stockcheck.core.words import listed

_TABLES = {"box": "box", "item": "item", "lot": "lot", "supplier": "supplier", "trip": "trip"}
_CODED = {"box", "item", "lot"}


def find_id(conn: sqlite3.Connection, what: str, text: str) -> int:
    """The id of the box, item, lot, supplier or trip meant. UnknownName tells the nearest."""
    found = _by_code(conn, what, text)
    if found is None and what != "lot":
        row = conn.execute(
            f"SELECT {what}_id FROM {_TABLES[what]} WHERE name_key = ?", (name_key(text),)
        ).fetchone()
        found = row[0] if row else None
    if found is None and what == "item" and (gtin := read_gtin(text)):
        row = conn.execute("SELECT item_id FROM item_gtin WHERE gtin = ?", (gtin,)).fetchone()
        found = row[0] if row else None
    if found is None:
        raise UnknownName(f"there is no {what} {text!r}{_nearest(conn, what, text)}")
    return int(found)


def _by_code(conn: sqlite3.Connection, what: str, text: str) -> int | None:
    if what not in _CODED:
        return None
    code = read_code(text)
    if code is None:
        if looks_like_code(text):
            said = f"{text} is not one of our codes: its check digit is wrong"
            raise UnknownName(said + _meant(conn, what, text))
        return None
    if code[0] != what:
        if code[0] in _CODED:
            raise UnknownName(f"{text} is the code of a {code[0]}; a {what} is wanted here")
        return None
    row = conn.execute(
        f"SELECT {what}_id FROM {_TABLES[what]} WHERE {what}_id = ?", (code[1],)
    ).fetchone()
    return int(row[0]) if row else None


def _nearest(conn: sqlite3.Connection, what: str, text: str) -> str:
    if what in _CODED and (meant := _meant(conn, what, text)):
        return meant
    if what == "lot":
        return "; 'find' looks for it by name, batch or note"
    rows = conn.execute(f"SELECT name FROM {_TABLES[what]}").fetchall()
    return nearest(text, (row[0] for row in rows), f"'{what} list' shows them all")


def _meant(conn: sqlite3.Connection, what: str, text: str) -> str:
    """The end of a message: the codes that exist and are a slip away; "" without any."""
    near = [each.words for each in near_in_store(conn, text) if each.what == what]
    return f"; did you mean {listed(near, 'or')}?" if near else ""


def near_in_store(
    conn: sqlite3.Connection, text: str, *, exactly: bool = False, most: int = 3
) -> tuple[Near, ...]:
    """The lots, boxes, items and actions whose code a slip made into this text; at most so many.

    ``exactly`` takes the text itself for a code, and gives the one thing that it names.
    """
    codes = [full_form(text)] if exactly else near_codes(text)
    if not codes:
        return ()
    found = {each.code: each for each in _coded(conn, codes)}
    found |= {code: Near("action", code, action) for code, action in _actions(codes)}
    return tuple(found[code] for code in codes if code in found)[:most]


def _coded(conn: sqlite3.Connection, codes: list[str]) -> list[Near]:
    wanted = json.dumps(codes)
    rows = conn.execute(
        "SELECT 'lot', lot.code, item.name, 'L' || lot_id FROM lot JOIN item USING (item_id)"
        " WHERE lot.code IN (SELECT value FROM json_each(?1))"
        " UNION ALL SELECT 'box', code, name, 'B' || box_id FROM box"
        " WHERE code IN (SELECT value FROM json_each(?1))"
        " UNION ALL SELECT 'item', code, name, 'I' || item_id FROM item"
        " WHERE code IN (SELECT value FROM json_each(?1))",
        (wanted,),
    ).fetchall()
    return [Near(*row) for row in rows]


def _actions(codes: list[str]) -> list[tuple[str, str]]:
    from stockcheck.core.actions import read_action

    found = [(code, read_action(code)) for code in codes]
    return [(code, action.value) for code, action in found if action is not None]


def near_gtins_in_store(conn: sqlite3.Connection, text: str) -> tuple[Near, ...]:
    """The items that have a GTIN which a slip made into this text, at most three."""
    codes = near_gtins(text)
    rows = conn.execute(
        "SELECT 'item', gtin, name, 'I' || item_id FROM item_gtin JOIN item USING (item_id)"
        " WHERE gtin IN (SELECT value FROM json_each(?))",
        (json.dumps(codes),),
    ).fetchall()
    found = {row[1]: Near(*row) for row in rows}
    return tuple(found[code] for code in codes if code in found)[:3]


def nearest_names(conn: sqlite3.Connection, text: str) -> tuple[Near, ...]:
    """The boxes, items and actions whose names are nearest to a text, at most three."""
    from stockcheck.core.actions import Action

    rows = conn.execute(
        "SELECT 'box', code, name, 'B' || box_id FROM box WHERE retired_on IS NULL UNION ALL"
        " SELECT 'item', code, name, 'I' || item_id FROM item WHERE retired_on IS NULL"
    ).fetchall()
    known = {row[2]: Near(*row) for row in reversed(rows)}
    known |= {each.value: Near("action", each.code, each.value) for each in Action}
    return tuple(known[name] for name in nearest_of(text, known))


def exists(conn: sqlite3.Connection, what: str, number: int) -> bool:
    """Whether there is a thing of this sort with this number."""
    row = conn.execute(f"SELECT 1 FROM {what} WHERE {what}_id = ?", (number,)).fetchone()
    return row is not None


def name_of(conn: sqlite3.Connection, what: str, number: int) -> str:
    """The name of a box, item, supplier or trip."""
    row = conn.execute(f"SELECT name FROM {what} WHERE {what}_id = ?", (number,)).fetchone()
    return str(row[0])


def find_stock(conn: sqlite3.Connection, text: str) -> tuple[list[int] | None, list[int] | None]:
    """The lot or the item meant, as the ids to read holdings by: (lots, None) or (None, items).

    A batch number names its lot where only one lot has it.
    """
    code = read_code(text)
    if code is not None and code[0] == "lot":
        return [find_id(conn, "lot", text)], None
    try:
        return None, [find_id(conn, "item", text)]
    except UnknownName:
        lots = lots_of_batch(conn, text)
        if len(lots) > 1:
            shown = listed([f"L{number}" for number in lots[:5]] + ["others"] * (len(lots) > 5))
            raise UnknownName(f"batch {text!r} is that of {shown}; name the lot") from None
        if lots:
            return lots, None
        raise


def lots_of_batch(conn: sqlite3.Connection, text: str) -> list[int]:
    """The lots of a batch, whatever its case."""
    batch = " ".join(normalize("NFC", text).split())
    rows = conn.execute(
        "SELECT lot_id FROM lot WHERE batch = ? COLLATE NOCASE AND batch <> '' ORDER BY lot_id",
        (batch,),
    ).fetchall()
    return [row[0] for row in rows]


def find_kind(conn: sqlite3.Connection, text: str) -> tuple[int, str]:
    """Row number and key of the kind meant, by key, by name, or by a word it also goes by.

    UnknownName when no kind is meant, with the nearest words, or several are, with their keys.
    """
    wanted = name_key(text)
    rows = conn.execute("SELECT kind_id, key, name FROM kind").fetchall()
    found = [row for row in rows if row[1] == wanted]
    found = found or [row for row in rows if name_key(row[2]) == wanted]
    found = found or _kinds_also_called(conn, text)
    if not found:
        also = [word for words in _also(conn).values() for word in words]
        names = [word for _, key, name in rows for word in (key, name)]
        more = nearest(text, [*also, *names], "'kind list' shows them all")
        raise UnknownName(f"there is no kind {text!r}{more}")
    if len(found) > 1:
        keys = listed([repr(row[1]) for row in found], "or")
        raise UnknownName(f"{text!r} is said of several kinds; name one of them: {keys}")
    return int(found[0][0]), str(found[0][1])


def _kinds_also_called(conn: sqlite3.Connection, text: str) -> list[tuple[int, str, str]]:
    """The kinds whose key, name or other words are this text, whatever its blanks and signs."""
    wanted = _letters(text)
    if not wanted:
        return []
    also = _also(conn)
    rows = conn.execute("SELECT kind_id, key, name FROM kind ORDER BY key").fetchall()
    return [row for row in rows if wanted in {_letters(word) for word in (*row[1:], *also[row[0]])}]


def _also(conn: sqlite3.Connection) -> dict[int, list[str]]:
    """The other words that each kind goes by, from its rule."""
    rows = conn.execute("SELECT kind_id, ifnull(json_extract(rule, '$.also'), '[]') FROM kind")
    return {kind_id: json.loads(words) for kind_id, words in rows.fetchall()}


def _letters(text: str) -> str:
    """Its letters and figures alone: ``Super-glue`` and ``superglue`` are one word."""
    return "".join(char for char in name_key(text) if char.isalnum())
