"""Own lists, matches by hand and rounds in a store: kept, read back, and what is never changed."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from stockcheck.core.audit_round import Round, RoundLine, Seen, seen_lots
from stockcheck.core.errors import UnknownName
from stockcheck.core.kit_list import BoxKit
from stockcheck.core.kit_list_fit import Match
from stockcheck.core.movements import Line, Movement, What
from stockcheck.store import audits, bulk, ledger, matches, own_lists, reads
from stockcheck.store.files import Store, opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import create

TODAY = date(2026, 11, 25)
STAMP = Stamp(TODAY, "2026-11-25T08:00:00+00:00")


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A kit with four pads, and a second box."""
    create(tmp_path / "kit.db", "Kit")
    with opened(tmp_path / "kit.db") as store:
        with store.writing() as conn:
            bulk.add_text(conn, "box", {"box": "Аптечка"})
            bulk.add_text(conn, "box", {"box": "Shelf"})
            bulk.add_text(conn, "item", {"item": "pad", "kind": "eye-pad"})
            conn.execute("INSERT INTO lot (lot_id, code, item_id) VALUES (1, '1000000013', 1)")
            ledger.post(conn, [Movement(What.RECEIVED, (Line(1, 1, 4),))], STAMP)
        yield store


def a_round(store: Store, on: date = TODAY, found: int = 3) -> tuple[Round, list[Seen]]:
    [held] = reads.holdings(store.conn)
    seen = [Seen(held, held.quantity, found, damaged=1)]
    line = RoundLine("Eye pad", 4, "each", found - 1, 5 - found, "short", "asks 4")
    done = Round(
        0, 1, "Аптечка", ("mine", "more"), "My list", on, on + timedelta(days=9), "Нина", "0417",
        on, ("running-water",), 3, 7, 0, "meets the list on that day: no", on + timedelta(days=90),
        "the list's own", "torn", (line,), seen_lots(seen),
    )  # fmt: skip
    return done, seen


def recorded(store: Store, on: date = TODAY, found: int = 3) -> Round:
    done, seen = a_round(store, on, found)
    with store.writing() as conn:
        return replace(done, id=audits.record(conn, done, seen, STAMP))


def test_a_round_is_read_back_as_it_was_written(store: Store) -> None:
    done = recorded(store)
    assert audits.round_of(store.conn, done.id) == done
    assert audits.rounds(store.conn, box_id=1) == [done]
    assert audits.rounds(store.conn, box_id=2) == []
    with pytest.raises(UnknownName, match="no round 9"):
        audits.round_of(store.conn, 9)


def test_the_round_before_is_that_of_the_same_box_on_an_earlier_day(store: Store) -> None:
    second = recorded(store)
    first = recorded(store, TODAY - timedelta(days=30))
    assert audits.round_before(store.conn, second) == first
    assert audits.round_before(store.conn, first) is None


@pytest.mark.parametrize("table", ["audit_round", "audit_round_line", "audit_round_found"])
def test_a_round_is_never_changed_nor_taken_out_nor_replaced(store: Store, table: str) -> None:
    recorded(store)
    first = store.conn.execute(f"SELECT * FROM {table}").fetchone()
    marks = ", ".join("?" * len(first))
    for statement, values in (
        (f"UPDATE {table} SET audit_round_id = 5", ()),
        (f"DELETE FROM {table}", ()),
        (f"INSERT OR REPLACE INTO {table} VALUES ({marks})", first),
    ):
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            store.conn.execute(statement, values)


def test_a_box_is_due_by_its_last_round_or_by_an_interval_of_its_own(store: Store) -> None:
    assert audits.due(store.conn, 1) is None
    assert audits.overdue(store.conn, TODAY) == []
    done = recorded(store)
    assert audits.due(store.conn, 1) == done.next_due
    assert audits.overdue(store.conn, done.next_due) == []
    [late] = audits.overdue(store.conn, done.next_due + timedelta(days=1))
    assert late.words == "Аптечка: audit was due 23 FEB 2027, last done 25 NOV 2026"
    with store.writing() as conn:
        own_lists.set_kit(conn, BoxKit(1, ("mine",), (), 7))
    assert audits.due(store.conn, 1) == TODAY + timedelta(days=7)
    recorded(store, TODAY + timedelta(days=5))
    assert audits.due(store.conn, 1) == TODAY + timedelta(days=12)


def test_a_box_with_a_list_that_was_never_looked_at_is_overdue(store: Store) -> None:
    with store.writing() as conn:
        own_lists.set_kit(conn, BoxKit(2, ("mine",)))
    [late] = audits.overdue(store.conn, TODAY)
    assert (late.box, late.due) == ("Shelf", None)
    assert "never audited" in late.words
    with store.writing() as conn:
        conn.execute("UPDATE box SET retired_on = '2026-11-01' WHERE box_id = 2")
    assert audits.overdue(store.conn, TODAY) == []


def test_what_a_box_is_held_against_is_remembered_changed_and_forgotten(store: Store) -> None:
    kit = BoxKit(1, ("mine", "уход"), ("running-water",), 30)
    with store.writing() as conn:
        own_lists.set_kit(conn, kit)
    assert own_lists.kits(store.conn) == {1: kit}
    assert own_lists.boxes_held_against(store.conn, "уход") == ["Аптечка"]
    with store.writing() as conn:
        own_lists.set_kit(conn, BoxKit(1, ()))
    assert own_lists.kits(store.conn) == {}


def test_a_list_of_ones_own_is_kept_brought_up_to_date_and_let_go(store: Store) -> None:
    table = {"id": "crew", "title": "Crew", "item": [{"name": "Бинт", "quantity": 2}]}
    with store.writing() as conn:
        assert own_lists.keep_list(conn, "crew", "Crew", table, TODAY) is False
        assert own_lists.keep_list(conn, "crew", "Crew, again", table, TODAY) is True
    assert own_lists.own_list_titles(store.conn) == {"crew": "Crew, again"}
    assert own_lists.own_list(store.conn, "crew") == table
    with store.writing() as conn:
        assert own_lists.retire_list(conn, "crew", TODAY) is True
        assert own_lists.retire_list(conn, "crew", TODAY) is False
    assert own_lists.own_list(store.conn, "crew") is None
    with store.writing() as conn:
        assert own_lists.keep_list(conn, "crew", "Crew", table, TODAY) is False
    assert own_lists.own_list(store.conn, "crew") == table


def test_a_match_by_hand_replaces_what_was_said_before_and_is_taken_back(store: Store) -> None:
    said = Match("mine", "Eye pad", 1, serves=True, measure=2, note="as good")
    with store.writing() as conn:
        matches.say(conn, said, TODAY)
        number = matches.say(conn, replace(said, serves=False, measure=0), TODAY)
    [found] = matches.matches(store.conn)
    assert (found.id, found.serves, found.measure, found.on) == (number, False, 0, TODAY)
    assert matches.matches(store.conn, ("mine",)) == [found]
    assert matches.matches(store.conn, ("other",)) == []
    with store.writing() as conn:
        assert matches.take_back(conn, number, TODAY) == found
    assert matches.matches(store.conn) == []
    kept = store.conn.execute("SELECT count(*) FROM kit_matches").fetchone()[0]
    assert kept == 2
    with pytest.raises(UnknownName, match="no match by hand"):
        matches.take_back(store.conn, number, TODAY)
