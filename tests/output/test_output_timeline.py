from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core import model
from stockcheck.core.expiry import standings
from stockcheck.core.model import (
    Certainty,
    DateContext,
    DateMeaning,
    Holding,
    Item,
    Kind,
    Lot,
    PastDate,
    State,
)
from stockcheck.core.planning import Trip
from stockcheck.output.expiry_report import expiry_timeline
from stockcheck.output.report import Tone
from stockcheck.output.timeline import Bar, Scale, Timeline, Window, ticks

TODAY = date(2026, 11, 25)
HORIZON = date(2027, 5, 2)
WINDOW = Window(date(2027, 2, 8), date(2027, 4, 25), HORIZON)


# The words at a bar's end


@pytest.mark.parametrize(
    ("last", "reason", "status", "words"),
    [
        (date(2028, 2, 29), "printed", "in date", "printed 29 FEB 2028"),
        (date(2026, 11, 25), "opened", "ends on trip", "opened 25 NOV 2026"),
        (date(2026, 11, 24), "shelf", "expired", "EXPIRED 24 NOV 2026 (shelf)"),
        (date(2027, 6, 30), "heat", "in date", "heat estimate 30 JUN 2027"),
        (date(2027, 6, 30), "inspected", "held", "HELD, inspected 30 JUN 2027"),
        (date(2020, 6, 30), "printed", "last resort", "LAST RESORT, EXPIRED 30 JUN 2020 (printed)"),
        (None, "", "undated", "NO DATE"),
        (None, "", "held", "HELD, NO DATE"),
    ],
)
def test_a_bar_says_which_limit_ends_it_and_when(
    last: date | None, reason: str, status: str, words: str
) -> None:
    each = Bar("Tyre kit", "patch", "L1", last, reason, status, Tone.PLAIN)
    assert each.words(TODAY) == words


# The scale of days


@pytest.mark.parametrize(
    ("start", "horizon", "end"),
    [
        (TODAY, None, date(2028, 2, 29)),
        (TODAY, HORIZON, date(2028, 2, 29)),
        (TODAY, date(2028, 1, 1), date(2028, 4, 30)),
        (TODAY, date(2036, 11, 25), date(2038, 2, 28)),
        (date(2028, 2, 29), None, date(2029, 5, 31)),
        (TODAY, date.max, date.max),
        (date.max, None, date.max),
    ],
)
def test_a_chart_shows_a_year_and_a_quarter_or_more_where_the_horizon_is_far(
    start: date, horizon: date | None, end: date
) -> None:
    window = Window(start, start, horizon) if horizon else None
    assert Timeline(start, (), window).end == end


def test_days_count_whole_and_those_outside_the_chart_lie_at_its_edges() -> None:
    scale = Scale(TODAY, date(2028, 2, 29), left=100, width=462)
    assert scale.day_width == 1
    assert (scale.begin(TODAY), scale.finish(TODAY)) == (100, 101)
    assert scale.finish(date(2028, 2, 28)) == scale.begin(date(2028, 2, 29)) == 561
    assert scale.finish(date(2028, 2, 29)) == scale.begin(date(2028, 3, 1)) == scale.right == 562
    assert scale.begin(date.min) == scale.finish(date.min) == 100
    assert scale.begin(date.max) == scale.finish(date.max) == 562


def test_months_are_marked_by_their_letters_and_january_by_its_year() -> None:
    found = ticks(Scale(TODAY, date(2028, 2, 29), 0, 462), 20, 20)
    months = "DEC JAN FEB MAR APR MAY JUN JUL AUG SEP OCT NOV DEC JAN FEB"
    assert " ".join(tick.month for tick in found if tick.month) == months
    assert [(tick.year, tick.x) for tick in found if tick.year] == [
        ("2026", 0),
        ("2027", 37),
        ("2028", 402),
    ]


@pytest.mark.parametrize(
    ("until", "labels"),
    [
        (date(2028, 12, 31), {"JAN", "MAR", "MAY", "JUL", "SEP", "NOV"}),
        (date(2032, 12, 31), {"JAN", "JUL"}),
        (date(2040, 12, 31), set()),
    ],
)
def test_the_longer_the_chart_the_fewer_months_are_labelled(until: date, labels: set[str]) -> None:
    found = ticks(Scale(TODAY, until, 0, 330), 20, 20)
    assert {tick.month for tick in found if tick.month} == labels


