"""The demo's stops and its purchase on order, read from its files."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from stockcheck.cli.files import read_csv
from stockcheck.cli.shell import stamp
from stockcheck.core.intake import read_money
from stockcheck.core.purchasing import Order, OrderLine
from stockcheck.store import plans, purchases, reads
from stockcheck.store.files import Store
from stockcheck.store.names import find_id, name_of
from stockcheck.store.stops import add_stop

_STOPS = ("trip", "day", "place", "item", "most")
_LINES = ("supplier", "item", "box", "pack", "packs", "price", "ordered", "expected")


def stops_file(store: Store, file: Path) -> None:
    """Lines of one trip, day and place are one stop that has several things."""
    has: dict[tuple[str, str, str], dict[int, int | None]] = {}
    lines = read_csv(file, _STOPS, _STOPS)
    for _, row in lines:
        item = find_id(store.conn, "item", row["item"])
        key = row["trip"], row["day"], row["place"]
        has.setdefault(key, {})[item] = int(row["most"]) if row["most"] else None
    with store.writing() as conn:
        for (name, day, place), things in has.items():
            trip = plans.trip(conn, find_id(conn, "trip", name))
            add_stop(conn, trip, int(day), place, things)
    click.echo(f"{file.name}: {len(lines)} lines")


def order_file(store: Store, file: Path) -> None:
    """Each line is a purchase of its own."""
    lines = read_csv(file, _LINES, _LINES)
    with store.writing() as conn:
        for _, row in lines:
            item = reads.items(conn, only=[find_id(conn, "item", row["item"])])[0]
            box = reads.boxes(conn, only=[find_id(conn, "box", row["box"])])[0]
            supplier = find_id(conn, "supplier", row["supplier"])
            cents = read_money(row["price"]) or 0
            line = OrderLine(0, item, box, int(row["pack"]), int(row["packs"]), cents)
            ordered = date.fromisoformat(row["ordered"])
            one = Order(
                id=0,
                supplier_id=supplier,
                supplier=name_of(conn, "supplier", supplier),
                ordered_on=ordered,
                expected_on=date.fromisoformat(row["expected"]),
                lines=(line,),
            )
            purchases.write_order(conn, one, stamp(ordered))
    click.echo(f"{file.name}: {len(lines)} lines")
