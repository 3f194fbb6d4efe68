"""Taking arrivals in: each becomes a lot, or more of a lot with the same facts, and a movement."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from stockcheck.core import movements
from stockcheck.core.intake import Arrival, LotFacts
from stockcheck.core.movements import Movement
from stockcheck.store.ledger import Stamp, post
from stockcheck.store.lots import lot_columns, lot_row
from stockcheck.store.recalls import holds_of_received
from stockcheck.store.rows import insert, next_number


@dataclass(frozen=True, slots=True)
class Received:
    """What came in: the lots in order of arrival, which of them are new, and the movements."""

    lot_ids: tuple[int, ...]
    new_lots: frozenset[int]
    movement_ids: tuple[int, ...]


def receive(
    conn: sqlite3.Connection,
    arrivals: Sequence[Arrival],
    stamp: Stamp,
    watched: Callable[[Sequence[Arrival]], Iterable[Arrival]] = iter,
) -> Received:
    """Take every arrival in; call inside ``writing()``. ``watched`` shows the progress.

    What a recall concerns goes on hold in the same command.
    """
    lots: list[int] = []
    new: dict[int, LotFacts] = {}
    seen: dict[LotFacts, int] = {}
    plans: list[Movement] = []
    following = next_number(conn, "lot")
    for arrival in watched(arrivals):
        facts = arrival.facts
        lot_id = (seen.get(facts) or _same_lot(conn, facts)) if _can_be_shared(facts) else None
        if lot_id is None:
            lot_id = following + len(new)
            new[lot_id] = facts
        seen[facts] = lot_id
        lots.append(lot_id)
        plans.append(movements.receive(lot_id, arrival.box.id, arrival.quantity, arrival.opened_on))
    insert(conn, "lot", [lot_row(number, facts) for number, facts in new.items()])
    plans += holds_of_received(conn, plans)
    return Received(tuple(lots), frozenset(new), tuple(post(conn, plans, stamp)))


def _can_be_shared(facts: LotFacts) -> bool:
    """Only a batch or a printed date tells that two arrivals are one lot."""
    return bool(facts.batch or facts.expiry)


def _same_lot(conn: sqlite3.Connection, facts: LotFacts) -> int | None:
    columns = lot_columns(facts)
    where = " AND ".join(f"{column} IS ?" for column in columns)
    row = conn.execute(
        f"SELECT lot_id FROM lot WHERE {where} ORDER BY lot_id LIMIT 1", tuple(columns.values())
    ).fetchone()
    return int(row[0]) if row else None


def held_batches(conn: sqlite3.Connection, lot_ids: Iterable[int]) -> list[tuple[int, str]]:
    """Of these lots, those whose batch is on hold somewhere: the lot and the batch."""
    rows = conn.execute(
        "SELECT lot_id, batch FROM lot AS here JOIN json_each(?) ON here.lot_id = value"
        " WHERE batch <> '' AND EXISTS ("
        " SELECT 1 FROM lot AS there JOIN holding USING (lot_id)"
        " WHERE there.item_id = here.item_id AND there.batch = here.batch"
        " AND holding.state = 'held' AND holding.quantity > 0) ORDER BY lot_id",
        (json.dumps(sorted(set(lot_ids))),),
    ).fetchall()
    return [(lot_id, batch) for lot_id, batch in rows]
