"""What a scanned or typed text is in this store.

Our own codes are answered first and load nothing but SQL; a maker's code is held against the items
and lots that are known, and only then is the library for such codes loaded.
"""

from __future__ import annotations

import json
import sqlite3
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.actions import read_action
from stockcheck.core.names import name_key
from stockcheck.core.recognising import (
    KnownLot,
    MakerCode,
    Match,
    Recognised,
    Sort,
    is_expired,
    packing_levels,
    units_of,
)
from stockcheck.core.scanning_lines import from_other_layout, looks_mistyped, own_code, tidy_line
from stockcheck.store.names import lots_of_batch, near_gtins_in_store, near_in_store, nearest_names
from stockcheck.store.reads import day_of

if TYPE_CHECKING:
    from stockcheck.core.meaning import Meaning

_SORTS = {"lot": Sort.LOT, "box": Sort.BOX, "item": Sort.ITEM}
_NAMING = {
    "lot": "SELECT item.name, NULL FROM lot JOIN item USING (item_id) WHERE lot_id = ?",
    "box": "SELECT name, retired_on FROM box WHERE box_id = ?",
    "item": "SELECT name, retired_on FROM item WHERE item_id = ?",
}


def recognise(conn: sqlite3.Connection, text: str, on: date) -> Recognised:
    """What the text is: one of our codes, an action, a name, a maker's code, a batch, a date.

    Never raises for what it does not know: that is ``Sort.UNKNOWN`` with a problem and what may
    have been meant. ``on`` decides the century of scanned dates and what is past.
    """
    tidy = tidy_line(text)
    if code := own_code(tidy):
        return _ours(conn, tidy, *code)
    if action := read_action(tidy):
        return Recognised(tidy, Sort.ACTION, action=action, name=action.value)
    if named := _by_name(conn, tidy):
        return named
    if other := from_other_layout(tidy):
        found = _ours(conn, tidy, *(own_code(other[0]) or ("", 0)))
        return _noting(found, f"typed through a {other[1]} keyboard: set the scanner to it")
    return _foreign(conn, tidy, on)


def _noting(found: Recognised, note: str) -> Recognised:
    from dataclasses import replace

    return replace(found, problem="; ".join(filter(None, [found.problem, note])))


def _ours(conn: sqlite3.Connection, text: str, what: str, serial: int) -> Recognised:
    """One of our codes: the thing, or that there is no such thing here."""
    if what == "action":
        action = read_action(text)
        if action is None:
            return Recognised(text, Sort.UNKNOWN, problem=f"there is no action {serial}")
        return Recognised(text, Sort.ACTION, action=action, name=action.value)
    row = conn.execute(_NAMING[what], (serial,)).fetchone()
    if row is None:
        short = f"{what[0].upper()}{serial}"
        problem = f"there is no {what} {short} in this store"
        return Recognised(text, Sort.UNKNOWN, near=near_in_store(conn, text), problem=problem)
    gone = day_of(row[1])
    problem = f"{what} {row[0]!r} is out of use since {gone}" if gone else ""
    return Recognised(text, _SORTS[what], serial, row[0], retired_on=gone, problem=problem)


def _by_name(conn: sqlite3.Connection, text: str) -> Recognised | None:
    """A box, else an item, of that name."""
    for what in ("box", "item"):
        row = conn.execute(
            f"SELECT {what}_id, name, retired_on FROM {what} WHERE name_key = ?", (name_key(text),)
        ).fetchone()
        if row is not None:
            gone = day_of(row[2])
            problem = f"{what} {row[1]!r} is out of use since {gone}" if gone else ""
            return Recognised(text, _SORTS[what], row[0], row[1], retired_on=gone, problem=problem)
    return None


