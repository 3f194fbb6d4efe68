"""What the actions of a session do: use, open, count, write off, label; and what they refuse."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from given import TODAY, holding, item, kind, life, lot, printed
from given_scans import (
    CAB,
    FAR_DAY,
    PAST_DAY,
    WATER,
    action,
    after,
    number,
    said,
    scanned_box,
    scanned_lot,
    stock,
)
from stockcheck.core.actions import Action
from stockcheck.core.calendar import Life
from stockcheck.core.model import Holding, State
from stockcheck.core.movements import What
from stockcheck.core.scanning import Given, Post, Step

YES = Given("", answer=True)


def do(which: Action, *held: Holding, figure: int | None = None, rest: str = "") -> Step:
    """A box, a lot in it, and an action for it."""
    lines = (scanned_box(), scanned_lot(*held), action(which, *held, quantity=figure, rest=rest))
    return after(*lines)


def lines_of(step: Step) -> list[tuple[What, int, date | None, State]]:
    """What a step writes, line by line."""
    assert isinstance(step.work, Post), said(step)
    return [
        (plan.what, it.quantity, it.opened_on, it.state)
        for plan in step.work.movements
        for it in plan.lines
    ]


class TestUsing:
    def test_one_goes_out_of_the_box_at_hand_and_what_is_left_is_told(self) -> None:
        step = do(Action.USE_ONE, stock(1), stock(2, CAB, 9, lot_number=1))
        assert lines_of(step) == [(What.ISSUED, -1, None, State.STOCK)]
        assert "Used: 1 of sealant, 50 ml tube (L1) in Water 2 left there" in said(step)

    def test_what_is_opened_goes_first_when_it_ends_first(self) -> None:
        opened = stock(2, opened_on=date(2026, 11, 1), last=date(2026, 12, 20), lot_number=1)
        step = do(Action.USE_ONE, stock(1), opened)
        assert lines_of(step) == [(What.ISSUED, -1, date(2026, 11, 1), State.STOCK)]

    @pytest.mark.parametrize(
        ("held", "word"),
        [
            (stock(1, last=PAST_DAY), "EXPIRED"),
            (stock(1, last=None), "NO DATE"),
            (stock(1, state=State.LAST_RESORT), "LAST RESORT"),
        ],
    )
    def test_what_is_not_good_is_used_only_when_it_is_said_again(
        self, held: Holding, word: str
    ) -> None:
        asked = do(Action.USE_ONE, held)
        assert asked.work is None
        assert said(asked).startswith(f"{word}: use it all the same, at your own risk?")
        assert asked.rings
        assert asked.beware
        again = after(action(Action.USE_ONE, held), session=asked.session)
        assert lines_of(again)[0][:2] == (What.ISSUED, -1)
        other = after(scanned_lot(stock(8)), session=asked.session)
        assert other.work is None

    def test_what_is_on_hold_is_never_used(self) -> None:
        step = do(Action.USE_ONE, stock(1, state=State.HELD))
        assert step.work is None
        assert "must not be used until it is released" in said(step)

    @pytest.mark.parametrize("figure", [4, 999_999])
    def test_more_than_there_is_is_refused(self, figure: int) -> None:
        step = do(Action.USE_ONE, stock(1), figure=figure)
        assert step.work is None
        assert "asked" in said(step)

    def test_one_of_what_is_measured_out_is_a_pack_or_what_is_left_of_it(self) -> None:
        fluid = item(kind(), "brake fluid, 500 ml can", unit="ml", pack=500)
        of = lot(fluid, 1, expiry=printed("EXP", "2029-06"))
        whole, half = holding(1, of, WATER, 1000, FAR_DAY), holding(2, of, WATER, 200, FAR_DAY)
        assert lines_of(do(Action.USE_ONE, whole))[0][1] == -500
        assert lines_of(do(Action.USE_ONE, half))[0][1] == -200
        assert lines_of(do(Action.USE_ONE, half, figure=30))[0][1] == -30

    def test_pairs_are_counted_in_pairs(self) -> None:
        gloves = item(kind(), "gloves", unit="pair", pack=10)
        held = holding(1, lot(gloves, 1, expiry=printed("EXP", "2029-06")), WATER, 6, FAR_DAY)
        assert "Used: 1 pair of gloves (L1) in Water 5 pairs left there" in said(
            do(Action.USE_ONE, held)
        )

    def test_one_out_of_a_pack_that_keeps_badly_opens_the_pack(self) -> None:
        tablets = item(kind(opened=life("3 months")), "tablets", unit="tablet", pack=30)
        held = holding(1, lot(tablets, 1, expiry=printed("EXP", "2029-06")), WATER, 60, FAR_DAY)
        written = lines_of(do(Action.USE_ONE, held))
        assert [line[:2] for line in written] == [
            (What.OPENED, -30), (What.OPENED, 30), (What.ISSUED, -1),
        ]  # fmt: skip


class TestOpening:
    def test_one_pack_is_opened_today_and_shown_again(self) -> None:
        step = do(Action.OPEN, stock(1))
        assert lines_of(step) == [
            (What.OPENED, -1, None, State.STOCK),
            (What.OPENED, 1, TODAY, State.STOCK),
        ]
        assert step.show == (1,)

    def test_of_pieces_sealed_one_by_one_only_one_is_opened(self) -> None:
        kind_ = kind(opened=replace(life("1 month"), life=Life()))
        tablets = item(kind_, "tablets in foil", unit="tablet", pack=30)
        held = holding(1, lot(tablets, 1, expiry=printed("EXP", "2029-06")), WATER, 27, FAR_DAY)
        assert lines_of(do(Action.OPEN, held))[0][1] == -1

    def test_what_is_opened_already_is_told_to_be(self) -> None:
        step = do(Action.OPEN, stock(1, opened_on=TODAY))
        assert step.work is None
        assert "opened already" in said(step)


class TestCounting:
    def test_a_typed_number_sets_the_books(self) -> None:
        asked = do(Action.COUNT, stock(1))
        step = after(number(2), session=asked.session)
        assert lines_of(step) == [(What.COUNTED, -1, None, State.STOCK)]
        assert "Counted 2 of sealant, 50 ml tube (L1); the books had 3" in said(step)

    def test_scanning_each_and_then_count_sets_the_books_with_a_scanner_alone(self) -> None:
        asked = do(Action.COUNT, stock(1))
        pack = scanned_lot(stock(1))
        step = after(pack, pack, pack, pack, action(Action.COUNT), session=asked.session)
        assert lines_of(step) == [(What.COUNTED, 1, None, State.STOCK)]

    def test_as_the_books_have_it_nothing_is_written(self) -> None:
        step = do(Action.COUNT, stock(1), figure=3)
        assert step.work is None
        assert said(step) == "3, as the books have it"

    def test_zero_is_a_count(self) -> None:
        step = after(number(0), session=do(Action.COUNT, stock(1)).session)
        assert lines_of(step) == [(What.COUNTED, -3, None, State.STOCK)]

    def test_what_the_books_had_none_of_can_be_found_again(self) -> None:
        step = do(Action.COUNT, stock(1, quantity=0), figure=2)
        assert lines_of(step) == [(What.COUNTED, 2, None, State.STOCK)]

    def test_another_scan_leaves_the_count_and_the_books(self) -> None:
        asked = do(Action.COUNT, stock(1))
        step = after(scanned_lot(stock(1)), scanned_lot(stock(8)), session=asked.session)
        assert step.work is None
        assert step.before[0].text == "Left as it was."

    def test_what_was_never_in_the_box_is_not_counted_there(self) -> None:
        step = do(Action.COUNT, stock(1, CAB))
        assert step.work is None


class TestWritingOff:
    def test_it_is_asked_with_its_reason_cautions_and_way_of_disposal(self) -> None:
        asked = do(Action.WRITE_OFF, stock(1, last=PAST_DAY))
        assert asked.work is None
        assert "Write off 3 of sealant, 50 ml tube (L1) in Water (expired)?" in said(asked)
        assert asked.beware == asked.disposed != ()

    @pytest.mark.parametrize("answer", [action(Action.WRITE_OFF), scanned_lot(stock(1)), YES])
    def test_the_action_the_lot_or_yes_confirms(self, answer: Given) -> None:
        step = after(answer, session=do(Action.WRITE_OFF, stock(1)).session)
        assert lines_of(step) == [(What.WRITTEN_OFF, -3, None, State.STOCK)]

    def test_a_number_confirms_for_so_many(self) -> None:
        step = after(number(1), session=do(Action.WRITE_OFF, stock(1)).session)
        assert lines_of(step) == [(What.WRITTEN_OFF, -1, None, State.STOCK)]

    @pytest.mark.parametrize(
        ("held", "typed", "reason"),
        [
            (stock(1, last=PAST_DAY), "", "expired"),
            (stock(1, last=None), "", "no date known"),
            (stock(1, state=State.HELD), "", "was on hold"),
            (stock(1, state=State.LAST_RESORT), "", "last resort, no longer kept"),
            (stock(1), "", "written off in a scanning session"),
            (stock(1), "leaked", "leaked"),
        ],
    )
    def test_the_reason_is_what_was_typed_else_what_the_status_says(
        self, held: Holding, typed: str, reason: str
    ) -> None:
        step = after(YES, session=do(Action.WRITE_OFF, held, rest=typed).session)
        assert isinstance(step.work, Post)
        assert step.work.movements[0].reason == reason

    def test_sealed_and_opened_go_together(self) -> None:
        opened = stock(2, opened_on=TODAY, quantity=1, lot_number=1)
        step = after(YES, session=do(Action.WRITE_OFF, stock(1), opened).session)
        assert sorted(line[1] for line in lines_of(step)) == [-3, -1]

    def test_of_several_lots_the_one_meant_must_be_scanned(self) -> None:
        found = scanned_lot(stock(1), stock(2))
        assert found.recognised is not None
        both = replace(found, recognised=replace(found.recognised, id=None))
        step = after(scanned_box(), both, action(Action.WRITE_OFF, stock(1), stock(2)))
        assert "2 lots, L1, L2: scan the label of one" in said(step)


def test_labels_are_noted_once_each_for_the_end_of_the_session() -> None:
    first = do(Action.LABEL, stock(1))
    step = after(action(Action.LABEL, stock(1)), session=first.session)
    assert step.session.labels == (1,)
