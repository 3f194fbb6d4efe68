"""Stock through a trip, held against cases worked by hand and against two other ways of counting.

The cases can be checked with a pencil. The other ways: the sum of needs from a day on less the
stock that lasts to it, and the largest matching of units to needs (augmenting paths), neither of
which knows of days passing. Stations: the least start by running sums, as in sequent-peak sizing.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.calendar import Life
from stockcheck.core.planned_use import Daily
from stockcheck.core.projection import (
    Event,
    Order,
    Pack,
    first_expired,
    first_received,
    opened_first,
    project,
)
from stockcheck.core.projection_stops import Stop, legs, safe_start, start_quantity, stop_plan

DEPARTS = date(2027, 2, 8)
A, B, C = 1, 2, 3


def day(number: int) -> date:
    return DEPARTS + timedelta(days=number - 1)


def pack(
    key: int, quantity: int, ends: int, *, received: int = 0, in_use: int = 0, opened: bool = False
) -> Pack:
    """Good through day ``ends``; an opened life is counted from the day after opening on."""
    life = Life(days=in_use - 1) if in_use else None
    came = day(received - 100) if received else None
    return Pack(key, quantity, day(ends), opened, life, size=quantity or 1, received=came)


def steady(units: int, days: int) -> Daily:
    return Daily((units,) * days)


F3 = [pack(A, 4, 8, received=1), pack(B, 4, 4, received=2)]
F5 = [pack(A, 5, 3, opened=True), pack(B, 10, 30, in_use=7)]
F6 = [pack(A, 5, 30, opened=True), pack(B, 5, 3)]
CASES: list[tuple[str, list[Pack], Daily, Order, tuple[int, int]]] = [
    ("plain", [pack(A, 3, 3), pack(B, 3, 6)], steady(1, 6), first_expired, (0, 0)),
    ("enough in total, still short", [pack(A, 4, 2), pack(B, 3, 10)], steady(1, 6), first_expired,
     (1, 2)),
    ("first expired first out", F3, steady(1, 8), first_expired, (0, 0)),
    ("first in first out", F3, steady(1, 8), first_received, (4, 4)),
    ("three people, two days of reserve", [pack(A, 10, 4), pack(B, 12, 7), pack(C, 6, 20)],
     steady(3, 9), first_expired, (0, 1)),
    ("an opened life", F5, steady(1, 12), first_expired, (2, 5)),
    ("by the labels alone", [pack(A, 5, 30, opened=True), pack(B, 10, 30)], steady(1, 12),
     first_expired, (0, 0)),
    ("open pack lasts longer", F6, steady(1, 10), first_expired, (2, 2)),
    ("opened first, always", F6, steady(1, 10), opened_first, (5, 5)),
]  # fmt: skip


@pytest.mark.parametrize(("packs", "daily", "order", "short_and_wasted"),
                         [case[1:] for case in CASES], ids=[case[0] for case in CASES])  # fmt: skip
def test_worked_cases(
    packs: list[Pack], daily: Daily, order: Order, short_and_wasted: tuple[int, int]
) -> None:
    found = project(packs, daily, DEPARTS, order)
    assert (found.short, found.wasted) == short_and_wasted


def test_a_case_day_by_day() -> None:
    """O opened 5, good to day 3; U sealed 10, 7 days once opened: d1-3 O; d4: 2 O end, U is
    opened, good to d10; d11: 3 U end; d11 and d12 are short.
    """
    found = project(F5, steady(1, 12), DEPARTS)
    told = [(it.event, (it.day - DEPARTS).days + 1, it.quantity) for it in found.steps]
    assert [it for it in told if it[0] is not Event.USED] == [
        (Event.ENDED, 4, 2),
        (Event.OPENED, 4, 10),
        (Event.ENDED, 11, 3),
        (Event.SHORT, 11, 1),
        (Event.SHORT, 12, 1),
    ]
    assert [(it.key, it.quantity) for it in found.steps if it.event is Event.USED] == [
        *[(A, 1)] * 3,
        *[(B, 1)] * 7,
    ]
    assert (found.first_short, found.lasts_through) == (day(11), day(10))


PACKS = st.lists(st.tuples(st.integers(0, 5), st.integers(0, 10)), min_size=1, max_size=4)
NEEDS = st.lists(st.integers(0, 3), min_size=2, max_size=8)


def by_tail_sums(packs: list[tuple[int, int]], needs: list[int]) -> int:
    """max over s of [need from s on − stock that lasts to s], never below 0."""
    return max(
        0,
        *(
            sum(needs[s - 1 :]) - sum(number for number, ends in packs if ends >= s)
            for s in range(1, len(needs) + 1)
        ),
    )


def by_matching(units: list[tuple[int, int]], wanted: list[int]) -> int:
    """Needs that no unit, there from one day through another, can be given to."""
    taken: dict[int, int] = {}

    def placed(need: int, seen: set[int]) -> bool:
        for unit, (comes, ends) in enumerate(units):
            if comes <= wanted[need] <= ends and unit not in seen:
                seen.add(unit)
                if unit not in taken or placed(taken[unit], seen):
                    taken[unit] = need
                    return True
        return False

    return len(wanted) - sum(placed(need, set()) for need in range(len(wanted)))


@given(PACKS, NEEDS)
def test_what_is_short_is_what_two_other_ways_of_counting_give(
    rows: list[tuple[int, int]], needs: list[int]
) -> None:
    packs = [pack(key, number, ends) for key, (number, ends) in enumerate(rows)]
    short = project(packs, Daily(tuple(needs)), DEPARTS).short
    units = [(1, ends) for number, ends in rows for _ in range(number)]
    wanted = [s for s, need in enumerate(needs, 1) for _ in range(need)]
    assert short == by_tail_sums(rows, needs) == by_matching(units, wanted)


@given(PACKS, NEEDS, st.lists(st.integers(1, 6), min_size=4, max_size=4))
def test_with_arrivals_what_is_short_is_what_a_matching_gives(
    rows: list[tuple[int, int]], needs: list[int], comes: list[int]
) -> None:
    packs = [
        Pack(key, number, day(ends), arrives=day(comes[key]))
        for key, (number, ends) in enumerate(rows)
    ]
    units = [(comes[key], ends) for key, (number, ends) in enumerate(rows) for _ in range(number)]
    wanted = [s for s, need in enumerate(needs, 1) for _ in range(need)]
    assert project(packs, Daily(tuple(needs)), DEPARTS).short == by_matching(units, wanted)


TWO_A_DAY = steady(2, 60)
AT_20, AT_45 = Stop(20), Stop(45)
SOME_AT_20, SOME_AT_45 = Stop(20, 30), Stop(45, 20)


@pytest.mark.parametrize(
    ("stops", "start"),
    [
        ([], 120),
        ([AT_20, AT_45], 38),
        ([SOME_AT_20, SOME_AT_45], 70),
        ([SOME_AT_45], 100),
        ([SOME_AT_20], 90),
        ([AT_45], 88),
        ([AT_20], 38),
    ],
)
def test_what_to_start_with_for_two_a_day_over_sixty_days(stops: list[Stop], start: int) -> None:
    assert start_quantity(TWO_A_DAY, stops) == start


def test_the_start_survives_the_loss_of_any_one_station() -> None:
    assert safe_start(TWO_A_DAY, [AT_20, AT_45]) == (88, AT_20)
    assert safe_start(TWO_A_DAY, [SOME_AT_20, SOME_AT_45]) == (100, SOME_AT_20)
    assert safe_start(TWO_A_DAY, [AT_20, AT_45], survive_loss=False) == (38, None)


def test_the_ledger_of_two_limited_stations() -> None:
    """Start 70: 32 on day 20, buy 30; 12 on day 45, buy 20; nothing left on day 60."""
    found = stop_plan(TWO_A_DAY, [SOME_AT_20, SOME_AT_45], survive_loss=False)
    assert found.start == 70
    assert [(it.before, it.quantity, it.after) for it in found.bought] == [
        (32, 30, 62),
        (12, 20, 32),
    ]
    assert found.short == 0


def test_the_needs_of_the_legs_are_bought_where_nothing_runs_out() -> None:
    """Legs of 19, 25 and 16 days: 38, 50 and 32."""
    found = stop_plan(TWO_A_DAY, [AT_45, AT_20], survive_loss=False)
    assert [found.start, *(it.quantity for it in found.bought)] == [38, 50, 32]
    assert legs(60, [AT_45, AT_20]) == (19, 25, 16)


def test_a_published_series_of_inflows() -> None:
    """parasolpy's sequent-peak example: demand 10 a day, inflows 12, 8, 6, 15, 10. Its reservoir of
    6 cannot keep the first surplus; a start that can needs 4.
    """
    stops = [Stop(s, inflow) for s, inflow in enumerate((12, 8, 6, 15, 10), 1)]
    assert start_quantity(steady(10, 5), stops) == 4
    capacity = most = 0
    for inflow in (12, 8, 6, 15, 10):
        capacity = max(0, capacity + 10 - inflow)
        most = max(most, capacity)
    assert most == 6
