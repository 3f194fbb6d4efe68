"""Reading what planning needs: suppliers and their offers, par levels, trips."""

from __future__ import annotations

import sqlite3
from datetime import date

from stockcheck.core.model import Importance
from stockcheck.core.planning import Offer, Par, Supplier, Trip
from stockcheck.store.kinds import kinds_by_id
from stockcheck.store.reads import boxes, day_of, items


def suppliers(conn: sqlite3.Connection, *, retired: bool = False) -> list[Supplier]:
    """Every supplier in order of name."""
    rows = conn.execute(
        "SELECT supplier_id, name, lead_days, note, retired_on, lead_working, fee_cents,"
        " free_from_cents, minimum_cents, country FROM supplier"
        " WHERE ? OR retired_on IS NULL ORDER BY name_key",
        (retired,),
    ).fetchall()
    return [
        Supplier(number, name, lead, note, day_of(gone), bool(working), *terms)
        for number, name, lead, note, gone, working, *terms in rows
    ]


def offers(conn: sqlite3.Connection) -> list[Offer]:
    """Every offer that stands, of suppliers and items that are not retired."""
    rows = conn.execute(
        "SELECT offer_id, supplier_id, item_id, pack, price_cents, lead_days, note, packs_left,"
        " good_days FROM offer"
        " WHERE retired_on IS NULL ORDER BY offer_id"
    ).fetchall()
    by_supplier = {supplier.id: supplier for supplier in suppliers(conn)}
    by_item = {item.id: item for item in items(conn)}
    return [
        Offer(
            offer_id,
            by_supplier[supplier_id],
            by_item[item_id],
            pack,
            cents,
            lead,
            note,
            None,
            left,
            good,
        )
        for offer_id, supplier_id, item_id, pack, cents, lead, note, left, good in rows
        if supplier_id in by_supplier and item_id in by_item
    ]


def pars(conn: sqlite3.Connection) -> list[Par]:
    """Every par level that stands, of boxes that are not retired, in order of box and name."""
    rows = conn.execute(
        "SELECT par_id, box_id, item_id, kind_id, quantity, par.importance, basis, rate, per_km,"
        " reserve_days, measure, lasts, plan, assurance FROM par"
        " JOIN box USING (box_id) WHERE par.retired_on IS NULL AND box.retired_on IS NULL"
        " ORDER BY box.name_key, par_id"
    ).fetchall()
    by_box = {box.id: box for box in boxes(conn)}
    by_item = {item.id: item for item in items(conn)}
    kinds = kinds_by_id(conn, {row[3] for row in rows if row[3] is not None})
    return [
        Par(
            par_id,
            by_box[box_id],
            quantity,
            by_item.get(item_id),
            kinds.get(kind_id),
            Importance(importance),
            *rule,
        )
        for par_id, box_id, item_id, kind_id, quantity, importance, *rule in rows
        if item_id is None or item_id in by_item
    ]


def trips(conn: sqlite3.Connection, *, retired: bool = False) -> list[Trip]:
    """Every trip, the next to depart first."""
    rows = conn.execute(
        "SELECT trip_id, name, departs, returns, people, distance_km, margin_days, note,"
        " retired_on, climate FROM trip WHERE ? OR retired_on IS NULL ORDER BY departs, trip_id",
        (retired,),
    ).fetchall()
    return [
        Trip(
            trip_id,
            name,
            date.fromisoformat(departs),
            date.fromisoformat(returns),
            people,
            distance,
            margin,
            note,
            day_of(gone),
            climate,
        )
        for trip_id, name, departs, returns, people, distance, margin, note, gone, climate in rows
    ]


def trip(conn: sqlite3.Connection, trip_id: int) -> Trip:
    """The trip with this number."""
    return next(each for each in trips(conn, retired=True) if each.id == trip_id)
