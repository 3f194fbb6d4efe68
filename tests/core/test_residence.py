"""Where the units of a lot have been, as its movements tell it, for what heat did to them there."""

from __future__ import annotations

from datetime import date

import pytest

from stockcheck.core.climate import fixed_climate
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import NOWHERE, Stay
from stockcheck.core.residence import (
    MOST_WAYS,
    Spot,
    Step,
    Way,
    kept_from,
    stays,
    ways,
    with_trip,
)

HOME, BED, CAB = 1, 2, 3
D1, D2, D3, D4 = (date(2027, month, 1) for month in (1, 2, 3, 4))


def spot(box: int, opened_on: date | None = None, state: str = "stock") -> Spot:
    return Spot(box, opened_on, state)


def came(box: int, on: date, quantity: int = 10) -> Step:
    return Step(on, ((spot(box), quantity),))


def moved(box: int, to: int, on: date, quantity: int = 10) -> Step:
    return Step(on, ((spot(box), -quantity), (spot(to), quantity)))


def used(box: int, on: date, quantity: int) -> Step:
    return Step(on, ((spot(box), -quantity),))


def counted(box: int, on: date, quantity: int) -> Step:
    return Step(on, ((spot(box), quantity),), recounted=True)


@pytest.mark.parametrize(
    ("steps", "box", "expected"),
    [
        ([came(HOME, D1)], HOME, {((HOME, D1),)}),
        ([came(HOME, D1), moved(HOME, BED, D2)], BED, {((HOME, D1), (BED, D2))}),
        # out for the summer and home again: the months in the truck bed are not forgotten
        (
            [came(HOME, D1), moved(HOME, BED, D2), moved(BED, HOME, D3)],
            HOME,
            {((HOME, D1), (BED, D2), (HOME, D3))},
        ),
        # a part goes out and comes back: what is home now may have been out or not
        (
            [came(HOME, D1), moved(HOME, BED, D2, 4), moved(BED, HOME, D3, 4)],
            HOME,
            {((HOME, D1),), ((HOME, D1), (BED, D2), (HOME, D3))},
        ),
        # all of it went, and other units came after
        ([came(HOME, D1), moved(HOME, BED, D2), came(HOME, D3)], HOME, {((HOME, D3),)}),
        ([came(HOME, D1), used(HOME, D2, 10), came(HOME, D3)], HOME, {((HOME, D3),)}),
        ([came(HOME, D1), used(HOME, D2, 9), came(HOME, D3)], HOME, {((HOME, D1),), ((HOME, D3),)}),
        # a box passed through within a day leaves nothing
        ([came(HOME, D1), moved(HOME, CAB, D2), moved(CAB, BED, D2)], BED,
         {((HOME, D1), (BED, D2))}),
        # a move written later for an earlier day cuts short what was said before
        ([came(HOME, D1), moved(HOME, CAB, D3), moved(CAB, BED, D2)], BED,
         {((HOME, D1), (BED, D2))}),
        ([came(HOME, D3), moved(HOME, BED, D2)], BED, {((BED, D2),)}),
        # a count moves nothing: what it finds came as the rest, or from where the lot was
        ([came(HOME, D1), counted(HOME, D2, 3)], HOME, {((HOME, D1),)}),
        ([came(HOME, D1), used(HOME, D2, 10), counted(HOME, D3, 2)], HOME, {((HOME, D1),)}),
        ([came(HOME, D1), counted(BED, D3, 2)], BED, {((HOME, D1), (BED, D3))}),
        ([counted(BED, D3, 2)], BED, {((BED, D3),)}),
    ],
)  # fmt: skip
def test_every_way_into_a_box_is_told(steps: list[Step], box: int, expected: set[Way]) -> None:
    assert set(ways(steps)[spot(box)]) == expected


def test_opening_holding_and_keeping_as_last_resort_move_nothing() -> None:
    opened, kept = spot(BED, D3), spot(BED, D3, "last resort")
    steps = [came(HOME, D1), moved(HOME, BED, D2)]
    steps += [Step(D3, ((spot(BED), -1), (opened, 1))), Step(D4, ((opened, -1), (kept, 1)))]
    assert ways(steps)[kept] == ways(steps)[spot(BED)] == (((HOME, D1), (BED, D2)),)


def test_of_too_many_ways_those_of_the_most_harm_are_kept() -> None:
    """Part of a lot went out on every second day of two months; the harm here is to be out late."""
    steps = [came(HOME, D1, 1000)]
    for day in range(2, 60, 2):
        out = date.fromordinal(D1.toordinal() + day)
        steps += [
            moved(HOME, BED, out, 1),
            moved(BED, HOME, date.fromordinal(out.toordinal() + 1), 1),
        ]

    def out_late(way: Way) -> float:
        return max((day.toordinal() for box, day in way if box == BED), default=0)

    found = ways(steps, out_late)[spot(HOME)]
    assert len(found) == MOST_WAYS
    latest = max(out_late(way) for way in found)
    assert latest == D1.toordinal() + 58


def test_a_way_becomes_stays_that_follow_each_other() -> None:
    shelf = Exposure(fixed_climate("shelf", 22))
    assert stays(((HOME, D1), (BED, D2)), {HOME: shelf}, {HOME: "Home", BED: "Bed"}) == [
        Stay("Home", D1, D2, shelf),
        Stay("Bed", D2, None, NOWHERE),
    ]


HOT = Exposure(fixed_climate("hot", 45))
USUAL = [Stay("Home", D1, D2, NOWHERE), Stay("Bed", D2, None, NOWHERE)]


@pytest.mark.parametrize(
    ("departs", "returns", "expected"),
    [
        # leaves while in the last box, and goes on in it after the return
        (D3, date(2027, 3, 31), [(D1, D2, ""), (D2, D3, ""), (D3, D4, "hot"), (D4, None, "")]),
        # over before it began to be here: nothing of it counts
        (date(2026, 6, 1), date(2026, 7, 1), [(D1, D2, ""), (D2, None, "")]),
        # came in on the way: on the trip from then on, and moved since
        (date(2026, 12, 1), date(2027, 1, 14), [(D1, date(2027, 1, 15), "hot"),
         (date(2027, 1, 15), D2, ""), (D2, None, "")]),
    ],
)  # fmt: skip
def test_a_trip_takes_the_place_of_the_stays_between_departure_and_return(
    departs: date, returns: date, expected: list[tuple[date, date | None, str]]
) -> None:
    found = with_trip(USUAL, departs, returns, HOT)
    assert [
        (stay.since, stay.until, "hot" if stay.exposure is HOT else "") for stay in found
    ] == expected


def test_being_kept_elsewhere_from_a_day_on_leaves_the_past_as_it_was() -> None:
    found = kept_from(USUAL, D3, Stay("there", D1, D2, HOT))
    assert found == [USUAL[0], Stay("Bed", D2, D3, NOWHERE), Stay("there", D3, None, HOT)]
    assert kept_from(USUAL, D1, Stay("there", D1, None, HOT)) == [Stay("there", D1, None, HOT)]
