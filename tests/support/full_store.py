"""A store with a row in every table, and texts in it that files and spreadsheets trip over.

Whoever adds a table adds a row here: a test holds the names against the schema. What goes through a
whole store (backup, export, check, salvage) is then tried on the new table too.
"""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from stockcheck.core.codes import make_code
from stockcheck.data.kind_table import kind_table
from stockcheck.data.kinds import OWN, kind_from_table
from stockcheck.store.files import Store, connect
from stockcheck.store.limits import note_heat, refresh_limits
from stockcheck.store.migrate import create
from stockcheck.store.tables import loading, tables

DAY, MOMENT = "2026-11-25", "2026-11-25T08:00:00+00:00"
ODD = ("=1+1", "'", "", 'a,b;\t"c"\nd\r\ne', "Аптечка", "NULL", "-5", "@x", "\u200f\u202ez", "\x01")
ITEM: dict[str, Any] = {"item_id": 1}
LOT: dict[str, Any] = {"lot_id": 1}
AFTER: dict[str, Any] = {"on_day": DAY, "recorded_at": MOMENT, "after_movement": 1}
WHEN: dict[str, Any] = {"on_day": DAY, "recorded_at": MOMENT}

OWN_KIND = {"key": "own", "name": "own", "meaning": "none", "past": "no limit"}
RULE = json.dumps(kind_table(kind_from_table(OWN_KIND, "kind own", OWN)))

# A row of each table; columns that are left out have what the schema gives them.
ROWS: dict[str, list[dict[str, Any]]] = {
    "setting": [{"key": "an odd one", "value": ODD[3]}],
    "kind": [{"key": "own", "name": "own", "origin": "own", "rule": RULE}],
    "box": [
        {"code": make_code("box", 1), "name": "Inner", "name_key": "inner", "parent_id": 2},
        {"code": make_code("box", 2), "name": "Outer", "name_key": "outer", "note": ODD[0],
         "climate": "house shelf"},
    ],
    "item": [
        {"code": make_code("item", n), "name": f"thing {n}", "name_key": f"thing {n}",
         "kind_id": n, "note": ODD[n]} for n in (1, 2)
    ],
    "item_gtin": [{"gtin": "09520123000103"} | ITEM],
    "supplier": [{"name": "Coast", "name_key": "coast", "note": ODD[1]}],
    "offer": [{"supplier_id": 1, "pack": 5, "price_cents": 120} | ITEM],
    "par": [{"box_id": 1, "quantity": 2} | ITEM],
    "trip": [{"name": "Count", "name_key": "count", "departs": DAY, "returns": DAY}],
    "lot": [{"code": make_code("lot", 1), "batch": ODD[6], "expiry_text": "EXP 11/2027",
             "expiry": "2027-11", "printed_last_day": "2027-11-30", "note": ODD[8]} | ITEM],
    "lot_change": [{"field": "note", "was": None, "became": ""} | LOT | AFTER],
    "movement": [{"together": n, "what": what} | WHEN
                 for n, what in ((1, "received"), (2, "opened"), (3, "inspected"))],
    "movement_line": [
        {"movement_id": n, "box_id": 1, "quantity": quantity, "opened_on": opened} | LOT
        for n, quantity, opened in ((1, 9, None), (2, -1, None), (2, 1, DAY), (3, 0, None))
    ],
    "inspection": [{"movement_id": 3, "on_day": DAY, "passed": 1, "note": ODD[4]} | LOT],
    "decision": [{"box_id": 1, "decided": "replace", "standing": "expired", "movement_id": 3}
                 | LOT | WHEN],
    "temperature": [{"box_id": 1, "at": 1_700_000_000 + n, "hundredths": -n} for n in range(3)],
    "climate": [{"key": "own shed", "rule":
                 '{"name":"own shed","source":"a thermometer of our own","fixed_c":31}'}],
    "recall": [{"batch": "W1", "batch_key": "w1", "reason": ODD[2]} | ITEM | WHEN],
    "recall_lift": [{"recall_id": 1, "reason": "other plant"} | WHEN],
    "stocktake": [{"box_id": 1, "blind": 0} | AFTER],
    "stocktake_box": [{"stocktake_id": 1, "box_id": 1}],
    "stocktake_line": [{"stocktake_id": 1, "box_id": 1, "since_movement": 1, "until_movement": 1}
                       | WHEN],
    "stocktake_sheet": [{"stocktake_id": 1, "line": 1, "box_id": 1, "part": "sealed",
                         "expected": 9, "after_movement": 1} | LOT],
    "stocktake_end": [{"stocktake_id": 1, "how": "closed", "together": 2} | WHEN],
    "stocktake_result": [{"stocktake_id": 1, "box_id": 1, "part": "sealed", "book": 9,
                          "counted": None, "variance": 0, "finding": "agrees"} | LOT],
    "print_job": [{"stock": "a4-3x7", "per_page": 21, "start": 1, "labels": 1} | AFTER],
    "print_label": [{"print_job_id": 1, "number": 1, "labels": 1, "sort": "lot", "packs": 1,
                     "words": '{"a": "\\u003d1"}'} | LOT],
    "printer": [{"name": "office", "name_key": "office", "offset_x": 0.1, "scale_y": 1.003,
                 "set_on": DAY}],
    "own_kit_list": [{"list_id": "own-list", "title": "Own", "body": "{}", "on_day": DAY}],
    "box_kit": [{"box_id": 1, "lists": '["own-list"]'}],
    "kit_match": [{"list_id": "own-list", "line": "x", "serves": 1, "on_day": DAY} | ITEM],
    "audit_round": [{"box_id": 1, "lists": "[]", "title": "t", "checked_by": "Ana", "met": 0,
                     "lines": 1, "verdict": "no", "next_due": DAY, "due_why": ""} | WHEN],
    "audit_round_line": [{"audit_round_id": 1, "position": 1, "line": "x", "unit": "each",
                          "usable": 0, "short": 1, "finding": "short", "why": ODD[3]}],
    "audit_round_found": [{"audit_round_id": 1, "position": 1, "box_id": 1, "state": "stock",
                           "booked": 9, "found": 9} | LOT],
    "audit_answer": [{"box_id": 1, "holding_id": 1, "booked": 9, "found": 9, "damaged": 0,
                      "on_day": DAY} | LOT],
    "trip_movement": [{"movement_id": 2, "trip_id": 1}],
    "wanted": [{"quantity": 1} | ITEM | WHEN],
    "told_use": [{"quantity": 3, "occasions": 1, "days": 60, "year": 2024,
                  "recorded_at": MOMENT} | ITEM],
    "trip_close": [{"trip_id": 1, "came_back": DAY} | WHEN],
    "trip_stop": [{"trip_id": 1, "day": 2, "place": "Well"}],
    "trip_stop_item": [{"trip_stop_id": 1} | ITEM],
    "substitute": [{"by_item_id": 2} | ITEM],
    "purchase": [{"supplier_id": 1, "ordered_on": DAY, "recorded_at": MOMENT}],
    "purchase_line": [{"purchase_id": 1, "pack": 5, "packs": 1, "price_cents": 120} | ITEM],
    "purchase_receipt": [{"purchase_line_id": 1, "movement_id": 1, "quantity": 9} | ITEM],
    "purchase_end": [{"purchase_id": 1} | WHEN],
}  # fmt: skip


