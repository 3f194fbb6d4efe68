"""A session's lines, one after the other: what is told, asked, written and declined."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from given import TODAY
from given_scans import (
    CAB,
    PAST_DAY,
    SETTING,
    SHED,
    TRIP_DAY,
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
from stockcheck.core.model import Holding, State
from stockcheck.core.movements import What
from stockcheck.core.recalls import Recall
from stockcheck.core.recognising import Recognised, Sort
from stockcheck.core.scanning import Ask, Done, Given, Post, Step, Undo

YES, NO = Given("", answer=True), Given("", answer=False)


def moves(step: Step) -> list[tuple[str, list[tuple[int, int, int]]]]:
    """What a step writes: the movement and its lines as lot, box, quantity."""
    assert isinstance(step.work, Post), said(step)
    return [
        (plan.what.value, [(it.lot_id, it.box_id, it.quantity) for it in plan.lines])
        for plan in step.work.movements
    ]


class TestLooking:
    @pytest.mark.parametrize(
        ("held", "word", "rings"),
        [
            (stock(1), "GOOD", False),
            (stock(1, last=date(2026, 12, 31)), "ENDS ON TRIP", True),
            (stock(1, last=TRIP_DAY), "ENDS ON TRIP", True),
            (stock(1, last=PAST_DAY), "EXPIRED", True),
            (stock(1, last=None), "NO DATE", True),
            (stock(1, state=State.HELD), "ON HOLD", True),
            (stock(1, state=State.LAST_RESORT), "LAST RESORT", True),
        ],
    )
    def test_a_lot_is_called_out_by_one_word_and_the_bell_rings_when_it_is_bad(
        self, held: Holding, word: str, rings: bool
    ) -> None:
        step = after(scanned_box(), scanned_lot(held))
        assert step.before[0].word == word
        assert step.rings is rings

    def test_without_a_trip_what_ends_soon_is_due_and_rings_no_bell(self) -> None:
        held = stock(1, last=date(2026, 12, 31))
        step = after(scanned_box(), scanned_lot(held), setting=replace(SETTING, horizon=None))
        assert step.before[0].word == "DUE"
        assert not step.rings

    def test_count_day_box_and_advice_follow(self) -> None:
        words = said(after(scanned_box(), scanned_lot(stock(1, last=PAST_DAY))))
        assert "3 in Water, was good through 30 SEP 2026: do not use; discard" in words

    def test_sealed_and_opened_of_one_lot_are_both_told_the_worse_first(self) -> None:
        opened = stock(2, opened_on=date(2026, 8, 1), last=PAST_DAY, quantity=1, lot_number=1)
        step = after(scanned_box(), scanned_lot(stock(1), opened))
        assert [line.word for line in step.before if line.word] == ["EXPIRED", "GOOD"]
        assert "opened 01 AUG 2026" in said(step)

    def test_what_lies_in_another_box_as_well_is_told_too(self) -> None:
        words = said(after(scanned_box(), scanned_lot(stock(1), stock(2, CAB, 5, lot_number=1))))
        assert "also 5 in Cab" in words

    def test_a_lot_of_which_nothing_is_left_is_told_and_not_asked_about(self) -> None:
        step = after(scanned_box(), scanned_lot(stock(1, quantity=0)))
        assert "none on hand by the books" in said(step)
        assert step.session.question is None

    def test_a_recalled_batch_is_told_on_its_own_label_too(self) -> None:
        recall = Recall(1, 7, "sealant", "", "AB", "seam", date(2026, 11, 1))
        step = after(scanned_box(), scanned_lot(stock(1), recall=recall))
        assert step.before[0].word == "RECALLED"
        assert step.rings

    def test_a_box_tells_its_contents_the_worst_first(self) -> None:
        inside = (stock(1), stock(2, last=PAST_DAY), stock(3, last=TRIP_DAY))
        step = after(scanned_box(WATER, *inside))
        assert [line.word for line in step.before] == ["BOX", "EXPIRED", "ENDS ON TRIP", "GOOD"]
        assert step.session.box == WATER
        assert step.rings

    def test_an_empty_box_says_so(self) -> None:
        assert "holds nothing by the books" in said(after(scanned_box()))

    def test_boxes_inside_are_named_and_not_counted_in(self) -> None:
        step = after(replace(scanned_box(WATER, stock(1)), inside=("Pouch", "Tin")))
        assert "boxes inside it, to be scanned by themselves: Pouch and Tin" in said(step)

    def test_a_box_with_very_many_holdings_is_cut_short(self) -> None:
        step = after(scanned_box(WATER, *(stock(n) for n in range(1, 200))))
        assert len(step.before) == 62
        assert "and 139 more" in step.before[-1].text

    def test_a_retired_box_does_not_become_the_current_one(self) -> None:
        gone = replace(CAB, retired_on=TODAY)
        step = after(scanned_box(), scanned_box(gone))
        assert step.session.box == WATER
        assert step.rings

    def test_what_is_unknown_is_told_and_kept_for_the_summary(self) -> None:
        found = Recognised("zzz", Sort.UNKNOWN, problem="nothing here is called 'zzz'")
        step = after(scanned_box(), Given("unknown:zzz", recognised=found))
        assert step.session.unknown == ("zzz",)
        assert "nothing here is called" in said(step)

    def test_seen_are_the_lots_scanned_in_their_box_alone(self) -> None:
        step = after(scanned_lot(stock(9)), scanned_box(), scanned_lot(stock(1)),
                     scanned_lot(stock(2, CAB)))  # fmt: skip
        assert step.session.seen == {(1, 1)}

    def test_of_several_lots_that_a_code_may_mean_none_is_called_seen(self) -> None:
        found = Recognised("tube", Sort.ITEM, 7, "tube")
        two = Given("item:7", recognised=found, held=(stock(1), stock(2)))
        assert after(scanned_box(), two).session.seen == frozenset()


class TestMovingHere:
    ELSEWHERE = scanned_lot(stock(5, CAB, 4))

    def test_what_is_not_in_this_box_is_offered_to_be_moved_here(self) -> None:
        step = after(scanned_box(), self.ELSEWHERE)
        assert "ELSEWHERE not in Water by the books, but 4 in Cab" in said(step)
        assert step.session.question is not None
        assert step.work is None

    @pytest.mark.parametrize("answer", [ELSEWHERE, YES], ids=["the same again", "yes"])
    def test_the_same_scan_again_moves_it(self, answer: Given) -> None:
        step = after(scanned_box(), self.ELSEWHERE, answer)
        assert moves(step) == [("moved", [(5, 2, -4), (5, 1, 4)])]
        assert (5, 1) in step.session.seen
        assert step.session.question is None

    def test_a_number_moves_so_many(self) -> None:
        step = after(scanned_box(), self.ELSEWHERE, number(1))
        assert moves(step) == [("moved", [(5, 2, -1), (5, 1, 1)])]

    @pytest.mark.parametrize("figure", [0, 5, 999_999])
    def test_a_number_that_cannot_be_is_refused_and_nothing_is_written(self, figure: int) -> None:
        step = after(scanned_box(), self.ELSEWHERE, number(figure))
        assert step.work is None
        assert step.session.question is None

    def test_another_scan_declines_and_is_taken_as_the_next_one(self) -> None:
        step = after(scanned_box(), self.ELSEWHERE, scanned_lot(stock(1)))
        assert step.before[0].text == "Left as it was."
        assert step.before[1].word == "GOOD"
        assert step.work is None

    def test_no_declines_and_nothing_else_happens(self) -> None:
        step = after(scanned_box(), self.ELSEWHERE, NO)
        assert said(step) == "Left as it was."
        assert step.session.question is None

    def test_done_declines_and_ends(self) -> None:
        step = after(scanned_box(), self.ELSEWHERE, action(Action.DONE))
        assert isinstance(step.work, Done)

    def test_in_several_other_boxes_the_box_that_it_came_from_is_asked(self) -> None:
        held = (stock(5, CAB, 4), stock(6, SHED, 1, lot_number=5))
        asked = after(scanned_box(), scanned_lot(*held))
        assert "scan the box that it came from" in said(asked)
        step = after(scanned_box(SHED), session=asked.session)
        assert moves(step) == [("moved", [(5, 3, -1), (5, 1, 1)])]
        assert step.session.box == WATER

    def test_a_box_that_has_none_of_it_becomes_the_current_one_instead(self) -> None:
        held = (stock(5, CAB, 4), stock(6, SHED, 1, lot_number=5))
        step = after(scanned_box(), scanned_lot(*held), scanned_box(WATER))
        assert step.work is None
        assert step.before[0].text == "Left as it was."

    def test_what_is_on_hold_stays_so_when_moved(self) -> None:
        held = scanned_lot(stock(5, CAB, 4, state=State.HELD))
        step = after(scanned_box(), held, held)
        assert isinstance(step.work, Post)
        assert {line.state for line in step.work.movements[0].lines} == {State.HELD}

    def test_where_nobody_can_answer_nothing_is_asked(self) -> None:
        step = after(scanned_box(), self.ELSEWHERE, setting=replace(SETTING, asks=False))
        assert step.session.question is None


class TestGrammar:
    def test_a_thing_and_then_the_action(self) -> None:
        held = stock(1)
        step = after(scanned_box(), scanned_lot(held), action(Action.USE_ONE, held))
        assert moves(step) == [("issued", [(1, 1, -1)])]

    def test_the_action_and_then_the_thing(self) -> None:
        waiting = after(scanned_box(), action(Action.USE_ONE))
        assert said(waiting) == "Now scan what is to be used"
        step = after(scanned_lot(stock(1)), session=waiting.session)
        assert moves(step) == [("issued", [(1, 1, -1)])]
        assert step.session.waiting is None
        assert step.before[0].word == "GOOD", "it is shown before it is used"

    def test_an_action_keeps_waiting_while_the_box_is_changed(self) -> None:
        step = after(action(Action.USE_ONE), scanned_box(), scanned_lot(stock(1)))
        assert moves(step) == [("issued", [(1, 1, -1)])]

    def test_the_action_again_is_done_again_to_the_same_thing(self) -> None:
        held = stock(1)
        first = after(scanned_box(), scanned_lot(held), action(Action.USE_ONE, held))
        again = after(action(Action.USE_ONE, stock(1, quantity=2)), session=first.session)
        assert moves(again) == [("issued", [(1, 1, -1)])]

    def test_a_box_ends_what_was_scanned_before_it(self) -> None:
        step = after(scanned_lot(stock(1)), scanned_box(), action(Action.USE_ONE))
        assert step.session.waiting is not None
        assert step.work is None

    def test_an_answer_or_number_without_a_question_changes_nothing(self) -> None:
        for line in (YES, NO, number(7)):
            step = after(scanned_box(), line)
            assert said(step).startswith("Nothing was asked")
            assert step.session == after(scanned_box()).session

    def test_undo_and_done_need_no_thing(self) -> None:
        assert isinstance(after(action(Action.UNDO)).work, Undo)
        assert isinstance(after(action(Action.DONE)).work, Done)

    def test_without_a_box_the_only_place_is_meant_and_of_several_none(self) -> None:
        one = stock(1, CAB)
        assert moves(after(scanned_lot(one), action(Action.USE_ONE, one)))
        two = (one, stock(2, SHED, lot_number=1))
        step = after(scanned_lot(*two), action(Action.USE_ONE, *two))
        assert "3 in Cab and 3 in Shed: scan the box first" in said(step)

    def test_every_movement_is_told_as_a_deed(self) -> None:
        held = stock(1)
        step = after(scanned_box(), scanned_lot(held), action(Action.USE_ONE, held, quantity=2))
        assert isinstance(step.work, Post)
        assert [(it.what, it.lot, it.quantity) for it in step.work.deeds] == [("used", "L1", 2)]
        assert {plan.what for plan in step.work.movements} == {What.ISSUED}

    def test_undo_first_takes_back_what_is_only_asked_or_waited_for(self) -> None:
        """Nothing written before may be undone by whoever only means no."""
        asked = after(scanned_box(), TestMovingHere.ELSEWHERE, action(Action.UNDO))
        waiting = after(scanned_box(), action(Action.OPEN), action(Action.UNDO))
        for step in (asked, waiting):
            assert step.work is None
            assert said(step) == "Left as it was."
            assert step.session.question is None
            assert step.session.waiting is None

    def test_move_waits_for_its_box(self) -> None:
        held = stock(1)
        asked = after(scanned_box(), scanned_lot(held), action(Action.MOVE, held))
        assert asked.session.question is not None
        assert asked.session.question.ask is Ask.WHERE_TO
        step = after(scanned_box(CAB), session=asked.session)
        assert moves(step) == [("moved", [(1, 1, -3), (1, 2, 3)])]
        assert step.session.box == WATER, "the box at hand stays the current one"

    def test_a_box_typed_behind_move_follows_as_the_next_line(self) -> None:
        held = stock(1)
        step = after(scanned_box(), scanned_lot(held), action(Action.MOVE, held, rest="Cab"))
        assert step.then == "Cab"

    def test_moving_into_the_box_where_it_is_is_refused(self) -> None:
        held = stock(1)
        step = after(scanned_box(), scanned_lot(held), action(Action.MOVE, held), scanned_box())
        assert "in that box already" in said(step)
        assert step.session.question is None

    def test_a_box_out_of_use_takes_nothing(self) -> None:
        held, gone = stock(1), replace(CAB, retired_on=TODAY)
        step = after(scanned_box(), scanned_lot(held), action(Action.MOVE, held), scanned_box(gone))
        assert step.work is None
        assert "box 'Cab' is out of use since" in said(step)
