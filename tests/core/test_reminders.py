"""What is reminded of, on which day, and under which key."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, strategies

from given import FAR, NEAR, TODAY, box, holding, item, kind, lot, offer, par
from stockcheck.core.audit_due import Overdue
from stockcheck.core.model import (
    Certainty,
    DateMeaning,
    Holding,
    Inspection,
    InspectionRule,
    Item,
    State,
    Status,
)
from stockcheck.core.planning import Trip
from stockcheck.core.reminders import (
    Reminder,
    Sort,
    alarms,
    due_at_boxes,
    goes_off,
    gone_off_list,
    in_order,
    inspections,
    of_trip,
    orders,
    tally,
    unlisted,
)
from stockcheck.core.restock import restock

DAY = timedelta(days=1)
SOON = TODAY + 20 * DAY
TUBE = item(kind())
TRUCK, WATER = box(), box("Water", 2)
TRIP = Trip(1, "Spring count", date(2027, 2, 8), date(2027, 4, 25), 3, margin_days=7)
ON_TRUCK = holding(1, lot(TUBE, 1), TRUCK, 2, SOON)


def test_all_of_an_item_in_a_box_with_the_same_day_is_one_reminder() -> None:
    held = [
        ON_TRUCK,
        holding(2, lot(TUBE, 2), TRUCK, 3, SOON),
        holding(3, lot(TUBE, 3), TRUCK, 1, SOON + DAY),
        holding(4, lot(TUBE, 1), WATER, 1, SOON),
    ]
    found = in_order(goes_off(held, TODAY, {}))
    assert [(it.day, it.place, len(it.lines)) for it in found] == [
        (SOON, "Truck", 4),
        (SOON, "Water", 3),
        (SOON + DAY, "Truck", 3),
    ]
    assert found[0].lines[:2] == ("L1: 2", "L2: 3")
    assert len({it.key for it in found}) == 3


LEFT_OUT = {
    "expired": holding(1, TUBE, TRUCK, 1, TODAY - DAY),
    "undated": holding(1, TUBE, TRUCK, 1),
    "held": holding(1, TUBE, TRUCK, 1, SOON, state=State.HELD),
    "last resort": holding(1, TUBE, TRUCK, 1, SOON, state=State.LAST_RESORT),
    "used up": holding(1, TUBE, TRUCK, 0, SOON),
    "a medicine known by its opening alone": holding(
        1, item(kind(meaning=DateMeaning.SAFETY)), TRUCK, 1, SOON, opened_on=TODAY
    ),
}


@pytest.mark.parametrize("held", LEFT_OUT.values(), ids=LEFT_OUT)
def test_what_has_no_day_to_wait_for_is_left_out(held: Holding) -> None:
    assert goes_off([held], TODAY, {}) == []


def test_what_is_past_reminding_is_counted() -> None:
    assert unlisted(LEFT_OUT.values(), TODAY) == 3


@pytest.mark.parametrize("last", [TODAY, date(2028, 2, 29), date(9999, 12, 31)], ids=str)
def test_the_last_usable_day_is_the_day(last: date) -> None:
    assert goes_off([holding(1, TUBE, TRUCK, 1, last)], TODAY, {})[0].day == last


def test_an_estimate_by_heat_says_so() -> None:
    warm = Holding(1, lot(TUBE), TRUCK, 1, None, State.STOCK, SOON, "heat")
    assert "about DEC 2026 (heat estimate)" in goes_off([warm], TODAY, {})[0].lines[1]


@given(strategies.dates(TODAY), strategies.integers(1, 10**9))
def test_a_changed_day_or_quantity_keeps_the_key(last: date, quantity: int) -> None:
    changed = holding(1, lot(TUBE, 1), TRUCK, quantity, last)
    [before], [after] = goes_off([ON_TRUCK], TODAY, {}), goes_off([changed], TODAY, {})
    assert before.key == after.key


def test_what_was_opened_or_moved_is_gone_from_where_it_was() -> None:
    sealed = holding(1, lot(TUBE, 1), TRUCK, 0, SOON)
    opened = holding(2, lot(TUBE, 1), TRUCK, 1, SOON, opened_on=TODAY)
    kept = goes_off([sealed, opened], TODAY, {})
    [gone] = gone_off_list([sealed, opened], TODAY, kept)
    assert gone.gone
    assert gone.key == goes_off([ON_TRUCK], TODAY, {})[0].key
    assert kept[0].key != gone.key


def test_each_supplier_is_one_reminder_on_its_first_day() -> None:
    rope = item(kind("rope"), "rope", 2)
    pars = [par(1, TRUCK, 4, TUBE), par(2, TRUCK, 1, rope)]
    sold = [offer(1, TUBE, 2, 300), offer(2, rope, 1, 900, FAR)]
    needs = restock(
        pars, [], sold, on=TODAY, horizon=TRIP.horizon, departs=TRIP.departs, boxes=[TRUCK]
    )
    found = in_order(orders(TRIP, needs, TODAY))
    by_supplier = {it.thing: it for it in found}
    assert set(by_supplier) == {f"trip-1-supplier-{it.id}" for it in (NEAR, FAR)}
    near = by_supplier[f"trip-1-supplier-{NEAR.id}"]
    assert near.day == date(2027, 2, 1)  # 5 days to come, 2 to check and stow, before 8 February
    assert near.lines == ("sealant, 50 ml tube: 2 packs for Truck, by 01 FEB 2027",)


def test_an_order_that_is_late_stands_on_today() -> None:
    days = date(2027, 2, 5)
    needs = restock(
        [par(1, TRUCK, 1, TUBE)], [], [offer(1, TUBE, 1, 300)],
        on=days, horizon=TRIP.horizon, departs=TRIP.departs, boxes=[TRUCK],
    )  # fmt: skip
    [late] = orders(TRIP, needs, days)
    assert (late.day, late.lines[0]) == (days, "late: the day was 01 FEB 2027")


@pytest.mark.parametrize(
    ("sort", "due", "last", "day", "lines"),
    [
        (Sort.AUDIT, SOON, TODAY, SOON, ("last done 25 NOV 2026",)),
        (
            Sort.COUNT,
            TODAY - DAY,
            None,
            TODAY,
            ("never done yet", "overdue since 24 NOV 2026"),
        ),
        (Sort.AUDIT, None, None, TODAY, ("never done yet",)),
    ],
)
def test_audits_and_counts(
    sort: Sort, due: date | None, last: date | None, day: date, lines: tuple[str, ...]
) -> None:
    [found] = due_at_boxes(sort, [Overdue(7, "Аптечка", due, last)], TODAY)
    assert (found.day, found.lines, found.title) == (day, lines, f"Аптечка: {sort.value}")


def test_a_box_that_never_was_used_is_not_to_be_counted() -> None:
    assert due_at_boxes(Sort.COUNT, [Overdue(7, "Cab", None, None)], TODAY) == []


LOOK = InspectionRule(("Is it stiff?",), None, 2, "invented", Certainty.OWN)
HOSE = item(kind("hose", meaning=DateMeaning.INSPECT, inspection=LOOK))
GLUE = item(kind("glue", inspection=LOOK))
PILLS = item(kind("pills", meaning=DateMeaning.SAFETY, inspection=LOOK))


@pytest.mark.parametrize(
    ("of", "last", "day"),
    [
        (HOSE, SOON, SOON),
        (HOSE, TODAY - DAY, TODAY),
        (GLUE, SOON, None),
        (GLUE, TODAY - DAY, TODAY),
        (PILLS, TODAY - DAY, None),
        (TUBE, TODAY - DAY, None),
    ],
)
def test_what_is_to_be_inspected(of: Item, last: date, day: date | None) -> None:
    held = holding(1, of, TRUCK, 1, last)
    found = inspections([held], TODAY, {}, {})
    assert [it.day for it in found] == ([day] if day else [])
    assert not (found and goes_off([held], TODAY, {}))


def test_what_was_to_be_inspected_is_gone_under_the_same_key() -> None:
    there, used_up = holding(1, HOSE, TRUCK, 1, SOON), holding(1, HOSE, TRUCK, 0, SOON)
    kept = inspections([there], TODAY, {}, {})
    [gone] = gone_off_list([used_up], TODAY, [])
    assert (gone.key, gone.title) == (kept[0].key, kept[0].title)
    assert gone_off_list([there], TODAY, kept) == []


@pytest.mark.parametrize(
    ("looks", "stood", "reminded"),
    [
        ((), None, True),
        ((Inspection(TODAY, passed=False),), None, False),
        ((), Status.EXPIRED, False),
        ((), Status.DUE, True),
    ],
)
def test_a_fail_ends_it_and_so_does_a_decision_until_it_stands_worse(
    looks: tuple[Inspection, ...], stood: Status | None, reminded: bool
) -> None:
    held = holding(1, lot(GLUE, 1, *looks), TRUCK, 1, TODAY - DAY)
    decided = {} if stood is None else {1: stood}
    assert bool(inspections([held], TODAY, {}, decided)) == reminded


@pytest.mark.parametrize(
    ("on", "sorts"),
    [
        (TRIP.departs, [Sort.DEPARTS, Sort.RETURNS]),
        (TRIP.departs + DAY, [Sort.RETURNS]),
        (TRIP.returns + DAY, []),
    ],
)
def test_departure_and_return(on: date, sorts: list[Sort]) -> None:
    assert [it.sort for it in of_trip(TRIP, on)] == sorts


def test_order_limits_and_tally() -> None:
    off = Reminder(Sort.GOES_OFF, "x", SOON, "x")
    found = [*of_trip(TRIP, TODAY), off, Reminder(Sort.GOES_OFF, "y", SOON, "y", gone=True)]
    assert [it.thing for it in in_order(found)] == ["x", "y", "trip-1", "trip-1"]
    assert in_order(found, until=SOON, only=[Sort.DEPARTS]) == ()
    assert tally(in_order(found)) == "1 goes off, 1 departure, 1 return and 1 cancelled"


@pytest.mark.parametrize(
    ("days_left", "wanted", "rings"),
    [
        (20, (7, 14, 7), (14, 7)),
        (7, (7,), (7,)),
        (6, (7, 2), (2,)),
        (6, (7,), (0,)),
        (0, (7,), (0,)),
        (6, (), ()),
    ],
)
def test_no_alarm_rings_before_today(
    days_left: int, wanted: tuple[int, ...], rings: tuple[int, ...]
) -> None:
    assert alarms(TODAY + days_left * DAY, TODAY, wanted) == rings


def test_a_caution_is_its_first_sentence() -> None:
    of = replace(kind(), cautions=("chemicals",))
    texts = {"chemicals": "Chemicals: read the label. Protect eyes."}
    [found] = goes_off([holding(1, item(of), TRUCK, 1, SOON)], TODAY, texts)
    assert found.lines[-1] == "Chemicals: read the label."
