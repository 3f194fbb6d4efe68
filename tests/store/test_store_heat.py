"""Heat in a store: climates, readings, and the limits that follow when any of it changes.

Boxes, climates and stock are invented; the kinds are shipped ones.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest

from stockcheck.core import movements, shelf_life
from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.inspection import inspect
from stockcheck.core.intake import DateRules, Shelves, read_lines
from stockcheck.core.residence import Spot
from stockcheck.core.temperature_log import Reading
from stockcheck.store import bulk, catalogue, heat, ledger, lots, plans, reads
from stockcheck.store.files import Store, opened
from stockcheck.store.inspections import record
from stockcheck.store.ledger import Stamp
from stockcheck.store.limits import lots_of_box, refresh_limits
from stockcheck.store.limits import refreshed as refreshed_lots
from stockcheck.store.migrate import create
from stockcheck.store.receiving import receive
from stockcheck.store.shifts import heat_warnings, on_trip, shifts

TODAY = date(2027, 3, 1)
STAMP = Stamp(TODAY, "2027-03-01T08:00:00+00:00")
SEALANT, TABLETS = 1, 2  # lots
TRUCK, BED, HOME = 1, 2, 3  # boxes
HOT = {"name": "hot bed", "fixed_c": 35}
UNHEATED = "2028-02-29"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A sealant and tablets in the bed of a truck, received today, good through FEB 2028."""
    path = tmp_path_factory.mktemp("made") / "kit.db"
    create(path, "Kit")
    with opened(path) as store, store.writing() as conn:
        for box in ({"box": "Truck"}, {"box": "Bed", "inside": "Truck"}, {"box": "Home"}):
            bulk.add_text(conn, "box", box)
        bulk.add_text(conn, "item", {"item": "sealant", "kind": "rtv-silicone"})
        bulk.add_text(conn, "item", {"item": "tablets", "kind": "tablets-blister"})
        line = {"box": "Bed", "quantity": "4", "expiry": "EXP 02/2028", "received": str(TODAY)}
        numbered = [(n, line | {"item": name}) for n, name in enumerate(("sealant", "tablets"), 2)]
        shelves = Shelves.of(reads.boxes(conn), reads.items(conn), [])
        arrivals, _ = read_lines("two.csv", numbered, shelves, DateRules(TODAY))
        receive(conn, arrivals, STAMP)
        heat.add_climate(conn, HOT, "hot.toml")
    return path


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    with opened(copyfile(made, tmp_path / "kit.db")) as store:
        yield store


def kept(store: Store, lot: int = SEALANT) -> list[tuple[str, str]]:
    """Last usable day and what governs, of a lot's holdings, as they stand in the file."""
    rows = store.conn.execute(
        "SELECT last_usable_day, governed_by FROM holding WHERE lot_id = ? AND quantity > 0"
        " ORDER BY holding_id",
        (lot,),
    ).fetchall()
    fresh = refreshed(store)
    assert fresh == 0, f"{fresh} limits were stale"
    return [(row[0], row[1]) for row in rows]


def refreshed(store: Store) -> int:
    with store.trying() as conn:
        return refresh_limits(conn)


def change(store: Store, what: str, number: int, **values: Any) -> None:
    with store.writing() as conn:
        catalogue.change(conn, what, number, values)


def post(store: Store, *moves: movements.Movement, on: date = TODAY) -> list[int]:
    with store.writing() as conn:
        return ledger.post(conn, moves, Stamp(on, "2027-03-01T09:00:00+00:00"))


def log(store: Store, box: int, first: datetime, celsius: list[float]) -> tuple[int, int]:
    readings = [Reading(first + n * timedelta(hours=1), c) for n, c in enumerate(celsius)]
    with store.writing() as conn:
        done = heat.add_readings(conn, box, readings)
        refresh_limits(conn, lots_of_box(conn, box))
    return done


def test_without_any_climate_or_reading_there_is_no_heat(store: Store) -> None:
    assert kept(store) == [(UNHEATED, "printed")]
    assert heat.heat_of(store.conn).exposures == {}


def test_a_box_that_gets_a_climate_moves_the_limits_of_what_is_in_it(store: Store) -> None:
    """365 days at twice the rate last 182: through 30 AUG 2027."""
    change(store, "box", BED, climate="hot bed")
    assert kept(store) == [("2027-08-30", "heat")]
    assert kept(store, TABLETS) == [(UNHEATED, "printed")]  # a medicine is only warned of
    change(store, "box", BED, climate="")
    assert kept(store) == [(UNHEATED, "printed")]


def test_a_box_has_the_climate_of_the_nearest_box_around_it_that_names_one(store: Store) -> None:
    change(store, "box", TRUCK, climate="hot bed")
    assert kept(store) == [("2027-08-30", "heat")]
    change(store, "box", BED, climate="under the blanket")  # words that name none are a note
    assert kept(store) == [("2027-08-30", "heat")]
    change(store, "box", BED, climate="House Shelf")
    assert kept(store) == [(UNHEATED, "printed")]


