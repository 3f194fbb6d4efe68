"""Inspections and decisions in a store: written with their movement, and gone when it is undone."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest

from stockcheck.core import movements
from stockcheck.core.deciding import Decided, to_be_replaced
from stockcheck.core.inspection import extensions_left, inspect
from stockcheck.core.intake import DateRules, Shelves, read_lines
from stockcheck.core.model import Inspection, Status
from stockcheck.store import bulk, ledger, reads
from stockcheck.store.files import Store, opened
from stockcheck.store.inspections import Decision, decide, decisions, record
from stockcheck.store.ledger import Stamp
from stockcheck.store.looks import inspections
from stockcheck.store.migrate import create
from stockcheck.store.receiving import receive

TODAY = date(2026, 11, 25)
STAMP = Stamp(TODAY, "2026-11-25T08:00:00+00:00")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two tubes of sealant past their printed date in a tray, two grease cartridges too."""
    path = tmp_path_factory.mktemp("made") / "kit.db"
    create(path, "Kit")
    with opened(path) as store, store.writing() as conn:
        bulk.add_text(conn, "box", {"box": "Tray"})
        bulk.add_text(conn, "box", {"box": "Home"})
        bulk.add_text(conn, "item", {"item": "sealant", "kind": "rtv-silicone"})
        bulk.add_text(conn, "item", {"item": "grease", "kind": "grease"})
        line = {"box": "Tray", "quantity": "2", "expiry": "EXP 09/2026"}
        numbered = [(n, line | {"item": name}) for n, name in enumerate(("sealant", "grease"), 2)]
        shelves = Shelves.of(reads.boxes(conn), reads.items(conn), [])
        arrivals, _ = read_lines("two.csv", numbered, shelves, DateRules(TODAY))
        receive(conn, arrivals, STAMP)
    return path


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    with opened(copyfile(made, tmp_path / "kit.db")) as store:
        yield store


def look(store: Store, lot: int, *, passed: bool, on: date = TODAY, note: str = "") -> int:
    held = reads.holdings(store.conn, lot_ids=[lot])
    found = inspect(held[0].lot, None, on=on, passed=passed, by="Nina", note=note)
    with store.writing() as conn:
        return record(conn, lot, held, found, Stamp(on, STAMP.recorded_at))


def undo(store: Store) -> None:
    with store.writing() as conn:
        ledger.undo(conn, None, STAMP, "misread")


def kept(store: Store, lot: int) -> list[tuple[str, str]]:
    return [(str(each.last_usable_day), each.governed_by)
            for each in reads.holdings(store.conn, lot_ids=[lot])]  # fmt: skip


def test_a_pass_extends_every_holding_of_the_lot_and_undo_takes_it_back(store: Store) -> None:
    tubes = reads.holdings(store.conn, lot_ids=[1])[0]
    with store.writing() as conn:
        ledger.post(conn, [movements.move(tubes, 1, 2)], STAMP)
    look(store, 1, passed=True, note="bead cured")
    assert kept(store, 1) == [("2027-05-25", "inspected")] * 2
    (lot,) = reads.lots(store.conn, [1])
    assert lot.inspections == (Inspection(TODAY, True, "Nina", "bead cured", date(2027, 5, 25)),)
    assert extensions_left(lot) == 1
    undo(store)
    assert kept(store, 1) == [("2026-09-30", "printed")] * 2
    assert reads.lots(store.conn, [1])[0].inspections == ()


def test_a_fail_ends_the_lot_and_says_why_in_the_ledger(store: Store) -> None:
    number = look(store, 1, passed=False, note="lumps")
    entries = [e for e in ledger.history(store.conn, lot_ids=[1]) if e.movement_id == number]
    assert [(e.what.value, e.quantity, e.reason) for e in entries] == [
        ("inspected", 0, "FAILED: lumps")
    ]
    assert inspections(store.conn, [1]) == {1: (Inspection(TODAY, False, "Nina", "lumps"),)}
    assert inspections(store.conn, [2]) == {}
    undo(store)
    assert inspections(store.conn, None) == {}


def test_looks_come_back_in_the_order_of_their_days(store: Store) -> None:
    later, earlier = date(2027, 5, 1), date(2026, 11, 26)
    look(store, 1, passed=True, on=later)
    look(store, 1, passed=True, on=earlier)
    assert [each.on for each in inspections(store.conn, [1])[1]] == [earlier, later]


def test_the_view_for_other_tools_shows_the_looks_that_stand(store: Store) -> None:
    look(store, 1, passed=True)
    rows = store.conn.execute("SELECT lot, item, passed, checked_by FROM inspections").fetchall()
    assert rows == [("L1", "sealant", 1, "Nina")]
    undo(store)
    assert store.conn.execute("SELECT count(*) FROM inspections").fetchone() == (0,)


def taken(store: Store, opened_on: date | None, decided: Decided, reason: str = "") -> int:
    holding = next(
        each for each in reads.holdings(store.conn, lot_ids=[2]) if each.opened_on == opened_on
    )
    with store.writing() as conn:
        movement = ledger.post(conn, [to_be_replaced(holding, reason)], STAMP)[0]
        decision = Decision(2, 1, opened_on, decided.value, Status.EXPIRED, reason, TODAY)
        decide(conn, decision, movement, STAMP)
    return movement


def test_a_decision_is_of_one_holding_and_the_last_one_counts(store: Store) -> None:
    grease = reads.holdings(store.conn, lot_ids=[2])[0]
    with store.writing() as conn:
        ledger.post(conn, [movements.open_pack(grease, 1, TODAY)], STAMP)
    taken(store, None, Decided.REPLACE, "dried")
    taken(store, TODAY, Decided.REPLACE)
    taken(store, None, Decided.REPLACE, "thought again")
    found = decisions(store.conn, [1, 2])
    assert {key: each.reason for key, each in found.items()} == {
        (2, 1, None): "thought again",
        (2, 1, TODAY): "",
    }
    undo(store)
    assert decisions(store.conn, [2])[2, 1, None].reason == "dried"
    assert store.conn.execute("SELECT count(*) FROM decisions").fetchone() == (2,)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE inspection SET passed = 1",
        "DELETE FROM inspection",
        "INSERT OR REPLACE INTO inspection SELECT * FROM inspection",
        "UPDATE decision SET reason = 'x'",
        "DELETE FROM decision",
        "INSERT OR REPLACE INTO decision SELECT * FROM decision",
    ],
)
def test_no_other_tool_changes_what_was_found_or_decided(store: Store, statement: str) -> None:
    look(store, 1, passed=False)
    taken(store, None, Decided.REPLACE)
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        store.conn.execute(statement)
