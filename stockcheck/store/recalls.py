"""Recalled batches: remembered for good, lifted with a reason, held against what is in stock."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.model import State
from stockcheck.core.movements import Movement, What
from stockcheck.core.recalls import Recall, batch_key
from stockcheck.store.reads import Row, day_of, holdings
from stockcheck.store.rows import insert, next_number

if TYPE_CHECKING:
    from stockcheck.core.model import Holding
    from stockcheck.store.ledger import Stamp

_COLUMNS = (
    "recall.recall_id, recall.item_id, coalesce(item.name, (SELECT name FROM item JOIN item_gtin"
    " USING (item_id) WHERE item_gtin.gtin = recall.gtin), ''), recall.gtin, batch, recall.reason,"
    " recall.on_day, recall_lift.on_day, ifnull(recall_lift.reason, '')"
)
_FROM = "recall LEFT JOIN item USING (item_id) LEFT JOIN recall_lift USING (recall_id)"


def all_recalls(conn: sqlite3.Connection, *, lifted: bool = False) -> list[Recall]:
    """Every recall that stands, oldest first; with ``lifted`` those that no longer do too."""
    rows = conn.execute(
        f"SELECT {_COLUMNS} FROM {_FROM} WHERE ? OR recall_lift.on_day IS NULL"
        " ORDER BY recall.recall_id",
        (lifted,),
    ).fetchall()
    return [_recall(row) for row in rows]


def of_stock(conn: sqlite3.Connection, item_id: int | None, gtin: str, batch: str) -> Recall | None:
    """The recall that calls stock of an item, with a GTIN and a batch, back; None without."""
    recalls = all_recalls(conn)
    gtins = _gtins(conn, item_id) if recalls else []
    return next((it for it in recalls if it.concerns(item_id, gtins, gtin, batch)), None)


def _gtins(conn: sqlite3.Connection, item_id: int | None) -> list[str]:
    rows = conn.execute("SELECT gtin FROM item_gtin WHERE item_id = ?", (item_id,)).fetchall()
    return [row[0] for row in rows]


def _recall(row: Row) -> Recall:
    number, item_id, item, gtin, batch, reason, on_day, lifted, why = row
    day = day_of(on_day)
    if day is None:
        raise ValueError(f"recall {number} has no day")
    return Recall(number, item_id, item, gtin, batch, reason, day, day_of(lifted), why)


def add_recall(
    conn: sqlite3.Connection,
    item_id: int | None,
    gtin: str,
    batch: str,
    reason: str,
    stamp: Stamp,
) -> int:
    """Remember a recall; returns its number. BadInput where the same one stands already."""
    tidy = " ".join(batch.split())
    for recall in all_recalls(conn):
        same = (recall.item_id, recall.gtin) == (item_id, gtin)
        if same and batch_key(recall.batch) == batch_key(tidy):
            raise BadInput(
                f"{recall.short} says so already: {recall.words}; 'recall list' shows all"
            )
    number = next_number(conn, "recall")
    insert(conn, "recall", [{
        "recall_id": number, "item_id": item_id, "gtin": gtin, "batch": tidy,
        "batch_key": batch_key(tidy), "reason": reason, "on_day": stamp.on_day.isoformat(),
        "recorded_at": stamp.recorded_at,
    }])  # fmt: skip
    return number


def find_recall(conn: sqlite3.Connection, text: str) -> Recall:
    """The recall of a number (R3, or 3). UnknownName where there is none."""
    tidy = text.strip().upper().removeprefix("R")
    if tidy.isascii() and tidy.isdigit() and len(tidy) < 10:
        rows = conn.execute(
            f"SELECT {_COLUMNS} FROM {_FROM} WHERE recall.recall_id = ?", (int(tidy),)
        ).fetchall()
        if rows:
            return _recall(rows[0])
    raise UnknownName(f"there is no recall {text!r}; 'recall list --all' shows them")


def lift(conn: sqlite3.Connection, recall: Recall, reason: str, stamp: Stamp) -> None:
    """A recall counts no longer. BadInput without a reason, or where it was lifted already."""
    if not reason.strip():
        raise BadInput("lifting a recall needs a reason, such as the maker's letter")
    if recall.lifted_on is not None:
        raise BadInput(f"{recall.short} was lifted on {recall.lifted_on} already")
    insert(conn, "recall_lift", [{
        "recall_id": recall.id, "reason": " ".join(reason.split()),
        "on_day": stamp.on_day.isoformat(), "recorded_at": stamp.recorded_at,
    }])  # fmt: skip


def concerned(conn: sqlite3.Connection, recall: Recall) -> list[Holding]:
    """What is on hand of what a recall calls back, wherever it is, in whatever state."""
    found = [
        lot_id
        for lot_id, item_id, batch, gtin in _lots_of(conn, recall)
        if recall.concerns(item_id, [recall.gtin], gtin, batch)
    ]
    return holdings(conn, lot_ids=found) if found else []


def _lots_of(conn: sqlite3.Connection, recall: Recall) -> list[Row]:
    """The lots of the item, or of the GTIN, that a recall names: lot, item, batch, GTIN."""
    return conn.execute(
        "SELECT lot_id, item_id, batch, gtin FROM lot WHERE item_id = ?1 OR (?2 <> ''"
        " AND (gtin = ?2 OR item_id = (SELECT item_id FROM item_gtin WHERE gtin = ?2)))",
        (recall.item_id, recall.gtin),
    ).fetchall()


def without_batch(conn: sqlite3.Connection, recall: Recall) -> list[Holding]:
    """Stock of what was called back whose batch nobody wrote down: only a look at it can tell."""
    if not recall.batch:
        return []
    found = [lot_id for lot_id, _, batch, _ in _lots_of(conn, recall) if not batch]
    return holdings(conn, lot_ids=found) if found else []


def recalled_among(conn: sqlite3.Connection, lot_ids: Sequence[int]) -> list[tuple[int, Recall]]:
    """Of these lots, those that a standing recall concerns, each with it."""
    recalls = all_recalls(conn)
    if not recalls:
        return []
    rows = conn.execute(
        "SELECT lot_id, item_id, batch, gtin, (SELECT json_group_array(gtin) FROM item_gtin"
        " WHERE item_gtin.item_id = lot.item_id) FROM lot"
        " WHERE lot_id IN (SELECT value FROM json_each(?)) ORDER BY lot_id",
        (json.dumps(sorted(set(lot_ids))),),
    ).fetchall()
    found: list[tuple[int, Recall]] = []
    for lot_id, item_id, batch, gtin, gtins in rows:
        under = json.loads(gtins)
        hit = next((it for it in recalls if it.concerns(item_id, under, gtin, batch)), None)
        if hit is not None:
            found.append((lot_id, hit))
    return found


def holds_of_received(conn: sqlite3.Connection, plans: Sequence[Movement]) -> list[Movement]:
    """Of what is being received, what is recalled, as put on hold in the same command."""
    lots = {line.lot_id for plan in plans for line in plan.lines}
    why = {
        lot_id: f"recalled, {recall.short}" for lot_id, recall in recalled_among(conn, list(lots))
    }
    return [
        Movement(
            What.HELD,
            (replace(line, quantity=-line.quantity), replace(line, state=State.HELD)),
            why[line.lot_id],
        )
        for plan in plans
        for line in plan.lines
        if line.lot_id in why
    ]
