"""Reading a store into the plain values that the core works on. Every read is a whole list."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from datetime import date
from typing import Any, TypeAlias

from stockcheck.core.calendar import PartialDate
from stockcheck.core.model import (
    Box,
    Holding,
    Importance,
    Inspection,
    Item,
    Kind,
    Lot,
    Offer,
    Par,
    PrintedExpiry,
    State,
    Supplier,
    Trip,
)
from stockcheck.store.kinds import kinds_by_id
from stockcheck.store.looks import inspections

Row: TypeAlias = tuple[Any, ...]

_LOT_COLUMNS = (
    "lot_id, lot.code, item_id, batch, expiry_text, expiry, printed_last_day, expiry_assumed,"
    " made_text, made, received_on, supplier.name, cost_cents, lot.note"
)


def boxes(conn: sqlite3.Connection, *, retired: bool = False) -> list[Box]:
    """Every box, those inside others right after them, in order of name."""
    rows = conn.execute(
        "SELECT box_id, code, name, parent_id, climate, note, retired_on FROM box"
        " WHERE ? OR retired_on IS NULL ORDER BY name_key",
        (retired,),
    ).fetchall()
    found = [
        Box(box_id, code, name, parent, climate, note, _day(gone))
        for box_id, code, name, parent, climate, note, gone in rows
    ]
    known = {box.id for box in found}
    inside: dict[int | None, list[Box]] = {}
    for box in found:
        parent = box.parent_id if box.parent_id in known else None
        inside.setdefault(parent, []).append(box)
    return list(_nested(inside, None))


def _nested(inside: dict[int | None, list[Box]], parent: int | None) -> list[Box]:
    order: list[Box] = []
    for box in inside.get(parent, ()):
        order += [box, *_nested(inside, box.id)]
    return order


def box_and_inside(found: Sequence[Box], box_id: int) -> list[int]:
    """The box and every box inside it, at any depth."""
    wanted = {box_id}
    for box in found:
        if box.parent_id in wanted:
            wanted.add(box.id)
    return sorted(wanted)


def place(found: Sequence[Box], box: Box) -> str:
    """Where a box is: ``Truck bed / Tyre kit``."""
    by_id = {each.id: each for each in found}
    names = [box.name]
    while box.parent_id in by_id:
        box = by_id[box.parent_id]
        names.insert(0, box.name)
    return " / ".join(names)


def items(
    conn: sqlite3.Connection, *, only: Sequence[int] | None = None, retired: bool = False
) -> list[Item]:
    """Every item in order of name, or only those with the ids given (retired or not)."""
    where = "? OR retired_on IS NULL" if only is None else "item_id IN (SELECT value FROM"
    where += "" if only is None else " json_each(?))"
    rows = conn.execute(
        "SELECT item_id, code, name, kind_id, unit, pack, size, width_mm, length_mm, importance,"
        f" note, retired_on FROM item WHERE {where} ORDER BY name_key",
        (retired if only is None else json.dumps(list(only)),),
    ).fetchall()
    kinds = kinds_by_id(conn, {row[3] for row in rows})
    gtins = _gtins(conn, [row[0] for row in rows])
    return [_item(row, kinds, tuple(gtins.get(row[0], ()))) for row in rows]


def _gtins(conn: sqlite3.Connection, item_ids: Sequence[int]) -> dict[int, list[str]]:
    rows = conn.execute(
        "SELECT item_id, gtin FROM item_gtin"
        " WHERE item_id IN (SELECT value FROM json_each(?)) ORDER BY gtin",
        (json.dumps(item_ids),),
    ).fetchall()
    found: dict[int, list[str]] = {}
    for item_id, gtin in rows:
        found.setdefault(item_id, []).append(gtin)
    return found


def _item(row: Row, kinds: dict[int, Kind], gtins: tuple[str, ...]) -> Item:
    item_id, code, name, kind_id, unit, pack, size, width, length, importance, note, gone = row
    return Item(
        id=item_id,
        code=code,
        name=name,
        kind=kinds[kind_id],
        unit=unit,
        pack=pack,
        size=size,
        width_mm=width,
        length_mm=length,
        importance=Importance(importance),
        note=note,
        gtins=gtins,
        retired_on=_day(gone),
    )


def lots(conn: sqlite3.Connection, only: Sequence[int] | None = None) -> list[Lot]:
    """Every lot in order of number, or only those with the ids given."""
    where = "" if only is None else "WHERE lot_id IN (SELECT value FROM json_each(?))"
    values = () if only is None else (json.dumps(list(only)),)
    rows = conn.execute(
        f"SELECT {_LOT_COLUMNS} FROM lot LEFT JOIN supplier USING (supplier_id)"
        f" {where} ORDER BY lot_id",
        values,
    ).fetchall()
    by_id = {item.id: item for item in items(conn, only=sorted({row[2] for row in rows}))}
    looked_at = inspections(conn, only)
    return [_lot(row, by_id, looked_at.get(row[0], ())) for row in rows]


def _lot(row: Row, items_by_id: dict[int, Item], looked_at: tuple[Inspection, ...]) -> Lot:
    lot_id, code, item_id, batch, text, expiry, last, assumed, made_text, made, *rest = row
    received, supplier, cost, note = rest
    printed = None
    last_day = _day(last)
    if expiry is not None and last_day is not None:
        printed = PrintedExpiry(text, PartialDate(expiry), last_day, assumed)
    return Lot(
        id=lot_id,
        code=code,
        item=items_by_id[item_id],
        batch=batch,
        expiry=printed,
        made=PartialDate(made) if made else None,
        made_text=made_text,
        received_on=_day(received),
        supplier=supplier or "",
        cost_cents=cost,
        note=note,
        inspections=looked_at,
    )


def holdings(
    conn: sqlite3.Connection,
    *,
    box_ids: Sequence[int] | None = None,
    item_ids: Sequence[int] | None = None,
    lot_ids: Sequence[int] | None = None,
    empty: bool = False,
) -> list[Holding]:
    """What is on hand, in order of lot; in some boxes, of some items, of some lots."""
    where, values = ["1" if empty else "quantity > 0"], []
    for column, ids in (("box_id", box_ids), ("lot.item_id", item_ids), ("lot_id", lot_ids)):
        if ids is not None:
            where.append(f"{column} IN (SELECT value FROM json_each(?))")
            values.append(json.dumps(list(ids)))
    rows = conn.execute(
        "SELECT holding_id, lot_id, box_id, quantity, opened_on, state, last_usable_day,"
        " governed_by FROM holding JOIN lot USING (lot_id)"
        f" WHERE {' AND '.join(where)} ORDER BY lot_id, holding_id",
        values,
    ).fetchall()
    everything = box_ids is None and item_ids is None and lot_ids is None
    lots_by_id = {
        lot.id: lot for lot in lots(conn, None if everything else sorted({row[1] for row in rows}))
    }
    by_box = {box.id: box for box in boxes(conn, retired=True)}
    return [
        Holding(
            id=holding_id,
            lot=lots_by_id[lot_id],
            box=by_box[box_id],
            quantity=quantity,
            opened_on=_day(opened_on),
            state=State(state),
            last_usable_day=_day(last),
            governed_by=governed_by,
        )
        for holding_id, lot_id, box_id, quantity, opened_on, state, last, governed_by in rows
    ]


def holding_counts(conn: sqlite3.Connection) -> dict[int, int]:
    """How many holdings each box has, the boxes inside it not counted."""
    return dict(
        conn.execute("SELECT box_id, count(*) FROM holding WHERE quantity > 0 GROUP BY box_id")
    )


def suppliers(conn: sqlite3.Connection, *, retired: bool = False) -> list[Supplier]:
    """Every supplier in order of name."""
    rows = conn.execute(
        "SELECT supplier_id, name, lead_days, note, retired_on FROM supplier"
        " WHERE ? OR retired_on IS NULL ORDER BY name_key",
        (retired,),
    ).fetchall()
    return [
        Supplier(number, name, lead, note, _day(gone)) for number, name, lead, note, gone in rows
    ]


def offers(conn: sqlite3.Connection) -> list[Offer]:
    """Every offer that stands, of suppliers and items that are not retired."""
    rows = conn.execute(
        "SELECT offer_id, supplier_id, item_id, pack, price_cents, lead_days, note FROM offer"
        " WHERE retired_on IS NULL ORDER BY offer_id"
    ).fetchall()
    by_supplier = {supplier.id: supplier for supplier in suppliers(conn)}
    by_item = {item.id: item for item in items(conn)}
    return [
        Offer(offer_id, by_supplier[supplier_id], by_item[item_id], pack, cents, lead, note)
        for offer_id, supplier_id, item_id, pack, cents, lead, note in rows
        if supplier_id in by_supplier and item_id in by_item
    ]


def pars(conn: sqlite3.Connection) -> list[Par]:
    """Every par level that stands, of boxes that are not retired, in order of box and name."""
    rows = conn.execute(
        "SELECT par_id, box_id, item_id, kind_id, quantity, par.importance FROM par"
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
        )
        for par_id, box_id, item_id, kind_id, quantity, importance in rows
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
            _day(gone),
            climate,
        )
        for trip_id, name, departs, returns, people, distance, margin, note, gone, climate in rows
    ]


def trip(conn: sqlite3.Connection, trip_id: int) -> Trip:
    """The trip with this number."""
    return next(each for each in trips(conn, retired=True) if each.id == trip_id)


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
