"""Taking stock in: what is one lot and what is two, batches on hold, and many lines at once."""

from __future__ import annotations

import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest

from stockcheck.core import movements
from stockcheck.core.errors import BadInput
from stockcheck.core.intake import Arrival, DateRules, Shelves, read_lines
from stockcheck.store import bulk, catalogue, ledger, plans, reads, rows
from stockcheck.store.files import Store, opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import create
from stockcheck.store.receiving import Received, held_batches, receive

TODAY = date(2026, 11, 25)
STAMP = Stamp(TODAY, "2026-11-25T08:00:00+00:00")
MANY = 1_100  # more than go in by two statements
BATCHED = {"item": "water tablet", "expiry": "EXP 11/2027", "batch": "W113"}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("made") / "kit.db"
    create(path, "Kit")
    with opened(path) as store, store.writing() as conn:
        bulk.add_text(conn, "box", {"box": "Water"})
        bulk.add_text(conn, "box", {"box": "Spares"})
        tablet = {"item": "water tablet", "kind": "chlorine-dioxide-tablets", "unit": "tablet"}
        bulk.add_text(conn, "item", tablet)
        bulk.add_text(conn, "item", {"item": "rubber solution", "kind": "rubber-solution"})
        bulk.add_text(conn, "supplier", {"supplier": "Corner pharmacy"})
    return path


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    with opened(copyfile(made, tmp_path / "kit.db")) as store:
        yield store


def arrivals(store: Store, *lines: dict[str, str]) -> list[Arrival]:
    """Lines of an intake file, understood; 10 into Water where nothing else is said."""
    conn = store.conn
    shelves = Shelves.of(reads.boxes(conn), reads.items(conn), plans.suppliers(conn))
    numbered = [
        (number, {"box": "Water", "quantity": "10", **line}) for number, line in enumerate(lines, 2)
    ]
    found, problems = read_lines("stock.csv", numbered, shelves, DateRules(TODAY))
    assert not problems
    return found


def take_in(store: Store, *lines: dict[str, str]) -> Received:
    with store.writing() as conn:
        return receive(conn, arrivals(store, *lines), STAMP)


def counts(store: Store) -> tuple[int, ...]:
    tables = ("lot", "movement", "movement_line", "holding", "search")
    return tuple(
        store.conn.execute(f"SELECT count(*) FROM {table}").fetchone()[0] for table in tables
    )


def many(store: Store) -> list[Arrival]:
    return arrivals(store, *({**BATCHED, "batch": f"W{number}"} for number in range(MANY)))


def test_identical_arrivals_of_a_batch_are_one_lot(store: Store) -> None:
    done = take_in(store, BATCHED, {**BATCHED, "box": "Spares"}, BATCHED)
    assert done.lot_ids == (1, 1, 1)
    assert done.new_lots == {1}
    held = {each.box.name: each.quantity for each in reads.holdings(store.conn)}
    assert held == {"Water": 20, "Spares": 10}


def test_more_of_a_batch_on_another_day_is_the_same_lot(store: Store) -> None:
    take_in(store, BATCHED)
    again = take_in(store, BATCHED)
    assert (again.lot_ids, again.new_lots) == ((1,), frozenset())


@pytest.mark.parametrize(
    "other",
    [
        {"batch": "W114"},
        {"expiry": "EXP 12/2027"},
        {"expiry": "EXP 2027-11"},
        {"received": "2026-10-01"},
        {"supplier": "Corner pharmacy"},
        {"cost": "1.20"},
        {"made": "2025-01"},
        {"note": "dented"},
        {"item": "rubber solution"},
    ],
)
def test_any_other_fact_makes_another_lot(store: Store, other: dict[str, str]) -> None:
    assert take_in(store, BATCHED, {**BATCHED, **other}).lot_ids == (1, 2)
    assert take_in(store, {**BATCHED, **other}).lot_ids == (2,)


@pytest.mark.parametrize("facts", [{}, {"received": "2026-10-01"}, {"made": "2025"}])
def test_without_batch_or_printed_date_nobody_knows_whether_it_is_one_lot(
    store: Store, facts: dict[str, str]
) -> None:
    undated = {"item": "rubber solution", **facts}
    assert take_in(store, undated, undated).lot_ids == (1, 2)
    assert take_in(store, undated).lot_ids == (3,)


def test_opened_and_sealed_of_one_lot_are_two_holdings(store: Store) -> None:
    take_in(store, BATCHED, {**BATCHED, "opened": "2026-08-14", "quantity": "4"})
    held = [(each.quantity, each.opened_on) for each in reads.holdings(store.conn)]
    assert held == [(10, None), (4, date(2026, 8, 14))]


def test_more_of_a_batch_that_is_on_hold_is_told(store: Store) -> None:
    take_in(store, {**BATCHED, "box": "Spares"})
    held = reads.holdings(store.conn)[0]
    with store.writing() as conn:
        ledger.post(conn, [movements.hold(held, 10, "recalled")], STAMP)
    other = {**BATCHED, "batch": "W114"}
    done = take_in(store, {**BATCHED, "note": "found later"}, other, BATCHED)
    assert held_batches(store.conn, done.lot_ids) == [(1, "W113"), (2, "W113")]
    with store.writing() as conn:
        ledger.undo(conn, 2, STAMP, "cleared")
    assert held_batches(store.conn, done.lot_ids) == []


