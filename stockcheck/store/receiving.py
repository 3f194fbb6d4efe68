"""Taking arrivals in: each becomes a lot, or more of a lot with the same facts, and a movement."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from stockcheck.core import movements
from stockcheck.core.intake import Arrival, LotFacts
from stockcheck.core.movements import Movement
from stockcheck.store.ledger import Stamp, post
from stockcheck.store.lots import add_lot, lot_columns


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
    """Take every arrival in; call inside ``writing()``. ``watched`` shows the progress."""
    lots: list[int] = []
    new: set[int] = set()
    seen: dict[LotFacts, int] = {}
    plans: list[Movement] = []
    for arrival in watched(arrivals):
        lot_id = seen.get(arrival.facts) or _same_lot(conn, arrival.facts)
        if lot_id is None:
            lot_id = add_lot(conn, arrival.facts)
            new.add(lot_id)
        if _can_be_shared(arrival.facts):
            seen[arrival.facts] = lot_id
        lots.append(lot_id)
        plans.append(movements.receive(lot_id, arrival.box.id, arrival.quantity, arrival.opened_on))
    return Received(tuple(lots), frozenset(new), tuple(post(conn, plans, stamp)))


def _can_be_shared(facts: LotFacts) -> bool:
    """Only a batch or a printed date tells that two arrivals are one lot."""
    return bool(facts.batch or facts.expiry)


def _same_lot(conn: sqlite3.Connection, facts: LotFacts) -> int | None:
    if not _can_be_shared(facts):
        return None
    columns = lot_columns(facts)
    where = " AND ".join(f"{column} IS ?" for column in columns)
    row = conn.execute(
        f"SELECT lot_id FROM lot WHERE {where} ORDER BY lot_id LIMIT 1", tuple(columns.values())
    ).fetchone()
    return int(row[0]) if row else None


def held_batches(conn: sqlite3.Connection, lot_ids: Iterable[int]) -> list[tuple[int, str]]:
    """Of these lots, those whose batch is on hold somewhere: the lot and the batch."""
    found = []
    for lot_id in sorted(set(lot_ids)):
        row = conn.execute(
            "SELECT here.batch FROM lot AS here JOIN lot AS there"
            " ON there.item_id = here.item_id AND there.batch = here.batch"
            " JOIN holding ON holding.lot_id = there.lot_id"
            " WHERE here.lot_id = ? AND here.batch <> '' AND holding.state = 'held'"
            " AND holding.quantity > 0 LIMIT 1",
            (lot_id,),
        ).fetchone()
        if row:
            found.append((lot_id, str(row[0])))
    return found
