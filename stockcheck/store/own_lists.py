"""Kit lists of one's own in the store, and what each box is usually held against."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from datetime import date

from stockcheck.core.kit_list import BoxKit


def keep_list(
    conn: sqlite3.Connection, list_id: str, title: str, table: Mapping[str, object], on: date
) -> bool:
    """Keep a list, in place of the one with its id; whether there was one that counted."""
    there = list_id in own_list_titles(conn)
    conn.execute(
        "INSERT INTO own_kit_list (list_id, title, body, on_day) VALUES (?, ?, ?, ?)"
        " ON CONFLICT (list_id) DO UPDATE SET title = excluded.title, body = excluded.body,"
        " on_day = excluded.on_day, retired_on = NULL",
        (list_id, title, json.dumps(table, ensure_ascii=False, default=str), on.isoformat()),
    )
    return there


def retire_list(conn: sqlite3.Connection, list_id: str, on: date) -> bool:
    """Let a list go; whether there was one."""
    done = conn.execute(
        "UPDATE own_kit_list SET retired_on = ? WHERE list_id = ? AND retired_on IS NULL",
        (on.isoformat(), list_id),
    )
    return done.rowcount > 0


def own_list_titles(conn: sqlite3.Connection) -> dict[str, str]:
    """The titles of the lists that are kept, by id."""
    return dict(
        conn.execute(
            "SELECT list_id, title FROM own_kit_list WHERE retired_on IS NULL ORDER BY list_id"
        ).fetchall()
    )


def own_list(conn: sqlite3.Connection, list_id: str) -> dict[str, object] | None:
    """The table of a list that is kept; None for any other."""
    row = conn.execute(
        "SELECT body FROM own_kit_list WHERE list_id = ? AND retired_on IS NULL", (list_id,)
    ).fetchone()
    if row is None:
        return None
    found: dict[str, object] = json.loads(row[0])
    return found


def set_kit(conn: sqlite3.Connection, kit: BoxKit) -> None:
    """Remember what a box is held against; without lists, forget it."""
    conn.execute("DELETE FROM box_kit WHERE box_id = ?", (kit.box_id,))
    if kit.lists:
        conn.execute(
            "INSERT INTO box_kit (box_id, lists, given, check_every_days) VALUES (?, ?, ?, ?)",
            (kit.box_id, _texts(kit.lists), _texts(kit.given), kit.every_days),
        )


def kits(conn: sqlite3.Connection) -> dict[int, BoxKit]:
    """What each box that is not retired is usually held against, by the id of the box."""
    rows = conn.execute(
        "SELECT box_id, lists, given, check_every_days FROM box_kit JOIN box USING (box_id)"
        " WHERE box.retired_on IS NULL ORDER BY box.name_key"
    ).fetchall()
    return {
        box_id: BoxKit(box_id, tuple(json.loads(lists)), tuple(json.loads(given)), every)
        for box_id, lists, given, every in rows
    }


def boxes_held_against(conn: sqlite3.Connection, list_id: str) -> list[str]:
    """The names of the boxes that are usually held against a list."""
    rows = conn.execute(
        "SELECT name FROM box_kit JOIN box USING (box_id), json_each(lists)"
        " WHERE json_each.value = ? ORDER BY name_key",
        (list_id,),
    ).fetchall()
    return [row[0] for row in rows]


def _texts(words: Sequence[str]) -> str:
    return json.dumps(list(words), ensure_ascii=False)