def _foreign(conn: sqlite3.Connection, text: str, on: date) -> Recognised:
    """A maker's code, a batch, a slip of one of our codes, a printed date, or nothing known."""
    from stockcheck.core.reading import read_any

    meaning = read_any(text, on, "general", None)
    gtin = _gtin_here(conn, text, meaning)
    if meaning.type in {"gs1", "gtin"} or gtin != meaning.gtin:
        return _maker(conn, text, meaning, gtin, on)
    if (found := _by_batch(conn, text)) is not None:
        return found
    if near := near_in_store(conn, text):
        problem = f"{text} is not one of our codes: its check digit is wrong"
        if not text.isdigit() or len(text) != 10:
            problem = f"{text} is not one of our codes"
        return Recognised(text, Sort.UNKNOWN, near=near, problem=problem)
    if meaning.type == "date":
        return Recognised(text, Sort.DATE, meaning=meaning, problem=meaning.problem or "")
    return _unknown(conn, text, meaning)


def _unknown(conn: sqlite3.Connection, text: str, meaning: Meaning) -> Recognised:
    shown = text if len(text) <= 60 else f"{text[:57]}..."
    if language := looks_mistyped(text):
        problem = (
            f"{shown!r} looks typed through a {language} keyboard: set the scanner to that layout"
        )
        return Recognised(text, Sort.UNKNOWN, meaning=meaning, problem=problem)
    near = near_gtins_in_store(conn, text) or nearest_names(conn, text)
    problem = f"nothing here is called {shown!r}"
    if (not near or text.isdigit()) and meaning.problem and not text.isalpha():
        problem = f"{problem}; {meaning.problem}"
    return Recognised(text, Sort.UNKNOWN, meaning=meaning, near=near, problem=problem)


def _by_batch(conn: sqlite3.Connection, text: str) -> Recognised | None:
    """The lot that alone has this batch; with several, which."""
    lots = lots_of_batch(conn, text)
    if not lots:
        return None
    if len(lots) > 1:
        near = tuple(near_in_store(conn, f"L{number}", exactly=True)[0] for number in lots[:3])
        problem = f"batch {text} is that of {len(lots)} lots; name the lot"
        return Recognised(text, Sort.UNKNOWN, near=near, problem=problem)
    return _ours(conn, text, "lot", lots[0])


def _gtin_here(conn: sqlite3.Connection, text: str, meaning: Meaning) -> str | None:
    """The GTIN of the text; for eight digits that can be read in two ways, the one known here.

    A date and a GTIN-8 look alike, and so do a GTIN-8 and a UPC-E.
    """
    eight = len(text) == 8 and text.isascii() and text.isdigit()
    if not eight:
        return meaning.gtin
    from datetime import date as day

    from stockcheck.core.codes import read_gtin
    from stockcheck.core.gs1 import read_gs1

    as_upc_e = read_gs1(f"]E0{text}", day.min)
    ways = [read_gtin(text), as_upc_e.gtin if as_upc_e else None]
    for gtin in filter(None, ways):
        if conn.execute("SELECT 1 FROM item_gtin WHERE gtin = ?", (gtin,)).fetchone():
            return gtin
    return meaning.gtin


def _maker(
    conn: sqlite3.Connection, text: str, meaning: Meaning, gtin: str | None, on: date
) -> Recognised:
    from dataclasses import replace

    if gtin != meaning.gtin:
        meaning = replace(meaning, type="gtin", gtin=gtin, last_usable_day=None, readings=(),
                          precision=None, problem=None)  # fmt: skip
    maker = _held_against(conn, replace(meaning, text=text), on)
    name = maker.item.name if maker.item else ""
    return Recognised(
        text, Sort.MAKER, name=name, maker=maker, meaning=maker.meaning,
        problem=meaning.problem or "",
    )  # fmt: skip


