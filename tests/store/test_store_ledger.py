"""The ledger: what is posted, what undo takes back, and what the history tells of both."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from stockcheck.core import movements
from stockcheck.core.errors import BadInput
from stockcheck.core.intake import Arrival, LotFacts
from stockcheck.core.model import Holding, State
from stockcheck.core.movements import Line, Movement, What
from stockcheck.store import bulk, catalogue, ledger, lots, reads
from stockcheck.store.files import Store, opened
from stockcheck.store.ledger import Entry, Stamp
from stockcheck.store.migrate import create
from stockcheck.store.receiving import receive

TODAY = date(2026, 11, 25)
STAMP = Stamp(TODAY, "2026-11-25T08:00:00+00:00")


def furnish(path: Path) -> None:
    """A store with three boxes and two items: tablets in packs of 10, eye drops that open."""
    create(path, "Kit")
    with opened(path) as store, store.writing() as conn:
        for name in ("Water", "Medicines", "Truck"):
            bulk.add_text(conn, "box", {"box": name})
        tablets = {"item": "water tablet", "kind": "chlorine-dioxide-tablets", "unit": "tablet"}
        bulk.add_text(conn, "item", tablets | {"pack": "10"})
        bulk.add_text(conn, "item", {"item": "eye drops", "kind": "eye-drops", "pack": "5"})


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    furnish(tmp_path / "kit.db")
    with opened(tmp_path / "kit.db") as store:
        yield store


def take_in(store: Store, item: int, box: int, quantity: int) -> Holding:
    """New stock in a box; the holding it makes."""
    boxes = {each.id: each for each in reads.boxes(store.conn)}
    items = {each.id: each for each in reads.items(store.conn)}
    arrival = Arrival(1, boxes[box], items[item], quantity, LotFacts(item, received_on=TODAY))
    with store.writing() as conn:
        lot = receive(conn, [arrival], STAMP).lot_ids[0]
    return reads.holdings(store.conn, lot_ids=[lot])[0]


def post(store: Store, *plans: Movement) -> list[int]:
    with store.writing() as conn:
        return ledger.post(conn, plans, STAMP)


def undo(store: Store, number: int | None = None, reason: str = "") -> list[int]:
    with store.writing() as conn:
        return ledger.undo(conn, number, STAMP, reason)


def on_hand(store: Store) -> list[tuple[str, int, str, bool]]:
    """Box, quantity, state and whether opened, of everything there is."""
    return [
        (each.box.name, each.quantity, each.state.value, each.opened_on is not None)
        for each in reads.holdings(store.conn)
    ]


def dump(store: Store) -> list[str]:
    return list(store.conn.iterdump())


def test_what_came_in_is_on_hand(store: Store) -> None:
    take_in(store, 1, 1, 50)
    assert on_hand(store) == [("Water", 50, "stock", False)]


def test_movements_of_one_command_belong_together(store: Store) -> None:
    held = take_in(store, 1, 1, 50)
    numbers = post(store, movements.move(held, 10, 2), movements.move(held, 5, 3))
    assert numbers == [2, 3]
    rows = store.conn.execute("SELECT movement_id, together FROM movement").fetchall()
    assert rows == [(1, 1), (2, 2), (3, 2)]


def test_nothing_posted_is_nothing_written(store: Store) -> None:
    assert post(store) == []
    assert store.conn.execute("SELECT count(*) FROM movement").fetchone() == (0,)


def test_taking_out_more_than_there_is_is_refused_and_nothing_of_it_kept(store: Store) -> None:
    held = take_in(store, 1, 1, 50)
    before = dump(store)
    with pytest.raises(BadInput, match="takes out more than there is; nothing was changed"):
        post(store, movements.move(held, 50, 2), movements.move(held, 1, 3))
    assert dump(store) == before


def test_nothing_goes_into_a_retired_box(store: Store) -> None:
    held = take_in(store, 1, 1, 50)
    with store.writing() as conn:
        catalogue.retire(conn, "box", 3, TODAY)
    with pytest.raises(BadInput, match=r"'Truck' is out of use since 2026-11-25.*--undo"):
        post(store, movements.move(held, 1, 3))
    assert on_hand(store) == [("Water", 50, "stock", False)]


def test_undo_takes_back_the_whole_last_command(store: Store) -> None:
    held = take_in(store, 2, 1, 10)
    post(store, *movements.issue(held, 7, TODAY))
    assert on_hand(store) == [("Water", 3, "stock", True)]
    assert undo(store, reason="wrong box") == [3, 2]
    assert on_hand(store) == [("Water", 10, "stock", False)]


def test_undo_goes_back_command_by_command_and_then_there_is_nothing_left(store: Store) -> None:
    held = take_in(store, 1, 1, 50)
    post(store, movements.move(held, 20, 2))
    post(store, movements.write_off(held, 30, "wet"))
    assert [undo(store) for _ in range(3)] == [[3], [2], [1]]
    assert on_hand(store) == []
    with pytest.raises(BadInput, match="there is nothing to undo"):
        undo(store)


def test_undo_of_the_rest_of_a_command_of_which_one_movement_was_undone(store: Store) -> None:
    held = take_in(store, 1, 1, 50)
    post(store, movements.move(held, 10, 2), movements.move(held, 5, 3))
    assert undo(store, 3) == [3]
    assert undo(store) == [2]
    assert on_hand(store) == [("Water", 50, "stock", False)]


def test_a_given_movement_is_undone_and_those_after_it_stand(store: Store) -> None:
    held = take_in(store, 1, 1, 50)
    post(store, movements.move(held, 10, 2))
    post(store, movements.move(held, 5, 3))
    undo(store, 2)
    assert on_hand(store) == [("Water", 45, "stock", False), ("Truck", 5, "stock", False)]


def test_stock_used_since_cannot_be_taken_back_out(store: Store) -> None:
    held = take_in(store, 1, 1, 50)
    post(store, movements.move(held, 40, 2))
    before = dump(store)
    with pytest.raises(BadInput) as refused:
        undo(store, 1)
    assert str(refused.value) == (
        "M1 cannot be undone: what it put there has been used or moved since;"
        " undo the later movements first (see history)"
    )
    assert dump(store) == before


def test_a_command_is_undone_whole_or_not_at_all(store: Store) -> None:
    """Of M4 and M5 the latter could be undone; M4 not, since its stock stands in for M2's."""
    lot = take_in(store, 1, 1, 50).lot.id
    post(store, Movement(What.RECEIVED, (Line(lot, 2, 10),)))
    post(store, Movement(What.WRITTEN_OFF, (Line(lot, 2, -10),), "wet"))
    to_medicines = Movement(What.MOVED, (Line(lot, 1, -10), Line(lot, 2, 10)))
    to_truck = Movement(What.MOVED, (Line(lot, 1, -5), Line(lot, 3, 5)))
    assert post(store, to_medicines, to_truck) == [4, 5]
    undo(store, 2)
    before = dump(store)
    with pytest.raises(BadInput, match="M4 cannot be undone"):
        undo(store)
    assert dump(store) == before


