"""Which holdings a command means: first expired first, one lot in one box, what was counted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from given import TODAY, box, holding, item, kind, life
from given import lot as lot_of
from stockcheck.core.calendar import Life
from stockcheck.core.errors import BadInput
from stockcheck.core.fefo import Take
from stockcheck.core.model import Box, DateMeaning, Holding, Item, PastDate, State
from stockcheck.core.selecting import corrections, of_one_box, to_open, to_use

PAST, SOON, LATER = date(2026, 11, 24), date(2026, 12, 1), date(2027, 11, 30)
WATER, TRUCK = box("Water", 1), box("Truck", 2)
KIND = kind("tablet", meaning=DateMeaning.SAFETY, past=PastDate.DISCARD)
TABLET = item(KIND, "water tablet", unit="tablet")


def held(
    number: int,
    quantity: int,
    last: date | None = LATER,
    *,
    lot: int | None = None,
    box: Box = WATER,
    opened_on: date | None = None,
    state: State = State.STOCK,
) -> Holding:
    """Holding ``number``, of the lot of that number where none is given."""
    of = lot_of(TABLET, lot or number)
    return holding(number, of, box, quantity, last, opened_on=opened_on, state=state)


def told(do: Callable[[], object]) -> str:
    with pytest.raises(BadInput) as refused:
        do()
    return str(refused.value)


def taken(takes: list[Take]) -> list[tuple[int, int]]:
    return [(take.holding.id, take.quantity) for take in takes]


def use(stock: list[Holding], quantity: int, *, anyway: bool = False) -> list[tuple[int, int]]:
    return taken(to_use(stock, quantity, TODAY, anyway=anyway))


def test_what_ends_first_is_used_first_across_lots_and_boxes() -> None:
    stock = [held(1, 10, LATER), held(2, 4, SOON, box=TRUCK), held(3, 4, date(2026, 11, 25))]
    assert use(stock, 9) == [(3, 4), (2, 4), (1, 1)]


def test_what_is_expired_undated_held_or_a_last_resort_is_not_used_by_itself() -> None:
    stock = [
        held(1, 5, PAST),
        held(2, 5, None),
        held(3, 5, state=State.HELD),
        held(4, 5, state=State.LAST_RESORT),
        held(5, 2),
    ]
    assert use(stock, 2) == [(5, 2)]
    assert told(lambda: use(stock, 3)) == (
        "asked 3 tablets of water tablet, but only 2 can be used. Left out:"
        " 5 tablets of L1 in Water: expired, last usable day 24 NOV 2026;"
        " 5 tablets of L2 in Water: undated;"
        " 5 tablets of L3 in Water: on hold;"
        " 5 tablets of L4 in Water: last resort."
        " --anyway takes it, at your own risk, but never what is on hold"
    )


def test_anyway_takes_the_good_first_and_what_is_on_hold_never() -> None:
    stock = [held(1, 5, PAST), held(2, 5, None), held(3, 5, state=State.HELD), held(5, 2)]
    assert use(stock, 12, anyway=True) == [(5, 2), (1, 5), (2, 5)]
    assert told(lambda: use(stock, 13, anyway=True)).endswith("L3 in Water: on hold")


def test_too_little_and_nothing_are_told_apart() -> None:
    assert told(lambda: use([], 1)) == "there is none of that on hand"
    assert told(lambda: use([held(1, 0)], 1)) == "there is none of that on hand"
    assert told(lambda: use([held(1, 5)], 6)) == (
        "asked 6 tablets of water tablet, but only 5 can be used;"
        " correct the count if there are more"
    )


def test_all_of_it_is_all_wherever_it_is() -> None:
    stock = [held(1, 5), held(2, 0), held(3, 5, box=TRUCK)]
    assert taken(of_one_box(stock, None, "hold")) == [(1, 5), (3, 5)]


def test_so_many_of_it_come_from_one_lot_in_one_box_the_opened_first() -> None:
    sealed = held(1, 10, SOON, lot=7)
    opened = held(2, 4, SOON, lot=7, opened_on=date(2026, 8, 14))
    assert taken(of_one_box([sealed, opened], 6, "move")) == [(2, 4), (1, 2)]


def test_what_is_in_several_boxes_or_lots_asks_which() -> None:
    two_boxes = [held(1, 5, lot=7), held(2, 5, lot=7, box=TRUCK)]
    assert told(lambda: of_one_box(two_boxes, 3, "move")) == (
        "it is in Truck and Water: say which with --from BOX"
    )
    two_lots = [held(1, 5), held(2, 5)]
    assert told(lambda: of_one_box(two_lots, 3, "move")) == (
        "there are 2 lots, L1 and L2: name the lot to move"
    )


def test_more_than_the_box_has_is_refused_with_what_it_has() -> None:
    assert told(lambda: of_one_box([held(1, 5)], 6, "write off")) == (
        "cannot write off 6 tablets: Water has 5 tablets of water tablet."
        " Correct the count first if there are more"
    )
    assert told(lambda: of_one_box([], 1, "hold")) == "there is none of that on hand to hold"


def corrected(stock: list[Holding], counted: int) -> list[tuple[int, int]]:
    plans, takes = corrections(stock, counted, "counted")
    assert [plan.lines[0].quantity for plan in plans] == [take.quantity for take in takes]
    assert {plan.reason for plan in plans} == {"counted"}
    return taken(takes)


OPENS: list[tuple[str, Item, int, int]] = [
    ("a jar of loose tablets", item(kind("jar", opened=life("3 months")), "jar", unit="tablet",
                                    pack=30), 60, 30),
    ("what is left of one", item(kind("jar", opened=life("3 months")), "jar", unit="tablet",
                                 pack=30), 20, 20),
    ("tablets in foil", item(kind("foil", opened=replace(life("1 month"), life=Life())), "foil",
                             unit="tablet", pack=30), 27, 1),
    ("a can that keeps", item(KIND, "oil", unit="ml", pack=500), 1000, 500),
]  # fmt: skip


@pytest.mark.parametrize(
    ("of", "there", "opened"), [case[1:] for case in OPENS], ids=[case[0] for case in OPENS]
)
def test_one_pack_is_opened_or_one_piece_where_pieces_are_sealed_singly(
    of: Item, there: int, opened: int
) -> None:
    sealed = holding(1, lot_of(of, 1), WATER, there, LATER)
    assert to_open([sealed], None, TODAY, "it") == [Take(sealed, opened)]


def test_so_many_are_opened_as_are_asked_for_and_only_of_what_is_sealed() -> None:
    used, sealed = held(1, 5, opened_on=PAST), held(2, 8)
    assert to_open([used, sealed], 3, TODAY, "it") == [Take(sealed, 3)]
    assert "what is on hand of it is opened already" in told(
        lambda: to_open([used], None, TODAY, "it")
    )


def test_what_is_over_is_added_to_the_sealed_and_what_lacks_is_taken_from_the_opened() -> None:
    opened = held(1, 4, SOON, lot=7, opened_on=date(2026, 8, 14))
    sealed = held(2, 10, LATER, lot=7)
    assert corrected([opened, sealed], 16) == [(2, 2)]
    assert corrected([opened, sealed], 11) == [(1, -3)]
    assert corrected([opened, sealed], 8) == [(1, -4), (2, -2)]
    assert corrected([opened, sealed], 0) == [(1, -4), (2, -10)]


def test_what_turns_up_again_where_none_was_left_is_added() -> None:
    assert corrected([held(1, 0)], 3) == [(1, 3)]


def test_a_count_is_of_one_lot_in_one_box_where_some_is() -> None:
    gone = held(2, 0, lot=1, box=TRUCK)
    assert corrected([held(1, 5), gone], 4) == [(1, -1)]
    two = [held(1, 5), held(2, 5, lot=1, box=TRUCK)]
    assert told(lambda: corrections(two, 4, "")) == (
        "there are L1 in Truck and L1 in Water: name one lot, and the box with --box"
    )
    assert told(lambda: corrections([], 4, "")) == "it was never in that box; use receive or move"
    assert "nothing to correct" in told(lambda: corrections([held(1, 5)], 5, ""))


def test_what_is_equal_otherwise_goes_box_by_box_as_when_it_is_issued() -> None:
    """Given one expired lot in two boxes, when it is used anyway, then in the order of FEFO."""
    stock = [held(1, 1, PAST, lot=7, box=TRUCK), held(2, 1, PAST, lot=7, box=WATER)]
    assert use(stock, 1, anyway=True) == [(2, 1)]
