"""Audits at the box as records: written once, read back, and when the next one is due."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from datetime import date, timedelta

from stockcheck.core.audit_due import Overdue
from stockcheck.core.audit_round import Round, RoundLine, Seen, SeenLot
from stockcheck.core.errors import UnknownName
from stockcheck.store.ledger import Stamp
from stockcheck.store.reads import day_of


def due(conn: sqlite3.Connection, box_id: int) -> date | None:
    """The day by which a box's kit is to be looked at again; None where it never was."""
    return next((day for number, _, _, day in _dues(conn, box_id) if number == box_id), None)


def overdue(conn: sqlite3.Connection, on: date) -> list[Overdue]:
    """The boxes whose audit is past its day, or that have a list and never had one; by name."""
    return [it for it in all_due(conn) if it.due is None or it.due < on]


def all_due(conn: sqlite3.Connection) -> list[Overdue]:
    """Every box with a list or an audit, overdue or not, by name."""
    return [Overdue(box_id, name, day, last) for box_id, name, last, day in _dues(conn)]


def _dues(
    conn: sqlite3.Connection, box_id: int | None = None
) -> list[tuple[int, str, date | None, date | None]]:
    """Id and name of the boxes with a list or an audit, the last audit, and when to look again."""
    rows = conn.execute(
        "SELECT box_id, box.name, check_every_days, last.on_day, last.next_due FROM box"
        " LEFT JOIN box_kit USING (box_id)"
        " LEFT JOIN (SELECT box_id, on_day, next_due, row_number() OVER"
        "  (PARTITION BY box_id ORDER BY on_day DESC, audit_round_id DESC) AS place"
        "  FROM audit_round) AS last USING (box_id)"
        " WHERE (last.place = 1 OR (last.place IS NULL AND box_kit.box_id IS NOT NULL))"
        " AND box.retired_on IS NULL AND (? IS NULL OR box_id = ?) ORDER BY box.name_key",
        (box_id, box_id),
    ).fetchall()
    return [
        (number, name, day_of(last), _again(day_of(last), day_of(noted), every))
        for number, name, every, last, noted in rows
    ]


def _again(last: date | None, noted: date | None, every: int | None) -> date | None:
    """The day noted in the record, unless the box has an interval of its own now."""
    if last is not None and every is not None:
        return last + timedelta(days=every)
    return noted


def record(conn: sqlite3.Connection, done: Round, seen: Sequence[Seen], stamp: Stamp) -> int:
    """Write a round down for good; its number. ``done.id`` is not looked at."""
    number = conn.execute(
        "INSERT INTO audit_round (box_id, lists, title, on_day, horizon, checked_by, seal,"
        " last_used, given, people, days, met, lines, verdict, next_due, due_why, note,"
        " recorded_at) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
        " RETURNING audit_round_id",
        (
            done.box_id,
            _texts(done.lists),
            done.title,
            done.on.isoformat(),
            _day(done.horizon),
            done.checked_by,
            done.seal,
            _day(done.last_used),
            _texts(done.given),
            done.people,
            done.days,
            done.met,
            len(done.lines),
            done.verdict,
            done.next_due.isoformat(),
            done.due_why,
            done.note,
            stamp.recorded_at,
        ),
    ).fetchone()[0]
    _write_lines(conn, number, done.lines)
    _write_found(conn, number, seen)
    return int(number)


def _write_lines(conn: sqlite3.Connection, number: int, lines: Sequence[RoundLine]) -> None:
    conn.executemany(
        "INSERT INTO audit_round_line (audit_round_id, position, line, required, unit, usable,"
        " short, finding, why) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [
            (number, at, it.line, it.required, it.unit, it.usable, it.short, it.finding, it.why)
            for at, it in enumerate(lines, 1)
        ],
    )


def _write_found(conn: sqlite3.Connection, number: int, seen: Sequence[Seen]) -> None:
    conn.executemany(
        "INSERT INTO audit_round_found (audit_round_id, position, lot_id, box_id, opened_on, state,"
        " booked, found, damaged, last_usable_day) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [
            (
                number,
                at,
                it.holding.lot.id,
                it.holding.box.id,
                _day(it.holding.opened_on),
                it.holding.state.value,
                it.booked,
                it.found,
                it.damaged,
                _day(it.holding.last_usable_day),
            )
            for at, it in enumerate(seen, 1)
        ],
    )


def rounds(
    conn: sqlite3.Connection, *, box_id: int | None = None, number: int | None = None
) -> list[Round]:
    """The rounds of a box, or the one of that number, or all, the last one first."""
    rows = conn.execute(
        "SELECT audit_round_id, box_id, box.name, lists, title, on_day, horizon, checked_by, seal,"
        " last_used, given, people, days, met, verdict, next_due, due_why, audit_round.note"
        " FROM audit_round JOIN box USING (box_id)"
        " WHERE (? IS NULL OR box_id = ?) AND (? IS NULL OR audit_round_id = ?)"
        " ORDER BY on_day DESC, audit_round_id DESC",
        (box_id, box_id, number, number),
    ).fetchall()
    lines, seen = _lines(conn), _seen(conn)
    return [
        Round(
            row[0], row[1], row[2], tuple(json.loads(row[3])), row[4],
            date.fromisoformat(row[5]), day_of(row[6]), row[7], row[8], day_of(row[9]),
            tuple(json.loads(row[10])), row[11], row[12], row[13], row[14],
            date.fromisoformat(row[15]), row[16], row[17],
            tuple(lines.get(row[0], ())), tuple(seen.get(row[0], ())),
        )
        for row in rows
    ]  # fmt: skip


def round_of(conn: sqlite3.Connection, number: int) -> Round:
    """The round of that number; UnknownName for none."""
    found = rounds(conn, number=number)
    if not found:
        raise UnknownName(f"there is no round {number}; 'round history' lists them")
    return found[0]


def round_before(conn: sqlite3.Connection, done: Round) -> Round | None:
    """The round of the same box before this one; None for the first."""
    earlier = [it for it in rounds(conn, box_id=done.box_id) if (it.on, it.id) < (done.on, done.id)]
    return earlier[0] if earlier else None


def _lines(conn: sqlite3.Connection) -> dict[int, list[RoundLine]]:
    found: dict[int, list[RoundLine]] = {}
    for number, *row in conn.execute(
        "SELECT audit_round_id, line, required, unit, usable, short, finding, why"
        " FROM audit_round_line ORDER BY audit_round_id, position"
    ).fetchall():
        found.setdefault(number, []).append(RoundLine(*row))
    return found


def _seen(conn: sqlite3.Connection) -> dict[int, list[SeenLot]]:
    found: dict[int, list[SeenLot]] = {}
    for number, lot, item, box, booked, there, damaged, opened, last in conn.execute(
        "SELECT audit_round_id, 'L' || lot_id, item.name, box.name, booked, found, damaged,"
        " audit_round_found.opened_on, last_usable_day FROM audit_round_found"
        " JOIN lot USING (lot_id) JOIN item USING (item_id)"
        " JOIN box ON box.box_id = audit_round_found.box_id ORDER BY audit_round_id, position"
    ).fetchall():
        each = SeenLot(lot, item, box, booked, there, damaged, day_of(opened), day_of(last))
        found.setdefault(number, []).append(each)
    return found


def _texts(words: Sequence[str]) -> str:
    return json.dumps(list(words), ensure_ascii=False)


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None
