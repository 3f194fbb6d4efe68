"""What people do to stock, as lines of the ledger."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import TODAY, box, holding, item, kind, life, lot
from stockcheck.core import movements
from stockcheck.core.errors import BadInput
from stockcheck.core.model import (
    DateContext,
    DateMeaning,
    Holding,
    Kind,
    PastDate,
    State,
)
from stockcheck.core.movements import Line, Movement, What

EARLIER = date(2026, 8, 14)
MEDICINES, TRUCK = box("Medicines", 1), box("Truck", 2)
OPENS = kind(
    "drops",
    dates=DateContext.MEDICINE,
    meaning=DateMeaning.SAFETY,
    past=PastDate.DISCARD,
    opened=life("28 days"),
)
KEEPS = replace(OPENS, key="blister", opened=None)


def held(
    quantity: int = 12,
    *,
    pack: int = 5,
    kind: Kind = OPENS,
    opened_on: date | None = None,
    state: State = State.STOCK,
) -> Holding:
    """Lot 7 in Medicines."""
    of = lot(item(kind, "drops", pack=pack), 7)
    return holding(9, of, MEDICINES, quantity, opened_on=opened_on, state=state)


def line(quantity: int, opened_on: date | None = None, box: int = 1, state: str = "stock") -> Line:
    return Line(7, box, quantity, opened_on, State(state))


def told(plan: Callable[[], object]) -> str:
    with pytest.raises(BadInput) as refused:
        plan()
    return str(refused.value)


def test_receiving_adds_one_line() -> None:
    assert movements.receive(7, 1, 30, EARLIER) == Movement(What.RECEIVED, (line(30, EARLIER),))
    assert told(lambda: movements.receive(7, 1, 0)) == "quantity 0: at least 1 is received"


USES = [
    # held, pack, used, lines of each movement: of a kind that keeps 28 days once opened
    (12, 5, 5, [[line(-5)]]),
    (12, 5, 10, [[line(-10)]]),
    (12, 5, 3, [[line(-5), line(5, TODAY)], [line(-3, TODAY)]]),
    (12, 5, 7, [[line(-5), line(5, TODAY)], [line(-5), line(-2, TODAY)]]),
    (12, 5, 11, [[line(-2), line(2, TODAY)], [line(-10), line(-1, TODAY)]]),
    (12, 5, 12, [[line(-12)]]),
    (3, 5, 3, [[line(-3)]]),
    (3, 5, 1, [[line(-3), line(3, TODAY)], [line(-1, TODAY)]]),
    (12, 1, 7, [[line(-7)]]),
    (1, 30, 1, [[line(-1)]]),
]


@pytest.mark.parametrize(("there", "pack", "used", "lines"), USES)
def test_a_part_of_a_sealed_pack_opens_that_pack_and_whole_packs_open_none(
    there: int, pack: int, used: int, lines: list[list[Line]]
) -> None:
    plans = movements.issue(held(there, pack=pack), used, TODAY)
    assert [list(plan.lines) for plan in plans] == lines
    assert [plan.what for plan in plans] == [What.OPENED, What.ISSUED][-len(plans) :]


def test_nothing_is_opened_where_opening_changes_nothing() -> None:
    """A kind without an opened life, and a pack that is open already."""
    assert movements.issue(held(kind=KEEPS), 3, TODAY) == (Movement(What.ISSUED, (line(-3),)),)
    open_one = held(4, opened_on=EARLIER)
    assert movements.issue(open_one, 3, TODAY) == (Movement(What.ISSUED, (line(-3, EARLIER),)),)


@given(there=st.integers(1, 60), pack=st.integers(1, 20), data=st.data())
def test_using_takes_out_just_what_was_used_and_never_more_than_there_is(
    there: int, pack: int, data: st.DataObject
) -> None:
    used = data.draw(st.integers(1, there))
    lines = [
        it for plan in movements.issue(held(there, pack=pack), used, TODAY) for it in plan.lines
    ]
    assert sum(it.quantity for it in lines) == -used
    sealed = there + sum(it.quantity for it in lines if it.opened_on is None)
    opened = sum(it.quantity for it in lines if it.opened_on is not None)
    assert sealed >= 0
    assert 0 <= opened < pack


SINGLES = replace(OPENS, opened=life("0 days"))


def test_pieces_that_are_sealed_one_by_one_stay_sealed_when_some_are_taken() -> None:
    foil = held(27)
    item = replace(foil.lot.item, kind=SINGLES, unit="tablet", pack=50)
    foil = replace(foil, lot=replace(foil.lot, item=item))
    assert movements.issue(foil, 12, TODAY) == (Movement(What.ISSUED, (line(-12),)),)


def test_what_is_left_of_a_measure_to_be_used_at_once_is_opened() -> None:
    tin = held(500)
    item = replace(tin.lot.item, kind=SINGLES, unit="ml", pack=500)
    tin = replace(tin, lot=replace(tin.lot, item=item))
    opening, issued = movements.issue(tin, 200, TODAY)
    assert opening.lines == (line(-500), line(500, TODAY))
    assert issued.lines == (line(-200, TODAY),)


def test_opening_turns_sealed_into_opened_on_that_day() -> None:
    plan = movements.open_pack(held(), 5, TODAY)
    assert plan == Movement(What.OPENED, (line(-5), line(5, TODAY)))
    assert told(lambda: movements.open_pack(held(opened_on=EARLIER), 1, TODAY)) == (
        "L7 (drops) in Medicines was opened on 2026-08-14 already"
    )


def test_moving_keeps_the_opened_day_and_the_hold() -> None:
    stock = held(opened_on=EARLIER, state=State.HELD)
    assert movements.move(stock, 4, TRUCK.id).lines == (
        line(-4, EARLIER, state="held"),
        line(4, EARLIER, box=2, state="held"),
    )
    assert told(lambda: movements.move(stock, 4, 1)).endswith("is in that box already")


def test_a_write_off_needs_a_reason() -> None:
    assert movements.write_off(held(), 12, "expired") == Movement(
        What.WRITTEN_OFF, (line(-12),), "expired"
    )
    assert told(lambda: movements.write_off(held(), 1, " ")) == (
        "a write-off needs a reason, such as expired, damaged or lost"
    )


def test_a_hold_and_its_release_are_the_same_lines_back() -> None:
    there = movements.hold(held(), 5, "recalled")
    assert there == Movement(What.HELD, (line(-5), line(5, state="held")), "recalled")
    back = movements.release(held(5, state=State.HELD), 5, "cleared")
    assert back == Movement(What.RELEASED, (line(-5, state="held"), line(5)), "cleared")


@pytest.mark.parametrize("state", [State.STOCK, State.LAST_RESORT])
def test_only_what_is_on_hold_is_released_and_only_what_is_not_is_held(state: State) -> None:
    assert told(lambda: movements.release(held(state=state), 1, "")).endswith("is not on hold")
    on_hold = held(state=State.HELD)
    assert told(lambda: movements.hold(on_hold, 1, "")).endswith("is on hold already")


def test_a_last_resort_is_never_held_so_that_no_release_makes_ordinary_stock_of_it() -> None:
    kept = held(state=State.LAST_RESORT)
    assert told(lambda: movements.hold(kept, 5, "recalled")) == (
        "L7 (drops) in Medicines is a last resort and kept apart already;"
        " write it off if it must not be used at all"
    )


@pytest.mark.parametrize(("counted", "line_quantity"), [(0, -12), (11, -1), (13, 1), (900, 888)])
def test_a_correction_is_the_difference_to_what_was_counted(
    counted: int, line_quantity: int
) -> None:
    plan = movements.correct(held(), counted, "counted twice")
    assert plan == Movement(What.COUNTED, (line(line_quantity),), "counted twice")


def test_a_correction_to_what_stands_there_or_below_nothing_is_refused() -> None:
    assert told(lambda: movements.correct(held(), 12, "")) == (
        "L7 (drops) in Medicines stands at 12 already; there is nothing to correct"
    )
    assert told(lambda: movements.correct(held(), -1, "")) == "count -1: a count is zero or more"


TAKES: dict[str, Callable[[Holding, int], object]] = {
    "use": lambda it, n: movements.issue(it, n, TODAY),
    "open": lambda it, n: movements.open_pack(it, n, TODAY),
    "move": lambda it, n: movements.move(it, n, 2),
    "write off": lambda it, n: movements.write_off(it, n, "wet"),
    "hold": lambda it, n: movements.hold(it, n, "wet"),
    "release": lambda it, n: movements.release(it, n, "dry"),
}


@pytest.mark.parametrize("verb", TAKES)
def test_nobody_takes_more_than_there_is_or_less_than_one(verb: str) -> None:
    state = State.HELD if verb == "release" else State.STOCK
    assert told(lambda: TAKES[verb](held(state=state), 13)) == (
        f"cannot {verb} 13 each: L7 (drops) in Medicines has 12."
        " Correct the count first if there are more"
    )
    for few in (0, -5):
        assert told(partial(TAKES[verb], held(state=state), few)) == (
            f"quantity {few}: give 1 or more to {verb}"
        )


@pytest.mark.parametrize("verb", ["open", "move", "hold", "release"])
@given(quantity=st.integers(1, 12))
def test_what_only_changes_place_or_state_adds_up_to_nothing(verb: str, quantity: int) -> None:
    state = State.HELD if verb == "release" else State.STOCK
    plan = TAKES[verb](held(state=state), quantity)
    assert isinstance(plan, Movement)
    assert sum(it.quantity for it in plan.lines) == 0
