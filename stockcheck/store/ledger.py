"""Writing movements, reading them back, and undoing them; nothing else adds to the ledger."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core.errors import BadInput
from stockcheck.core.model import State
from stockcheck.core.movements import Line, Movement, What
from stockcheck.store.limits import refresh_limits
from stockcheck.store.reads import Row
from stockcheck.store.rows import insert, next_number


@dataclass(frozen=True, slots=True)
class Stamp:
    """The day that a command is for, and the moment in UTC at which it was written."""

    on_day: date
    recorded_at: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of history, in words that stand in the store."""

    movement_id: int
    what: What
    on_day: date
    lot_id: int
    item: str
    box: str
    quantity: int
    unit: str
    opened_on: date | None
    state: State
    reason: str
    reverses: int | None
    reversed_by: int | None


def post(conn: sqlite3.Connection, movements: Iterable[Movement], stamp: Stamp) -> list[int]:
    """Write movements as one command's work; returns their numbers. Call inside ``writing()``.

    BadInput when a line takes out more than there is, or puts stock into a retired box.
    """
    plans = list(movements)
    first = next_number(conn, "movement")
    numbers = list(range(first, first + len(plans)))
    lines = [line for plan in plans for line in plan.lines]
    _refuse_retired(conn, {line.box_id for line in lines if line.quantity > 0})
    try:
        _write(conn, list(zip(numbers, plans, strict=True)), stamp, together=first)
    except sqlite3.IntegrityError as error:
        if error.sqlite_errorname != "SQLITE_CONSTRAINT_TRIGGER":
            raise
        raise BadInput("that takes out more than there is; nothing was changed") from error
    # what only leaves a box changes no limit of what stays there
    if changed := {line.lot_id for line in lines if line.quantity >= 0}:
        refresh_limits(conn, sorted(changed))
    return numbers


def _refuse_retired(conn: sqlite3.Connection, box_ids: Collection[int]) -> None:
    rows = conn.execute(
        "SELECT name, retired_on FROM box WHERE retired_on IS NOT NULL"
        " AND box_id IN (SELECT value FROM json_each(?)) ORDER BY name_key",
        (json.dumps(sorted(box_ids)),),
    ).fetchall()
    for name, day in rows:
        raise BadInput(
            f"box {name!r} is out of use since {day};"
            f' choose another, or take it back: box retire "{name}" --undo'
        )


def _write(
    conn: sqlite3.Connection,
    movements: Sequence[tuple[int, Movement]],
    stamp: Stamp,
    together: int,
    reverses: int | None = None,
) -> None:
    """Movements under their numbers, then their lines."""
    rows = [
        {
            "movement_id": number,
            "together": together,
            "what": movement.what.value,
            "on_day": stamp.on_day.isoformat(),
            "recorded_at": stamp.recorded_at,
            "reason": movement.reason,
            "reverses": reverses,
        }
        for number, movement in movements
    ]
    insert(conn, "movement", rows)
    insert(
        conn,
        "movement_line",
        [_line_row(number, line) for number, plan in movements for line in plan.lines],
    )


def _line_row(number: int, line: Line) -> dict[str, object]:
    return {
        "movement_id": number,
        "lot_id": line.lot_id,
        "box_id": line.box_id,
        "opened_on": line.opened_on.isoformat() if line.opened_on else None,
        "state": line.state.value,
        "quantity": line.quantity,
    }


def undo(conn: sqlite3.Connection, number: int | None, stamp: Stamp, reason: str) -> list[int]:
    """Reverse one movement, or without a number all of the last command. Returns what was undone.

    A reversal is itself a movement; stock that was used since cannot be taken back out. Without a
    number BadInput too where a lot's facts were changed, or a trip was closed, after the last
    command: what was done last is what is meant.
    """
    targets = [number] if number is not None else _last_command(conn)
    if number is None:
        _refuse_newer_change(conn, max(targets))
        _refuse_newer_closing(conn, max(targets))
    first = next_number(conn, "movement")
    for written, target in enumerate(targets, first):
        lines = _lines_to_undo(conn, target)
        back = tuple(
            Line(line.lot_id, line.box_id, -line.quantity, line.opened_on, line.state)
            for line in lines
        )
        reversal = Movement(What.REVERSED, back, reason)
        try:
            _write(conn, [(written, reversal)], stamp, together=first, reverses=target)
        except sqlite3.IntegrityError as error:
            raise BadInput(
                f"M{target} cannot be undone: what it put there has been used or moved since;"
                " undo the later movements first (see history)"
            ) from error
        refresh_limits(conn, sorted({line.lot_id for line in lines}))
    return targets


def _last_command(conn: sqlite3.Connection) -> list[int]:
    rows = conn.execute(
        "SELECT movement_id FROM movement AS m WHERE together = ("
        " SELECT together FROM movement AS n WHERE what <> 'reversed' AND NOT EXISTS"
        " (SELECT 1 FROM movement WHERE reverses = n.movement_id)"
        " ORDER BY together DESC LIMIT 1)"
        " AND NOT EXISTS (SELECT 1 FROM movement WHERE reverses = m.movement_id)"
        " ORDER BY movement_id DESC"
    ).fetchall()
    if not rows:
        raise BadInput("there is nothing to undo: the ledger has no movement that still stands")
    return [int(row[0]) for row in rows]


