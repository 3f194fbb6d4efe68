"""Purchases and what may stand in: reading what is on order, writing orders and what came of them.

All of it is append-only. What has come of a line is the sum of its receipts whose arrival was not
undone; what is still to come is the rest, until the purchase is ended.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from datetime import date

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.purchasing import Order, OrderLine
from stockcheck.core.restock_sources import Incoming, Substitute
from stockcheck.store.ledger import Stamp
from stockcheck.store.reads import boxes, day_of, items
from stockcheck.store.rows import insert, next_number

_RECEIVED = (
    "(SELECT ifnull(sum(quantity), 0) FROM purchase_receipt AS r"
    " WHERE r.purchase_line_id = l.purchase_line_id AND NOT EXISTS"
    " (SELECT 1 FROM movement WHERE reverses = r.movement_id))"
)


def orders(conn: sqlite3.Connection) -> list[Order]:
    """Every purchase, in order of number."""
    by_item = {item.id: item for item in items(conn, retired=True)}
    by_box = {box.id: box for box in boxes(conn, retired=True)}
    lines: dict[int, list[OrderLine]] = {}
    for row in conn.execute(
        "SELECT purchase_id, purchase_line_id, item_id, box_id, pack, packs, price_cents, offer_id,"
        f" {_RECEIVED} FROM purchase_line AS l ORDER BY purchase_line_id"
    ).fetchall():
        purchase, number, item, box, *rest = row
        line = OrderLine(number, by_item[item], by_box.get(box), *rest)
        lines.setdefault(purchase, []).append(line)
    return [
        Order(
            number, supplier_id, supplier, date.fromisoformat(ordered), day_of(expected),
            tuple(lines.get(number, ())), fee, day_of(good), trip, note, day_of(ended), why or "",
        )
        for number, supplier_id, supplier, ordered, expected, fee, good, trip, note, ended, why
        in conn.execute(
            "SELECT purchase_id, supplier_id, supplier.name, ordered_on, expected_on,"
            " purchase.fee_cents, good_through, trip_id, purchase.note, purchase_end.on_day,"
            " purchase_end.reason FROM purchase JOIN supplier USING (supplier_id)"
            " LEFT JOIN purchase_end USING (purchase_id) ORDER BY purchase_id"
        ).fetchall()
    ]  # fmt: skip


def order(conn: sqlite3.Connection, text: str) -> Order:
    """The purchase meant by its number, with or without a # before it."""
    digits = text.strip().lstrip("#")
    found = [it for it in orders(conn) if str(it.id) == digits]
    if not found:
        raise UnknownName(f"there is no purchase {text!r}; 'purchase list' shows them")
    return found[0]


def incoming(conn: sqlite3.Connection) -> list[Incoming]:
    """What is still to come of all purchases that were not ended."""
    if conn.execute("SELECT 1 FROM purchase LIMIT 1").fetchone() is None:
        return []
    return [
        Incoming(one.id, line.item, line.open, one.expected_on, line.box, one.good_through)
        for one in orders(conn)
        if one.ended_on is None
        for line in one.lines
        if line.open
    ]


def write_order(conn: sqlite3.Connection, one: Order, stamp: Stamp) -> int:
    """Write a purchase with its lines; their numbers are given here. Returns its number."""
    if not one.lines:
        raise BadInput("a purchase has at least one line")
    number = next_number(conn, "purchase")
    insert(conn, "purchase", [{
        "purchase_id": number, "supplier_id": one.supplier_id,
        "ordered_on": one.ordered_on.isoformat(), "expected_on": _text(one.expected_on),
        "trip_id": one.trip_id, "good_through": _text(one.good_through),
        "fee_cents": one.fee_cents, "note": one.note, "recorded_at": stamp.recorded_at,
    }])  # fmt: skip
    first = next_number(conn, "purchase_line")
    insert(conn, "purchase_line", [
        {
            "purchase_line_id": at, "purchase_id": number, "item_id": line.item.id,
            "offer_id": line.offer_id, "box_id": line.box.id if line.box else None,
            "pack": line.pack, "packs": line.packs, "price_cents": line.price_cents,
        }
        for at, line in enumerate(one.lines, first)
    ])  # fmt: skip
    return number


def end_order(conn: sqlite3.Connection, number: int, stamp: Stamp, reason: str) -> None:
    """Write that nothing more of a purchase will come. BadInput where nothing was to come."""
    one = order(conn, str(number))
    if one.state == "delivered" or one.ended_on is not None:
        raise BadInput(f"purchase {number} is {one.state} already; nothing more is to come of it")
    insert(conn, "purchase_end", [{
        "purchase_id": number, "on_day": stamp.on_day.isoformat(),
        "recorded_at": stamp.recorded_at, "reason": reason,
    }])  # fmt: skip


def note_receipts(conn: sqlite3.Connection, receipts: Iterable[tuple[int, int, int, int]]) -> None:
    """Write what came of lines: line, movement of the arrival, units, and the item that came."""
    first = next_number(conn, "purchase_receipt")
    insert(conn, "purchase_receipt", [
        {
            "purchase_receipt_id": at, "purchase_line_id": line, "movement_id": movement,
            "quantity": quantity, "item_id": item,
        }
        for at, (line, movement, quantity, item) in enumerate(receipts, first)
    ])  # fmt: skip


def substitutes(conn: sqlite3.Connection) -> list[Substitute]:
    """Every substitute that stands, of items that are not retired, the first allowed first."""
    rows: Sequence[tuple[int, int, int, int, int, str]] = conn.execute(
        "SELECT substitute_id, item_id, by_item_id, per_item, per_by, note FROM substitute"
        " WHERE retired_on IS NULL ORDER BY substitute_id"
    ).fetchall()
    if not rows:
        return []
    by_item = {item.id: item for item in items(conn)}
    return [
        Substitute(number, by_item[item], by_item[by], per_item, per_by, note)
        for number, item, by, per_item, per_by, note in rows
        if item in by_item and by in by_item
    ]


def allow_substitute(
    conn: sqlite3.Connection, item: int, by: int, ratio: tuple[int, int], note: str
) -> int:
    """Allow an item to stand in for another; ``ratio`` is units of it for so many of the other."""
    if item == by:
        raise BadInput("a thing does not stand in for itself; name another item")
    number = next_number(conn, "substitute")
    per_by, per_item = ratio
    try:
        insert(conn, "substitute", [{
            "substitute_id": number, "item_id": item, "by_item_id": by,
            "per_item": per_item, "per_by": per_by, "note": note,
        }])  # fmt: skip
    except sqlite3.IntegrityError as error:
        raise BadInput("that is allowed already; take it back first to change it") from error
    return number


def forbid_substitute(conn: sqlite3.Connection, number: int, on: date) -> None:
    """Take a substitute back. UnknownName where there is none of that number."""
    done = conn.execute(
        "UPDATE substitute SET retired_on = ? WHERE substitute_id = ? AND retired_on IS NULL",
        (on.isoformat(), number),
    )
    if not done.rowcount:
        raise UnknownName(f"there is no substitute {number}; 'item substitute' shows them")


def _text(day: date | None) -> str | None:
    return day.isoformat() if day else None