def test_a_box_put_into_another_one_takes_its_climate(store: Store) -> None:
    change(store, "box", HOME, climate="house shelf")
    change(store, "box", TRUCK, climate="hot bed")
    change(store, "box", BED, parent_id=HOME)
    assert kept(store) == [(UNHEATED, "printed")]


def test_new_figures_of_a_climate_move_the_limits(store: Store) -> None:
    change(store, "box", BED, climate="hot bed")
    with store.writing() as conn:
        heat.add_climate(conn, HOT | {"fixed_c": 45}, "hot.toml")
        assert refresh_limits(conn) == 1
    assert kept(store) == [("2027-05-31", "heat")]


def test_what_a_box_did_to_stock_goes_along_with_it(store: Store) -> None:
    """92 days at 35 °C use up 184 of 365: 181 are left at home, and back again they run on."""
    change(store, "box", BED, climate="hot bed")
    change(store, "box", HOME, climate="house shelf")
    tube = reads.holdings(store.conn, lot_ids=[SEALANT])[0]
    june = date(2027, 6, 2)
    post(store, movements.move(tube, 4, HOME), on=june)
    assert kept(store) == [("2027-11-29", "heat")]
    at_home = reads.holdings(store.conn, lot_ids=[SEALANT])[0]
    post(store, movements.move(at_home, 1, BED), on=june + timedelta(days=30))
    assert dict(by_box(store)) == {HOME: "2027-11-29", BED: "2027-09-14"}
    with store.writing() as conn:
        ledger.undo(conn, None, STAMP, "")
        ledger.undo(conn, None, STAMP, "")
    assert kept(store) == [("2027-08-30", "heat")]


def by_box(store: Store) -> list[tuple[int, str]]:
    return [(each.box.id, str(each.last_usable_day))
            for each in reads.holdings(store.conn, lot_ids=[SEALANT])]  # fmt: skip


def test_opening_keeps_what_heat_did_before(store: Store) -> None:
    change(store, "box", BED, climate="hot bed")
    tube = reads.holdings(store.conn, lot_ids=[SEALANT])[0]
    post(store, movements.open_pack(tube, 1, date(2027, 8, 20)), on=date(2027, 8, 20))
    assert kept(store) == [("2027-08-30", "heat"), ("2027-08-30", "heat")]


def test_what_was_bought_before_it_was_written_down_was_in_its_box_since(store: Store) -> None:
    change(store, "box", BED, climate="hot bed")
    with store.writing() as conn:
        lots.change_lot(conn, SEALANT, {"received_on": "2026-09-01"}, STAMP, "receipt")
    assert kept(store) == [("2027-06-01", "heat")]  # 546 days from 1 SEP last 273


def test_a_failed_look_ends_the_lot_whatever_heat_says(store: Store) -> None:
    change(store, "box", BED, climate="hot bed")
    tube = reads.holdings(store.conn, lot_ids=[SEALANT])
    with store.writing() as conn:
        record(conn, SEALANT, tube, inspect(tube[0].lot, None, on=TODAY, passed=False), STAMP)
    assert kept(store) == [("2027-02-28", "inspected")]


NOON = datetime(2027, 3, 2)


def test_readings_count_where_they_are_and_the_climate_where_not(store: Store) -> None:
    """Ten days at 55 °C use up eighty, of which the climate's twenty go."""
    change(store, "box", BED, climate="hot bed")
    assert log(store, BED, NOON, [55.0] * 241) == (241, 0)
    assert kept(store) == [("2027-07-31", "heat")]
    assert log(store, BED, NOON, [55.0] * 241) == (0, 241)
    with store.writing() as conn:
        assert heat.drop_readings(conn, BED, date(2027, 3, 5), None) == 169
        assert heat.drop_readings(conn, BED, None, date(2027, 3, 4)) == 72
        refresh_limits(conn, lots_of_box(conn, BED))
    assert kept(store) == [("2027-08-30", "heat")]


def test_readings_too_hot_end_a_medicine_and_a_climate_only_warns_of_it(store: Store) -> None:
    held = reads.holdings(store.conn)
    assert heat_warnings(store.conn, held, None) == 0
    change(store, "box", BED, climate="hot bed")
    assert heat_warnings(store.conn, held, None) == 1  # the sealant has a limit instead
    assert kept(store, TABLETS) == [(UNHEATED, "printed")]
    log(store, BED, NOON + timedelta(days=2), [41.0])
    assert kept(store, TABLETS) == [("2027-03-03", "heat")]
    assert heat_warnings(store.conn, reads.holdings(store.conn), None) == 0
    with store.writing() as conn:
        heat.drop_readings(conn, BED, None, None)
        assert [each.lot.id for each in refreshed_lots(conn)] == [TABLETS]
    assert kept(store, TABLETS) == [(UNHEATED, "printed")]


