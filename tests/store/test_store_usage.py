"""What was used before, read out of a store: what counts as a use, and over what exposure."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from stockcheck.core.carry import Measure
from stockcheck.core.errors import BadInput
from stockcheck.core.movements import Line, Movement, What
from stockcheck.core.usage import History, Wanted
from stockcheck.core.usage_told import Told
from stockcheck.store import bulk, closings, ledger, usage
from stockcheck.store.files import Store, opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import create

NOW = "2026-11-25T08:00:00+00:00"
TUBE, TRIP, LATER = 1, 1, 2


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """Twenty tubes since January 2024; a trip across 29 February 2024, and one that overlaps it."""
    path = tmp_path / "kit.db"
    create(path, "Kit")
    with opened(path) as store:
        with store.writing() as conn:
            bulk.add_text(conn, "box", {"box": "Truck"})
            bulk.add_text(conn, "item", {"item": "tube", "kind": "cyanoacrylate"})
            days = {"departs": "2024-02-27", "returns": "2024-03-02", "distance_km": "900"}
            bulk.add_text(conn, "trip", {"trip": "Leap loop", "people": "3", **days})
            other = {"departs": "2024-03-01", "returns": "2024-03-10"}
            bulk.add_text(conn, "trip", {"trip": "Side trip", **other})
            conn.execute("INSERT INTO lot (lot_id, code, item_id) VALUES (1, '1000000013', 1)")
        move(store, What.RECEIVED, 20, "2024-01-05")
        yield store


def move(store: Store, what: What, quantity: int, day: str, *, trip: int | None = None) -> int:
    with store.writing() as conn:
        stamp = Stamp(date.fromisoformat(day), NOW)
        numbers = ledger.post(conn, [Movement(what, (Line(1, 1, quantity),), "test")], stamp)
        if trip is not None:
            usage.mark_trip(conn, numbers, trip, difference=True)
    return numbers[0]


def close(store: Store, trip: int, back: str, km: int | None = None) -> None:
    with store.writing() as conn:
        stamp = Stamp(date(2024, 4, 1), NOW)
        usage.close_trip(conn, trip, date.fromisoformat(back), km, stamp)


def seen(store: Store, measure: Measure = Measure.DAYS) -> History:
    return usage.history_of(store.conn, [TUBE], "each", measure, date(2024, 6, 1))


def figures(history: History) -> tuple[int, object] | None:
    return (history.log.occasions, history.log.exposure) if history.log else None


def test_a_trip_on_which_nothing_was_used_is_data_once_it_is_closed(store: Store) -> None:
    """Given a trip of 27 FEB to 2 MAR 2024, when it is closed, then five days count (29 FEB)."""
    assert figures(seen(store)) is None
    assert len(seen(store).doubts) == 2
    close(store, TRIP, "2024-03-02")
    assert figures(seen(store)) == (0, 5)
    assert figures(seen(store, Measure.PERSON_DAYS)) == (0, 15)
    assert figures(seen(store, Measure.KM)) == (0, 900)


def test_a_late_return_and_what_was_driven_count_as_they_were(store: Store) -> None:
    close(store, TRIP, "2024-03-04", 1200)
    assert figures(seen(store)) == (0, 7)
    assert figures(seen(store, Measure.KM)) == (0, 1200)


@pytest.mark.parametrize("what", [What.WRITTEN_OFF, What.COUNTED, What.INSPECTED])
def test_only_what_was_taken_to_be_used_is_a_use(store: Store, what: What) -> None:
    move(store, what, -2, "2024-02-29")
    close(store, TRIP, "2024-03-02")
    assert figures(seen(store)) == (0, 5)


def test_a_use_that_was_undone_is_none(store: Store) -> None:
    number = move(store, What.ISSUED, -2, "2024-02-29")
    close(store, TRIP, "2024-03-02")
    assert figures(seen(store)) == (1, 5)
    with store.writing() as conn:
        ledger.undo(conn, number, Stamp(date(2024, 3, 5), NOW), "")
    assert figures(seen(store)) == (0, 5)


def test_a_use_at_home_is_told_and_left_out(store: Store) -> None:
    move(store, What.ISSUED, -3, "2024-05-05")
    close(store, TRIP, "2024-03-02")
    history = seen(store)
    assert (figures(history), history.at_home) == ((0, 5), 3)


def test_of_two_trips_that_overlap_the_mark_decides(store: Store) -> None:
    """Given a use on 2 MAR, when both trips were away, then it is of the trip it was closed for."""
    move(store, What.ISSUED, -2, "2024-03-02", trip=LATER)
    close(store, TRIP, "2024-03-02")
    close(store, LATER, "2024-03-10")
    shares = {it.travelled.trip.name: it.units for it in seen(store).shares}
    assert shares == {"Leap loop": 0, "Side trip": 2}


def test_what_was_wanted_in_vain_is_a_use_until_it_is_taken_back(store: Store) -> None:
    close(store, TRIP, "2024-03-02")
    with store.writing() as conn:
        line = Wanted(date(2024, 2, 29), 1, TRIP)
        number = usage.note_wanted(conn, TUBE, line, NOW)
    assert figures(seen(store)) == (1, 5)
    with store.writing() as conn:
        usage.take_back(conn, "wanted", number, NOW)
    assert figures(seen(store)) == (0, 5)
    for again in (number, number + 1, 99):
        with pytest.raises(BadInput), store.writing() as conn:
            usage.take_back(conn, "wanted", again, NOW)


def test_what_is_told_from_memory_adds_to_the_log(store: Store) -> None:
    close(store, TRIP, "2024-03-02")
    with store.writing() as conn:
        usage.note_told(conn, TUBE, Told(0, 4, 2, 60, year=2022), NOW)
        usage.note_told(conn, TUBE, Told(0, 0, 0, 35, year=2023), NOW)
    history = seen(store)
    assert figures(history) == (2, 100)
    assert history.log is not None
    assert history.log.sizes == ((2, 2),)
    assert figures(seen(store, Measure.KM)) == (0, 900)
    assert [it for it in seen(store, Measure.KM).doubts if "km are not known" in it]


def test_a_trip_is_closed_once(store: Store) -> None:
    close(store, TRIP, "2024-03-02")
    with pytest.raises(BadInput, match="closed already"):
        close(store, TRIP, "2024-03-02")


def test_a_closing_taken_back_leaves_the_trip_open(store: Store) -> None:
    close(store, TRIP, "2024-03-02")
    with store.writing() as conn:
        assert closings.reopen_trip(conn, TRIP, Stamp(date(2024, 3, 3), NOW)) == []
    assert usage.closed_on(store.conn, TRIP) is None
    close(store, TRIP, "2024-03-05")
    assert usage.closed_on(store.conn, TRIP) is not None


def test_a_thing_never_stocked_nor_wanted_has_no_log(store: Store) -> None:
    with store.writing() as conn:
        other = bulk.add_text(conn, "item", {"item": "rope", "kind": "tool"})
    close(store, TRIP, "2024-03-02")
    assert usage.history_of(store.conn, [other], "each", Measure.DAYS, date(2024, 6, 1)).log is None
