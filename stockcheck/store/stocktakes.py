"""Stocktakes: begun, counted line by line, each line durable at once, and closed as a record.

Every function that writes is called inside ``writing()``.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core.errors import BadInput
from stockcheck.core.model import Box
from stockcheck.core.stocktake import Entry, Part, Variance
from stockcheck.core.stocktake_posting import corrections, notes
from stockcheck.store import reads
from stockcheck.store.ledger import Stamp, post
from stockcheck.store.rows import insert, next_number


@dataclass(frozen=True, slots=True)
class Stocktake:
    """One stocktake: of which box, the boxes it covers, and since when; ``how`` "" while open."""

    id: int
    box: Box
    boxes: tuple[Box, ...]
    blind: bool
    by: str
    begun_on: date
    after_movement: int
    how: str = ""
    ended_on: date | None = None
    together: int | None = None

    @property
    def short(self) -> str:
        """How people name it."""
        return f"C{self.id}"

    @property
    def covers(self) -> list[int]:
        """The numbers of its boxes."""
        return [box.id for box in self.boxes]


@dataclass(frozen=True, slots=True)
class SheetLine:
    """A numbered line of a paper sheet."""

    line: int
    box_id: int
    lot_id: int
    part: Part
    expected: int
    after_movement: int


@dataclass(frozen=True, slots=True)
class Note:
    """Something found that the books do not have, as somebody described it."""

    id: int
    box_id: int
    text: str
    by: str


def begin(
    conn: sqlite3.Connection, box: int, covers: Sequence[int], *, blind: bool, by: str, stamp: Stamp
) -> int:
    """A new stocktake of a box and the boxes that it covers; BadInput where one is open there."""
    for each in covers:
        if other := open_of(conn, each):
            raise BadInput(
                f"{other.box.name} is being counted already ({other.short}) and that covers a box"
                f" of this count; go on with it, or give it up: count {other.box.short} --abandon"
            )
    number = next_number(conn, "stocktake")
    head = {
        "stocktake_id": number, "box_id": box, "blind": int(blind), "begun_by": by,
        "on_day": stamp.on_day.isoformat(), "recorded_at": stamp.recorded_at,
        "after_movement": last_movement(conn),
    }  # fmt: skip
    insert(conn, "stocktake", [head])
    insert(conn, "stocktake_box", [{"stocktake_id": number, "box_id": each} for each in covers])
    return number


def begun(
    conn: sqlite3.Connection, box: int, *, inner: bool, blind: bool, by: str, stamp: Stamp
) -> Stocktake:
    """The open stocktake of a box, to go on with, or a new one of it (``inner``: and inside it).

    BadInput for a box that is out of use.
    """
    every = reads.boxes(conn, retired=True)
    this = next(each for each in every if each.id == box)
    found = open_of(conn, box)
    if found is not None and found.box.id == box:
        return found
    if this.retired_on:
        raise BadInput(
            f"box {this.name!r} is out of use since {this.retired_on}; take it back to count it:"
            f' box retire "{this.name}" --undo'
        )
    used = [each for each in every if not each.retired_on]
    covers = reads.box_and_inside(used, box) if inner else [box]
    number = begin(conn, box, covers, blind=blind, by=by, stamp=stamp)
    return stocktake(conn, number)


def last_movement(conn: sqlite3.Connection) -> int:
    """The number of the last movement in the ledger, 0 for none."""
    return int(conn.execute("SELECT ifnull(max(movement_id), 0) FROM movement").fetchone()[0])


def open_of(conn: sqlite3.Connection, box: int) -> Stocktake | None:
    """The open stocktake that covers a box."""
    row = conn.execute(
        "SELECT stocktake_id FROM stocktake_box WHERE box_id = ?"
        " AND stocktake_id NOT IN (SELECT stocktake_id FROM stocktake_end)",
        (box,),
    ).fetchone()
    return stocktake(conn, row[0]) if row else None


def last_of(conn: sqlite3.Connection, box: int) -> Stocktake | None:
    """The open stocktake of a box, else the one that closed last."""
    row = conn.execute(
        "SELECT max(stocktake_id) FROM stocktake_box LEFT JOIN stocktake_end USING (stocktake_id)"
        " WHERE box_id = ? AND ifnull(how, '') <> 'abandoned'",
        (box,),
    ).fetchone()
    return open_of(conn, box) or (stocktake(conn, row[0]) if row[0] else None)


def stocktake(conn: sqlite3.Connection, number: int) -> Stocktake:
    """A stocktake by its number; BadInput when there is none."""
    row = conn.execute(
        "SELECT box_id, blind, begun_by, s.on_day, after_movement, ifnull(how, ''), e.on_day,"
        " together FROM stocktake AS s LEFT JOIN stocktake_end AS e USING (stocktake_id)"
        " WHERE stocktake_id = ?",
        (number,),
    ).fetchone()
    if row is None:
        raise BadInput(f"there is no stocktake C{number}; 'count --list' shows them")
    box, blind, by, begun, after, how, ended, together = row
    covered = {
        each
        for (each,) in conn.execute(
            "SELECT box_id FROM stocktake_box WHERE stocktake_id = ?", (number,)
        ).fetchall()
    }
    boxes = [each for each in reads.boxes(conn, retired=True) if each.id in covered]
    main = next(each for each in boxes if each.id == box)
    return Stocktake(
        number, main, tuple(boxes), bool(blind), by, date.fromisoformat(begun), after, how,
        reads.day_of(ended), together,
    )  # fmt: skip


def add(conn: sqlite3.Connection, number: int, entries: Iterable[Entry], stamp: Stamp) -> list[int]:
    """Lines counted, in order; returns their numbers. An ``id`` of 0 is given one.

    BadInput where the stocktake was closed meanwhile, or where a line takes more back than was
    counted.
    """
    _refuse_closed(conn, number)
    lines = []
    for entry in entries:
        row = _row(conn, number, stamp) | {
            "box_id": entry.box_id, "lot_id": entry.lot_id, "part": entry.part.value,
            "quantity": entry.quantity, "sets": int(entry.sets), "counted_by": entry.by,
            "since_movement": entry.since, "until_movement": entry.until,
        }  # fmt: skip
        insert(conn, "stocktake_line", [row])
        lines.append(row["stocktake_line_id"])
        _refuse_below_zero(conn, number, entry)
    return [int(str(each)) for each in lines]


def _row(conn: sqlite3.Connection, number: int, stamp: Stamp) -> dict[str, object]:
    return {
        "stocktake_line_id": next_number(conn, "stocktake_line"), "stocktake_id": number,
        "on_day": stamp.on_day.isoformat(), "recorded_at": stamp.recorded_at,
    }  # fmt: skip


def _refuse_closed(conn: sqlite3.Connection, number: int) -> None:
    found = stocktake(conn, number)
    if found.how:
        raise BadInput(
            f"count {found.short} of {found.box.name} was {found.how} on {found.ended_on};"
            f' begin another: stockcheck count "{found.box.name}"'
        )


def _refuse_below_zero(conn: sqlite3.Connection, number: int, entry: Entry) -> None:
    if entry.quantity >= 0:
        return
    total = 0
    for each in entries(conn, number, entry.lot_id):
        if (each.box_id, each.lot_id, each.part) == (entry.box_id, entry.lot_id, entry.part):
            total = each.quantity if each.sets else total + each.quantity
    if total < 0:
        raise BadInput(
            f"L{entry.lot_id} {entry.quantity}: only {total - entry.quantity} of it were counted"
        )


def note(conn: sqlite3.Connection, number: int, box: int, text: str, by: str, stamp: Stamp) -> None:
    """Write down something that the books do not have."""
    _refuse_closed(conn, number)
    now = last_movement(conn)
    insert(conn, "stocktake_line", [_row(conn, number, stamp) | {
        "box_id": box, "note": text, "counted_by": by,
        "since_movement": now, "until_movement": now,
    }])  # fmt: skip


def strike(conn: sqlite3.Connection, number: int, by: str, stamp: Stamp) -> Entry | Note | None:
    """Take back the last line that somebody counted and that still stands; None without any."""
    _refuse_closed(conn, number)
    lines: list[Entry | Note] = [*entries(conn, number), *noted(conn, number)]
    last = max((each for each in lines if each.by == by), key=lambda it: it.id, default=None)
    if last is None:
        return None
    now = last_movement(conn)
    insert(conn, "stocktake_line", [_row(conn, number, stamp) | {
        "box_id": last.box_id, "strikes": last.id, "counted_by": by,
        "since_movement": now, "until_movement": now,
    }])  # fmt: skip
    return last


_STANDS = (
    "stocktake_id = ?1 AND strikes IS NULL AND NOT EXISTS"
    " (SELECT 1 FROM stocktake_line AS s WHERE s.strikes = line.stocktake_line_id)"
)


def entries(conn: sqlite3.Connection, number: int, lot: int | None = None) -> list[Entry]:
    """The lines of a stocktake that stand, in order; of one lot alone for a short way."""
    rows = conn.execute(
        "SELECT stocktake_line_id, box_id, lot_id, quantity, since_movement, until_movement, part,"
        f" sets, counted_by FROM stocktake_line AS line WHERE {_STANDS} AND lot_id IS NOT NULL"
        " AND (?2 IS NULL OR lot_id = ?2) ORDER BY stocktake_line_id",
        (number, lot),
    ).fetchall()
    return [
        Entry(line, box, lot, quantity, since, until, Part(part), bool(sets), by)
        for line, box, lot, quantity, since, until, part, sets, by in rows
    ]


def noted(conn: sqlite3.Connection, number: int) -> list[Note]:
    """What was found that the books do not have, in order."""
    rows = conn.execute(
        "SELECT stocktake_line_id, box_id, note, counted_by FROM stocktake_line AS line"
        f" WHERE {_STANDS} AND lot_id IS NULL ORDER BY stocktake_line_id",
        (number,),
    ).fetchall()
    return [Note(*row) for row in rows]


def close(
    conn: sqlite3.Connection, found: Stocktake, result: Sequence[Variance], by: str, stamp: Stamp
) -> list[int]:
    """Post the corrections of a variance list and close; returns the movements written.

    BadInput where a line must be counted again.
    """
    _refuse_closed(conn, found.id)
    again = [f"{each.lot.short} in {each.box.name}: {each.again}" for each in result if each.again]
    if again:
        raise BadInput(f"nothing posted: {'; '.join(again)}. Count again, as in 'L12 =3'")
    plans = corrections(result, f"count of {found.box.name}, {found.short}")
    numbers = post(conn, plans, stamp) if plans else []
    rows = [
        {
            "stocktake_id": found.id, "box_id": each.box.id, "lot_id": each.lot.id,
            "part": each.part.value, "book": each.book, "counted": each.counted,
            "variance": each.difference, "finding": each.finding.value,
            "value_cents": each.cents, "note": "; ".join(notes(each)),
        }
        for each in result
    ]  # fmt: skip
    insert(conn, "stocktake_result", rows)
    _end(conn, found.id, "closed", by, "", stamp, numbers[0] if numbers else None)
    return numbers


def abandon(conn: sqlite3.Connection, found: Stocktake, by: str, reason: str, stamp: Stamp) -> None:
    """Give a stocktake up: its lines stay on record and change nothing."""
    _refuse_closed(conn, found.id)
    _end(conn, found.id, "abandoned", by, reason, stamp, None)


def _end(
    conn: sqlite3.Connection, number: int, how: str, by: str, reason: str, stamp: Stamp,
    together: int | None,
) -> None:  # fmt: skip
    insert(conn, "stocktake_end", [{
        "stocktake_id": number, "how": how, "ended_by": by, "reason": reason,
        "on_day": stamp.on_day.isoformat(), "recorded_at": stamp.recorded_at,
        "together": together,
    }])  # fmt: skip


def number_lines(
    conn: sqlite3.Connection, number: int, wanted: Sequence[tuple[int, int, Part, int]]
) -> None:
    """Give what is to stand on a sheet, as box, lot, part and quantity, the next numbers.

    What has a number keeps it.
    """
    _refuse_closed(conn, number)
    known = sheet(conn, number)
    have = {(each.box_id, each.lot_id, each.part) for each in known}
    after, next_line = last_movement(conn), len(known) + 1
    fresh = [each for each in wanted if each[:3] not in have]
    rows = [
        {
            "stocktake_id": number, "line": line, "box_id": box, "lot_id": lot,
            "part": part.value, "expected": quantity, "after_movement": after,
        }
        for line, (box, lot, part, quantity) in enumerate(fresh, next_line)
    ]  # fmt: skip
    insert(conn, "stocktake_sheet", rows)


def sheet(conn: sqlite3.Connection, number: int) -> list[SheetLine]:
    """The numbered lines of a stocktake's sheet."""
    rows = conn.execute(
        "SELECT line, box_id, lot_id, part, expected, after_movement FROM stocktake_sheet"
        " WHERE stocktake_id = ? ORDER BY line",
        (number,),
    ).fetchall()
    return [SheetLine(line, box, lot, Part(part), *rest) for line, box, lot, part, *rest in rows]
