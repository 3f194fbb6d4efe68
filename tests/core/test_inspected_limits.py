"""What looks at a lot make of its limits: a pass extends, a fail ends, a safety date stays.

Kinds and lots are invented.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import box, holding
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
from stockcheck.core.calendar import Life
from stockcheck.core.model import (
    Certainty,
    DateContext,
    DateMeaning,
    Inspection,
    Kind,
    Limit,
    Lot,
    PastDate,
    Status,
)
from stockcheck.core.shelf_life import advice, governing, half_of, limits, never_extended


def shown(one: Lot, opened_on: date | None = None) -> list[tuple[str, str, bool]]:
    """Each limit's name, day and whether it is superseded, as they are listed."""
    return [(it.name, str(it.last_usable_day), it.superseded) for it in limits(one, opened_on)]


# A pass


def test_a_pass_counts_from_the_day_of_the_look_and_stands_in_place_of_what_ended() -> None:
    one = lot(replace(passed(MARCH), by="Ana"))

    assert shown(one) == [("inspected", "2027-09-12", False), ("printed", "2026-11-30", True)]
    assert governing(limits(one, None)) == Limit(
        "inspected",
        date(2027, 9, 12),
        "inspected 12 MAR 2027 by Ana, passed: good 6 months more, through 12 SEP 2027;"
        " 1 of 2 extensions used",
        "the invented sheet",
        Certainty.PRACTICE,
    )


def test_what_is_superseded_keeps_its_own_words() -> None:
    printed = limits(lot(passed(MARCH)), None)[1]

    assert printed.why == "printed 'EXP 11/2026', good through 30 NOV 2026"


def test_a_second_pass_stands_in_place_of_the_first() -> None:
    one = lot(passed(MARCH), passed(date(2027, 9, 1)))

    assert good_through(one) == date(2028, 3, 1)
    assert [it.why.rsplit("; ")[-1] for it in limits(one, None)[:2]] == [
        "2 of 2 extensions used",
        "printed 'EXP 11/2026', good through 30 NOV 2026",
    ]


def test_an_undated_tube_that_passes_is_good_for_its_extension_and_no_longer() -> None:
    assert good_through(lot(expiry=None)) is None
    assert good_through(lot(passed(MARCH), expiry=None)) == date(2027, 9, 12)


def test_extensions_beyond_what_the_rule_allows_count_for_nothing() -> None:
    once = replace(KIND, inspection=replace(RULE, times=1))

    assert good_through(lot(passed(MARCH), passed(date(2027, 9, 1)), kind=once)) == date(
        2027, 9, 12
    )


def test_a_record_that_says_less_than_the_rule_is_taken_at_its_word() -> None:
    look = Inspection(MARCH, True, extends_to=date(2027, 5, 1))

    (limit, _) = limits(lot(look), None)
    assert limit.why == (
        "inspected 12 MAR 2027, passed: good, through 01 MAY 2027; 1 of 2 extensions used"
    )


def test_what_is_superseded_does_not_govern_and_the_order_does_not_matter() -> None:
    printed = Limit("printed", date(2026, 1, 31), "", superseded=True)
    looked = Limit("inspected", date(2027, 9, 12), "")
    heat = Limit("heat", date(2027, 6, 30), "")

    assert governing((looked, printed)) == looked
    assert governing([looked, heat, printed]) == heat
    assert governing((printed,)) is None


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (KIND, ""),
        (SAFETY, "a safety date is never extended"),
        (replace(KIND, dates=DateContext.MEDICINE), "the date of a medicine or of a sterile"),
        (replace(KIND, cautions=("sterile",)), "the date of a medicine or of a sterile"),
        (replace(KIND, cautions=("chemicals",)), ""),
    ],
    ids=["quality", "safety", "medicine", "sterile", "chemicals"],
)
def test_safety_dates_medicines_and_sterile_things_are_never_extended(
    kind: Kind, words: str
) -> None:
    assert never_extended(kind).startswith(words)
    assert bool(never_extended(kind)) is bool(words)


# Opened packs


def test_an_opened_tube_gains_at_most_half_its_opened_life() -> None:
    opened_on, look = date(2026, 10, 1), date(2027, 2, 1)
    one = lot(passed(look))

    assert good_through(one, opened_on) == date(2027, 3, 1)
    assert (
        "good 1 month more, half its opened life, through 01 MAR 2027"
        in limits(one, opened_on)[0].why
    )
    assert good_through(one) == date(2027, 8, 1), "the sealed tubes of the lot gain it all"


def test_a_look_before_the_opening_does_not_lengthen_the_opened_life() -> None:
    one = lot(passed(date(2026, 12, 1)))

    assert shown(one, date(2027, 1, 10)) == [
        ("opened", "2027-04-10", False),
        ("inspected", "2027-06-01", False),
        ("printed", "2026-11-30", True),
    ]