@given(
    start=st.dates(min_value=date(1990, 1, 1)),
    days=st.integers(0, 40_000),
    width=st.floats(150, 600),
    month=st.floats(10, 40),
    year=st.floats(10, 40),
)
def test_labels_of_the_axis_never_overlap_or_leave_it(
    start: date, days: int, width: float, month: float, year: float
) -> None:
    end = start + timedelta(days=min(days, (date.max - start).days))
    scale = Scale(start, end, 50, width)
    found = ticks(scale, month, year)
    for room, starts in (
        (month, [tick.x for tick in found if tick.month]),
        (year, [tick.x for tick in found if tick.year]),
    ):
        assert all(x + room <= following for x, following in pairwise([*starts, scale.right]))
    assert all(scale.left <= tick.x <= scale.right for tick in found)


# From standings


def kind(meaning: DateMeaning) -> Kind:
    return Kind(
        "sealant", "sealant", "sealants", DateContext.GENERAL, meaning, PastDate.DISCARD,
        "household", "invented", Certainty.OWN,
    )  # fmt: skip


def holding(
    number: int,
    box: int,
    last: date | None,
    *,
    state: State = State.STOCK,
    meaning: DateMeaning = DateMeaning.SAFETY,
    opened: date | None = None,
) -> Holding:
    item = Item(number, f"3{number:09}", f"sealant {number}", kind(meaning))
    place = model.Box(box, f"2{box:09}", f"box {box}")
    lot = Lot(number, f"1{number:09}", item)
    word = "printed" if last else "no limit" if meaning is DateMeaning.NONE else ""
    return Holding(number, lot, place, 1, opened, state, last, word)


def picture(*held: Holding, trip: Trip | None = None) -> Timeline:
    boxes = [model.Box(number, f"2{number:09}", f"box {number}") for number in (2, 1)]
    places = {1: "Cab", 2: "Cab / Pouch"}
    horizon = trip.horizon if trip else None
    return expiry_timeline(
        standings(held, TODAY, horizon=horizon), boxes, places, on=TODAY, trip=trip
    )


def test_bars_go_box_by_box_and_in_each_the_expired_the_undated_then_by_day() -> None:
    found = picture(
        holding(1, 1, date(2028, 2, 29)),
        holding(2, 1, None),
        holding(3, 1, date(2020, 1, 31)),
        holding(4, 1, date(2027, 1, 31), state=State.HELD),
        holding(5, 2, TODAY, opened=date(2026, 11, 1), meaning=DateMeaning.QUALITY),
    )
    assert [(each.box, each.lot, each.last_usable_day) for each in found.bars] == [
        ("Cab / Pouch", "L5", TODAY),
        ("Cab", "L3", date(2020, 1, 31)),
        ("Cab", "L2", None),
        ("Cab", "L4", date(2027, 1, 31)),
        ("Cab", "L1", date(2028, 2, 29)),
    ]
    assert found.bars[0].label == "sealant 5 (opened)"
    assert found.bars[3].words(TODAY) == "HELD, printed 31 JAN 2027"


def test_an_opened_pack_of_unknown_age_is_drawn_without_a_date() -> None:
    found = picture(holding(1, 1, TODAY, opened=date(2026, 11, 1), meaning=DateMeaning.SAFETY))
    assert found.bars[0].words(TODAY) == "NO DATE"


def test_what_has_no_limit_is_counted_and_left_out() -> None:
    found = picture(holding(1, 1, None, meaning=DateMeaning.NONE), holding(2, 1, None))
    assert ([each.lot for each in found.bars], found.no_limit) == (["L2"], 1)


def test_the_trip_ahead_or_under_way_is_the_window_and_one_that_is_over_is_not() -> None:
    spring = Trip(1, "Spring count", WINDOW.departs, WINDOW.returns, margin_days=7)
    last = replace(spring, departs=date(2026, 9, 1), returns=date(2026, 11, 18))
    over = replace(last, returns=date(2026, 11, 17))
    lot = holding(1, 1, TODAY)
    assert picture(lot, trip=spring).window == WINDOW
    assert picture(lot, trip=last).window == Window(last.departs, last.returns, TODAY)
    assert picture(lot, trip=over).window is None
    assert picture(lot).window is None