# With which option a fact of a lot is put back as it was, where there is one.
_OPTIONS = {
    "expiry_text": "--expiry",
    "made_text": "--made",
    "received_on": "--received",
    "batch": "--batch",
    "note": "--note",
}


def _refuse_newer_change(conn: sqlite3.Connection, movement: int) -> None:
    """What was done last must be what is undone; a change of a lot's facts is no movement.

    The lot changed last is named with what it was when the movement was written.
    """
    rows = conn.execute(
        "SELECT lot_id, field, ifnull(was, '') FROM lot_change WHERE after_movement >= ?1"
        " AND lot_id = (SELECT lot_id FROM lot_change WHERE after_movement >= ?1"
        " ORDER BY lot_change_id DESC LIMIT 1) ORDER BY lot_change_id DESC",
        (movement,),
    ).fetchall()
    if not rows:
        return
    from shlex import quote

    lot = f"L{rows[0][0]}"
    was = {_OPTIONS[field]: text for _, field, text in rows if field in _OPTIONS}
    options = "".join(f" {option} {quote(text)}" for option, text in was.items())
    back = f"put them back with: stockcheck lot change {lot}{options}"
    raise BadInput(
        f"the facts of {lot} were changed after M{movement}, and undo is about movements of stock;"
        f" {back if was else f'look at them with: stockcheck lot show {lot}'};"
        f" or reverse the movement all the same: stockcheck undo M{movement}"
    )


CLOSING_STANDS = (
    "takes_back IS NULL AND NOT EXISTS"
    " (SELECT 1 FROM trip_close AS b WHERE b.takes_back = t.trip_close_id)"
)
"""Of ``trip_close AS t``: the closing is none that takes another back, and was not taken back."""


def _refuse_newer_closing(conn: sqlite3.Connection, movement: int) -> None:
    """A closing that found nothing used wrote no movement; the one before it is not meant."""
    row = conn.execute(
        "SELECT name FROM trip_close AS t JOIN trip USING (trip_id)"
        f" WHERE {CLOSING_STANDS} AND t.recorded_at >"
        " (SELECT recorded_at FROM movement WHERE movement_id = ?)"
        " ORDER BY trip_close_id DESC LIMIT 1",
        (movement,),
    ).fetchone()
    if row:
        raise BadInput(
            f"{row[0]} was closed after M{movement}; open it again with: stockcheck trip close"
            f' "{row[0]}" --undo; or reverse the movement all the same: stockcheck undo M{movement}'
        )


def _lines_to_undo(conn: sqlite3.Connection, number: int) -> list[Line]:
    row = conn.execute(
        "SELECT what, (SELECT movement_id FROM movement WHERE reverses = m.movement_id)"
        " FROM movement AS m WHERE movement_id = ?",
        (number,),
    ).fetchone()
    if row is None:
        raise BadInput(f"there is no movement M{number}; history shows the numbers")
    if row[0] == What.REVERSED:
        raise BadInput(f"M{number} is itself a reversal; enter the movement anew instead")
    if row[1] is not None:
        raise BadInput(f"M{number} was undone already, by M{row[1]}")
    rows = conn.execute(
        "SELECT lot_id, box_id, quantity, opened_on, state FROM movement_line"
        " WHERE movement_id = ? ORDER BY line_id DESC",
        (number,),
    ).fetchall()
    return [
        Line(lot, box, quantity, date.fromisoformat(day) if day else None, State(state))
        for lot, box, quantity, day, state in rows
    ]


def history(
    conn: sqlite3.Connection,
    *,
    lot_ids: Sequence[int] | None = None,
    box_ids: Sequence[int] | None = None,
    last: int | None = None,
) -> list[Entry]:
    """The ledger's lines, oldest first; of some lots, of some boxes, or only the last so many."""
    where, values = [], []
    for column, ids in (("lot_id", lot_ids), ("box_id", box_ids)):
        if ids is not None:
            where.append(f"line.{column} IN (SELECT value FROM json_each(?))")
            values.append(json.dumps(list(ids)))
    chosen = f"WHERE {' AND '.join(where)}" if where else ""
    rows = conn.execute(
        "SELECT movement_id, what, on_day, line.lot_id, item.name, box.name, line.quantity,"
        " item.unit, line.opened_on, line.state, reason, reverses,"
        " (SELECT movement_id FROM movement AS r WHERE r.reverses = movement.movement_id)"
        " FROM movement JOIN movement_line AS line USING (movement_id)"
        " JOIN lot USING (lot_id) JOIN item USING (item_id) JOIN box USING (box_id)"
        f" {chosen} ORDER BY line_id DESC LIMIT ?",
        (*values, -1 if last is None else last),
    ).fetchall()
    return [_entry(row) for row in reversed(rows)]


def _entry(row: Row) -> Entry:
    number, what, on_day, lot, item, box, quantity, unit, opened, state, reason, back, gone = row
    return Entry(
        movement_id=number,
        what=What(what),
        on_day=date.fromisoformat(on_day),
        lot_id=lot,
        item=item,
        box=box,
        quantity=quantity,
        unit=unit,
        opened_on=date.fromisoformat(opened) if opened else None,
        state=State(state),
        reason=reason,
        reverses=back,
        reversed_by=gone,
    )
