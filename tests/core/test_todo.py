"""What is to be done, in order of urgency, each with the command that does it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import TODAY, box, holding, item, kind, life, par
from stockcheck.core.errors import BadInput
from stockcheck.core.expiry import standings
from stockcheck.core.model import Holding, Importance, State
from stockcheck.core.planning import Trip
from stockcheck.core.purchasing import Order, OrderLine
from stockcheck.core.recalls import Recall
from stockcheck.core.restock import restock
from stockcheck.core.todo import (
    BACKUP_DAYS,
    Facts,
    Labels,
    Late,
    Urgency,
    next_trip,
    quoted,
    refuse_past,
    todo,
    unclosed,
)

DAY = timedelta(days=1)
SPRING = Trip(1, "Spring count", TODAY + 75 * DAY, TODAY + 150 * DAY)
SEALANT = kind(sealed=life("12 months"))
TUBE = item(SEALANT)
TRUCK, CAB = box(), box("Cab drawer", 2)
BACKED_UP = Facts(TODAY, backed_up=TODAY)


def commands(facts: Facts) -> dict[str, str]:
    return {task.key: task.command for task in todo(facts)}


def of_stock(*held: Holding, trip: Trip | None = None) -> Facts:
    found = standings(held, TODAY, horizon=trip.horizon if trip else None)
    return Facts(TODAY, trip=trip, standings=found, backed_up=TODAY)


def test_nothing_to_do_is_no_task() -> None:
    assert todo(BACKED_UP) == ()
    assert todo(Facts(TODAY, stocked=False)) == ()
    good = holding(1, TUBE, TRUCK, last=TODAY + 400 * DAY)
    assert todo(of_stock(good, trip=SPRING)) == ()


def test_the_box_with_most_comes_first_and_is_the_one_that_the_command_names() -> None:
    old = TODAY - DAY
    facts = of_stock(
        holding(1, TUBE, TRUCK, last=old),
        holding(2, TUBE, CAB, last=old),
        holding(3, TUBE, CAB, last=old),
        holding(4, TUBE, TRUCK),
    )
    expired, undated = todo(facts)
    assert expired.words == "Expired: 3 holdings in 2 boxes"
    assert expired.names == ("Cab drawer (2)", "Truck (1)")
    assert expired.command == 'stockcheck decide "Cab drawer"'
    assert (undated.key, undated.command) == ("undated", "stockcheck decide Truck")


def test_what_ends_on_the_trip_has_a_day_and_without_a_trip_it_ends_soon() -> None:
    soon = holding(1, TUBE, TRUCK, last=TODAY + 10 * DAY)
    [task] = todo(of_stock(soon, trip=SPRING))
    assert (task.key, task.by) == ("ends on trip", TODAY + 10 * DAY)
    assert task.words == "Ends on the trip: 1 holding in 1 box, all before leaving"
    later = holding(2, TUBE, TRUCK, last=SPRING.departs)
    assert todo(of_stock(soon, later, trip=SPRING))[0].words.endswith("1 box, 1 before leaving")
    assert todo(of_stock(later, trip=SPRING))[0].words == "Ends on the trip: 1 holding in 1 box"
    assert task.command == 'stockcheck expiry --trip "Spring count" --status "ends on trip"'
    assert commands(of_stock(soon)) == {"due": "stockcheck expiry --status due"}


def test_a_vital_shortage_goes_before_any_other_and_a_met_par_level_is_none() -> None:
    wanted = [
        par(1, TRUCK, 4, item(SEALANT, "tape", 2)),
        par(2, TRUCK, 1, item(SEALANT, "mask", 3), Importance.VITAL),
        par(3, TRUCK, 1, TUBE),
    ]
    held = [holding(1, TUBE, TRUCK, last=TODAY + 400 * DAY)]
    needs = restock(
        wanted, held, [], on=TODAY, horizon=SPRING.horizon, departs=SPRING.departs, boxes=[TRUCK]
    )
    found = todo(Facts(TODAY, trip=SPRING, needs=needs, backed_up=TODAY))
    assert [(it.key, it.names, it.urgency) for it in found] == [
        ("vital short", ("mask",), Urgency.NOW),
        ("short", ("tape",), Urgency.BEFORE),
    ]
    assert found[1].words == "Short: 1 line, 1 sold by nobody known"


def order(number: int, expected: date | None, received: int = 0) -> Order:
    line = OrderLine(number, TUBE, TRUCK, 1, 2, 100, received=received)
    return Order(number, 1, "Desert Stores", TODAY, expected, (line,))


@pytest.mark.parametrize(
    ("orders", "urgency", "command"),
    [
        ([order(1, TODAY)], Urgency.BEFORE, "stockcheck purchase show 1"),
        ([order(1, None), order(2, TODAY + DAY)], Urgency.BEFORE, "stockcheck purchase show 2"),
        ([order(1, TODAY - DAY)], Urgency.NOW, "stockcheck purchase list"),
        ([order(1, TODAY - DAY, received=2)], None, ""),
    ],
)
def test_purchases_are_awaited_chased_once_overdue_and_forgotten_once_delivered(
    orders: list[Order], urgency: Urgency | None, command: str
) -> None:
    found = todo(Facts(TODAY, orders=orders, backed_up=TODAY))
    assert [(it.urgency, it.command) for it in found] == ([(urgency, command)] if urgency else [])


def test_recalled_stock_is_first_of_all_and_is_put_on_hold_where_it_is_not() -> None:
    recall = Recall(3, 1, "sealant", "", "B7", "", TODAY)
    loose = holding(5, TUBE, CAB, last=TODAY + 400 * DAY)
    kept = holding(6, TUBE, TRUCK, state=State.HELD)
    facts = Facts(TODAY, recalls=[(recall, [kept, loose])], counts=[Late("Cab", None)])
    first = todo(facts)[0]
    assert first.words == "Recalled and on hand: 2 holdings, 1 not on hold"
    assert first.command == 'stockcheck hold L5 --from "Cab drawer" --reason recalled'
    held = commands(Facts(TODAY, recalls=[(recall, [kept])]))
    assert held["recalled"] == "stockcheck recall list"
    assert todo(Facts(TODAY, recalls=[(recall, [])], backed_up=TODAY)) == ()


def test_boxes_overdue_the_longest_first_those_never_looked_at_before_them() -> None:
    late = [Late("Cab", TODAY - DAY), Late("Truck", TODAY - 9 * DAY), Late("Fluids", None)]
    counts, rounds = todo(Facts(TODAY, counts=late[:2], rounds=late, backed_up=TODAY))
    assert (counts.names, counts.command) == (("Truck", "Cab"), "stockcheck count Truck")
    assert rounds.words == "Audit overdue: 3 boxes, 1 never done"
    assert rounds.command == "stockcheck round do Fluids"


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (None, ["Backup: none yet"]),
        (0, []),
        (BACKUP_DAYS, []),
        (BACKUP_DAYS + 1, ["Backup: the last is of 25 OCT 2026"]),
    ],
)
def test_a_backup_is_old_after_a_month(days: int | None, words: list[str]) -> None:
    last = None if days is None else TODAY - days * DAY
    assert [it.words for it in todo(Facts(TODAY, backed_up=last))] == words


def test_labels_that_lack_and_that_changed() -> None:
    both = Facts(TODAY, labels=Labels(4, 1), backed_up=TODAY)
    assert [it.words for it in todo(both)] == ["Labels: 4 lacking and 1 changed"]
    changed = Facts(TODAY, labels=Labels(0, 1), backed_up=TODAY)
    assert commands(changed) == {"labels": "stockcheck labels --changed --output labels.pdf"}


def test_the_next_trip_is_the_soonest_that_has_not_returned() -> None:
    past = Trip(2, "Shakedown", TODAY - 9 * DAY, TODAY - 7 * DAY)
    gone = Trip(3, "Under way", TODAY - DAY, TODAY)
    off = Trip(4, "Called off", TODAY, TODAY, retired_on=TODAY)
    every = [SPRING, past, gone, off]
    assert next_trip(every, [], TODAY) == gone
    assert next_trip(every, [3], TODAY) == SPRING
    assert next_trip([past, off], [], TODAY) is None
    assert unclosed(every, [], TODAY) == (past,)
    assert unclosed(every, [2], TODAY) == ()
    refuse_past(gone, TODAY)
    with pytest.raises(BadInput, match="was back on 18 NOV 2026"):
        refuse_past(past, TODAY)


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("Cab", "Cab"),
        ("Аптечка", "Аптечка"),
        ("First aid", '"First aid"'),
        ("Nina's box", '"Nina\'s box"'),
        ('5" pipe', "'5\" pipe'"),
        ("$5 & Nina's", "'$5 & Nina'\\''s'"),
        ("-x", '"-x"'),
        ("", '""'),
    ],
)
def test_a_name_is_typed_so_that_a_shell_reads_it_whole(name: str, typed: str) -> None:
    assert quoted(name) == typed


@given(st.lists(st.sampled_from(["count", "round", "label", "backup", "trip"])))
def test_the_urgent_never_stand_below_the_less_urgent(which: list[str]) -> None:
    old = holding(1, TUBE, TRUCK, last=TODAY - DAY)
    facts = Facts(
        TODAY,
        standings=standings([old], TODAY),
        counts=[Late("Cab", TODAY)] * which.count("count"),
        rounds=[Late("Cab", None)] * which.count("round"),
        labels=Labels(which.count("label"), 0),
        unclosed=[SPRING] * which.count("trip"),
        backed_up=None if "backup" in which else TODAY,
    )
    found = [task.urgency for task in todo(facts)]
    assert found == sorted(found)
    assert len(found) == 1 + len(set(which))
