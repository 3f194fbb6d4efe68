"""Audits at the box as records: written once, read back, and when the next one is due."""

from __future__ import annotations

import sqlite3
from datetime import date, timedelta

from stockcheck.core.audit_due import Overdue
from stockcheck.store.reads import day_of


def due(conn: sqlite3.Connection, box_id: int) -> date | None:
    """The day by which a box's kit is to be looked at again; None where it never was."""
    return next((day for number, _, _, day in _dues(conn, box_id) if number == box_id), None)


def overdue(conn: sqlite3.Connection, on: date) -> list[Overdue]:
    """The boxes whose audit is past its day, or that have a list and never had one; by name."""
    return [
        Overdue(box_id, name, day, last)
        for box_id, name, last, day in _dues(conn)
        if day is None or day < on
    ]


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
