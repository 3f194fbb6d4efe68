"""The limit kept with each holding: worked out anew whenever a fact that it depends on changes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest

from stockcheck.core import movements, shelf_life
from stockcheck.core.errors import BadInput
from stockcheck.core.intake import DateRules, Shelves, read_lines
from stockcheck.store import bulk, kinds, ledger, lots, reads
from stockcheck.store.files import Store, opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.limits import refresh_limits
from stockcheck.store.migrate import create
from stockcheck.store.receiving import receive

TODAY = date(2026, 11, 25)
STAMP = Stamp(TODAY, "2026-11-25T08:00:00+00:00")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One printed eye drop, one bought rubber solution, one undated one."""
    path = tmp_path_factory.mktemp("made") / "kit.db"
    create(path, "Kit")
    with opened(path) as store, store.writing() as conn:
        bulk.add_text(conn, "box", {"box": "Medicines"})
        bulk.add_text(conn, "item", {"item": "eye drops", "kind": "eye-drops"})
        bulk.add_text(conn, "item", {"item": "rubber solution", "kind": "rubber-solution"})
        lines = [
            {"item": "eye drops", "expiry": "EXP 11/2027", "batch": "E1"},
            {"item": "rubber solution", "received": "2026-10-01"},
            {"item": "rubber solution"},
        ]
        numbered = [
            (number, {"box": "Medicines", "quantity": "10", **line})
            for number, line in enumerate(lines, 2)
        ]
        shelves = Shelves.of(reads.boxes(conn), reads.items(conn), [])
        arrivals, _ = read_lines("three.csv", numbered, shelves, DateRules(TODAY))
        receive(conn, arrivals, STAMP)
    return path


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    with opened(copyfile(made, tmp_path / "kit.db")) as store:
        yield store


def kept(store: Store, lot: int) -> list[tuple[str, str]]:
    """Last usable day and what governs, of a lot's holdings, as they stand in the file."""
    rows = store.conn.execute(
        "SELECT ifnull(last_usable_day, ''), governed_by FROM holding WHERE lot_id = ?"
        " AND quantity > 0 ORDER BY holding_id",
        (lot,),
    ).fetchall()
    return [(day, word) for day, word in rows]


def nothing_is_stale(store: Store) -> bool:
    """Whether working out all limits again would change none."""
    with store.trying() as conn:
        return refresh_limits(conn) == 0


def test_a_printed_date_a_bought_day_and_no_date_at_all(store: Store) -> None:
    assert kept(store, 1) == [("2027-11-30", "printed")]
    assert kept(store, 2)[0][1] == "shelf"
    assert kept(store, 3) == [("", "")]


def test_opening_shortens_it(store: Store) -> None:
    held = reads.holdings(store.conn, lot_ids=[1])[0]
    with store.writing() as conn:
        ledger.post(conn, [movements.open_pack(held, 1, TODAY)], STAMP)
    assert kept(store, 1) == [("2027-11-30", "printed"), ("2026-12-23", "opened")]


def test_a_corrected_lot_is_worked_out_anew(store: Store) -> None:
    with store.writing() as conn:
        lots.change_lot(conn, 3, {"received_on": "2026-10-01"}, STAMP, "found the receipt")
    assert kept(store, 3) == kept(store, 2)
    assert lots.changes_of(store.conn, 3) == [
        ("2026-11-25", "received_on", "", "2026-10-01", "found the receipt")
    ]


def test_a_correction_that_changes_nothing_is_refused(store: Store) -> None:
    with pytest.raises(BadInput, match="L1 says that already"), store.writing() as conn:
        lots.change_lot(conn, 1, {"batch": "E1"}, STAMP, "")


def test_a_changed_kind_moves_every_lot_of_it_and_says_how_many(store: Store) -> None:
    before = kept(store, 2)
    with store.writing() as conn:
        assert kinds.change_kind(conn, "rubber-solution", {"sealed": "12 months"}) == 1
    assert kept(store, 2) == [("2027-10-01", "shelf")]
    assert kept(store, 3) == [("", "")]
    with store.writing() as conn:
        assert kinds.unchange_kind(conn, "rubber-solution") == 1
    assert kept(store, 2) == before


def test_an_item_of_another_kind_is_worked_out_anew(store: Store) -> None:
    with store.writing() as conn:
        bulk.change_text(conn, "item", 2, {"kind": "tool"})
    assert kept(store, 2) == kept(store, 3) == [("", "no limit")]


def test_another_edition_of_the_catalogue_is_taken_over_on_opening(store: Store) -> None:
    as_it_should = kept(store, 2)
    with store.writing() as conn:
        conn.execute("UPDATE setting SET value = 'an older one' WHERE key = 'catalogue'")
        conn.execute(
            "UPDATE kind SET rule = json_set(rule, '$.sealed.life', '1 month')"
            " WHERE key = 'rubber-solution'"
        )
        refresh_limits(conn)
    assert kept(store, 2) != as_it_should
    with opened(store.path) as again:
        assert kept(again, 2) == as_it_should
        assert nothing_is_stale(again)


def test_the_catalogue_is_read_once_for_an_edition_and_not_on_every_opening(store: Store) -> None:
    with store.trying() as conn:
        assert not kinds.refresh_kinds(conn)


def test_nothing_is_ever_stale(store: Store) -> None:
    held = reads.holdings(store.conn, lot_ids=[1])[0]
    with store.writing() as conn:
        ledger.post(conn, movements.issue(held, 3, TODAY), STAMP)
    assert nothing_is_stale(store)
    with store.writing() as conn:
        ledger.post(conn, [movements.hold(held, 2, "recalled")], STAMP)
        ledger.undo(conn, None, STAMP, "")
    assert nothing_is_stale(store)
    for each in reads.holdings(store.conn):
        limit = shelf_life.governing(shelf_life.limits(each.lot, each.opened_on))
        assert each.last_usable_day == (limit.last_usable_day if limit else None)
