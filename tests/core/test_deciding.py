"""What may be decided about a holding, and what follows from it. Kinds and lots are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from given import box, holding, item, kind, lot, par
from stockcheck.core.calendar import Life
from stockcheck.core.deciding import (
    Decided,
    asked_again,
    choices,
    covering_par,
    keep_as_last_resort,
    last_resort_refused,
    may_be_inspected,
    to_be_replaced,
)
from stockcheck.core.errors import BadInput
from stockcheck.core.model import (
    Certainty,
    DateContext,
    DateMeaning,
    Holding,
    Inspection,
    InspectionRule,
    Kind,
    PastDate,
    State,
    Status,
)
from stockcheck.core.movements import Line, What
from stockcheck.data.kinds import shipped_kinds

KIND = kind("grease", past=PastDate.INSPECT)
LOOK = InspectionRule(("Is it smooth?",), Life(months=6), 1, "invented", Certainty.OWN)
TRUCK, TRAY = box("Truck", 1), box("Tray", 2, inside=1)
OPENED = date(2026, 5, 1)


def held(kind: Kind = KIND, *inspections: Inspection, state: State = State.STOCK) -> Holding:
    of = lot(item(kind, "grease, 400 g", 3), 7, *inspections)
    return holding(9, of, TRAY, 2, opened_on=OPENED, state=state)


def test_the_usual_decision_comes_first_and_giving_up_the_thing_last() -> None:
    assert choices(held()) == (
        Decided.REPLACE,
        Decided.WRITE_OFF,
        Decided.LAST_RESORT,
        Decided.NO_LONGER,
    )
    assert choices(held(replace(KIND, inspection=LOOK)))[1] is Decided.INSPECT


PASS = Inspection(date(2026, 6, 1), True, extends_to=date(2026, 12, 1))
FAIL = Inspection(date(2026, 6, 1), False)


@pytest.mark.parametrize(
    ("looks", "offered"), [((), True), ((FAIL,), False), ((PASS,), False)],
    ids=["never looked at", "failed", "its one extension used"],
)  # fmt: skip
def test_a_look_is_offered_while_it_can_change_something(
    looks: tuple[Inspection, ...], offered: bool
) -> None:
    holding = held(replace(KIND, inspection=LOOK), *looks)
    assert may_be_inspected(holding.lot) is offered
    assert (Decided.INSPECT in choices(holding)) is offered


@pytest.mark.parametrize(
    ("past", "meaning", "dates", "said"),
    [
        (PastDate.LAST_RESORT, DateMeaning.QUALITY, DateContext.GENERAL, ""),
        (PastDate.LAST_RESORT, DateMeaning.SAFETY, DateContext.GENERAL, ""),
        (PastDate.LAST_RESORT, DateMeaning.SAFETY, DateContext.MEDICINE, ""),
        (PastDate.INSPECT, DateMeaning.QUALITY, DateContext.GENERAL, ""),
        (PastDate.INSPECT, DateMeaning.SAFETY, DateContext.GENERAL, "a danger, not a reserve"),
        (PastDate.INSPECT, DateMeaning.QUALITY, DateContext.MEDICINE, "a danger, not a reserve"),
        (PastDate.INSPECT, DateMeaning.INSPECT, DateContext.GENERAL, "only a look decides"),
        (PastDate.DISCARD, DateMeaning.QUALITY, DateContext.GENERAL, "never kept as a reserve"),
        (PastDate.DISCARD, DateMeaning.SAFETY, DateContext.MEDICINE, "never kept as a reserve"),
    ],
)
def test_last_resort_is_for_what_is_better_than_none_and_never_a_danger(
    past: PastDate, meaning: DateMeaning, dates: DateContext, said: str
) -> None:
    holding = held(replace(KIND, past=past, meaning=meaning, dates=dates))
    refused = last_resort_refused(holding)
    assert refused == "" if not said else said in refused
    assert (Decided.LAST_RESORT in choices(holding)) is not bool(said)


@pytest.mark.parametrize(
    "key",
    ["eye-drops", "sterile-dressing", "insulin", "brake-fluid", "tyre-patch", "hose", "bleach",
     "gas-canister", "pack-lithium-ion", "unidentified", "nadcc-tablets"],
)  # fmt: skip
def test_a_dangerous_kind_is_never_a_last_resort(key: str) -> None:
    holding = held(shipped_kinds()[key])
    assert Decided.LAST_RESORT not in choices(holding)
    with pytest.raises(BadInput, match=r"L7 \(grease, 400 g\): "):
        keep_as_last_resort(holding, "")


def test_what_failed_a_look_is_no_last_resort() -> None:
    assert "one fail ends the lot" in last_resort_refused(held(KIND, FAIL))


def test_a_last_resort_stays_in_its_box_as_opened_as_it_was() -> None:
    movement = keep_as_last_resort(held(), "still smooth")
    assert movement.what is What.MOVED
    assert movement.reason == "still smooth"
    assert movement.lines == (
        Line(7, 2, -2, OPENED, State.STOCK),
        Line(7, 2, 2, OPENED, State.LAST_RESORT),
    )
    assert keep_as_last_resort(held(), "").reason == "kept as last resort"


@pytest.mark.parametrize("state", [State.HELD, State.LAST_RESORT])
def test_what_is_on_hold_or_a_last_resort_already_is_not_made_one(state: State) -> None:
    with pytest.raises(BadInput, match=f"L7 in Tray is {state.value} already"):
        keep_as_last_resort(held(state=state), "")


def test_to_replace_is_written_down_and_moves_nothing() -> None:
    movement = to_be_replaced(held(), "dried up")
    assert (movement.what, movement.reason) == (What.INSPECTED, "to be replaced: dried up")
    assert movement.lines == (Line(7, 2, 0, OPENED, State.STOCK),)
    assert to_be_replaced(held(), "").reason == "to be replaced"


@pytest.mark.parametrize(
    ("stood", "stands", "again"),
    [
        (Status.DUE, Status.DUE, False),
        (Status.DUE, Status.ENDS_ON_TRIP, False),
        (Status.DUE, Status.EXPIRED, True),
        (Status.ENDS_ON_TRIP, Status.UNDATED, True),
        (Status.EXPIRED, Status.EXPIRED, False),
        (Status.EXPIRED, Status.DUE, False),
        (Status.UNDATED, Status.EXPIRED, False),
    ],
)
def test_a_decision_is_asked_for_again_when_what_was_good_is_so_no_longer(
    stood: Status, stands: Status, again: bool
) -> None:
    assert asked_again(stood, stands) is again


def test_the_par_level_that_speaks_for_a_holding_is_the_nearest_one() -> None:
    one = held()
    far, near = par(1, TRUCK, 3, one.item), par(2, TRAY, 3, one.item)
    of_kind = par(3, TRAY, 3, one.kind)
    other = par(4, TRAY, 3, replace(one.item, id=99))
    elsewhere = par(5, box("Cab", 8), 3, one.item)
    outwards = (TRAY.id, TRUCK.id)
    assert covering_par([far, of_kind, near, other, elsewhere], one, outwards) is near
    assert covering_par([far, of_kind, other], one, outwards) is of_kind
    assert covering_par([far, other, elsewhere], one, outwards) is far
    assert covering_par([other, elsewhere], one, outwards) is None
