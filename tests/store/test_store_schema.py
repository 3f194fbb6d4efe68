"""The schema: which triggers and views there are, and a ledger that no other tool walks round."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest
from sqlite_utils import Database

from stockcheck.core.movements import Line, Movement, What
from stockcheck.store import bulk, ledger, lots
from stockcheck.store.files import SCHEMA_VERSION, opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import create, statements

STAMP = Stamp(date(2026, 11, 25), "2026-11-25T08:00:00+00:00")

# Of each schema version, what its migration adds.
TRIGGERS: dict[int, set[str]] = {
    1: {
        "movement_keep", "movement_stay", "movement_new",
        "movement_line_keep", "movement_line_stay", "movement_line_new", "movement_line_within",
        "movement_line_nothing",
        "movement_line_counts",
        "lot_change_keep", "lot_change_stay", "lot_change_new",
        "lot_new", "lot_keep", "lot_stay",
        "holding_keep", "holding_agrees", "holding_new", "holding_stay",
        "box_circle",
        "search_kind_new", "search_kind_changed", "search_box_new", "search_box_changed",
        "search_item_new", "search_item_changed", "search_lot_new", "search_lot_changed",
        "search_supplier_new", "search_supplier_changed", "search_trip_new",
        "search_trip_changed",
    },
    2: {
        "inspection_keep", "inspection_stay", "inspection_new",
        "decision_keep", "decision_stay", "decision_new",
    },
    3: {
        "recall_keep", "recall_stay", "recall_new",
        "recall_lift_keep", "recall_lift_stay", "recall_lift_new",
    },
    4: {
        "stocktake_keep", "stocktake_stay", "stocktake_new",
        "stocktake_box_keep", "stocktake_box_stay", "stocktake_box_new",
        "stocktake_line_keep", "stocktake_line_stay", "stocktake_line_new",
        "stocktake_sheet_keep", "stocktake_sheet_stay", "stocktake_sheet_new",
        "stocktake_end_keep", "stocktake_end_stay", "stocktake_end_new",
        "stocktake_result_keep", "stocktake_result_stay", "stocktake_result_new",
    },
    5: {
        "print_job_keep", "print_job_stay", "print_job_new",
        "print_label_keep", "print_label_stay", "print_label_new",
    },
    6: {
        "trip_movement_keep", "trip_movement_stay", "trip_movement_new",
        "wanted_keep", "wanted_stay", "wanted_new",
        "told_use_keep", "told_use_stay", "told_use_new",
        "trip_close_keep", "trip_close_stay", "trip_close_new",
        "purchase_keep", "purchase_stay", "purchase_new",
        "purchase_line_keep", "purchase_line_stay", "purchase_line_new",
        "purchase_receipt_keep", "purchase_receipt_stay", "purchase_receipt_new",
        "purchase_end_keep", "purchase_end_stay", "purchase_end_new",
    },
    7: {
        "audit_round_keep", "audit_round_stay", "audit_round_new",
        "audit_round_line_keep", "audit_round_line_stay", "audit_round_line_new",
        "audit_round_found_keep", "audit_round_found_stay", "audit_round_found_new",
    },
}  # fmt: skip
VIEWS: dict[int, set[str]] = {
    1: {
        "boxes", "kinds", "items", "lots", "corrections", "gtins", "on_hand", "ledger",
        "par_levels", "trips", "suppliers", "offers",
    },
    2: {"inspections", "decisions"},
    3: {"recalls"},
    4: {"stocktakes", "stocktake_variances"},
    5: {"prints", "printers"},
    6: {"trips_closed", "wanted_in_vain", "told_uses", "purchases"},
    7: {"kit_matches", "audits", "audit_lines"},
}  # fmt: skip


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store with 10 tablets in Water, 4 of them used, and a corrected lot."""
    made = tmp_path_factory.mktemp("made") / "kit.db"
    create(made, "Kit")
    with opened(made) as store, store.writing() as conn:
        bulk.add_text(conn, "box", {"box": "Truck"})
        bulk.add_text(conn, "box", {"box": "Water", "inside": "Truck", "climate": "cab"})
        tablet = {"item": "water tablet", "kind": "chlorine-dioxide-tablets", "unit": "tablet"}
        bulk.add_text(conn, "item", tablet | {"gtin": "9520123000103 x30"})
        bulk.add_text(conn, "supplier", {"supplier": "Corner pharmacy", "lead_days": "2"})
        offer = {"supplier": "Corner pharmacy", "item": "water tablet", "pack": "30"}
        bulk.add_text(conn, "offer", offer | {"price": "12.40"})
        bulk.add_text(conn, "par", {"box": "Water", "item": "water tablet", "quantity": "20"})
        days = {"departs": "2027-02-08", "returns": "2027-04-25", "margin_days": "7"}
        bulk.add_text(conn, "trip", {"trip": "Spring count", **days})
        conn.execute(
            "INSERT INTO lot (lot_id, code, item_id, batch) VALUES (1, '1000000013', 1, 'W113')"
        )
        ledger.post(conn, [Movement(What.RECEIVED, (Line(1, 2, 10),))], STAMP)
        ledger.post(conn, [Movement(What.ISSUED, (Line(1, 2, -4),), "camp")], STAMP)
        lots.change_lot(conn, 1, {"batch": "W114"}, STAMP, "misread")
    return made


