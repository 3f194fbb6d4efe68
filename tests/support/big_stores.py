"""Big invented stores, built by the store's own functions: the same for each size in every run.

Lots stand forty to a box, each received, one in three expired or near it, one in five moved, opened
or used since, so that the ledger and the holdings are as a person's would be.
"""

from __future__ import annotations

import sqlite3
from datetime import date, timedelta
from pathlib import Path

from stockcheck.core import movements
from stockcheck.core.calendar import PartialDate
from stockcheck.core.codes import gtin_check_digit
from stockcheck.core.intake import Arrival, LotFacts
from stockcheck.core.model import Box, Holding, Item, PrintedExpiry
from stockcheck.store import catalogue, ledger, reads
from stockcheck.store.files import opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import create
from stockcheck.store.receiving import receive

TODAY = date(2026, 11, 25)
STAMP = Stamp(TODAY, "2026-11-25T08:00:00+00:00")
ITEMS, LOTS_A_BOX, AT_ONCE = 400, 40, 20_000


def gtin_of(item: int) -> str:
    """An invented GTIN-14 with a right check digit."""
    body = f"09520124{item:05d}"
    return body + gtin_check_digit(body)


def batch_of(lot: int) -> str:
    """The batch that the benchmark gives a lot."""
    return f"B{lot:06d}"


def expiry_of(lot: int) -> date:
    """Days over four years, so that some lots are expired."""
    return TODAY + timedelta(days=lot * 37 % 1460 - 120)


def build(path: Path, lots: int) -> None:
    """A store of so many lots, each received, and one in five moved, used or opened since."""
    create(path, "benchmark")
    with opened(path) as store, store.writing() as conn:
        boxes, items = _catalogue(conn, lots)
        for first in range(1, lots + 1, AT_ONCE):
            some = range(first, min(first + AT_ONCE, lots + 1))
            receive(conn, [_arrival(lot, boxes, items) for lot in some], STAMP)
            _live_a_little(conn, boxes, some)


def _catalogue(conn: sqlite3.Connection, lots: int) -> tuple[list[Box], list[Item]]:
    kinds = [row[0] for row in conn.execute("SELECT kind_id FROM kind ORDER BY kind_id")]
    for number in range(1, max(2, lots // LOTS_A_BOX + 1)):
        catalogue.add(conn, "box", {"name": f"box {number}"})
    for number in range(1, ITEMS + 1):
        kind = kinds[number % len(kinds)]
        catalogue.add(conn, "item", {"name": f"item {number}", "kind_id": kind, "pack": 10})
        catalogue.add_gtins(conn, number, [(gtin_of(number), 1)])
        par = {"box_id": number % (lots // LOTS_A_BOX) + 1, "item_id": number, "quantity": 25}
        catalogue.add(conn, "par", par)
    return reads.boxes(conn), reads.items(conn)


def _arrival(lot: int, boxes: list[Box], items: list[Item]) -> Arrival:
    item, box = items[lot % ITEMS], boxes[lot % len(boxes)]
    day = expiry_of(lot)
    printed = PrintedExpiry(f"EXP {day}", PartialDate(day.isoformat()), day)
    facts = LotFacts(item.id, batch_of(lot), printed, gtin=item.gtins[0], received_on=TODAY)
    return Arrival(lot, box, item, 10, facts)


def _live_a_little(conn: sqlite3.Connection, boxes: list[Box], lots: range) -> None:
    """Movements after the receipts, so that lots have a history and several holdings."""
    plans = []
    for held in reads.holdings(conn, lot_ids=[lot for lot in lots if lot % 5 == 1]):
        plans += _some(held, boxes)
    ledger.post(conn, plans, STAMP)


def _some(held: Holding, boxes: list[Box]) -> list[movements.Movement]:
    match held.lot.id // 5 % 3:
        case 0:
            return [movements.move(held, 4, boxes[(held.box.id + 7) % len(boxes)].id)]
        case 1:
            return [movements.open_pack(held, 1, TODAY - timedelta(days=5))]
        case _:
            return list(movements.issue(held, 2, TODAY))