def test_a_look_on_the_day_of_the_opening_counts_as_one_at_the_opened_tube() -> None:
    day = date(2027, 1, 10)

    assert ("opened", "2027-04-10", False) in shown(lot(passed(day)), day)
    assert good_through(lot(passed(day)), day) == date(2027, 2, 10)


@pytest.mark.parametrize(
    ("life", "half"),
    [
        (Life(months=12), Life(months=6)),
        (Life(months=3), Life(months=1)),
        (Life(months=1), Life(days=15)),
        (Life(days=28), Life(days=14)),
        (Life(), Life()),
    ],
    ids=str,
)
def test_half_a_life_is_rounded_down_to_whole_months_or_days(life: Life, half: Life) -> None:
    assert half_of(life) == half


def test_where_nothing_is_kept_once_open_no_pass_keeps_it() -> None:
    assert good_through(lot(passed(date(2027, 4, 1)), kind=SINGLE_USE), MARCH) == MARCH


# A fail


def test_a_failed_look_ends_the_lot_from_that_day() -> None:
    one = lot(failed(date(2026, 8, 1), by="Ana"))

    assert governing(limits(one, None)) == Limit(
        "inspected",
        date(2026, 7, 31),
        "inspected 01 AUG 2026 by Ana, failed: nothing of it is good from that day",
        "the inspection",
        Certainty.OWN,
    )


def test_a_failed_look_ends_what_has_no_date_or_no_limit_too() -> None:
    timeless = replace(
        LOOKS_ONLY, meaning=DateMeaning.NONE, sealed=None, opened=None, past=PastDate.INSPECT
    )

    assert good_through(lot(failed(MARCH), expiry=None)) == date(2027, 3, 11)
    assert good_through(lot(failed(MARCH), kind=timeless, expiry=None)) == date(2027, 3, 11)


@pytest.mark.parametrize("later", [0, 1, 400])
def test_no_pass_on_the_day_of_a_fail_or_after_it_revives_the_lot(later: int) -> None:
    one = lot(failed(MARCH), passed(MARCH + timedelta(days=later)))

    assert good_through(one) == date(2026, 11, 30)
    assert not [it for it in limits(one, None) if "passed" in it.why]


def test_a_fail_after_a_pass_takes_the_rest_of_the_extension_away() -> None:
    assert good_through(lot(passed(MARCH), failed(date(2027, 6, 1)))) == date(2027, 5, 31)


@pytest.mark.parametrize(
    ("looks", "words"),
    [
        ((), "inspect; plan a new one"),
        ((passed(MARCH),), "inspect; plan a new one"),
        ((passed(MARCH), passed(date(2027, 9, 1))), "no extension left; replace"),
        ((failed(MARCH),), "failed inspection; do not use, write off"),
    ],
    ids=["not looked at", "one left", "none left", "failed"],
)
def test_what_is_advised_past_the_date_goes_by_what_was_found(
    looks: Sequence[Inspection], words: str
) -> None:
    one = holding(1, lot(*looks), box("Sealants"))

    assert advice(one, Status.EXPIRED) == words


# Properties

LOOKS = st.lists(
    st.builds(
        lambda on, good, months: Inspection(
            on, good, extends_to=Life(months=months).after(on) if good and months else None
        ),
        DAYS,
        st.sampled_from((True, True, True, False)),
        st.integers(0, 9),
    ),
    max_size=5,
)
OPENED = st.none() | DAYS


@given(LOOKS, OPENED)
def test_no_look_moves_a_safety_date_later(looks: list[Inspection], opened_on: date | None) -> None:
    with_looks = good_through(lot(*looks, kind=SAFETY), opened_on)
    without = good_through(lot(kind=SAFETY), opened_on)

    assert with_looks is not None
    assert without is not None
    assert with_looks <= without
    if all(look.passed for look in looks):
        assert with_looks == without


@given(LOOKS, OPENED)
def test_passes_never_shorten_and_never_reach_beyond_look_plus_extension(
    looks: list[Inspection], opened_on: date | None
) -> None:
    good = [look for look in looks if look.passed]
    until, before = good_through(lot(*good), opened_on), good_through(lot(), opened_on)

    assert until is not None
    assert before is not None
    assert before <= until <= max([before, *(Life(months=6).after(look.on) for look in good)])


@given(LOOKS, OPENED)
def test_one_fail_is_the_end_whatever_else_was_found(
    looks: list[Inspection], opened_on: date | None
) -> None:
    until = good_through(lot(*looks), opened_on)
    for look in looks:
        assert look.passed or (until is not None and until < look.on)


@given(LOOKS.filter(lambda looks: len(looks) < 4), OPENED)
def test_only_the_days_of_the_looks_matter_not_the_order_in_which_they_were_entered(
    looks: list[Inspection], opened_on: date | None
) -> None:
    assert len({good_through(lot(*order), opened_on) for order in permutations(looks)}) == 1