@pytest.mark.parametrize(
    ("number", "words"),
    [
        (2, "M2 was undone already, by M3"),
        (3, "M3 is itself a reversal; enter the movement anew instead"),
        (9, "there is no movement M9; history shows the numbers"),
    ],
)
def test_what_cannot_be_undone_is_told(store: Store, number: int, words: str) -> None:
    held = take_in(store, 1, 1, 50)
    post(store, movements.move(held, 10, 2))
    undo(store)
    with pytest.raises(BadInput) as refused:
        undo(store, number)
    assert str(refused.value) == words


def change_note(store: Store, lot: int, note: str) -> None:
    with store.writing() as conn:
        lots.change_lot(conn, lot, {"note": note, "batch": f"{note} 1"}, STAMP, "")


def test_undo_takes_no_older_movement_back_when_a_lot_was_changed_since(store: Store) -> None:
    """Given a use and then a change of a lot's facts, when undone, then the change is named."""
    held = take_in(store, 1, 1, 50)
    post(store, *movements.issue(held, 5, TODAY))
    change_note(store, held.lot.id, "dented")
    before = dump(store)
    with pytest.raises(BadInput) as refused:
        undo(store)
    assert str(refused.value) == (
        "the facts of L1 were changed after M2, and undo is about movements of stock;"
        " put them back with: stockcheck lot change L1 --batch '' --note '';"
        " or reverse the movement all the same: stockcheck undo M2"
    )
    assert dump(store) == before
    assert undo(store, 2) == [2]