@pytest.fixture
def path(made: Path, tmp_path: Path) -> Path:
    """A copy of it for each test; copying the file copies the stock."""
    return copyfile(made, tmp_path / "kit.db")


@pytest.fixture
def plain(path: Path) -> Iterator[sqlite3.Connection]:
    """What another tool opens: a connection with nothing set."""
    conn = sqlite3.connect(path)
    yield conn
    conn.close()


def up_to_now(by_version: dict[int, set[str]]) -> set[str]:
    return set().union(*(by_version[number] for number in range(1, SCHEMA_VERSION + 1)))


def everything(conn: sqlite3.Connection) -> dict[str, list[tuple[object, ...]]]:
    """All rows of all tables that hold facts."""
    tables = ("movement", "movement_line", "holding", "lot", "lot_change", "box")
    return {table: conn.execute(f"SELECT * FROM {table}").fetchall() for table in tables}


def test_the_triggers_are_these(plain: sqlite3.Connection) -> None:
    assert {trigger.name for trigger in Database(plain).triggers} == up_to_now(TRIGGERS)


def test_the_views_are_these(plain: sqlite3.Connection) -> None:
    assert set(Database(plain).view_names()) == up_to_now(VIEWS)


def test_every_table_is_strict(plain: sqlite3.Connection) -> None:
    rows = plain.execute("SELECT name, strict FROM pragma_table_list WHERE schema = 'main'")
    loose = {name for name, strict in rows.fetchall() if not strict} - up_to_now(VIEWS)
    assert {name for name in loose if not name.startswith("search")} == {"sqlite_schema"}


def test_a_new_store_is_whole(plain: sqlite3.Connection) -> None:
    assert plain.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    assert plain.execute("PRAGMA foreign_key_check").fetchall() == []


def test_no_trigger_rolls_back_by_itself(plain: sqlite3.Connection) -> None:
    """RAISE(ROLLBACK) would end the transaction under the feet of the command."""
    texts = [row[0] for row in plain.execute("SELECT sql FROM sqlite_master WHERE type='trigger'")]
    assert [text for text in texts if "RAISE(ROLLBACK" in text or "RAISE(FAIL" in text] == []


CHANGES = {
    "movement": {"reason": "'no'", "on_day": "'2020-01-01'", "together": "7"},
    "movement_line": {"quantity": "1", "box_id": "1", "line_id": "99"},
    "lot_change": {"was": "'W1'", "lot_id": "1"},
    "holding": {"quantity": "5", "box_id": "1", "holding_id": "9", "opened_on": "'2026-01-01'"},
    "lot": {"lot_id": "5", "code": "'1000000021'"},
}


@pytest.mark.parametrize("clause", ["", "OR REPLACE", "OR IGNORE", "OR FAIL", "OR ROLLBACK"])
@pytest.mark.parametrize(
    ("table", "column"), [(table, column) for table in CHANGES for column in CHANGES[table]]
)
def test_no_update_from_another_tool_changes_what_was_written(
    plain: sqlite3.Connection, table: str, column: str, clause: str
) -> None:
    before = everything(plain)
    with pytest.raises(sqlite3.IntegrityError):
        plain.execute(f"UPDATE {clause} {table} SET {column} = {CHANGES[table][column]}")
    plain.rollback()
    assert everything(plain) == before


