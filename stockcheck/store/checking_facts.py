"""Facts of a store that contradict one another or cannot be; nothing here is ever mended by itself.

References that SQLite cannot know, codes, and dates. Which columns are looked at is read from the
store, by what they are called.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import date

from stockcheck.core.calendar import PartialDate
from stockcheck.core.codes import TYPES
from stockcheck.core.store_findings import (
    Finding,
    LotDates,
    Part,
    Weight,
    code_findings,
    date_findings,
    gtin_findings,
)
from stockcheck.store.tables import Table, quoted, tables

_RECORD = "it is a record and stays; report how it came about"
_MOVEMENTS = ("after_movement", "since_movement", "until_movement", "together")


def codes(conn: sqlite3.Connection) -> Iterator[Finding]:
    """Our codes by check digit, sort and number; makers' codes by check digit."""
    for table in tables(conn):
        if table.name in TYPES and "code" in table.names:
            rows = conn.execute(f"SELECT {table.key[0]}, code FROM {quoted(table.name)}")
            for number, code in rows.fetchall():
                yield from code_findings(table.name, number, code)
        if "gtin" in table.names:
            rows = conn.execute(f"SELECT {table.key[0]}, gtin FROM {quoted(table.name)}")
            for key, gtin in rows.fetchall():
                remedy = "scan the pack again and enter what it says"
                yield from gtin_findings(f"{table.name} {key}", gtin, remedy)


def records(conn: sqlite3.Connection) -> Iterator[Finding]:
    """Records that lost what they are about."""
    yield from _movements_named(conn)
    yield from _ledger(conn)
    yield from _reversals(conn)
    yield from _kit_lists(conn)


def _movements_named(conn: sqlite3.Connection) -> Iterator[Finding]:
    """A number of a movement is none past the last one, and a first of some is there."""
    last = conn.execute("SELECT ifnull(max(movement_id), 0) FROM movement").fetchone()[0]
    for table in tables(conn):
        for column in [name for name in table.names if name in _MOVEMENTS]:
            rows = conn.execute(
                f"SELECT {quoted(table.key[0])}, {column} FROM {quoted(table.name)}"
                f" WHERE {column} > ? OR ({column} IS NOT NULL AND ? = 'together' AND NOT EXISTS"
                f" (SELECT 1 FROM movement AS m WHERE m.movement_id = {column}))",
                (last, column),
            )
            for key, number in rows.fetchall():
                what = f"it names the movement M{number}, which is not there"
                yield Finding(Part.RECORDS, f"{table.name} {key}", what, _RECORD)


def _ledger(conn: sqlite3.Connection) -> Iterator[Finding]:
    rows = conn.execute(
        "SELECT movement_id, what FROM movement AS m WHERE NOT EXISTS"
        " (SELECT 1 FROM movement_line WHERE movement_id = m.movement_id)"
    )
    for number, what in rows.fetchall():
        said = f"it is a movement ({what}) without a line: nothing tells what moved"
        yield Finding(Part.RECORDS, f"M{number}", said, _RECORD)
    yield from _clock(conn)


def _clock(conn: sqlite3.Connection) -> Iterator[Finding]:
    """Numbers tell the order; moments that run against it tell of a clock that was set back."""
    rows = conn.execute(
        "SELECT movement_id, recorded_at, before FROM (SELECT movement_id, recorded_at,"
        " lag(recorded_at) OVER (ORDER BY movement_id) AS before FROM movement)"
        " WHERE recorded_at < before LIMIT 20"
    )
    for number, moment, before in rows.fetchall():
        what = f"written at {moment}, after one of {before}: the clock was set back"
        remedy = "nothing to do: the numbers tell the order, and days are as they were given"
        yield Finding(Part.DATES, f"M{number}", what, remedy, Weight.LOOK)


def _reversals(conn: sqlite3.Connection) -> Iterator[Finding]:
    """A reversal takes back exactly what it reverses."""
    rows = conn.execute(
        "SELECT r.movement_id, r.reverses FROM movement AS r WHERE r.reverses IS NOT NULL AND ("
        "r.what <> 'reversed' OR EXISTS (SELECT lot_id, box_id, state, ifnull(opened_on, ''),"
        " sum(quantity) AS q FROM movement_line WHERE movement_id IN (r.movement_id, r.reverses)"
        " GROUP BY 1, 2, 3, 4 HAVING q <> 0))"
    )
    for number, reversed_ in rows.fetchall():
        what = f"it does not take back what M{reversed_} did"
        yield Finding(Part.RECORDS, f"M{number}", what, _RECORD)


def _kit_lists(conn: sqlite3.Connection) -> Iterator[Finding]:
    """What names a kit list, and the list is neither shipped nor kept."""
    from stockcheck.data.kit_lists import kit_list_ids
    from stockcheck.store.own_lists import own_list_titles

    known = {*kit_list_ids(), *own_list_titles(conn)}
    rows = conn.execute(
        "SELECT 'match ' || kit_match_id, list_id,"
        " 'take it back: stockcheck kit-lists unmatch ' || kit_match_id"
        " FROM kit_match WHERE ended_on IS NULL"
        " UNION ALL SELECT 'box ' || name, value,"
        " 'hold it against another: stockcheck kit-lists usual B' || box_id || ' LIST'"
        " FROM box_kit JOIN box USING (box_id), json_each(lists)"
    )
    for place, list_id, remedy in rows.fetchall():
        if list_id not in known:
            what = f"it names the kit list {list_id!r}, which is neither shipped nor kept"
            yield Finding(Part.RECORDS, place, what, remedy, Weight.LOOK)


def dates(conn: sqlite3.Connection, on: date) -> Iterator[Finding]:
    """Dates of lots against one another, and days of records that are still to come."""
    rows = conn.execute(
        "SELECT lot_id, made, printed_last_day, received_on, (SELECT min(opened_on) FROM"
        " movement_line WHERE lot_id = lot.lot_id AND quantity > 0) FROM lot"
    )
    for number, made, last, received, opened in rows:
        yield from date_findings(_lot_dates(number, made, last, received, opened), on)
    for table in tables(conn):
        if "on_day" in table.names:
            yield from _days_to_come(conn, table, on)


def _lot_dates(number: int, *days: str | None) -> LotDates:
    made, last, received, opened = days
    return LotDates(
        number,
        PartialDate(made).first_day() if made else None,
        date.fromisoformat(last) if last else None,
        date.fromisoformat(received) if received else None,
        date.fromisoformat(opened) if opened else None,
    )


def _days_to_come(conn: sqlite3.Connection, table: Table, on: date) -> Iterator[Finding]:
    name = quoted(table.name)
    count, last = conn.execute(
        f"SELECT count(*), max(on_day) FROM {name} WHERE on_day > ?", (on.isoformat(),)
    ).fetchone()
    if count:
        what = f"{count} of its rows are of a day after {on}, the last {last}"
        remedy = "look at the clock, and at what --on was given"
        yield Finding(Part.DATES, f"table {table.name}", what, remedy, Weight.LOOK)
