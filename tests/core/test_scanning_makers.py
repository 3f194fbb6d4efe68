"""Makers' codes in a session: the lot they stand for, packs taken in, items made."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from given import TODAY
from given_scans import (
    CAB,
    SETTING,
    TUBE,
    WATER,
    after,
    number,
    said,
    scanned_box,
    scanned_maker,
    stock,
)
from stockcheck.core.recalls import Recall
from stockcheck.core.recognising import Match
from stockcheck.core.scanning import Ask, Given, MakeItem, Step, TakeIn

YES = Given("", answer=True)
RECALL = Recall(1, 7, TUBE.name, "", "AB", "seam", date(2026, 11, 1))
NEW = scanned_maker()


def taken_in(step: Step) -> tuple[str, int, int | None, bool]:
    """What a step takes in: the box, how many units, of which lot more, confirmed or not."""
    assert isinstance(step.work, TakeIn), said(step)
    return step.work.box.name, step.work.units, step.work.lot_id, step.work.anyway


def test_a_known_batch_and_date_is_the_lot_itself() -> None:
    step = after(scanned_box(), scanned_maker(stock(4), match=Match.LOT))
    assert step.before[0].word == "GOOD"
    assert step.session.lot_ids == (4,)
    assert (4, 1) in step.session.seen


def test_a_known_lot_in_another_box_is_offered_to_be_moved() -> None:
    pack = scanned_maker(stock(4, CAB), match=Match.LOT)
    assert after(scanned_box(), pack, pack).work is not None


def test_a_new_batch_is_offered_to_be_received_with_all_that_its_code_says() -> None:
    step = after(scanned_box(), NEW)
    words = said(step)
    assert words.startswith("NEW sealant, 50 ml tube, batch AB, good through 30 JUN 2029")
    assert "Receive 1 into Water? Scan it again for yes" in words
    assert taken_in(after(scanned_box(), NEW, NEW)) == ("Water", 1, None, False)


def test_a_pack_of_ten_is_received_as_ten_and_a_number_as_so_many() -> None:
    ten = scanned_maker(units=10, pack=10)
    assert "Receive 10 into Water?" in said(after(scanned_box(), ten))
    assert taken_in(after(scanned_box(), ten, ten))[1] == 10
    assert taken_in(after(scanned_box(), ten, number(7)))[1] == 7
    assert after(scanned_box(), ten, number(0)).work is None


def test_the_word_receive_takes_packs_of_what_was_scanned_last() -> None:
    ten = scanned_maker(stock(4), match=Match.LOT, units=10)
    step = after(scanned_box(), ten, Given("", receive=3))
    assert taken_in(step) == ("Water", 30, 4, False)
    nothing = after(scanned_box(), Given("", receive=3))
    assert "Scan the maker's code of the pack first" in said(nothing)


def test_of_a_lot_with_none_left_more_is_received_as_that_lot() -> None:
    pack = scanned_maker(stock(4, quantity=0), match=Match.LOT)
    step = after(scanned_box(), pack)
    assert step.before[0].word == "NONE LEFT"
    assert taken_in(after(scanned_box(), pack, pack)) == ("Water", 1, 4, False)


def test_without_a_box_it_is_said_what_to_scan_first() -> None:
    step = after(NEW)
    assert "Scan the box that it goes into" in said(step)
    assert step.session.question is None


@pytest.mark.parametrize(
    ("against", "words"),
    [
        ({"expired": True}, "It is EXPIRED already"),
        ({"recall": RECALL}, "Its batch is RECALLED (R1) and goes on hold at once"),
        ({"held_lots": (4,)}, "Its batch is ON HOLD elsewhere"),
    ],
    ids=["expired", "recalled", "held"],
)
def test_what_speaks_against_it_must_be_confirmed_once_more(
    against: dict[str, Any], words: str
) -> None:
    bad = scanned_maker(**against)
    first = after(scanned_box(), bad)
    assert first.rings
    second = after(bad, session=first.session)
    assert second.work is None
    assert words in said(second)
    assert taken_in(after(bad, session=second.session))[3] is True
    assert after(scanned_box(CAB), session=second.session).work is None


def test_how_many_stays_as_typed_when_it_is_confirmed_once_more() -> None:
    bad = scanned_maker(expired=True)
    assert taken_in(after(scanned_box(), bad, number(5), bad))[1] == 5


def test_an_unknown_gtin_is_offered_to_be_made_an_item() -> None:
    unknown = scanned_maker(known_item=False, match=Match.UNKNOWN)
    step = after(scanned_box(), unknown)
    assert step.before[0].word == "UNKNOWN"
    assert isinstance(after(scanned_box(), unknown, unknown).work, MakeItem)
    assert after(scanned_box(), unknown, number(3)).work is None


def test_another_packing_level_of_an_item_is_seen_to_be_one() -> None:
    unknown = scanned_maker(known_item=False, match=Match.UNKNOWN, level_of=TUBE)
    step = after(scanned_box(), unknown)
    assert "It looks like another pack of sealant, 50 ml tube" in said(step)
    work = after(scanned_box(), unknown, YES).work
    assert isinstance(work, MakeItem)
    assert work.another_pack


def test_a_code_without_batch_and_date_may_be_any_lot_of_its_item() -> None:
    pack = scanned_maker(stock(4), stock(5, CAB), match=Match.ITEM)
    step = after(scanned_box(), pack)
    assert "it may be any lot: L4, L5 (3 in Water and 3 in Cab)" in said(step)
    assert step.session.lot_ids == (4,)


def test_a_code_without_a_gtin_is_told_and_asks_nothing() -> None:
    step = after(scanned_box(), scanned_maker(text="(00)095060001343520000", known_item=False,
                                              match=Match.NO_GTIN))  # fmt: skip
    assert "without a GTIN" in said(step)
    assert step.session.question is None


def test_an_item_out_of_use_is_not_taken_in() -> None:
    step = after(scanned_box(), scanned_maker(item=replace(TUBE, retired_on=TODAY)))
    assert "out of use" in said(step)
    assert step.session.question is None


def test_the_same_batch_with_another_date_is_pointed_out() -> None:
    from stockcheck.core.recognising import KnownLot

    other = KnownLot(4, "AB", date(2027, 1, 31), 2)
    words = said(after(scanned_box(), scanned_maker(other_dates=(other,))))
    assert "L4 has the same batch with another date (31 JAN 2027): look again" in words


def test_where_nobody_can_answer_a_code_is_told_and_nothing_asked() -> None:
    step = after(scanned_box(), NEW, setting=replace(SETTING, asks=False))
    assert step.session.question is None
    assert step.session.box == WATER


def test_the_offer_goes_when_the_box_changes() -> None:
    asked = after(scanned_box(), NEW)
    assert asked.session.question is not None
    assert asked.session.question.ask is Ask.RECEIVE
    moved_on = after(scanned_box(CAB), session=asked.session)
    assert moved_on.session.question is None
    assert moved_on.session.box == CAB
