"""Clearing out: what is to go, by which route, and that only what stands as it was chosen goes.

Stock is invented; the kinds are those that ship.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

import given
from stockcheck.core.clearing import Wanted, Why, by_route, held_back, to_clear, written_off
from stockcheck.core.model import Box, Holding, Inspection, State
from stockcheck.core.movements import What
from stockcheck.data.kinds import disposal_routes, shipped_kind

TODAY = given.TODAY
PAST = TODAY - timedelta(days=1)
ROUTES = disposal_routes()
NAMES = {key: route.name for key, route in ROUTES.items()}
TRUCK = given.box()


def held(
    number: int,
    key: str = "eye-drops",
    last: date | None = PAST,
    *,
    state: State = State.STOCK,
    where: Box = TRUCK,
) -> Holding:
    kind = shipped_kind(key)
    assert kind is not None
    item = given.item(kind, f"{kind.name} {number}", number)
    return given.holding(number, item, where, 2, last, state=state)


def failed(one: Holding) -> Holding:
    look = Inspection(TODAY, passed=False, note="lumpy")
    return replace(one, lot=replace(one.lot, inspections=(look,)))


@pytest.mark.parametrize(
    ("one", "wanted", "why"),
    [
        (held(1), Wanted(), Why.EXPIRED),
        (held(1, last=TODAY), Wanted(), None),  # good through the end of its day
        (failed(held(1, "rtv-silicone", date(2030, 1, 1))), Wanted(), Why.FAILED),
        (failed(held(1, state=State.LAST_RESORT)), Wanted(), Why.FAILED),
        (held(1, "plaster", state=State.LAST_RESORT), Wanted(), None),
        (held(1, "plaster", state=State.LAST_RESORT), Wanted(last_resorts=True), Why.LAST_RESORT),
        (held(1, last=None), Wanted(), None),
        (held(1, last=None), Wanted(undated=True), Why.UNDATED),
        (held(1, state=State.HELD), Wanted(last_resorts=True, undated=True), None),
        (failed(held(1, state=State.HELD)), Wanted(), None),
    ],
)
def test_what_is_to_go_and_why(one: Holding, wanted: Wanted, why: Why | None) -> None:
    found = to_clear([one], TODAY, ROUTES, wanted)
    assert [each.why for each in found] == ([why] if why else [])


def test_it_is_listed_by_route_then_by_box_and_name() -> None:
    cab = given.box("Cab", 2)
    stock = [held(1), held(2, "plaster"), held(3, "brake-fluid"), held(4, where=cab)]
    found = by_route(to_clear(stock, TODAY, ROUTES, Wanted()))
    assert {route: [each.holding.id for each in group] for route, group in found.items()} == {
        "household-waste": [2],
        "used-fluids": [3],
        "pharmacy": [4, 1],
    }
    assert list(found) == [key for key in ROUTES if key in found]


def test_it_can_be_narrowed_to_routes_and_lots() -> None:
    stock = [held(1), held(2, "plaster"), held(3)]
    asked = Wanted(routes=["pharmacy"], lots=[2, 3])
    assert [it.holding.id for it in to_clear(stock, TODAY, ROUTES, asked)] == [3]


def test_medicines_are_known_as_such_wherever_they_go() -> None:
    medicine, other = to_clear([held(1), held(2, "brake-fluid")], TODAY, ROUTES, Wanted())[::-1]
    assert (medicine.medicine, other.medicine) == (True, False)


def test_each_holding_is_written_off_whole_with_why_and_where_to() -> None:
    (one,) = to_clear([held(1)], TODAY, ROUTES, Wanted())
    movements, changed = written_off([one], [one], NAMES)
    assert changed == []
    assert [(it.what, it.lines[0].quantity, it.reason) for it in movements] == [
        (What.WRITTEN_OFF, -2, "cleared out: expired, pharmacy")
    ]


@pytest.mark.parametrize(
    "now", [[], [replace(held(1), quantity=1)], [held(1, last=date(2025, 1, 1))]]
)
def test_what_changed_since_it_was_chosen_is_left_alone(now: list[Holding]) -> None:
    (one,) = to_clear([held(1)], TODAY, ROUTES, Wanted())
    movements, changed = written_off([one], to_clear(now, TODAY, ROUTES, Wanted()), NAMES)
    assert (movements, changed) == ([], [one])


def test_what_is_on_hold_is_counted_and_left() -> None:
    stock = [held(1, state=State.HELD), held(2), held(3, "plaster", state=State.HELD)]
    assert held_back(stock, Wanted()) == 2
    assert held_back(stock, Wanted(routes=["pharmacy"])) == 1
