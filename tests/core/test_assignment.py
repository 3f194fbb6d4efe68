"""Sharing units out: nobody gives anything up, and no other way of sharing gives more in all."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.assignment import Assignment

FIRST, SECOND, THIRD = (1, "in place"), (2, "in place"), (3, "in place")


def test_a_taker_takes_its_first_choices_first() -> None:
    shares = Assignment[tuple[int, str]]({7: 2, 8: 5})
    assert shares.serve(FIRST, 3, [8, 7]) == 3
    assert (shares.given(FIRST), shares.free) == ({8: 3}, {7: 2, 8: 2})


def test_a_taker_gets_what_there_is_and_no_more() -> None:
    assert Assignment[tuple[int, str]]({7: 2}).serve(FIRST, 5, [7]) == 2


def test_nothing_is_given_of_what_a_taker_did_not_choose() -> None:
    assert Assignment[tuple[int, str]]({7: 2, 8: 5}).serve(FIRST, 5, []) == 0


def test_a_taker_with_a_choice_makes_room_for_one_without() -> None:
    shares = Assignment[tuple[int, str]]({7: 2, 8: 2})
    shares.serve(FIRST, 2, [7, 8])
    assert shares.serve(SECOND, 2, [7]) == 2
    assert (shares.given(FIRST), shares.given(SECOND)) == ({8: 2}, {7: 2})


def test_making_room_goes_on_along_a_chain() -> None:
    shares = Assignment[tuple[int, str]]({7: 1, 8: 1, 9: 1})
    shares.serve(FIRST, 1, [7, 8])
    shares.serve(SECOND, 1, [8, 9])
    assert shares.serve(THIRD, 1, [7]) == 1
    assert (shares.given(FIRST), shares.given(SECOND)) == ({8: 1}, {9: 1})


def test_what_was_served_first_is_never_taken_away_for_a_later_want() -> None:
    shares = Assignment[tuple[int, str]]({7: 3})
    shares.serve(FIRST, 2, [7])
    assert shares.serve(SECOND, 2, [7]) == 1
    assert shares.given(FIRST) == {7: 2}


def test_what_is_given_straight_takes_nothing_from_others_and_can_be_moved_later() -> None:
    shares = Assignment[tuple[int, str]]({7: 2, 8: 2})
    shares.enter(FIRST, [8, 7])
    shares.enter(SECOND, [7])
    assert (shares.give(FIRST, 7, 5), shares.give(SECOND, 7, 1)) == (2, 0)
    assert shares.add(SECOND, 2) == 2
    assert (shares.given(FIRST), shares.given(SECOND)) == ({8: 2}, {7: 2})


@given(
    st.lists(st.integers(0, 4), min_size=4, max_size=4),
    st.lists(st.tuples(st.integers(0, 6), st.sets(st.integers(0, 3))), max_size=5),
)
def test_all_together_get_as_much_as_any_sharing_can_give(
    supplies: list[int], wants: list[tuple[int, set[int]]]
) -> None:
    """The most is the least, over all sets of wants, of what the other wants ask for and what the
    supplies that the set chooses among hold (Hall's condition with numbers, Ore's formula).
    """
    shares = Assignment[tuple[int, str]](dict(enumerate(supplies)))
    got = sum(
        shares.serve((number, "in place"), quantity, sorted(choices))
        for number, (quantity, choices) in enumerate(wants)
    )
    sets = [
        some for size in range(len(wants) + 1) for some in combinations(range(len(wants)), size)
    ]
    limits = [
        sum(quantity for number, (quantity, _) in enumerate(wants) if number not in some)
        + sum(supplies[it] for it in set().union(*(wants[number][1] for number in some)))
        for some in sets
    ]
    assert got == min(limits)
    assert got + sum(shares.free.values()) == sum(supplies)
