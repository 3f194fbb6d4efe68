"""What was printed is remembered in the store, and tells what is stuck on what."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.label_jobs import SheetUse, lacking, next_start
from stockcheck.core.label_jobs import Wanted as Wish
from stockcheck.core.model import State
from stockcheck.core.movements import Line, Movement, What
from stockcheck.core.printer import Setting
from stockcheck.store import bulk, ledger, prints
from stockcheck.store.files import APPLICATION_ID, Store, connect, opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import _FOLDER, create, statements
from stockcheck.store.prints import Job, Label

TODAY = date(2026, 11, 25)
STAMP = Stamp(TODAY, "2026-11-25T08:00:00+00:00")
WATER = {"box": "Water"}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A store with the boxes Water and Truck, and a lot of nothing yet: packs of 30 tablets."""
    create(tmp_path / "kit.db", "Kit")
    with opened(tmp_path / "kit.db") as store:
        with store.writing() as conn:
            bulk.add_text(conn, "box", {"box": "Water"})
            bulk.add_text(conn, "box", {"box": "Truck"})
            tablet = {"item": "tablet", "kind": "chlorine-dioxide-tablets", "unit": "tablet"}
            bulk.add_text(conn, "item", {**tablet, "pack": "30"})
            conn.execute("INSERT INTO lot (lot_id, code, item_id) VALUES (1, '1000000013', 1)")
        yield store


def stir(store: Store, what: What, *lines: tuple[int, int]) -> int:
    """A movement of lot 1 of so many units into (or out of) boxes by number; its own number."""
    moved = [Line(1, box, units) for box, units in lines]
    with store.writing() as conn:
        return ledger.post(conn, [Movement(what, tuple(moved))], STAMP)[0]


def label(packs: int = 1, *, old: int | None = None, per_unit: bool = True) -> Label:
    words = {"code": "1000000013", "short": "L1", "title": "tablet"}
    return Label("lot", 1, "lot", packs, packs, words, WATER, per_unit, old)


def note(store: Store, *labels: Label, pile: str = "", went_to: str = "") -> int:
    """Labels printed on a fresh sheet of 21."""
    use = SheetUse(21, 1, sum(each.labels for each in labels))
    with store.writing() as conn:
        return prints.note(conn, Job("a4-3x7", use, pile, went_to=went_to), labels, STAMP)


def bare_packs(store: Store) -> int:
    now = prints.standings(store.conn, "lot", [1])[1]
    return sum(match.packs for match in lacking([Wish(WATER, 9999)], now, 30))


def test_what_came_lacks_labels_until_they_are_printed(store: Store) -> None:
    stir(store, What.RECEIVED, (1, 100))
    assert bare_packs(store) == 4
    note(store, label(4))
    assert bare_packs(store) == 0
    stir(store, What.RECEIVED, (1, 60))
    assert bare_packs(store) == 2


def test_moving_about_inside_the_store_changes_nothing(store: Store) -> None:
    stir(store, What.RECEIVED, (1, 90))
    note(store, label(3))
    stir(store, What.MOVED, (1, -30), (2, 30))
    now = prints.standings(store.conn, "lot", [1])[1]
    assert (now.on_hand, now.bare) == (90, 0)


def test_what_was_undone_had_never_been(store: Store) -> None:
    """Units that were used by mistake and come back by an undo still have their labels."""
    stir(store, What.RECEIVED, (1, 90))
    note(store, label(3))
    stir(store, What.ISSUED, (1, -60))
    with store.writing() as conn:
        ledger.undo(conn, None, STAMP, "mistake")
    assert bare_packs(store) == 0


def test_a_lot_that_was_all_used_up_has_no_label_when_it_comes_again(store: Store) -> None:
    stir(store, What.RECEIVED, (1, 30))
    note(store, label(1, per_unit=False))
    stir(store, What.ISSUED, (1, -30))
    stir(store, What.RECEIVED, (1, 30))
    assert prints.standings(store.conn, "lot", [1])[1].stuck == ()


def test_a_label_beside_the_lots_own_does_not_count_as_one(store: Store) -> None:
    stir(store, What.RECEIVED, (1, 30))
    note(store, replace(label(1), packs=0))
    assert bare_packs(store) == 1


def test_the_last_use_of_a_sheet_is_of_its_stock_and_pile(store: Store) -> None:
    note(store, label(3))
    note(store, label(2), pile="blue")
    assert next_start(prints.last_use(store.conn, "a4-3x7"), 21) == 4
    assert next_start(prints.last_use(store.conn, "a4-3x7", "blue"), 21) == 3
    assert prints.last_use(store.conn, "a4-2x7") is None


def test_the_last_print_comes_back_as_it_was(store: Store) -> None:
    assert prints.last_job(store.conn) is None
    note(store, label(3), label(2), went_to="x.pdf")
    found = prints.last_job(store.conn)
    assert found is not None
    assert (found.id, found.use, found.went_to) == (1, SheetUse(21, 1, 5), "x.pdf")
    first, second = prints.labels_of(store.conn, found.id)
    assert (first.number, first.labels, second.number) == (1, 3, 4)
    assert first.words == label().words
    assert first.facts == WATER