def test_the_same_batch_number_of_another_item_is_no_warning(store: Store) -> None:
    take_in(store, BATCHED)
    with store.writing() as conn:
        ledger.post(conn, [movements.hold(reads.holdings(conn)[0], 10, "recalled")], STAMP)
    done = take_in(store, {**BATCHED, "item": "rubber solution"})
    assert held_batches(store.conn, done.lot_ids) == []


def test_nothing_is_taken_into_a_retired_box(store: Store) -> None:
    lines = arrivals(store, {**BATCHED, "box": "Spares"})
    with store.writing() as conn:
        catalogue.retire(conn, "box", 2, TODAY)
    with pytest.raises(BadInput, match="out of use"), store.writing() as conn:
        receive(conn, lines, STAMP)
    assert counts(store)[:4] == (0, 0, 0, 0)


def test_text_is_kept_in_one_form_of_each_letter(store: Store) -> None:
    take_in(store, {**BATCHED, "batch": "Й1", "note": "Йод"})
    lot = reads.lots(store.conn)[0]
    assert (lot.batch, lot.note) == ("Й1", "Йод")


def test_many_lines_come_in_as_few_do(store: Store, made: Path, tmp_path: Path) -> None:
    """The same stock results from one command of many lines and from many of one."""
    lines = many(store)
    with store.writing() as conn:
        done = receive(conn, lines, STAMP)
    assert done.lot_ids == tuple(range(1, MANY + 1))
    assert conn.execute("SELECT DISTINCT together FROM movement").fetchall() == [(1,)]
    with opened(copyfile(made, tmp_path / "one by one.db")) as other, other.writing():
        for line in lines:
            receive(other.conn, [line], STAMP)
        for table in ("lot", "movement_line", "holding", "search"):
            query = f"SELECT * FROM {table} ORDER BY rowid"
            assert conn.execute(query).fetchall() == other.conn.execute(query).fetchall()


def test_the_many_are_watched_one_by_one(store: Store) -> None:
    seen: list[int] = []

    def watched(lines: Sequence[Arrival]) -> Iterator[Arrival]:
        for line in lines:
            seen.append(line.line)
            yield line

    with store.writing() as conn:
        receive(conn, many(store), STAMP, watched)
    assert seen == list(range(2, MANY + 2))


def test_many_lines_that_fail_late_leave_nothing(store: Store) -> None:
    before = counts(store)
    lines = many(store)
    broken = replace(lines[-1], box=replace(lines[-1].box, id=999))
    with pytest.raises(Exception, match="FOREIGN KEY"), store.writing() as conn:
        receive(conn, [*lines[:-1], broken], STAMP)
    assert counts(store) == before


def test_many_lines_and_then_an_error_leave_nothing(store: Store) -> None:
    def take_many_and_stop() -> None:
        with store.writing() as conn:
            receive(conn, many(store), STAMP)
            raise KeyboardInterrupt

    before = counts(store)
    with pytest.raises(KeyboardInterrupt):
        take_many_and_stop()
    assert counts(store) == before


def test_a_try_with_many_lines_leaves_nothing(store: Store) -> None:
    before = counts(store)
    with store.trying() as conn:
        receive(conn, many(store), STAMP)
    assert counts(store) == before


def test_many_rows_are_not_written_outside_of_a_transaction(store: Store) -> None:
    row = {"key": "k", "value": "v"}
    settings = [row | {"key": f"k{number}"} for number in range(MANY)]
    with pytest.raises(RuntimeError, match=r"inside Store.writing"):
        rows.insert(store.conn, "setting", settings)


KILLED = """
import os, signal, sys
from datetime import date
from pathlib import Path
from stockcheck.core.intake import Arrival, LotFacts
from stockcheck.store import plans, reads
from stockcheck.store.files import opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.receiving import receive

with opened(Path(sys.argv[1])) as store:
    store.conn.execute("PRAGMA cache_size = 10")  # so that pages reach the file before the commit
    box, item = reads.boxes(store.conn)[0], reads.items(store.conn)[0]
    lines = [Arrival(n, box, item, 1, LotFacts(1, batch=str(n))) for n in range(int(sys.argv[2]))]
    with store.writing() as conn:
        receive(conn, lines, Stamp(date(2026, 11, 25), "2026-11-25T08:00:00+00:00"))
        os.kill(os.getpid(), signal.SIGKILL)
"""


def test_a_process_killed_after_many_lines_leaves_nothing(store: Store) -> None:
    before = counts(store)
    killed = subprocess.run([sys.executable, "-c", KILLED, store.path, str(MANY)], check=False)
    assert killed.returncode == -signal.SIGKILL
    assert Path(f"{store.path}-journal").exists(), "the kill came in mid-write"
    with opened(store.path) as again:
        assert counts(again) == before
        assert again.conn.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
