"""A stocktake in the store: each line durable at once, closed in one transaction, then kept."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from stockcheck.core.errors import BadInput
from stockcheck.core.movements import Line, Movement, What
from stockcheck.core.stocktake import Entry, Finding, Part
from stockcheck.store import bulk, ledger, reads, stocktake_due, stocktake_reads, stocktakes
from stockcheck.store.files import Store, opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import create

DAY = date(2026, 11, 25)
STAMP = Stamp(DAY, "2026-11-25T08:00:00+00:00")
TRUCK, TYRE, CAB = 1, 2, 3


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A truck with a tyre kit and a cab: 5 of L1 and 2 of L2 in the kit, 4 of L2 in the cab."""
    made = tmp_path / "kit.db"
    create(made, "Kit")
    with opened(made) as store, store.writing() as conn:
        bulk.add_text(conn, "box", {"box": "Truck"})
        bulk.add_text(conn, "box", {"box": "Tyre kit", "inside": "Truck"})
        bulk.add_text(conn, "box", {"box": "Cab"})
        bulk.add_text(conn, "item", {"item": "tyre patch", "kind": "tyre-patch"})
        for number in (1, 2):
            conn.execute(
                "INSERT INTO lot (lot_id, code, item_id, cost_cents) VALUES (?, ?, 1, 1000)",
                (number, f"10000000{number}3"),
            )
        stock = [Line(1, TYRE, 5), Line(2, TYRE, 2), Line(2, CAB, 4)]
        ledger.post(conn, [Movement(What.RECEIVED, (line,)) for line in stock], STAMP)
    return made


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with opened(path) as store:
        yield store


def begun(store: Store, *covers: int, blind: bool = False) -> int:
    with store.writing() as conn:
        return stocktakes.begin(conn, covers[0], covers, blind=blind, by="Nina", stamp=STAMP)


def count(store: Store, number: int, lot: int, quantity: int, **more: Any) -> None:
    with store.writing() as conn:
        now = stocktakes.last_movement(conn)
        line = Entry(0, more.pop("box", TYRE), lot, quantity, now, now, **more)
        stocktakes.add(conn, number, [line], STAMP)


def close(store: Store, number: int) -> list[int]:
    with store.writing() as conn:
        found = stocktakes.stocktake(conn, number)
        result = stocktake_reads.variances(conn, found)
        return stocktakes.close(conn, found, result, "Nina", STAMP)


def on_hand(store: Store) -> dict[tuple[int, int], int]:
    return {(h.lot.id, h.box.id): h.quantity for h in reads.holdings(store.conn)}


def everything(store: Store) -> list[list[tuple[object, ...]]]:
    tables = ("movement", "movement_line", "stocktake_end", "stocktake_result")
    return [store.conn.execute(f"SELECT * FROM {table}").fetchall() for table in tables]


def test_a_count_goes_on_in_another_process_where_it_was_left(path: Path) -> None:
    with opened(path) as store:
        number = begun(store, TYRE)
        count(store, number, 1, 3)
    with opened(path) as again:
        found = stocktakes.open_of(again.conn, TYRE)
        assert found is not None
        assert found.id == number
        assert [each.quantity for each in stocktakes.entries(again.conn, number)] == [3]
        count(again, number, 1, 2)
        (first, _) = stocktake_reads.variances(again.conn, found)
        assert (first.counted, first.finding) == (5, Finding.AGREES)


def test_a_line_that_was_not_finished_leaves_nothing_behind(path: Path) -> None:
    """A power cut between BEGIN and COMMIT: the file is as it was before the line."""
    with opened(path) as store:
        number = begun(store, TYRE)
        count(store, number, 1, 3)
        store.conn.execute("BEGIN IMMEDIATE")
        stocktakes.add(store.conn, number, [Entry(0, TYRE, 1, 9, 3, 3)], STAMP)
    with opened(path) as again:
        assert [each.quantity for each in stocktakes.entries(again.conn, number)] == [3]


def test_closing_posts_every_correction_at_once_and_keeps_the_list(store: Store) -> None:
    number = begun(store, TYRE)
    count(store, number, 1, 4)
    count(store, number, 2, 3)
    movements = close(store, number)
    assert on_hand(store) == {(1, TYRE): 4, (2, TYRE): 3, (2, CAB): 3}
    rows = [(each.lot_id, each.variance, each.finding, each.cents)
            for each in stocktake_reads.results(store.conn, number)]  # fmt: skip
    assert rows == [(1, -1, "short", -200), (2, 1, "wrong box", 0)]
    entries = [each for each in ledger.history(store.conn) if each.movement_id in movements]
    assert {(each.what, each.reason) for each in entries} == {
        (What.MOVED, f"count of Tyre kit, C{number}"),
        (What.COUNTED, f"count of Tyre kit, C{number}"),
    }


def test_undo_takes_all_of_a_counts_corrections_back_and_the_box_is_not_counted(
    store: Store,
) -> None:
    before, number = on_hand(store), begun(store, TYRE)
    count(store, number, 1, 4)
    close(store, number)
    with store.writing() as conn:
        ledger.undo(conn, None, STAMP, "wrong box")
    assert on_hand(store) == before
    assert stocktake_reads.past(store.conn)[0].undone
    assert {c.box: c.last_on for c in stocktake_due.when_counted(store.conn)}["Tyre kit"] is None