def test_what_was_printed_is_listed_newest_first(store: Store) -> None:
    first = note(store, label(3))
    note(store, label(2, old=first), Label("box", 2, "box", 1, 1, {}, {}))
    rows = prints.past(store.conn)
    assert [(row.job, row.thing, row.name, row.labels, row.again) for row in rows] == [
        (2, "L1", "tablet", 2, True), (2, "B2", "Truck", 1, False), (1, "L1", "tablet", 3, False),
    ]  # fmt: skip
    assert [row.job for row in prints.past(store.conn, "box", [2])] == [2]
    assert prints.past(store.conn, "item", [1]) == []
    shown = store.conn.execute("SELECT print, thing, name, labels, again FROM prints").fetchall()
    assert shown[0] == ("P1", "L1", "tablet", 3, 0)


def test_since_when_something_is_on_hold_and_why(store: Store) -> None:
    stir(store, What.RECEIVED, (1, 30))
    assert prints.held_since(store.conn, 1, 1) is None
    held = (Line(1, 1, -30), Line(1, 1, 30, state=State.HELD))
    with store.writing() as conn:
        ledger.post(conn, [Movement(What.HELD, held, "wet")], STAMP)
    assert prints.held_since(store.conn, 1, 1) == (TODAY, "wet")


@pytest.mark.parametrize("table", ["print_job", "print_label"])
@pytest.mark.parametrize(
    "change",
    [
        "UPDATE {} SET rowid = 9",
        "DELETE FROM {}",
        "INSERT OR REPLACE INTO {} SELECT * FROM {}",
    ],
)
def test_no_other_tool_changes_what_was_printed(store: Store, table: str, change: str) -> None:
    note(store, label(3))
    before = store.conn.execute(f"SELECT * FROM {table}").fetchall()
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        store.conn.execute(change.replace("{}", table))
    assert store.conn.execute(f"SELECT * FROM {table}").fetchall() == before


def test_printers_are_set_set_anew_and_retired(store: Store) -> None:
    with store.writing() as conn:
        prints.set_printer(conn, "Büro  oben", Setting(-1.2, 0, 1.004, 1), TODAY, "tray 2")
        prints.set_printer(conn, "BÜRO OBEN", Setting(0.5), TODAY)
    (found,) = prints.printers(store.conn)
    assert (found.name, found.setting, found.note) == ("Büro oben", Setting(0.5), "tray 2")
    with store.writing() as conn:
        prints.retire_printer(conn, found.id, TODAY)
    assert prints.printers(store.conn) == []
    with pytest.raises(BadInput, match="out of use"):
        prints.printer(store.conn, "büro oben")
    with store.writing() as conn:
        prints.set_printer(conn, "Büro oben", Setting(), TODAY)
    assert prints.printer(store.conn, "büro oben").setting.is_true


def test_an_unknown_printer_is_answered_with_near_ones(store: Store) -> None:
    with store.writing() as conn:
        prints.set_printer(conn, "office", Setting(), TODAY)
    with pytest.raises(UnknownName, match="did you mean 'office'"):
        prints.printer(store.conn, "ofice")


@pytest.mark.parametrize("setting", [Setting(21), Setting(0, -21), Setting(scale_x=2)])
def test_no_setting_beyond_its_bounds_is_stored(store: Store, setting: Setting) -> None:
    with pytest.raises(sqlite3.IntegrityError), store.writing() as conn:
        prints.set_printer(conn, "odd", setting, TODAY)


def test_prints_of_an_older_store_are_kept(tmp_path: Path) -> None:
    """Given a store of schema 4 with prints, when it is opened, then they are remembered still."""
    path = tmp_path / "old.db"
    path.touch()
    conn = connect(path)
    conn.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    for number in range(1, 5):
        for statement in statements((_FOLDER / f"{number:04d}.sql").read_text("utf-8")):
            conn.execute(statement)
    conn.execute("PRAGMA user_version = 4")
    conn.execute("INSERT INTO setting (key, value) VALUES ('name', 'Old'), ('currency', 'EUR')")
    conn.execute(
        "INSERT INTO box (box_id, code, name, name_key) VALUES (1, '2000000018', 'Water', 'water')"
    )
    conn.execute(
        "INSERT INTO label_print (box_id, copies, stock, on_day)"
        " VALUES (1, 2, 'roll-62x29', '2026-11-01')"
    )
    conn.close()
    with opened(path) as store:
        (row,) = prints.past(store.conn)
        assert (row.thing, row.labels, row.on_day) == ("B1", 2, date(2026, 11, 1))
        assert len(prints.standings(store.conn, "box", [1])[1].stuck) == 1


def test_400_labels_are_noted_in_one_go(store: Store) -> None:
    stir(store, What.RECEIVED, (1, 12000))
    number = note(store, *(label(1) for _ in range(400)))
    found = prints.labels_of(store.conn, number)
    assert [each.number for each in found] == list(range(1, 401))
    assert bare_packs(store) == 0
    assert json.loads(json.dumps(found[0].words)) == label().words
