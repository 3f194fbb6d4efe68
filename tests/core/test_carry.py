"""How many to carry: what keeps one from running out, and what is a question and no number."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.carry import (
    Assurances,
    Basis,
    Carry,
    Log,
    Measure,
    assurance,
    bound,
    carry,
    curve,
    each_of,
    together,
)
from stockcheck.core.carry_words import percent, question, sentence, why
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Importance

USES, LENGTHS = st.integers(0, 40), st.integers(1, 400)
AIMS = st.sampled_from([Fraction(1, 2), Fraction(9, 10), Fraction(95, 100), Fraction(99, 100)])


@given(USES, LENGTHS, LENGTHS, AIMS)
def test_more_uses_a_longer_trip_or_a_higher_aim_never_mean_less_and_a_longer_log_never_more(
    k: int, t: int, h: int, p: Fraction
) -> None:
    h = min(h, 4 * t)
    n = bound(k, t, h, p)
    assert bound(k + 1, t, h, p) >= n
    assert bound(k, t, h + 1, p) >= n
    assert bound(k, t, h, (1 + p) / 2) >= n
    assert bound(k, t + 1, h, p) <= n


@given(USES, LENGTHS, LENGTHS, AIMS, st.fractions(Fraction(1, 1000), 1000))
def test_only_the_ratio_of_log_and_trip_counts_not_the_unit_they_are_measured_in(
    k: int, t: int, h: int, p: Fraction, unit: Fraction
) -> None:
    h = min(h, 4 * t)
    assert bound(k, t * unit, h * unit, p) == bound(k, t, h, p)


@given(LENGTHS, LENGTHS, AIMS)
def test_without_any_use_it_is_the_closed_form(t: int, h: int, p: Fraction) -> None:
    """n is the least with 1 − (h / (t + h))^(n + 1) of at least p."""
    h = min(h, 4 * t)
    n = bound(0, t, h, p)
    out = Fraction(h, t + h)
    assert out ** (n + 1) <= 1 - p
    assert n == 0 or out**n > 1 - p


SIZES = st.dictionaries(st.integers(1, 6), st.integers(1, 15), max_size=3)


@given(SIZES, LENGTHS, LENGTHS, st.sampled_from(list(Importance)))
def test_what_is_carried_reaches_the_assurance_and_never_less_for_a_longer_trip(
    sizes: dict[int, int], t: int, h: int, importance: Importance
) -> None:
    log = Log(sum(sizes.values()), t, sizes=tuple(sorted(sizes.items())))
    answer, longer = carry(log, min(h, 4 * t), importance), carry(log, 4 * t, importance)
    assert answer.number is not None
    assert longer.number is not None
    assert answer.achieved >= answer.assurance
    assert answer.number <= longer.number
    assert answer.number <= answer.occasions * log.largest


@given(SIZES, LENGTHS)
def test_the_curve_falls_and_is_below_the_aim_from_the_quantity_to_carry_on(
    sizes: dict[int, int], h: int
) -> None:
    answer = carry(Log(sum(sizes.values()), 100, sizes=tuple(sizes.items())), h)
    points = curve(answer)
    chances = [point.of_running_out for point in points]
    assert chances == sorted(chances, reverse=True)
    assert answer.number in [point.carried for point in points]
    for point in points:
        enough = point.carried >= (answer.number or 0)
        assert (point.of_running_out <= 1 - answer.assurance) is enough


def test_of_a_vital_thing_one_is_carried_even_where_the_figures_give_none() -> None:
    vital = carry(Log(0, 10_000), 1, Importance.VITAL)
    assert (vital.number, vital.kept_one) == (1, True)
    assert carry(Log(0, 10_000), 1).number == 0


def test_the_assurance_of_each_importance_can_be_changed() -> None:
    lax = Assurances(vital=Fraction(1, 2))
    assert carry(Log(3, 30), 30, Importance.VITAL, assurances=lax).number == 3
    assert carry(Log(3, 30), 30, Importance.VITAL).number == 13


def test_a_log_of_none_is_a_number_and_no_log_is_a_question() -> None:
    assert carry(Log(0, 100), 60).number is not None
    for nothing in (None, Log(0, 0)):
        answer = carry(nothing, 60)
        assert (answer.basis, answer.number) == (Basis.NO_LOG, None)
        assert curve(answer) == ()
        assert question(answer).endswith("About how long does one last you?")


def test_a_trip_of_more_than_four_times_the_log_is_a_question_too() -> None:
    assert carry(Log(0, 15), 60).number == 13
    answer = carry(Log(0, 14), 60)
    assert (answer.basis, answer.number) == (Basis.TOO_SHORT, None)
    assert sentence(answer) == (
        "The log is too short: 14 days against 60 days ahead, more than 4 times as much."
        " About how long does one last you?"
    )


def test_how_long_one_lasts_is_added_to_the_log_and_later_outweighed_by_it() -> None:
    guessed = carry(Log(0, 14), 60, lasts=365)
    assert (guessed.basis, guessed.log.exposure) == (Basis.GUESS, 379)
    assert guessed.number == bound(0, 379, 60, Fraction(95, 100))


def test_a_few_uses_are_each_taken_as_large_as_the_largest_ever() -> None:
    answer = carry(Log(2, 90, sizes=((1, 1), (5, 1))), 30)
    assert answer.number == 5 * bound(2, 90, 30, Fraction(95, 100)) == 15
    assert not answer.by_size


def test_from_twenty_uses_on_their_sizes_count_in_steps_that_the_uses_come_in() -> None:
    answer = carry(Log(20, 300, sizes=((250, 15), (500, 4), (2000, 1))), 30)
    assert answer.by_size
    assert answer.number is not None
    assert answer.number % 250 == 0
    assert answer.number < answer.occasions * 2000


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (
            carry(Log(0, 910), 60),
            ("None used in 910 days away. Carry 1: that covers this 60-day trip with 95 % assurance"
            " or better."),
        ),
        (
            carry(Log(12, 910), 60, Importance.VITAL),
            ("12 used in 910 days away. Carry 4: that covers this 60-day trip with 99 % assurance"
            " or better."),
        ),
        (
            carry(Log(0, 10_000, Measure.KM), 100),
            ("None used in 10000 km. Carry none: even that covers the 100 km of this trip with"
            " 95 % assurance or better."),
        ),
        (
            carry(Log(2, 600, Measure.PERSON_DAYS, ((1, 1), (3, 1))), 231),
            ("Used twice (4 in all) in 600 person-days. Carry 12: that covers the 231 person-days"
            " of this trip with 95 % assurance or better."),
        ),
        (
            carry(None, 60, lasts=365),
            ("No log yet; one lasts about 365 days, as you said. Carry 1: that covers this 60-day"
            " trip with 95 % assurance or better."),
        ),
        (
            carry(Log(1, 91), 60, lasts=365),
            ("1 used in 91 days away (and one lasts about 365 days, as you said). Carry 1: that"
            " covers this 60-day trip with 95 % assurance or better."),
        ),
        (
            carry(Log(0, 10_000), 1, Importance.VITAL),
            ("None used in 10000 days away. Carry 1: that covers this 1-day trip with 99 %"
            " assurance or better. One is carried because it is vital."),
        ),
    ],
)  # fmt: skip
def test_the_answer_is_one_plain_sentence_with_its_figures(answer: Carry, said: str) -> None:
    assert sentence(answer) == said


def test_why_tells_the_figures_and_never_promises_more_than_they_do() -> None:
    assert why(carry(Log(0, 910), 60)) == (
        "The log shows none; we plan as if one more had happened.",
        "0 in 910 days, 60 days ahead, aim 95 %: with 1 the chance of running out is 0.4 %.",
    )
    assert why(carry(Log(2, 90, sizes=((1, 1), (5, 1))), 30), "tablet") == (
        "The log shows 2 uses; we plan as if one more had happened.",
        (
            "2 in 90 days, 30 days ahead, aim 95 %: with 15 tablets the chance of running out is"
            " 3.8 %."
        ),
        "3 uses of 5 tablets, the most that one use ever took.",
    )


@pytest.mark.parametrize(
    ("value", "down", "up"),
    [
        (Fraction(95, 100), "95 %", "95 %"),
        (Fraction(9473, 10_000), "94.7 %", "94.8 %"),
        (Fraction(99_999, 100_000), "99.9 %", "99.999 %"),
        (Fraction(1, 100_000), "0.001 %", "0.1 %"),
        (Fraction(0), "0 %", "0 %"),
        (Fraction(1), "100 %", "100 %"),
    ],
)
def test_a_chance_is_never_rounded_to_its_better_side(value: Fraction, down: str, up: str) -> None:
    assert (percent(value), percent(value, up=True)) == (down, up)


@pytest.mark.parametrize("text", ["95%", "95 %", "0.95", " .95 ", "95.0 %"])
def test_an_assurance_is_read_as_people_write_it(text: str) -> None:
    assert assurance(text) == Fraction(19, 20)


@pytest.mark.parametrize("text", ["95", "100%", "0", "", "much", "-5%", "1", "nan", "1e999"])
def test_what_is_no_chance_between_none_and_all_is_no_assurance(text: str) -> None:
    with pytest.raises(BadInput, match="above 0 % and below 100 %"):
        assurance(text)


@given(st.fractions(Fraction(1, 100), Fraction(99, 100)), st.integers(1, 60))
def test_the_assurance_of_each_gives_the_assurance_of_all(p: Fraction, number: int) -> None:
    each = each_of(p, number)
    assert together([each] * number) >= p
    assert together([each - Fraction(1, 10**6)] * number) < p


def test_what_makes_no_sense_is_refused() -> None:
    for wrong in (
        lambda: Log(-1, 5),
        lambda: Log(2, 5, sizes=((1, 1),)),
        lambda: Log(1, 5, sizes=((0, 1),)),
        lambda: carry(Log(0, 5), -1),
        lambda: carry(None, 5, lasts=0),
        lambda: bound(0, 0, 1, Fraction(1, 2)),
        lambda: bound(0, 1, 1, Fraction(1)),
        lambda: each_of(Fraction(1, 2), 0),
    ):
        with pytest.raises(ValueError, match=r"."):
            wrong()


def test_no_trip_ahead_needs_nothing() -> None:
    assert carry(Log(5, 30), 0).number == 0
    assert replace(carry(Log(5, 30), 0), number=None).number is None
