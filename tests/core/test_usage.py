"""What counts as use, over what exposure, and what is a question: from the ledger's lines."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.carry import Log, Measure
from stockcheck.core.movements import What
from stockcheck.core.planning import Trip
from stockcheck.core.usage import Entry, Travelled, Use, Wanted, exposure_ahead, history, uses

DAY = date(2026, 3, 2)
TODAY = date(2026, 11, 25)
SPRING = Trip(1, "Larks, spring", DAY, DAY + timedelta(days=29), people=3, distance_km=4000)
AUTUMN = Trip(2, "Larks, autumn", date(2026, 9, 1), date(2026, 9, 10), people=2)
HOME = date(2026, 6, 1)


def issued(
    number: int, quantity: int = 1, on: date = DAY, *, together: int = 0, what: What = What.ISSUED
) -> Entry:
    return Entry(number, what, on, -quantity, together or number)


def closed(trip: Trip) -> Travelled:
    return Travelled(trip, closed=True, recorded=True)


def test_what_one_command_took_is_one_occasion_however_many_packs_it_came_from() -> None:
    found = uses([issued(1, 2), issued(2, 3, together=1), issued(3, 1)])
    assert [(it.quantity, it.occasions) for it in found] == [(5, 1), (1, 1)]


@pytest.mark.parametrize("what", [it for it in What if it is not What.ISSUED])
def test_nothing_but_issuing_is_a_use(what: What) -> None:
    assert uses([issued(1, 4, what=what)]) == []
    assert uses([issued(1, -4, what=what)]) == []


def test_what_was_undone_was_not_used() -> None:
    undo = Entry(2, What.REVERSED, DAY, 4, 2, reverses=1)
    assert uses([issued(1, 4), undo, issued(3, 1)]) == [Use(DAY, 1)]


def test_reaching_for_a_thing_when_none_is_left_is_a_use() -> None:
    assert uses([], [Wanted(DAY, 1)]) == [Use(DAY, 1, lacking=1)]


def test_what_lacked_beside_the_last_of_it_is_the_same_occasion() -> None:
    assert uses([issued(7, 2)], [Wanted(DAY, 3, together=7)]) == [Use(DAY, 5, lacking=3)]


def test_what_came_back_lessens_the_latest_use_before_it() -> None:
    back = Entry(3, What.RETURNED, DAY + timedelta(days=2), 2, 3)
    later = issued(4, 5, DAY + timedelta(days=9))
    assert [it.quantity for it in uses([issued(1, 3), issued(2, 1), back, later])] == [2, 5]


def test_a_difference_at_the_close_counts_a_piece_an_occasion_and_a_measure_as_one() -> None:
    entry = replace(issued(1, 6), difference=True)
    assert uses([entry]) == [Use(DAY, 6, occasions=6)]
    assert uses([entry], unit="ml") == [Use(DAY, 6, occasions=1)]


def test_a_closed_trip_without_use_is_data_and_no_trip_is_a_question() -> None:
    assert history([], [closed(SPRING)], Measure.DAYS, on=TODAY).log == Log(0, 30)
    assert history([], [], Measure.DAYS, on=TODAY).log is None


def test_exposure_is_days_away_person_days_or_distance_and_never_days_at_home() -> None:
    used = [Use(DAY, 2), Use(HOME, 7)]
    for measure, exposure in ((Measure.DAYS, 30), (Measure.PERSON_DAYS, 90), (Measure.KM, 4000)):
        found = history(used, [closed(SPRING)], measure, on=TODAY)
        assert found.log == Log(1, exposure, measure, ((2, 1),))
        assert found.at_home == 7


def test_what_is_written_down_at_home_counts_for_the_trip_that_it_is_told_of() -> None:
    found = history([Use(HOME, 2, trip_id=1)], [closed(SPRING)], Measure.DAYS, on=TODAY)
    assert found.log == Log(1, 30, sizes=((2, 1),))
    assert found.at_home == 0


def test_a_trip_never_closed_counts_where_something_was_recorded_and_says_so() -> None:
    found = history([], [Travelled(SPRING, recorded=True)], Measure.DAYS, on=TODAY)
    assert found.log == Log(0, 30)
    assert found.doubts == ("Larks, spring was not closed: what is recorded is taken to be all.",)


def test_a_trip_of_which_nothing_is_known_is_asked_about_and_not_taken_for_none_used() -> None:
    found = history([], [Travelled(SPRING)], Measure.DAYS, on=TODAY)
    assert found.log is None
    assert found.doubts == (
        (
            "Larks, spring (02 MAR 2026 to 31 MAR 2026) was not closed and nothing was recorded on"
            " it: was nothing used? Close it to count it."
        ),
    )


def test_a_trip_under_way_counts_up_to_today_once_something_is_recorded() -> None:
    under_way = Travelled(SPRING, recorded=True)
    today = DAY + timedelta(days=9)
    assert history([], [under_way], Measure.DAYS, on=today).log == Log(0, 10)
    assert history([], [Travelled(SPRING)], Measure.DAYS, on=today) == history(
        [], [], Measure.DAYS, on=today
    )
    assert history([], [under_way], Measure.KM, on=today).log is None


def test_a_trip_still_to_come_is_no_exposure() -> None:
    later = replace(AUTUMN, departs=date(2027, 2, 1), returns=date(2027, 3, 1))
    assert history([], [closed(later)], Measure.DAYS, on=TODAY).log is None


def test_the_day_of_return_is_the_real_one_and_so_is_the_distance() -> None:
    early = replace(closed(SPRING), came_back=DAY + timedelta(days=19), distance_km=3100)
    assert history([], [early], Measure.DAYS, on=TODAY).log == Log(0, 20)
    assert history([], [early], Measure.KM, on=TODAY).log == Log(0, 3100, Measure.KM)


def test_days_before_the_item_was_on_the_books_are_no_exposure() -> None:
    joined = DAY + timedelta(days=10)
    trips = [closed(SPRING), closed(AUTUMN)]
    assert history([], trips, Measure.DAYS, on=TODAY, since=joined).log == Log(0, 30)
    assert history([], trips, Measure.DAYS, on=TODAY, since=HOME).log == Log(0, 10)


def test_a_trip_of_unknown_distance_is_left_out_and_told() -> None:
    found = history([], [closed(SPRING), closed(AUTUMN)], Measure.KM, on=TODAY)
    assert found.log == Log(0, 4000, Measure.KM)
    assert found.doubts == ("Larks, autumn: its km are not known; it is left out.",)


def test_trips_at_the_same_time_add_up_and_a_use_counts_once() -> None:
    """Two vehicles: their exposures are added, as their stock is shared."""
    beside = replace(SPRING, id=3, name="Larks, second truck")
    found = history([Use(DAY, 1)], [closed(SPRING), closed(beside)], Measure.DAYS, on=TODAY)
    assert found.log == Log(1, 60, sizes=((1, 1),))


def test_a_difference_of_ten_over_four_occasions_is_told_by_size() -> None:
    found = history([Use(DAY, 10, occasions=4)], [closed(SPRING)], Measure.DAYS, on=TODAY)
    assert found.log == Log(4, 30, sizes=((2, 2), (3, 2)))


def test_exposure_ahead_includes_the_days_that_the_return_may_be_late_but_no_distance_does() -> (
    None
):
    ahead = replace(SPRING, margin_days=5)
    assert exposure_ahead(ahead, Measure.DAYS) == 35
    assert exposure_ahead(ahead, Measure.PERSON_DAYS) == 105
    assert exposure_ahead(ahead, Measure.KM) == 4000
    assert exposure_ahead(AUTUMN, Measure.KM) is None


ENTRIES = st.lists(
    st.tuples(st.sampled_from(list(What)), st.integers(-9, 9), st.integers(0, 60)), max_size=12
)


@given(ENTRIES)
def test_units_used_are_never_more_than_what_was_issued(
    rows: list[tuple[What, int, int]],
) -> None:
    entries = [
        Entry(number, what, DAY + timedelta(days=day), quantity, number)
        for number, (what, quantity, day) in enumerate(rows, 1)
    ]
    issued_in_all = -sum(
        it.quantity for it in entries if it.what is What.ISSUED and it.quantity < 0
    )
    found = history(uses(entries), [closed(SPRING)], Measure.DAYS, on=TODAY)
    assert found.log is not None
    assert found.log.units + found.at_home <= issued_in_all
    assert all(it.quantity >= it.occasions > 0 for it in uses(entries))