def test_a_closed_count_takes_no_line_and_is_not_closed_again(store: Store) -> None:
    number = begun(store, TYRE)
    count(store, number, 1, 5)
    count(store, number, 2, 2)
    close(store, number)
    with pytest.raises(BadInput, match="was closed on 2026-11-25"):
        count(store, number, 1, 1)
    with pytest.raises(BadInput, match="was closed"):
        close(store, number)


def test_stock_that_moved_during_the_count_is_seen_and_stops_the_posting(store: Store) -> None:
    number = begun(store, TYRE)
    count(store, number, 1, 3)
    with store.writing() as conn:
        ledger.post(conn, [Movement(What.ISSUED, (Line(1, TYRE, -1),))], STAMP)
    count(store, number, 1, 1)
    before = everything(store)
    with pytest.raises(BadInput, match="L1 in Tyre kit: stock of it moved while"):
        close(store, number)
    assert everything(store) == before
    count(store, number, 1, 4, sets=True)
    count(store, number, 2, 2)
    close(store, number)
    assert on_hand(store)[1, TYRE] == 4


def test_a_count_is_no_use(store: Store) -> None:
    number = begun(store, TYRE)
    close(store, number)
    assert {each.what for each in ledger.history(store.conn)} == {What.RECEIVED, What.COUNTED}


def test_two_people_count_the_same_box_and_each_strikes_only_what_is_theirs(store: Store) -> None:
    number = begun(store, TYRE)
    count(store, number, 1, 3, by="Nina")
    count(store, number, 1, 2, by="Omar")
    with store.writing() as conn:
        struck = stocktakes.strike(conn, number, "Nina", STAMP)
        assert stocktakes.strike(conn, number, "Nina", STAMP) is None
    assert isinstance(struck, Entry)
    assert [(each.by, each.quantity) for each in stocktakes.entries(store.conn, number)] == [
        ("Omar", 2)
    ]


def test_a_box_is_in_one_open_count_at_a_time(store: Store) -> None:
    begun(store, TRUCK, TYRE)
    with pytest.raises(BadInput, match="Truck is being counted already"):
        begun(store, TYRE)


def test_no_more_is_taken_back_than_was_counted(store: Store) -> None:
    number = begun(store, TYRE)
    count(store, number, 1, 2)
    with pytest.raises(BadInput, match="only 2 of it were counted"):
        count(store, number, 1, -3)
    assert len(stocktakes.entries(store.conn, number)) == 1


def test_an_abandoned_count_changes_nothing_and_is_no_count(store: Store) -> None:
    before, number = on_hand(store), begun(store, TYRE)
    with store.writing() as conn:
        found = stocktakes.stocktake(conn, number)
        stocktakes.abandon(conn, found, "Nina", "rain", STAMP)
    assert on_hand(store) == before
    assert stocktake_reads.past(store.conn) == []
    assert stocktakes.open_of(store.conn, TYRE) is None


def test_a_box_is_overdue_after_its_interval_since_its_last_count(store: Store) -> None:
    late = DAY + timedelta(days=stocktake_due.USUAL_DAYS + 1)
    assert stocktake_due.overdue(store.conn, DAY) == []
    assert [each.box for each in stocktake_due.overdue(store.conn, late)] == ["Cab", "Tyre kit"]
    close(store, begun(store, TYRE))
    with store.writing() as conn:
        stocktake_due.set_interval(conn, TYRE, 30)
        stocktake_due.set_interval(conn, CAB, 0)
    due = stocktake_due.overdue(store.conn, DAY + timedelta(days=31))
    assert [(each.box, each.last_on) for each in due] == [("Tyre kit", DAY)]


def test_a_printed_line_keeps_its_number(store: Store) -> None:
    number = begun(store, TYRE)
    with store.writing() as conn:
        stocktakes.number_lines(conn, number, [(TYRE, 1, Part.ANY, 5)])
        stocktakes.number_lines(conn, number, [(TYRE, 2, Part.ANY, 2), (TYRE, 1, Part.ANY, 5)])
    found = stocktakes.sheet(store.conn, number)
    assert [(each.line, each.lot_id) for each in found] == [(1, 1), (2, 2)]


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE stocktake_line SET quantity = 9",
        "DELETE FROM stocktake_line",
        (
            "INSERT OR REPLACE INTO stocktake_line (stocktake_line_id, stocktake_id, box_id,"
            " lot_id, quantity, since_movement, until_movement, on_day, recorded_at)"
            " VALUES (1, 1, 2, 1, 9, 0, 0, '2026-11-25', '')"
        ),
        "UPDATE stocktake_end SET how = 'abandoned'",
        "DELETE FROM stocktake_end",
        "UPDATE stocktake_result SET variance = 0",
        (
            "INSERT INTO stocktake_result (stocktake_id, box_id, lot_id, part, book, variance,"
            " finding) VALUES (1, 2, 1, '', 5, 0, 'agrees')"
        ),
        "DELETE FROM stocktake",
    ],
)
def test_no_other_tool_changes_a_closed_count(store: Store, path: Path, statement: str) -> None:
    number = begun(store, TYRE)
    count(store, number, 1, 4)
    count(store, number, 2, 2)
    close(store, number)
    plain = sqlite3.connect(path)
    with pytest.raises(sqlite3.IntegrityError):
        plain.execute(statement)
    plain.close()