def test_a_movement_after_a_change_of_a_lot_is_undone_and_none_before_it(store: Store) -> None:
    held = take_in(store, 1, 1, 50)
    change_note(store, held.lot.id, "dented")
    change_note(store, held.lot.id, "on its lid")
    post(store, movements.move(held, 5, 2))
    assert undo(store) == [2]
    change_note(store, held.lot.id, "scratched")
    change_note(store, held.lot.id, "scuffed")
    with pytest.raises(BadInput, match=r"after M1, .* L1 --batch '' --note '';"):
        undo(store)


def test_history_tells_both_the_movement_and_its_reversal(store: Store) -> None:
    held = take_in(store, 1, 1, 50)
    post(store, movements.hold(held, 5, "puffed foil"))
    undo(store, reason="was the light")
    told = [
        (e.movement_id, e.what, e.box, e.quantity, e.state, e.reason, e.reverses, e.reversed_by)
        for e in ledger.history(store.conn)
    ]
    assert told == [
        (1, What.RECEIVED, "Water", 50, State.STOCK, "", None, None),
        (2, What.HELD, "Water", -5, State.STOCK, "puffed foil", None, 3),
        (2, What.HELD, "Water", 5, State.HELD, "puffed foil", None, 3),
        (3, What.REVERSED, "Water", -5, State.HELD, "was the light", 2, None),
        (3, What.REVERSED, "Water", 5, State.STOCK, "was the light", 2, None),
    ]


def test_history_is_of_a_lot_of_a_box_or_the_last_lines(store: Store) -> None:
    tablets, drops = take_in(store, 1, 1, 50), take_in(store, 2, 2, 5)
    post(store, movements.move(tablets, 10, 2))

    def numbers(entries: list[Entry]) -> list[int]:
        return [entry.movement_id for entry in entries]

    conn, lot = store.conn, tablets.lot.id
    assert numbers(ledger.history(conn, lot_ids=[drops.lot.id])) == [2]
    assert numbers(ledger.history(conn, box_ids=[2])) == [2, 3]
    assert numbers(ledger.history(conn, box_ids=[2], lot_ids=[lot])) == [3]
    assert numbers(ledger.history(conn, last=2)) == [3, 3]
    assert numbers(ledger.history(conn, lot_ids=[])) == []


