"""A departure pack's findings: the verdict, what goes off by date, risks, what to check at stops.

All stock and trips are invented.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given as over
from hypothesis import strategies as st

import given
from stockcheck.core.deciding import Decided
from stockcheck.core.expiry import Standing, standings
from stockcheck.core.forecast import Forecast, PlacedStop
from stockcheck.core.model import Holding, State, Status
from stockcheck.core.pack import (
    Ending,
    Lacks,
    Readiness,
    Risk,
    Said,
    Stop,
    There,
    by_day,
    endings,
    key_of,
    placed,
    risks,
    stop_checks,
    verdict,
)
from stockcheck.core.planning import Trip

TODAY = given.TODAY
LEAVES, BACK = date(2027, 2, 8), date(2027, 4, 25)
TRIP = Trip(1, "Spring count", LEAVES, BACK, people=3, margin_days=7)
BOX = given.box()
KIND = given.kind(sealed=given.life("24 months"))


def held(number: int, last: date | None, state: State = State.STOCK) -> Holding:
    item = given.item(KIND, f"sealant {number}", number)
    return given.holding(number, item, BOX, 1, last, state=state)


def stand(*holdings: Holding) -> list[Standing]:
    return standings(holdings, TODAY, horizon=TRIP.horizon)


def risk(status: Status, decided: Decided | None = None, when: Status | None = None) -> Risk:
    standing = Standing(held(1, None), status, None, "")
    said = Said(decided, when or status, "", TODAY) if decided else None
    return Risk(standing, said)


@pytest.mark.parametrize(
    ("status", "decided", "settled"),
    [
        (Status.EXPIRED, None, False),
        (Status.UNDATED, None, False),
        (Status.EXPIRED, Decided.INSPECT, True),
        (Status.EXPIRED, Decided.REPLACE, False),  # the new one is not in yet
        (Status.EXPIRED, Decided.WRITE_OFF, False),  # and yet it is there
        (Status.HELD, None, True),  # set aside by hand
        (Status.LAST_RESORT, None, True),
    ],
)
def test_what_rides_along_is_settled_only_where_that_was_decided(
    status: Status, decided: Decided | None, settled: bool
) -> None:
    assert risk(status, decided).settled is settled


def test_a_decision_about_what_was_still_good_does_not_cover_it_once_it_is_expired() -> None:
    assert not risk(Status.EXPIRED, Decided.INSPECT, when=Status.DUE).settled


def test_risks_are_what_must_not_be_counted_on_the_undecided_first() -> None:
    kept = held(1, date(2026, 1, 1), State.LAST_RESORT)
    expired, undated = held(2, date(2026, 1, 1)), held(3, None)
    ends, lasts = held(4, date(2027, 3, 1)), held(5, date(2029, 1, 1))
    said = {key_of(undated): Said(Decided.INSPECT, Status.UNDATED, "looks sound", TODAY)}
    found = risks(stand(kept, expired, undated, ends, lasts), said)
    assert [each.standing.holding.id for each in found] == [2, 3, 1]
    assert [each.settled for each in found] == [False, True, True]


def test_ready_is_only_what_is_good_enough_and_all_there() -> None:
    found = verdict(TRIP, TODAY, (), Lacks())
    assert found.readiness is Readiness.READY
    assert found.reasons == ("Everything in the boxes is good through 02 MAY 2027, and enough.",)


@pytest.mark.parametrize(
    ("found", "lacks", "reason"),
    [
        ([risk(Status.EXPIRED)], Lacks(), "1 holding is expired, and nothing is decided about it."),
        (
            [risk(Status.EXPIRED, Decided.REPLACE)] * 2,
            Lacks(),
            "2 holdings are to be replaced, and still the old ones.",
        ),
        ([], Lacks(short=3, vital=1), "3 lines of the restock list are short, 1 of them vital."),
        ([], Lacks(nothing=True), "Nothing is in the boxes, as far as the books know."),
        ([], Lacks(short=1), "1 line of the restock list is short."),
        ([], Lacks(short=1, vital=1), "1 vital line of the restock list is short."),
        ([], Lacks(short=2, vital=2), "2 vital lines of the restock list are short."),
        (
            [],
            Lacks(boxes=("First aid", "Burns")),
            "First aid and Burns do not meet the kit list through the trip.",
        ),
    ],
)
def test_not_ready_names_each_reason(found: list[Risk], lacks: Lacks, reason: str) -> None:
    done = verdict(TRIP, TODAY, found, lacks)
    assert done.readiness is Readiness.NOT_READY
    assert reason in done.reasons


def test_what_was_decided_on_purpose_and_what_ends_on_the_way_is_ready_and_said() -> None:
    found = [risk(Status.LAST_RESORT), risk(Status.HELD), risk(Status.EXPIRED, Decided.INSPECT)]
    done = verdict(TRIP, TODAY, found, Lacks(), Ending(way=2))
    assert done.readiness is Readiness.ON_PURPOSE
    assert done.reasons == (
        "1 holding is on hold: not to be used.",
        "1 holding is aboard as a last resort, never counted as stock.",
        "1 holding is decided to ride along as it is.",
        "2 holdings go off on the way, as listed by date.",
    )


@pytest.mark.parametrize(
    ("ending", "readiness", "reason"),
    [
        (Ending(before=1), Readiness.NOT_READY, "1 holding ends before leaving on 08 FEB 2027."),
        (Ending(before=9, late=1), Readiness.NOT_READY,
         "9 holdings end before leaving on 08 FEB 2027."),
        (Ending(way=1), Readiness.ON_PURPOSE, "1 holding goes off on the way, as listed by date."),
        (Ending(way=12, late=2), Readiness.ON_PURPOSE,
         "12 holdings go off on the way, 2 more if the return is late, as listed by date."),
        (Ending(late=2), Readiness.ON_PURPOSE,
         "2 holdings go off if the return is late, as listed by date."),
    ],
)  # fmt: skip
def test_what_ends_before_leaving_blocks_and_what_ends_later_is_said(
    ending: Ending, readiness: Readiness, reason: str
) -> None:
    done = verdict(TRIP, TODAY, (), Lacks(), ending)
    assert done.readiness is readiness
    assert reason in done.reasons


def test_what_is_good_on_the_day_of_return_ends_only_if_that_is_late() -> None:
    day = timedelta(days=1)
    days = (LEAVES - day, LEAVES, BACK - day, BACK, TRIP.horizon - day, TRIP.horizon)
    found = endings(stand(*(held(number, when) for number, when in enumerate(days, 1))), TRIP)
    assert found == Ending(before=1, way=2, late=2)
    assert found.words == "1 before leaving, 2 on the way, 2 if the return is late"
    assert Ending(way=3).words == "3 on the way"


def test_without_any_par_level_nobody_can_tell_what_is_enough() -> None:
    done = verdict(TRIP, TODAY, (), Lacks(unmeasured=True), Ending(way=1))
    assert done.readiness is Readiness.UNMEASURED
    assert done.reasons[-1].startswith("No par level says how much")
    worse = verdict(TRIP, TODAY, [risk(Status.EXPIRED)], Lacks(unmeasured=True))
    assert worse.readiness is Readiness.NOT_READY


def test_a_trip_that_is_over_is_called_so() -> None:
    done = verdict(TRIP, TRIP.horizon + timedelta(days=1), [risk(Status.EXPIRED)], Lacks())
    assert done.readiness is Readiness.OVER
    assert verdict(TRIP, TRIP.horizon, (), Lacks()).readiness is Readiness.READY


def test_the_way_is_in_the_order_of_days() -> None:
    late, early, past = held(1, BACK), held(2, LEAVES), held(3, TODAY - timedelta(days=1))
    assert [each.holding.id for each in by_day(stand(late, early, past))] == [2, 1]


def test_a_stop_tells_what_ended_since_the_last_one_and_what_ends_before_the_next() -> None:
    """Worked by hand: stops on 28 February and 20 March, the horizon on 2 May."""
    first = Stop(
        date(2027, 2, 28), "the pump", (There(1, "water", "ml"), There(2, "gas", "each", 3))
    )
    second = Stop(date(2027, 3, 20), "the crossing")
    days = (date(2027, 2, 27), date(2027, 2, 28), date(2027, 3, 18), date(2027, 3, 25))
    found = stand(*(held(number, day) for number, day in enumerate(days, 1)))
    checks = stop_checks([second, first], found, TRIP)
    told = [
        (
            it.stop.place,
            it.until,
            [each.holding.id for each in it.gone],
            [each.holding.id for each in it.ends],
        )
        for it in checks
    ]
    gas = first.has(2)
    assert (gas and gas.amount, first.has(3)) == ("at most 3", None)
    assert told == [
        ("the pump", date(2027, 3, 19), [1], [2, 3]),
        ("the crossing", TRIP.horizon, [2, 3], [4]),
    ]


def test_stops_are_placed_on_their_days_with_what_each_has() -> None:
    gas = given.item(KIND, "gas", 2)
    stops = [PlacedStop(1, 1, "the gate", {}), PlacedStop(2, 22, "the pump", {2: 3})]
    assert placed(stops, Forecast((), ()), TRIP, {2: gas}) == [
        Stop(LEAVES, "the gate"),
        Stop(date(2027, 3, 1), "the pump", (There(2, "gas", "each", 3),)),
    ]


DAYS = st.dates(TODAY, TRIP.horizon + timedelta(days=30))


@over(
    st.lists(DAYS, max_size=12),
    st.lists(st.dates(LEAVES, TRIP.horizon), max_size=4, unique=True),
)
def test_nothing_that_ends_after_the_first_stop_is_forgotten(
    days: list[date], stops: list[date]
) -> None:
    found = stand(*(held(number, day) for number, day in enumerate(days, 1)))
    checks = stop_checks([Stop(day, "a stop") for day in stops], found, TRIP)
    told = {each.holding.id for it in checks for each in (*it.gone, *it.ends)}
    first = min(stops, default=date.max)
    meant = {
        each.holding.id
        for each in found
        if each.status is Status.ENDS_ON_TRIP
        and max(LEAVES, first) <= (each.holding.last_usable_day or date.max)
    }
    assert meant <= told
