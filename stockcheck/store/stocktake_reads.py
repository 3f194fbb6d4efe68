"""What a stocktake is held against, and past ones."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core.model import State
from stockcheck.core.stocktake import (
    Books,
    Entry,
    LastSeen,
    Moved,
    Part,
    Variance,
    compare,
    held_as,
    part_of,
)
from stockcheck.store import reads
from stockcheck.store.stocktakes import Stocktake, entries


@dataclass(frozen=True, slots=True)
class Past:
    """A stocktake in the list of all."""

    id: int
    box: str
    begun_on: date
    by: str
    stands: str
    ended_on: date | None
    lines: int
    variances: int
    movement: int | None
    undone: bool


@dataclass(frozen=True, slots=True)
class Result:
    """One line of the variance list of a stocktake that is closed."""

    box_id: int
    lot_id: int
    part: str
    book: int
    counted: int | None
    variance: int
    finding: str
    cents: int | None
    note: str


def variances(
    conn: sqlite3.Connection,
    found: Stocktake,
    *,
    moves: bool = True,
    partial: bool = False,
    lot: int | None = None,
) -> tuple[Variance, ...]:
    """The variance list of an open stocktake as it stands now; of one ``lot`` alone for an echo."""
    lines = entries(conn, found.id, lot)
    known = books(conn, found, lines, lot)
    return compare(known, lines, moves=moves, partial=partial)


def books(
    conn: sqlite3.Connection, found: Stocktake, lines: Sequence[Entry], lot: int | None = None
) -> Books:
    """What the books say of every lot in the boxes of a stocktake and every lot counted in it."""
    wanted = {each.lot_id for each in lines} | ({lot} if lot is not None else set())
    if lot is None:
        rows = conn.execute(
            "SELECT DISTINCT lot_id FROM holding WHERE quantity > 0"
            " AND box_id IN (SELECT value FROM json_each(?))",
            (json.dumps(found.covers),),
        ).fetchall()
        wanted |= {row[0] for row in rows}
    lot_ids = sorted(wanted)
    held = reads.holdings(conn, lot_ids=lot_ids, empty=True)
    on_hand = {each.lot.id for each in held if each.quantity}
    gone = [each for each in lot_ids if each not in on_hand]
    known = {each.lot.id: each.lot for each in held}
    known |= {lot.id: lot for lot in reads.lots(conn, [n for n in lot_ids if n not in known])}
    return Books(
        found.boxes, known, tuple(held), found.after_movement,
        _moved(conn, found, lot_ids), _received(conn, lot_ids), _last_seen(conn, gone),
    )  # fmt: skip


def _moved(conn: sqlite3.Connection, found: Stocktake, lot_ids: Sequence[int]) -> tuple[Moved, ...]:
    rows = conn.execute(
        "SELECT movement_id, box_id, lot_id, state, opened_on, quantity FROM movement_line"
        " WHERE movement_id > ? AND box_id IN (SELECT value FROM json_each(?))"
        " AND lot_id IN (SELECT value FROM json_each(?)) AND quantity <> 0 ORDER BY line_id",
        (found.after_movement, json.dumps(found.covers), json.dumps(lot_ids)),
    ).fetchall()
    return tuple(
        Moved(number, box, lot, part_of(State(state), reads.day_of(opened)), quantity)
        for number, box, lot, state, opened, quantity in rows
    )


def _received(conn: sqlite3.Connection, lot_ids: Sequence[int]) -> dict[int, int]:
    """How many units of each lot came in, what was reversed taken off."""
    rows = conn.execute(
        "SELECT lot_id, sum(quantity) FROM movement_line JOIN movement AS m USING (movement_id)"
        " WHERE what = 'received' AND lot_id IN (SELECT value FROM json_each(?))"
        " AND NOT EXISTS (SELECT 1 FROM movement WHERE reverses = m.movement_id) GROUP BY lot_id",
        (json.dumps(lot_ids),),
    ).fetchall()
    return dict(rows)


def _last_seen(conn: sqlite3.Connection, lot_ids: Collection[int]) -> Mapping[int, LastSeen]:
    """The last word of the ledger on lots of which none is on hand."""
    found = {}
    for lot in lot_ids:
        row = conn.execute(
            "SELECT what, on_day, reason, state, opened_on FROM movement_line"
            " JOIN movement USING (movement_id) WHERE lot_id = ? AND quantity < 0"
            " ORDER BY line_id DESC LIMIT 1",
            (lot,),
        ).fetchone()
        if row is not None:
            what, day, reason, state, opened = row
            seen = LastSeen(
                what, date.fromisoformat(day), reason, State(state), reads.day_of(opened)
            )
            found[lot] = seen
    return found


def results(conn: sqlite3.Connection, number: int) -> list[Result]:
    """The variance list that a stocktake closed with."""
    rows = conn.execute(
        "SELECT box_id, lot_id, part, book, counted, variance, finding, value_cents, note"
        " FROM stocktake_result WHERE stocktake_id = ? ORDER BY stocktake_result_id",
        (number,),
    ).fetchall()
    return [Result(*row) for row in rows]


def past(conn: sqlite3.Connection, *, everything: bool = False) -> list[Past]:
    """Every stocktake, the newest first; without ``everything`` not those that were abandoned."""
    rows = conn.execute(
        "SELECT s.stocktake_id, box.name, s.on_day, s.begun_by, ifnull(e.how, 'open'), e.on_day,"
        " (SELECT count(*) FROM stocktake_line AS l WHERE l.stocktake_id = s.stocktake_id"
        "  AND strikes IS NULL),"
        " (SELECT count(*) FROM stocktake_result AS r WHERE r.stocktake_id = s.stocktake_id"
        "  AND finding <> 'agrees'),"
        " e.together, EXISTS (SELECT 1 FROM movement WHERE reverses = e.together)"
        " FROM stocktake AS s JOIN box USING (box_id) LEFT JOIN stocktake_end AS e"
        " USING (stocktake_id) WHERE ? OR ifnull(e.how, '') <> 'abandoned'"
        " ORDER BY s.stocktake_id DESC",
        (everything,),
    ).fetchall()
    return [
        Past(
            number,
            box,
            date.fromisoformat(begun),
            by,
            how,
            reads.day_of(ended),
            lines,
            differ,
            together,
            bool(undone),
        )
        for number, box, begun, by, how, ended, lines, differ, together, undone in rows
    ]


def parts_here(found: Sequence[Variance]) -> list[tuple[int, int, Part, int]]:
    """What a sheet lists, as box, lot, part and quantity: a line for each part of a lot there."""
    lines: list[tuple[int, int, Part, int]] = []
    for each in found:
        parts: dict[Part, int] = {}
        for holding in each.holdings:
            if holding.quantity:
                part = held_as(holding)
                parts[part] = parts.get(part, 0) + holding.quantity
        box, lot, alone = each.box.id, each.lot.id, len(parts) == 1
        lines += [
            (box, lot, each.part if alone else part, parts[part]) for part in Part if part in parts
        ]
    return lines
