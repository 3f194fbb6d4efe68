"""Inspections: what a pass would do, what is recorded, and what is refused.

Kinds and lots are invented; the shipped rules are held against published practice in
tests/reference. What the looks make of a lot's limits stands in ``test_inspected_limits``.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given_looks import (
    DAYS,
    KIND,
    LOOKS_ONLY,
    MARCH,
    RULE,
    SAFETY,
    SINGLE_USE,
    failed,
    good_through,
    lot,
    passed,
)
from stockcheck.core.errors import BadInput
from stockcheck.core.inspection import Outlook, extensions_left, inspect, outlook
from stockcheck.core.model import DateContext, DateMeaning, Inspection, Kind, PastDate

DISCARDED = replace(
    KIND, name="eye drops", meaning=DateMeaning.SAFETY, past=PastDate.DISCARD, inspection=None
)


# What a pass would do


def test_an_undated_tube_may_be_extended_from_the_day_of_the_look() -> None:
    assert outlook(lot(expiry=None), None, MARCH).extends_to == date(2027, 9, 12)


def test_a_pass_long_before_the_date_shortens_nothing_and_is_a_look_only() -> None:
    early = date(2026, 5, 1)

    assert outlook(lot(), None, early) == Outlook(
        may_extend=False,
        extends_to=None,
        left=2,
        why="a pass on 01 MAY 2026 is a look only: its printed limit, 30 NOV 2026, stands",
    )
    assert inspect(lot(), None, on=early, passed=True) == Inspection(early, True)
    assert good_through(lot(passed(early))) == date(2026, 11, 30)


def test_a_pass_shortly_before_the_date_counts_from_the_look_and_not_from_the_date() -> None:
    assert outlook(lot(), None, date(2026, 11, 1)).extends_to == date(2027, 5, 1)


def test_what_a_pass_would_do_is_told_with_its_figures_and_source() -> None:
    assert outlook(lot(passed(MARCH)), None, date(2027, 10, 1)) == Outlook(
        may_extend=True,
        extends_to=date(2028, 4, 1),
        left=1,
        why="a pass on 01 OCT 2027 makes it good through 01 APR 2028: extension 2 of 2,"
        " at most 6 months (the invented sheet; common practice)",
    )


def test_a_pass_is_recorded_with_who_what_and_until_when() -> None:
    found = inspect(lot(), None, on=MARCH, passed=True, by="Ana", note="bead rubbery")

    assert found == Inspection(MARCH, True, "Ana", "bead rubbery", date(2027, 9, 12))


def test_where_nothing_is_kept_once_open_a_pass_is_a_look_only() -> None:
    one = lot(kind=SINGLE_USE)

    assert outlook(one, MARCH, date(2027, 4, 1)) == Outlook(
        may_extend=False,
        extends_to=None,
        left=2,
        why="a pass on 01 APR 2027 is a look only: its opened limit, 12 MAR 2027, stands",
    )


def test_where_another_limit_ends_first_the_outlook_says_so() -> None:
    until = outlook(lot(made="2026-06-01"), date(2026, 12, 20), date(2026, 12, 1))

    assert until.extends_to == date(2027, 3, 20)
    assert "good through 20 MAR 2027, where its opened limit ends" in until.why


def test_a_lot_that_failed_is_not_inspected_again() -> None:
    one = lot(failed(MARCH, by="Ana"))
    words = "it failed inspection on 12 MAR 2027 by Ana, and one fail ends the lot: write it off"

    assert outlook(one, None, date(2027, 4, 1)) == Outlook(
        may_extend=False, extends_to=None, left=0, why=words
    )
    with pytest.raises(BadInput, match=f"^L42 sealant, 80 ml tube: {words}$"):
        inspect(one, None, on=date(2027, 4, 1), passed=True)


def test_when_its_extensions_are_used_up_no_pass_is_recorded_but_a_fail_is() -> None:
    one = lot(passed(MARCH), passed(date(2027, 9, 12)))
    words = "2 of 2 extensions used (the invented sheet; common practice): replace it"

    assert (extensions_left(one), outlook(one, None, date(2028, 4, 1)).why) == (0, words)
    with pytest.raises(BadInput, match=r"2 of 2 extensions used .*a failed look can be recorded"):
        inspect(one, None, on=date(2028, 4, 1), passed=True)
    assert inspect(one, None, on=date(2028, 4, 1), passed=False) == failed(date(2028, 4, 1))


def test_a_look_that_extended_nothing_uses_no_extension() -> None:
    assert extensions_left(lot(Inspection(MARCH, True), passed(MARCH))) == 1


# What is refused, and what is a look only


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (DISCARDED, "a safety date is never extended: discard it by its date"),
        (
            replace(SAFETY, past=PastDate.LAST_RESORT, inspection=None),
            "a safety date is never extended: replace it by its date",
        ),
        (
            replace(KIND, cautions=("sterile",), inspection=None),
            "the date of a medicine or of a sterile thing is never extended: replace it",
        ),
        (
            replace(KIND, past=PastDate.DISCARD, inspection=None),
            "it is discarded past its date, not inspected",
        ),
    ],
    ids=["safety", "safety, last resort", "sterile", "discarded"],
)
@pytest.mark.parametrize("good", [True, False])
def test_what_is_kept_by_its_date_alone_is_not_inspected(
    kind: Kind, words: str, good: bool
) -> None:
    assert outlook(lot(kind=kind), None, MARCH).why.startswith(words)
    with pytest.raises(BadInput, match=f"{words}.*; write it off at once if it looks wrong"):
        inspect(lot(kind=kind), None, on=MARCH, passed=good)


@pytest.mark.parametrize(
    ("kind", "reason"),
    [
        (LOOKS_ONLY, "no rule extends this kind"),
        (replace(KIND, inspection=None), "no rule extends this kind"),
        (SAFETY, "a safety date is never extended"),
        (replace(KIND, dates=DateContext.MEDICINE), "the date of a medicine or of a sterile thing"),
        (
            replace(LOOKS_ONLY, meaning=DateMeaning.NONE, sealed=None),
            "it has no date to extend",
        ),
    ],
    ids=["looks only", "no rule", "safety", "medicine", "without a date"],
)
def test_where_nothing_may_extend_a_pass_is_recorded_as_a_look(kind: Kind, reason: str) -> None:
    found = outlook(lot(kind=kind), None, MARCH)

    assert found.why.startswith(f"a pass says that it looked right that day, and no more: {reason}")
    assert (found.may_extend, found.extends_to, found.left) == (False, None, 0)
    assert inspect(lot(kind=kind), None, on=MARCH, passed=True) == Inspection(MARCH, True)


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ((True, False), "no to 'Did a bead cure?' is no pass; record it as failed"),
        ((True,), "1 answers to 2 questions; give one each"),
    ],
)
def test_a_pass_needs_a_yes_to_every_question(answers: tuple[bool, ...], words: str) -> None:
    with pytest.raises(BadInput) as caught:
        inspect(lot(), None, on=MARCH, passed=True, answers=answers)

    assert str(caught.value) == f"L42 sealant, 80 ml tube: {words}"


def test_all_yes_is_a_pass_and_any_answers_go_with_a_fail() -> None:
    assert inspect(lot(), None, on=MARCH, passed=True, answers=(True, True)).extends_to
    assert not inspect(lot(), None, on=MARCH, passed=False, answers=(False, True)).passed
    assert not inspect(lot(), None, on=MARCH, passed=False, answers=(True, True)).passed


@given(st.lists(DAYS, max_size=6), st.none() | DAYS)
def test_what_the_outlook_promises_is_what_the_record_gives_and_never_too_often(
    days: list[date], opened_on: date | None
) -> None:
    one = lot()
    for on in sorted(days):
        if not extensions_left(one):
            break
        promised, record = outlook(one, opened_on, on), inspect(one, opened_on, on=on, passed=True)
        one = replace(one, inspections=(*one.inspections, record))
        assert (record.extends_to is not None) is promised.may_extend
        if promised.may_extend:
            assert good_through(one, opened_on) == promised.extends_to
    assert sum(look.extends_to is not None for look in one.inspections) <= RULE.times