@pytest.mark.parametrize("table", ["movement", "movement_line", "lot_change", "holding", "lot"])
@pytest.mark.parametrize("where", ["", "WHERE rowid = 1"])
def test_no_delete_from_another_tool_takes_anything_away(
    plain: sqlite3.Connection, table: str, where: str
) -> None:
    before = everything(plain)
    with pytest.raises(sqlite3.IntegrityError):
        plain.execute(f"DELETE FROM {table} {where}")
    plain.rollback()
    assert everything(plain) == before


OVER = {
    "the same movement": "movement (movement_id, together, what, on_day, recorded_at)"
    " VALUES (1, 1, 'counted', '2026-11-25', '')",
    "the same line": "movement_line (line_id, movement_id, lot_id, box_id, quantity)"
    " VALUES (1, 1, 1, 2, 900)",
    "the same correction": "lot_change (lot_change_id, lot_id, field, on_day, recorded_at)"
    " VALUES (1, 1, 'batch', '2026-11-25', '')",
    "the same holding": "holding (holding_id, lot_id, box_id, state, quantity)"
    " VALUES (1, 1, 2, 'stock', 0)",
    "the same stock by another number": "holding (lot_id, box_id, state, quantity)"
    " VALUES (1, 2, 'stock', 0)",
    "stock from nowhere": "holding (lot_id, box_id, state, quantity) VALUES (1, 1, 'stock', 3)",
    "the same lot": "lot (lot_id, code, item_id) VALUES (1, '1000000021', 1)",
    "the same code": "lot (lot_id, code, item_id) VALUES (2, '1000000013', 1)",
    "more than there is": "movement_line (movement_id, lot_id, box_id, quantity)"
    " VALUES (2, 1, 2, -7)",
    "from where none is": "movement_line (movement_id, lot_id, box_id, quantity)"
    " VALUES (2, 1, 1, -1)",
}


@pytest.mark.parametrize("verb", ["INSERT", "INSERT OR REPLACE", "INSERT OR IGNORE", "REPLACE"])
@pytest.mark.parametrize("what", OVER)
def test_no_insert_from_another_tool_writes_over_anything_or_below_zero(
    plain: sqlite3.Connection, what: str, verb: str
) -> None:
    before = everything(plain)
    with pytest.raises(sqlite3.IntegrityError):
        plain.execute(f"{verb} INTO {OVER[what]}")
    plain.rollback()
    assert everything(plain) == before


@pytest.mark.parametrize("what", [each for each in OVER if each.startswith("the same")])
def test_no_upsert_from_another_tool_writes_over_anything(
    plain: sqlite3.Connection, what: str
) -> None:
    before = everything(plain)
    with pytest.raises(sqlite3.IntegrityError):
        plain.execute(f"INSERT INTO {OVER[what]} ON CONFLICT DO NOTHING")
    plain.rollback()
    assert everything(plain) == before


def test_sqlite_utils_itself_cannot_walk_round_the_ledger(path: Path) -> None:
    db = Database(path, execute_plugins=False)
    movement = dict(next(iter(db["movement"].rows))) | {"reason": "another story"}
    with pytest.raises(sqlite3.IntegrityError):
        db.table("movement").insert(movement, replace=True)
    with pytest.raises(sqlite3.IntegrityError):
        db.table("movement").upsert(movement, pk="movement_id")
    with pytest.raises(sqlite3.IntegrityError):
        db.table("holding").update(1, {"quantity": 100})
    db.close()


def test_the_same_movement_is_reversed_once(plain: sqlite3.Connection) -> None:
    reversal = (
        "INSERT OR REPLACE INTO movement (together, what, on_day, recorded_at, reverses)"
        " VALUES (3, 'reversed', '2026-11-25', '', 2)"
    )
    plain.execute(reversal)
    with pytest.raises(sqlite3.IntegrityError):
        plain.execute(reversal)


def test_a_line_of_nothing_is_refused(plain: sqlite3.Connection) -> None:
    with pytest.raises(sqlite3.IntegrityError):
        plain.execute(
            "INSERT INTO movement_line (movement_id, lot_id, box_id, quantity) VALUES (2, 1, 2, 0)"
        )


def test_a_line_from_another_tool_counts(plain: sqlite3.Connection) -> None:
    plain.execute(
        "INSERT INTO movement_line (movement_id, lot_id, box_id, quantity) VALUES (2, 1, 2, -6)"
    )
    assert plain.execute("SELECT quantity FROM holding").fetchall() == [(0,)]
    assert plain.execute("SELECT * FROM on_hand").fetchall() == []