class Books(RuleBasedStateMachine):
    """Whatever people do, in whatever order: on hand is what the ledger adds up to."""

    template: Path

    def __init__(self) -> None:
        super().__init__()
        memory = sqlite3.connect(":memory:", isolation_level=None)
        with opened(self.template) as made:
            made.conn.backup(memory)
        memory.execute("PRAGMA foreign_keys = ON")
        self.store = Store(memory, self.template)

    def teardown(self) -> None:
        self.store.conn.close()

    def held(self, draw: int) -> Holding | None:
        there = reads.holdings(self.store.conn)
        return there[draw % len(there)] if there else None

    def attempt(self, do: Callable[[], object]) -> None:
        """Do it, or see it refused with nothing changed."""
        before = dump(self.store)
        try:
            do()
        except BadInput:
            assert dump(self.store) == before
        assert not self.store.conn.in_transaction

    def plan(self, draw: int, make: Callable[[Holding], tuple[Movement, ...]]) -> None:
        holding = self.held(draw)
        if holding is not None:
            self.attempt(lambda: post(self.store, *make(holding)))

    @rule(item=st.integers(1, 2), box=st.integers(1, 3), quantity=st.integers(0, 30))
    def receive(self, item: int, box: int, quantity: int) -> None:
        self.attempt(lambda: take_in(self.store, item, box, quantity))

    @rule(draw=st.integers(0, 99), quantity=st.integers(0, 40))
    def use(self, draw: int, quantity: int) -> None:
        self.plan(draw, lambda it: movements.issue(it, quantity, TODAY))

    @rule(draw=st.integers(0, 99), quantity=st.integers(0, 40))
    def open_pack(self, draw: int, quantity: int) -> None:
        self.plan(draw, lambda it: (movements.open_pack(it, quantity, TODAY),))

    @rule(draw=st.integers(0, 99), quantity=st.integers(0, 40), box=st.integers(1, 3))
    def move(self, draw: int, quantity: int, box: int) -> None:
        self.plan(draw, lambda it: (movements.move(it, quantity, box),))

    @rule(draw=st.integers(0, 99), quantity=st.integers(0, 40))
    def hold(self, draw: int, quantity: int) -> None:
        self.plan(draw, lambda it: (movements.hold(it, quantity, "recalled"),))

    @rule(draw=st.integers(0, 99), quantity=st.integers(0, 40))
    def release(self, draw: int, quantity: int) -> None:
        self.plan(draw, lambda it: (movements.release(it, quantity, "cleared"),))

    @rule(draw=st.integers(0, 99), counted=st.integers(-1, 40))
    def correct(self, draw: int, counted: int) -> None:
        self.plan(draw, lambda it: (movements.correct(it, counted, ""),))

    @rule(draw=st.integers(0, 99), quantity=st.integers(0, 40))
    def write_off(self, draw: int, quantity: int) -> None:
        self.plan(draw, lambda it: (movements.write_off(it, quantity, "expired"),))

    @rule(draw=st.integers(0, 99), box=st.integers(1, 3))
    def take_the_same_twice(self, draw: int, box: int) -> None:
        self.plan(draw, lambda it: (movements.move(it, it.quantity, box),) * 2)

    @rule(number=st.one_of(st.none(), st.integers(1, 30)))
    def undo(self, number: int | None) -> None:
        self.attempt(lambda: undo(self.store, number))

    @precondition(lambda self: len(ledger.history(self.store.conn)) > 3)
    @rule()
    def undo_twice(self) -> None:
        self.attempt(lambda: undo(self.store))
        self.attempt(lambda: undo(self.store))

    @invariant()
    def on_hand_is_what_the_ledger_adds_up_to(self) -> None:
        added = self.store.conn.execute(
            "SELECT lot_id, box_id, state, opened_on, sum(quantity) FROM movement_line"
            " GROUP BY 1, 2, 3, 4 HAVING sum(quantity) <> 0 ORDER BY 1, 2, 3, 4"
        ).fetchall()
        kept = self.store.conn.execute(
            "SELECT lot_id, box_id, state, opened_on, quantity FROM holding WHERE quantity <> 0"
            " ORDER BY 1, 2, 3, 4"
        ).fetchall()
        assert kept == added
        assert all(row[4] > 0 for row in kept)

    @invariant()
    def what_only_changes_place_or_state_adds_up_to_nothing(self) -> None:
        sums = self.store.conn.execute(
            "SELECT sum(quantity) FROM movement JOIN movement_line USING (movement_id)"
            " WHERE what IN ('moved', 'opened', 'held', 'released') GROUP BY movement_id, lot_id"
        ).fetchall()
        assert {row[0] for row in sums} <= {0}


def test_the_books_always_add_up(tmp_path: Path) -> None:
    class Furnished(Books):
        template = tmp_path / "kit.db"

    furnish(Furnished.template)
    run_state_machine_as_test(
        Furnished,
        settings=settings(max_examples=25, stateful_step_count=25, deadline=None),
    )
