"""Reading a store into the plain values that the core works on. Every read is a whole list."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from datetime import date
from functools import lru_cache
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
    PrintedExpiry,
    State,
)
from stockcheck.store.kinds import kinds_by_id
from stockcheck.store.looks import inspections

Row: TypeAlias = tuple[Any, ...]

_LOT_COLUMNS = (
    "lot_id, lot.code, item_id, batch, expiry_text, expiry, printed_last_day, expiry_assumed,"
    " made_text, made, received_on, supplier.name, cost_cents, lot.note"
)
_DATES_KEPT = 4096
_STATES = {state.value: state for state in State}  # looked up: a store may have a million


def boxes(
    conn: sqlite3.Connection, *, retired: bool = False, only: Sequence[int] | None = None
) -> list[Box]:
    """Every box, those inside others right after them, in order of name; or those with the ids."""
    where = "? OR retired_on IS NULL" if only is None else "box_id IN (SELECT value FROM"
    where += "" if only is None else " json_each(?))"
    rows = conn.execute(
        "SELECT box_id, code, name, parent_id, climate, note, retired_on FROM box"
        f" WHERE {where} ORDER BY name_key",
        (retired if only is None else json.dumps(list(only)),),
    ).fetchall()
    found = [
        Box(box_id, code, name, parent, climate, note, day_of(gone))
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


def names_inside(conn: sqlite3.Connection, box_id: int) -> list[str]:
    """The names of the boxes in use that sit right inside a box."""
    rows = conn.execute(
        "SELECT name FROM box WHERE parent_id = ? AND retired_on IS NULL ORDER BY name_key",
        (box_id,),
    ).fetchall()
    return [row[0] for row in rows]


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


def places(found: Sequence[Box]) -> dict[int, str]:
    """Where each box is, by its number; of these, in any order."""
    by_id = {each.id: each for each in found}
    known: dict[int, str] = {}
    for box in found:
        way = [box]
        while way[-1].id not in known and way[-1].parent_id in by_id:
            way.append(by_id[way[-1].parent_id])
        at = known.setdefault(way[-1].id, way[-1].name)
        for each in reversed(way[:-1]):
            at = known[each.id] = f"{at} / {each.name}"
    return known


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
    return [_item(row, kinds, gtins.get(row[0], {})) for row in rows]


def _gtins(conn: sqlite3.Connection, item_ids: Sequence[int]) -> dict[int, dict[str, int]]:
    """The maker's codes of each item, with the units in a pack that has it."""
    rows = conn.execute(
        "SELECT item_id, gtin, quantity FROM item_gtin"
        " WHERE item_id IN (SELECT value FROM json_each(?)) ORDER BY gtin",
        (json.dumps(item_ids),),
    ).fetchall()
    found: dict[int, dict[str, int]] = {}
    for item_id, gtin, quantity in rows:
        found.setdefault(item_id, {})[gtin] = quantity
    return found


def _item(row: Row, kinds: dict[int, Kind], gtins: dict[str, int]) -> Item:
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
        gtins=tuple(gtins),
        gtin_units=tuple(gtins.values()),
        retired_on=day_of(gone),
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
    return Lot(
        id=lot_id,
        code=code,
        item=items_by_id[item_id],
        batch=batch,
        expiry=None if expiry is None or last is None else _printed(text, expiry, last, assumed),
        made=_partial(made) if made else None,
        made_text=made_text,
        received_on=day_of(received),
        supplier=supplier or "",
        cost_cents=cost,
        note=note,
        inspections=looked_at,
    )


@lru_cache(_DATES_KEPT)
def _printed(text: str, expiry: str, last: str, assumed: str) -> PrintedExpiry:
    """A printed date; few differ, so that each is read once."""
    return PrintedExpiry(text, _partial(expiry), date.fromisoformat(last), assumed)


@lru_cache(_DATES_KEPT)
def _partial(text: str) -> PartialDate:
    return PartialDate(text)


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
        f" governed_by FROM holding {'' if item_ids is None else 'JOIN lot USING (lot_id)'}"
        f" WHERE {' AND '.join(where)} ORDER BY lot_id, holding_id",
        values,
    ).fetchall()
    everything = box_ids is None and item_ids is None and lot_ids is None
    lots_by_id = {
        lot.id: lot for lot in lots(conn, None if everything else sorted({row[1] for row in rows}))
    }
    by_box = {box.id: box for box in boxes(conn, only=sorted({row[2] for row in rows}))}
    return [
        Holding(
            id=holding_id,
            lot=lots_by_id[lot_id],
            box=by_box[box_id],
            quantity=quantity,
            opened_on=day_of(opened_on),
            state=_STATES[state],
            last_usable_day=day_of(last),
            governed_by=governed_by,
        )
        for holding_id, lot_id, box_id, quantity, opened_on, state, last, governed_by in rows
    ]


def holding_counts(conn: sqlite3.Connection) -> dict[int, int]:
    """How many holdings each box has, the boxes inside it not counted."""
    return dict(
        conn.execute("SELECT box_id, count(*) FROM holding WHERE quantity > 0 GROUP BY box_id")
    )


def day_of(text: str | None) -> date | None:
    """A day from its text in the store; None for none."""
    return date.fromisoformat(text) if text else None
