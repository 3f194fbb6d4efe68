"""The expiry report's findings: worst first, by box, and counted."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import permutations

import pytest

from stockcheck.core.expiry import WORST_FIRST, by_box, standings, tally
from stockcheck.core.model import (
    Box,
    Certainty,
    DateContext,
    DateMeaning,
    Holding,
    Item,
    Kind,
    Lot,
    PastDate,
    State,
    Status,
)

TODAY = date(2026, 11, 25)
HORIZON = date(2027, 5, 2)
WATER, TRUCK = Box(1, "2000000018", "Water"), Box(2, "2000000026", "Truck")
KIND = Kind(
    key="invented-tablet",
    name="invented tablet",
    group="invented",
    dates=DateContext.GENERAL,
    meaning=DateMeaning.SAFETY,
    past=PastDate.DISCARD,
    disposal="invented",
    source="invented",
    certainty=Certainty.OWN,
)
TIMELESS = replace(KIND, meaning=DateMeaning.NONE, past=PastDate.NO_LIMIT)


def held(
    number: int,
    last: date | None,
    *,
    name: str = "tablet",
    box: Box = WATER,
    state: State = State.STOCK,
    kind: Kind = KIND,
) -> Holding:
    lot = Lot(number, f"1{number:09d}", Item(1, "3000000016", name, kind))
    return Holding(number, lot, box, 5, None, state, last)


EXPIRED = held(1, date(2026, 11, 24))
LONG_EXPIRED = held(2, date(2020, 2, 29))
UNDATED = held(3, None)
ON_HOLD = held(4, date(2019, 1, 1), state=State.HELD)
LAST_RESORT = held(5, date(2019, 1, 1), state=State.LAST_RESORT)
ENDS = held(6, date(2027, 5, 1))
LASTS = held(7, HORIZON)
KEEPS = held(8, None, kind=TIMELESS)
ALL = [EXPIRED, LONG_EXPIRED, UNDATED, ON_HOLD, LAST_RESORT, ENDS, LASTS, KEEPS]


def test_the_worst_stands_first_then_what_ended_earliest() -> None:
    found = standings(reversed(ALL), TODAY, horizon=HORIZON)
    assert [each.holding.id for each in found] == [2, 1, 3, 4, 5, 6, 7, 8]
    assert [each.status for each in found] == [
        Status.EXPIRED, Status.EXPIRED, Status.UNDATED, Status.HELD, Status.LAST_RESORT,
        Status.ENDS_ON_TRIP, Status.IN_DATE, Status.IN_DATE,
    ]  # fmt: skip


def test_every_status_has_its_place() -> None:
    assert sorted(WORST_FIRST) == sorted(Status)


def test_equal_days_stand_by_name_then_by_lot_however_they_came() -> None:
    day = date(2026, 12, 1)
    stock = [held(1, day, name="zinc"), held(2, day, name="Alum"), held(3, day, name="alum")]
    for order in permutations(stock):
        assert [each.holding.id for each in standings(order, TODAY)] == [2, 3, 1]


@pytest.mark.parametrize(
    ("last", "days_left"),
    [(date(2026, 11, 24), -1), (TODAY, 0), (date(2026, 11, 26), 1), (None, None)],
)
def test_days_left_are_counted_to_the_last_usable_day(
    last: date | None, days_left: int | None
) -> None:
    assert standings([held(1, last)], TODAY)[0].days_left == days_left


def test_good_through_the_end_of_the_last_usable_day() -> None:
    assert standings([held(1, TODAY)], TODAY)[0].status is Status.DUE
    assert standings([held(1, TODAY)], date(2026, 11, 26))[0].status is Status.EXPIRED


def test_every_line_says_what_to_do() -> None:
    advice = [each.advice for each in standings(ALL, TODAY, horizon=HORIZON)]
    assert advice == [
        "do not use; discard", "do not use; discard", "find its date, else treat as expired",
        "do not use", "last resort only", "replace before leaving", "", "",
    ]  # fmt: skip


def test_boxes_stand_in_the_order_given_and_empty_ones_not_at_all() -> None:
    found = standings([EXPIRED, replace(UNDATED, box=TRUCK), ENDS], TODAY)
    empty = Box(9, "2000000093", "Empty")
    shown = [(box.name, [it.holding.id for it in rows]) for box, rows in by_box(
        found, [TRUCK, empty, WATER])]  # fmt: skip
    assert shown == [("Truck", [3]), ("Water", [1, 6])]


def test_the_tally_counts_what_there_is_worst_first() -> None:
    assert list(tally(standings(ALL, TODAY, horizon=HORIZON)).items()) == [
        (Status.EXPIRED, 2), (Status.UNDATED, 1), (Status.HELD, 1), (Status.LAST_RESORT, 1),
        (Status.ENDS_ON_TRIP, 1), (Status.IN_DATE, 2),
    ]  # fmt: skip
    assert tally([]) == {}