def _held_against(conn: sqlite3.Connection, meaning: Meaning, on: date) -> MakerCode:
    """A maker's code with what the store knows of its GTIN, batch and date."""
    from stockcheck.store import recalls
    from stockcheck.store.reads import items

    expired = is_expired(meaning, on)
    gtin, batch = meaning.gtin or "", meaning.batch or ""
    if not gtin:
        return MakerCode(meaning, Match.NO_GTIN, expired=expired)
    row = conn.execute("SELECT item_id, quantity FROM item_gtin WHERE gtin = ?", (gtin,)).fetchone()
    if row is None:
        level = _other_level(conn, gtin)
        return MakerCode(
            meaning,
            Match.UNKNOWN,
            units=units_of(1, meaning.count),
            level_of=items(conn, only=[level])[0] if level else None,
            recall=recalls.of_stock(conn, level, gtin, batch),
            expired=expired,
        )
    item_id, pack = row
    lots, other_dates = _agreeing(conn, item_id, meaning)
    said = bool(batch or meaning.last_usable_day)
    match = (Match.LOT if lots else Match.NEW) if said else Match.ITEM
    return MakerCode(
        meaning,
        match,
        item=items(conn, only=[item_id])[0],
        pack=pack,
        units=units_of(pack, meaning.count),
        lots=lots,
        other_dates=other_dates,
        recall=recalls.of_stock(conn, item_id, gtin, batch),
        held_lots=_on_hold(conn, item_id, batch),
        expired=expired,
    )


def _other_level(conn: sqlite3.Connection, gtin: str) -> int | None:
    for other in packing_levels(gtin):
        row = conn.execute("SELECT item_id FROM item_gtin WHERE gtin = ?", (other,)).fetchone()
        if row is not None:
            return int(row[0])
    return None


def _agreeing(
    conn: sqlite3.Connection, item_id: int, meaning: Meaning
) -> tuple[tuple[KnownLot, ...], tuple[KnownLot, ...]]:
    """The lots that agree with all that a code says, and those of its batch with another date."""
    day = meaning.last_usable_day.isoformat() if meaning.last_usable_day else None
    if meaning.batch:
        ids = json.dumps(_of_batch(conn, item_id, meaning.batch))
        found = _lots(conn, item_id, "lot_id IN (SELECT value FROM json_each(?2))", ids)
        if day is None:
            return found, ()
        agree = tuple(lot for lot in found if lot.last_usable_day == meaning.last_usable_day)
        return agree, tuple(lot for lot in found if lot not in agree)
    if day is not None:
        return _lots(conn, item_id, "printed_last_day = ?2", day), ()
    everything = _lots(conn, item_id, "?2 = ''", "")
    return tuple(lot for lot in everything if lot.on_hand), ()


def _lots(conn: sqlite3.Connection, item_id: int, where: str, value: str) -> tuple[KnownLot, ...]:
    """Some lots of an item, those on hand first, then the newest first."""
    rows = conn.execute(
        "SELECT lot_id, batch, printed_last_day, (SELECT ifnull(sum(quantity), 0) FROM holding"
        " WHERE holding.lot_id = lot.lot_id) AS on_hand"
        f" FROM lot WHERE item_id = ?1 AND {where} ORDER BY on_hand = 0, lot_id DESC",
        (item_id, value),
    ).fetchall()
    return tuple(KnownLot(lot, batch, day_of(last), held) for lot, batch, last, held in rows)


def _of_batch(conn: sqlite3.Connection, item_id: int, batch: str) -> list[int]:
    """The lots of an item with this batch, however it was written down: as recalls compare them."""
    from stockcheck.core.recalls import batch_key

    rows = conn.execute(
        "SELECT lot_id, batch FROM lot WHERE item_id = ? AND batch <> '' ORDER BY lot_id",
        (item_id,),
    ).fetchall()
    return [lot for lot, other in rows if batch_key(other) == batch_key(batch)]


def _on_hold(conn: sqlite3.Connection, item_id: int, batch: str) -> tuple[int, ...]:
    """The lots of a batch that are on hold anywhere."""
    if not batch:
        return ()
    rows = conn.execute(
        "SELECT DISTINCT lot_id FROM holding WHERE lot_id IN (SELECT value FROM json_each(?))"
        " AND state = 'held' AND quantity > 0 ORDER BY lot_id",
        (json.dumps(_of_batch(conn, item_id, batch)),),
    ).fetchall()
    return tuple(row[0] for row in rows)
