"""Recalls: remembered, lifted, held against stock, and against what comes in later."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.intake import DateRules, Shelves, read_lines
from stockcheck.core.model import State
from stockcheck.store import bulk, ledger, reads, recalls
from stockcheck.store.files import Store, opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import create
from stockcheck.store.receiving import Received, receive

TODAY = date(2026, 11, 25)
STAMP = Stamp(TODAY, "2026-11-25T08:00:00+00:00")
ONE, TEN = "09520123000103", "09520123000110"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("made") / "kit.db"
    create(path, "Kit")
    with opened(path) as store, store.writing() as conn:
        bulk.add_text(conn, "box", {"box": "Water"})
        bulk.add_text(conn, "box", {"box": "Cab", "inside": "Water"})
        tablet = {"item": "water tablet", "kind": "chlorine-dioxide-tablets", "unit": "tablet"}
        bulk.add_text(conn, "item", tablet | {"gtin": f"{ONE} {TEN} x10"})
    return path


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    with opened(copyfile(made, tmp_path / "kit.db")) as store:
        yield store


def take_in(store: Store, **fields: str) -> Received:
    line = {"box": "Water", "item": "water tablet", "quantity": "10", **fields}
    shelves = Shelves.of(reads.boxes(store.conn), reads.items(store.conn), [])
    found, problems = read_lines("x", [(1, line)], shelves, DateRules(TODAY))
    assert not problems
    with store.writing() as conn:
        return receive(conn, found, STAMP)


def recall(store: Store, batch: str = "W113", item: int | None = 1, gtin: str = "") -> int:
    with store.writing() as conn:
        return recalls.add_recall(conn, item, gtin, batch, "weak", STAMP)


def states(store: Store) -> list[tuple[int, str, int, State]]:
    held = reads.holdings(store.conn)
    return [(each.lot.id, each.box.name, each.quantity, each.state) for each in held]


def test_what_is_called_back_is_found_wherever_it_is_and_however_its_batch_is_written(
    store: Store,
) -> None:
    take_in(store, batch="W113")
    take_in(store, batch="w 113", box="Cab")
    take_in(store, batch="LOT W113", gtin=TEN)
    take_in(store, batch="W114")
    take_in(store)
    one = recalls.find_recall(store.conn, str(recall(store)))
    assert [each.lot.id for each in recalls.concerned(store.conn, one)] == [1, 2, 3]
    assert [each.lot.id for each in recalls.without_batch(store.conn, one)] == [5]


def test_a_recall_by_gtin_concerns_the_item_that_has_it(store: Store) -> None:
    take_in(store, batch="W113")
    one = recalls.find_recall(store.conn, f"r{recall(store, item=None, gtin=TEN)}")
    assert one.item == "water tablet"
    assert [each.lot.id for each in recalls.concerned(store.conn, one)] == [1]


def test_every_batch_of_one_pack_leaves_the_other_packs_alone(store: Store) -> None:
    take_in(store, batch="A", gtin=ONE)
    take_in(store, batch="B", gtin=TEN)
    take_in(store, batch="C")
    one = recalls.find_recall(store.conn, str(recall(store, "", None, TEN)))
    assert [each.lot.id for each in recalls.concerned(store.conn, one)] == [2, 3]


def test_the_same_recall_twice_is_told(store: Store) -> None:
    recall(store)
    with pytest.raises(BadInput, match="R1 says so already: batch W113 of water tablet"):
        recall(store, "w113")


def test_what_comes_in_later_goes_on_hold_in_the_same_command(store: Store) -> None:
    recall(store)
    done = take_in(store, batch="W113", opened="2026-11-20")
    assert states(store) == [(1, "Water", 10, State.HELD)]
    assert len(done.movement_ids) == 2
    with store.writing() as conn:
        ledger.undo(conn, None, STAMP, "")
    assert states(store) == []


def test_other_batches_come_in_as_ordinary_stock(store: Store) -> None:
    recall(store)
    take_in(store, batch="W114")
    assert states(store) == [(1, "Water", 10, State.STOCK)]


def test_more_of_a_lot_that_was_there_leaves_what_is_free_as_it_is(store: Store) -> None:
    take_in(store, batch="W113", expiry="EXP 2028-01")
    recall(store)
    take_in(store, batch="W113", expiry="EXP 2028-01")
    assert sorted(states(store), key=str) == [
        (1, "Water", 10, State.HELD), (1, "Water", 10, State.STOCK),
    ]  # fmt: skip


def test_a_recall_that_is_lifted_warns_no_more_but_stays_on_record(store: Store) -> None:
    number = recall(store)
    with store.writing() as conn:
        recalls.lift(conn, recalls.find_recall(conn, str(number)), "other plant", STAMP)
    assert recalls.of_stock(store.conn, 1, "", "W113") is None
    assert recalls.all_recalls(store.conn) == []
    gone = recalls.all_recalls(store.conn, lifted=True)[0]
    assert (gone.lifted_on, gone.lifted_why) == (TODAY, "other plant")
    take_in(store, batch="W113")
    assert states(store) == [(1, "Water", 10, State.STOCK)]


def test_lifting_needs_a_reason_and_happens_once(store: Store) -> None:
    number = str(recall(store))
    with store.writing() as conn:
        with pytest.raises(BadInput, match="needs a reason"):
            recalls.lift(conn, recalls.find_recall(conn, number), "  ", STAMP)
        recalls.lift(conn, recalls.find_recall(conn, number), "letter", STAMP)
        with pytest.raises(BadInput, match="was lifted on 2026-11-25 already"):
            recalls.lift(conn, recalls.find_recall(conn, number), "letter", STAMP)


@pytest.mark.parametrize("text", ["R9", "", "x", "-1", "99999999999", "٣"])
def test_a_recall_that_is_not_there_is_told(store: Store, text: str) -> None:
    with pytest.raises(UnknownName, match="there is no recall"):
        recalls.find_recall(store.conn, text)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE recall SET batch = 'X'",
        "DELETE FROM recall",
        "INSERT OR REPLACE INTO recall SELECT * FROM recall",
        "UPDATE recall_lift SET reason = 'X'",
        "DELETE FROM recall_lift",
        "INSERT OR REPLACE INTO recall_lift SELECT * FROM recall_lift",
    ],
)
def test_recalls_are_append_only(store: Store, statement: str) -> None:
    number = str(recall(store))
    with store.writing() as conn:
        recalls.lift(conn, recalls.find_recall(conn, number), "letter", STAMP)
    with pytest.raises(Exception, match="recalls are append-only"), store.writing() as conn:
        conn.execute(statement)


def test_other_tools_can_read_them(store: Store) -> None:
    recall(store)
    rows = store.conn.execute("SELECT recall, item, batch, on_day, lifted_on FROM recalls")
    assert rows.fetchall() == [("R1", "water tablet", "W113", "2026-11-25", None)]
