"""First expired, first out: the order of issue, what is never issued, and a trip day by day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import TODAY, box, holding, item, kind
from stockcheck.core.fefo import Take, issue_order, pick
from stockcheck.core.model import Box, DateMeaning, Holding, Kind, PastDate, State

BOX = box("Bird ladder box")
KIND = kind()
TIMELESS = replace(KIND, key="wire", meaning=DateMeaning.NONE, past=PastDate.NO_LIMIT)
START = date(2027, 2, 20)


def held(
    number: int,
    quantity: int,
    last: date | None,
    *,
    opened_on: date | None = None,
    state: State = State.STOCK,
    kind: Kind = KIND,
    box: Box = BOX,
) -> Holding:
    """Holding ``number`` of lot ``number`` with the last usable day given."""
    return holding(number, item(kind), box, quantity, last, opened_on=opened_on, state=state)


def trip_day(day: int) -> date:
    """Day 1 is the day of departure; the trips here cross the end of February."""
    return START + timedelta(days=day - 1)


def numbers(holdings: Sequence[Holding]) -> list[int]:
    return [holding.id for holding in holdings]


# The order


def test_the_lot_that_ends_first_is_issued_first_whenever_it_came() -> None:
    stock = [held(1, 2, date(2028, 2, 29)), held(2, 2, date(2027, 2, 28))]
    assert numbers(issue_order(stock, TODAY)) == [2, 1]


def test_at_an_equal_day_the_opened_tube_goes_before_the_sealed_one() -> None:
    last = date(2027, 2, 28)
    stock = [held(1, 2, last), held(2, 1, last, opened_on=date(2026, 11, 1))]
    assert numbers(issue_order(stock, TODAY)) == [2, 1]


def test_a_sealed_tube_that_ends_sooner_goes_before_an_opened_one() -> None:
    stock = [held(1, 1, date(2028, 1, 1), opened_on=TODAY), held(2, 1, date(2027, 1, 1))]
    assert numbers(issue_order(stock, TODAY)) == [2, 1]


def test_what_has_no_limit_waits_until_the_dated_stock_is_gone() -> None:
    stock = [held(1, 1, None, kind=TIMELESS), held(2, 1, date(2040, 1, 1), kind=TIMELESS)]
    assert numbers(issue_order(stock, TODAY)) == [2, 1]


def test_lots_that_are_equal_go_by_lot_number_and_then_by_box() -> None:
    last, other = date(2027, 2, 28), box("Шлях", 2)
    in_other = replace(held(3, 1, last, box=other), lot=held(2, 1, last).lot)
    stock = [in_other, held(2, 1, last), held(1, 1, last)]
    assert numbers(issue_order(stock, TODAY)) == [1, 2, 3]


@pytest.mark.parametrize(
    ("why", "holding"),
    [
        ("expired yesterday", held(1, 5, TODAY - timedelta(days=1))),
        ("undated though its kind has a life", held(1, 5, None)),
        ("on hold", held(1, 5, date(2030, 1, 1), state=State.HELD)),
        ("kept as a last resort", held(1, 5, date(2030, 1, 1), state=State.LAST_RESORT)),
        ("nothing left of it", held(1, 0, date(2030, 1, 1))),
    ],
)
def test_what_may_not_be_used_is_never_picked(why: str, holding: Holding) -> None:
    assert pick([holding], 2, TODAY) == ((), 2), why


def test_the_last_usable_day_itself_is_still_a_day_of_use() -> None:
    holding = held(1, 5, TODAY)
    assert pick([holding], 2, TODAY) == ((Take(holding, 2),), 0)


# The pick


def test_a_demand_empties_one_lot_before_it_touches_the_next() -> None:
    first, second = held(1, 2, date(2027, 1, 1)), held(2, 9, date(2028, 1, 1))
    assert pick([second, first], 3, TODAY) == ((Take(first, 2), Take(second, 1)), 0)


def test_what_the_stock_cannot_give_is_said() -> None:
    holding = held(1, 2, date(2027, 1, 1))
    assert pick([holding], 5, TODAY) == ((Take(holding, 2),), 3)


def test_an_empty_store_gives_nothing_and_lacks_everything() -> None:
    assert pick([], 4, TODAY) == ((), 4)


def test_a_demand_for_nothing_takes_nothing() -> None:
    assert pick([held(1, 2, date(2027, 1, 1))], 0, TODAY) == ((), 0)


def test_a_negative_demand_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot take -1 units: a quantity is 0 or more"):
        pick([], -1, TODAY)


# Worked cases, day by day: lots that end on trip day E, a need per day, what is taken each day.
# Checkable by hand, and by an earliest-due-date exchange argument (Jackson 1955, from memory).


def live_through(
    stock: list[Holding], need: int, days: int, in_use_days: int | None = None
) -> tuple[list[dict[int, int]], int]:
    """What is taken on each day, by lot, and how many units expire unused before the last day.

    With ``in_use_days``, a pack that is opened on a day ends that many days later at the latest,
    that day counted.
    """
    taken: list[dict[int, int]] = []
    left = {holding.id: holding for holding in stock}
    for day in range(1, days + 1):
        takes, _ = pick(list(left.values()), need, trip_day(day))
        taken.append({take.holding.id: take.quantity for take in takes})
        for take in takes:
            left[take.holding.id] = used(take, trip_day(day), in_use_days)
    end = trip_day(days)
    wasted = [it for it in left.values() if it.last_usable_day and it.last_usable_day < end]
    return taken, sum(holding.quantity for holding in wasted)


def used(take: Take, day: date, in_use_days: int | None) -> Holding:
    holding = replace(take.holding, quantity=take.holding.quantity - take.quantity)
    if in_use_days is None or holding.opened_on is not None or holding.last_usable_day is None:
        return holding
    last = min(holding.last_usable_day, day + timedelta(days=in_use_days - 1))
    return replace(holding, opened_on=day, last_usable_day=last)


def days_of(*spans: tuple[int, dict[int, int]]) -> list[dict[int, int]]:
    return [taken for times, taken in spans for _ in range(times)]


def test_a_plain_trip_uses_the_two_lots_in_turn() -> None:
    stock = [held(1, 3, trip_day(3)), held(2, 3, trip_day(6))]
    assert live_through(stock, 1, 6) == (days_of((3, {1: 1}), (3, {2: 1})), 0)


def test_enough_in_total_can_still_run_short_when_a_lot_ends_on_the_way() -> None:
    stock = [held(1, 4, trip_day(2)), held(2, 3, trip_day(10))]
    assert live_through(stock, 1, 6) == (days_of((2, {1: 1}), (3, {2: 1}), (1, {})), 2)


def test_first_expired_first_out_saves_what_first_in_first_out_would_waste() -> None:
    stock = [held(1, 4, trip_day(8)), held(2, 4, trip_day(4))]
    assert live_through(stock, 1, 8) == (days_of((4, {2: 1}), (4, {1: 1})), 0)


def test_three_people_and_a_reserve_finish_a_lot_across_two_days() -> None:
    stock = [held(1, 10, trip_day(4)), held(2, 12, trip_day(7)), held(3, 6, trip_day(20))]
    expected = days_of((3, {1: 3}), (1, {1: 1, 2: 2}), (3, {2: 3}), (2, {3: 3}))
    assert live_through(stock, 3, 9) == (expected, 1)


def test_an_opened_pack_ends_sooner_than_its_label_says() -> None:
    stock = [held(1, 5, trip_day(3), opened_on=TODAY), held(2, 10, trip_day(30))]
    expected = days_of((3, {1: 1}), (7, {2: 1}), (2, {}))
    assert live_through(stock, 1, 12, in_use_days=7) == (expected, 5)


def test_opened_first_is_no_rule_against_a_sealed_lot_that_ends_sooner() -> None:
    stock = [held(1, 5, trip_day(30), opened_on=TODAY), held(2, 5, trip_day(3))]
    assert live_through(stock, 1, 10) == (days_of((3, {2: 1}), (5, {1: 1}), (2, {})), 2)


# Properties

lots = st.lists(st.tuples(st.integers(0, 6), st.integers(-3, 12)), max_size=6)


def stocked(drawn: list[tuple[int, int]]) -> list[Holding]:
    return [held(number, many, trip_day(last)) for number, (many, last) in enumerate(drawn, 1)]


@given(lots, st.integers(0, 40))
def test_a_pick_takes_what_is_asked_or_says_what_lacks_and_never_more_than_is_held(
    drawn: list[tuple[int, int]], quantity: int
) -> None:
    takes, lack = pick(stocked(drawn), quantity, START)
    assert sum(take.quantity for take in takes) + lack == quantity
    assert all(0 < take.quantity <= take.holding.quantity for take in takes)
    assert len({take.holding.id for take in takes}) == len(takes)


@given(lots.flatmap(lambda drawn: st.tuples(st.just(drawn), st.permutations(stocked(drawn)))))
def test_the_order_does_not_depend_on_how_the_holdings_are_given(
    case: tuple[list[tuple[int, int]], list[Holding]],
) -> None:
    drawn, shuffled = case
    assert issue_order(shuffled, START) == issue_order(stocked(drawn), START)


@given(lots, st.integers(1, 3), st.integers(1, 9))
def test_over_a_trip_it_falls_short_by_no_more_than_any_order_of_use_must(
    drawn: list[tuple[int, int]], need: int, days: int
) -> None:
    """With all aboard on day 1, the least shortfall is the greatest need left over after any day
    less the stock that lasts until that day (Hall's condition for matching units to days).
    """
    taken, _ = live_through(stocked(drawn), need, days)
    lacking = need * days - sum(sum(day.values()) for day in taken)
    lasting = [sum(many for many, last in drawn if last >= day) for day in range(1, days + 1)]
    must = max(need * (days - day) - lasting[day] for day in range(days))
    assert lacking == max(0, must)