@pytest.mark.parametrize(
    "row",
    [
        "lot (lot_id, code, item_id, received_on) VALUES (2, '1000000021', 1, '2026-02-30')",
        "lot (lot_id, code, item_id, expiry) VALUES (2, '1000000021', 1, '2027-11')",
        "lot (lot_id, code, item_id, cost_cents) VALUES (2, '1000000021', 1, 12.5)",
        "trip (name, name_key, departs, returns) VALUES ('T', 't', '2027-02-08', '2027-02-07')",
        "movement (together, what, on_day, recorded_at) VALUES (3, 'eaten', '2026-11-25', '')",
        "par (box_id, item_id, kind_id, quantity) VALUES (1, 1, 1, 5)",
        "par (box_id, quantity) VALUES (1, 5)",
    ],
)
def test_what_makes_no_sense_is_not_stored(plain: sqlite3.Connection, row: str) -> None:
    with pytest.raises(sqlite3.IntegrityError):
        plain.execute(f"INSERT INTO {row}")


# The whole of each view, as another tool sees it.
SHOWN: dict[str, list[tuple[object, ...]]] = {
    "boxes": [
        ("B1", "Truck", "Truck", "", "2000000018", "", None),
        ("B2", "Water", "Truck / Water", "cab", "2000000026", "", None),
    ],
    "lots": [("L1", "water tablet", "W114", "", None, None, None, None, None, None, "",
              "1000000013", "")],
    "gtins": [("09520123000103", "water tablet", 30, "tablet")],
    "corrections": [("L1", "water tablet", "batch", "W113", "W114", "misread", "2026-11-25",
                     "2026-11-25T08:00:00+00:00")],
    "ledger": [
        ("M1", "received", "2026-11-25", "2026-11-25T08:00:00+00:00", "water tablet", "L1",
         "Water", 10, "tablet", None, "stock", "", None),
        ("M2", "issued", "2026-11-25", "2026-11-25T08:00:00+00:00", "water tablet", "L1",
         "Water", -4, "tablet", None, "stock", "camp", None),
    ],
    "par_levels": [("Water", "water tablet", None, 20, "tablet", "essential", "fixed", "", None,
                    None, "", "")],
    "trips": [("Spring count", "2027-02-08", "2027-04-25", "2027-05-02", 1, None, 7, "", "", None)],
    "suppliers": [("Corner pharmacy", 2, "calendar", 0, None, 0, "", "", None)],
    "offers": [("Corner pharmacy", "water tablet", 30, "tablet", 1240, 2, None, None, "", None)],
}  # fmt: skip


@pytest.mark.parametrize("view", SHOWN)
def test_a_view_shows_everything_in_plain_words(plain: sqlite3.Connection, view: str) -> None:
    assert plain.execute(f"SELECT * FROM {view}").fetchall() == SHOWN[view]


def test_what_is_on_hand_reads_without_knowing_the_tables(plain: sqlite3.Connection) -> None:
    row = plain.execute(
        "SELECT box, item, lot, batch, quantity, unit, state, governed_by FROM on_hand"
    ).fetchall()
    assert row == [("Water", "water tablet", "L1", "W114", 6, "tablet", "stock", "")]


def test_the_view_of_kinds_tells_their_lives(plain: sqlite3.Connection) -> None:
    rows = plain.execute("SELECT key, date_means, origin FROM kinds").fetchall()
    assert len(rows) >= 45
    assert ("eye-drops", "safety", "shipped") in rows


@pytest.mark.parametrize("view", sorted(up_to_now(VIEWS)))
def test_views_are_for_reading_only(plain: sqlite3.Connection, view: str) -> None:
    with pytest.raises(sqlite3.OperationalError, match="view"):
        plain.execute(f"DELETE FROM {view}")


def test_statements_of_a_migration_are_told_apart() -> None:
    text = (
        "-- a ; in words\nCREATE TABLE a (b TEXT);\nCREATE TRIGGER t AFTER INSERT ON a\nBEGIN\n"
        "    DELETE FROM a;\n    DELETE FROM a;\nEND;\nSELECT 1"
    )
    assert [each.strip().splitlines()[-1] for each in statements(text)] == [
        "CREATE TABLE a (b TEXT);", "END;", "SELECT 1",
    ]  # fmt: skip