def full_store(path: Path) -> Path:
    """Make it, past what refuses unseen characters: a store may come from another hand."""
    create(path, "Кузов =1+1", "AUD")
    with closing(connect(path)) as conn, Store(conn, path).writing():
        with loading(conn):
            for table in tables(conn):
                for row in ROWS.get(table.name, ()):
                    _put(conn, table.name, row)
        note_heat(conn)
        refresh_limits(conn)
    return path


def _put(conn: sqlite3.Connection, table: str, row: dict[str, object]) -> None:
    marks = ", ".join("?" for _ in row)
    conn.execute(
        f"INSERT INTO {table} ({', '.join(row)}) VALUES ({marks})",  # noqa: S608 - names of ours
        tuple(row.values()),
    )


def views(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every view, in the order of its words."""
    conn = sqlite3.connect(path)
    try:
        names = [row[0] for row in conn.execute("SELECT name FROM sqlite_master WHERE type='view'")]
        return {
            name: sorted(conn.execute(f"SELECT * FROM {name}").fetchall(), key=repr)  # noqa: S608 - names out of the schema
            for name in names
        }
    finally:
        conn.close()


def search(path: Path) -> list[tuple[object, ...]]:
    """Every entry of the search index."""
    conn = sqlite3.connect(path)
    try:
        return conn.execute("SELECT rowid, title, words FROM search ORDER BY rowid").fetchall()
    finally:
        conn.close()