def test_a_baked_sealant_ends_on_the_day_before_and_opening_does_not_help(store: Store) -> None:
    log(store, BED, NOON, [61.0])
    assert kept(store) == [("2027-03-01", "heat")]
    tube = reads.holdings(store.conn, lot_ids=[SEALANT])[0]
    post(store, movements.open_pack(tube, 1, date(2027, 3, 9)), on=date(2027, 3, 9))
    assert kept(store) == [("2027-03-01", "heat"), ("2027-03-01", "heat")]


def test_readings_are_of_one_box_and_not_of_those_inside_it(store: Store) -> None:
    log(store, TRUCK, NOON, [55.0] * 241)
    assert kept(store) == [(UNHEATED, "printed")]


def test_of_two_readings_at_one_time_the_warmer_is_kept(store: Store) -> None:
    assert log(store, BED, NOON, [20.0, 21.5]) == (2, 0)
    assert log(store, BED, NOON, [25.26, 19.0]) == (0, 2)
    found = heat.readings(store.conn, BED)
    assert found is not None
    assert [each.celsius for each in found.readings] == [25.26, 21.5]
    assert found.readings[0].at == NOON
    assert heat.readings(store.conn, HOME) is None


def test_an_own_climate_hides_a_shipped_one_and_a_mistyped_one_is_answered(store: Store) -> None:
    with store.writing() as conn:
        heat.add_climate(conn, {"name": "House  Shelf", "fixed_c": 30}, "mine.toml")
    assert heat.find_climate(store.conn, "house shelf").months[0].low_c == 30
    with pytest.raises(UnknownName, match="did you mean 'hot bed'"):
        heat.find_climate(store.conn, "hot bad")
    with (
        pytest.raises(BadInput, match=r"mine\.toml, low_c: it is missing"),
        store.writing() as conn,
    ):
        heat.add_climate(conn, {"name": "x"}, "mine.toml")


def test_steps_leave_out_what_was_undone_and_tell_counts_apart(store: Store) -> None:
    tube = reads.holdings(store.conn, lot_ids=[SEALANT])[0]
    post(store, movements.move(tube, 1, HOME))
    with store.writing() as conn:
        ledger.undo(conn, None, STAMP, "")
    post(store, movements.correct(tube, 9, "counted"))
    bed = Spot(BED, None, "stock")
    found = heat.steps_of(store.conn, [SEALANT])[SEALANT]
    assert [(step.on, step.lines, step.recounted) for step in found] == [
        (TODAY, ((bed, 4),), False),
        (TODAY, ((bed, 5),), True),
    ]


def test_the_trip_takes_its_climate_along_and_changes_nothing_in_the_store(store: Store) -> None:
    """92 days on the trip use up 184; the rest runs at the reference."""
    trip = {"trip": "Count", "departs": "2027-03-02", "returns": "2027-06-01"}
    with store.writing() as conn:
        number = bulk.add_text(conn, "trip", trip | {"climate": "hot bed"})
    going = plans.trip(store.conn, number)
    held = reads.holdings(store.conn)
    found = on_trip(store.conn, held, going)
    assert [(str(each.last_usable_day), each.governed_by) for each in found] == [
        ("2027-11-29", "heat"),
        (UNHEATED, "printed"),
    ]
    assert kept(store) == [(UNHEATED, "printed")]
    assert heat_warnings(store.conn, held, going) == 1
    log(store, BED, NOON, [22.0] * 241)  # a logger in the box knows better for ten days
    assert str(on_trip(store.conn, held, going)[0].last_usable_day) == "2027-12-09"


def test_a_trip_without_a_climate_leaves_all_as_it_is(store: Store) -> None:
    with store.writing() as conn:
        number = bulk.add_text(
            conn, "trip", {"trip": "Count", "departs": "2027-03-02", "returns": "2027-06-01"}
        )
    held = reads.holdings(store.conn)
    assert on_trip(store.conn, held, plans.trip(store.conn, number)) == held


def test_what_another_climate_would_do_is_told_for_every_dated_holding(store: Store) -> None:
    found = shifts(store.conn, [BED], "hot bed", TODAY)
    assert [(each.holding.lot.id, str(each.then), each.days) for each in found] == [
        (SEALANT, "2027-08-30", -183),
        (TABLETS, UNHEATED, 0),
    ]
    assert "ask a pharmacist" in found[1].why
    assert shifts(store.conn, [HOME], "hot bed", TODAY) == []


def test_the_heat_of_some_boxes_alone_is_read_for_them(store: Store) -> None:
    change(store, "box", TRUCK, climate="hot bed")
    assert set(heat.heat_of(store.conn).exposures) == {TRUCK, BED}
    assert set(heat.heat_of(store.conn, [BED, HOME]).exposures) == {BED}


def test_heat_never_makes_a_limit_later_than_it_is_without(store: Store) -> None:
    change(store, "box", TRUCK, climate="hot bed")
    for each in reads.holdings(store.conn):
        limit = shelf_life.governing(shelf_life.limits(each.lot, each.opened_on))
        assert limit is not None
        assert each.last_usable_day is not None
        assert each.last_usable_day <= limit.last_usable_day
