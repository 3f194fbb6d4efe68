"""A look through the whole store: what is wrong is found, told with its place, mended or not."""

from __future__ import annotations

import sqlite3
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest

from doings import many
from full_store import full_store, search
from stockcheck.core.codes import make_code
from stockcheck.core.errors import StoreTrouble
from stockcheck.core.store_findings import (
    Finding,
    LotDates,
    Part,
    Weight,
    code_findings,
    date_findings,
    gathered,
)
from stockcheck.store.backups import dated
from stockcheck.store.checking import check, mend
from stockcheck.store.checking_derived import searched
from stockcheck.store.files import SCHEMA_VERSION, opened
from stockcheck.store.migrate import as_made
from sums import digests

ON = date(2026, 11, 25)


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return full_store(tmp_path_factory.mktemp("full") / "full.db")


@pytest.fixture
def path(full: Path, tmp_path: Path) -> Path:
    return Path(copyfile(full, tmp_path / "kit.db"))


def meddle(path: Path, *statements: str) -> None:
    """What another program does, past every guard; they are put back afterwards."""
    conn = sqlite3.connect(path, isolation_level=None)
    guards = conn.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
    for name, _ in guards:
        conn.execute(f"DROP TRIGGER {name}")
    for statement in statements:
        conn.execute(statement)
    for _, sql in guards:
        conn.execute(sql)
    conn.close()


def told(path: Path) -> list[tuple[str, str]]:
    return [(each.part.value, f"{each.place}: {each.what}") for each in check(path, ON).findings]


def test_a_sound_store_has_nothing_to_tell_and_is_not_touched(path: Path) -> None:
    before = path.read_bytes()
    assert (check(path, ON).findings, check(path, ON).deep) == ([], True)
    assert path.read_bytes() == before
    assert [each.name for each in path.parent.iterdir()] == ["kit.db"]


def test_the_demo_is_sound_and_stays_so_whatever_is_done_with_it(
    made_stores: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STOCKCHECK_TODAY", "2026-11-25")
    copyfile(made_stores / "demo" / "stock.db", tmp_path / "stock.db")
    many(tmp_path / "stock.db", 5, 80)
    assert told(tmp_path / "stock.db") == []


# What another program did; in which step it is found, a part of what is said, and is it mended?
MEDDLED: dict[str, tuple[str, str, str, bool]] = {
    "on hand": ("UPDATE holding SET quantity = 99 WHERE holding_id = 1",
                "on hand", "lot L1 in Inner: 99 stands where its movements add up to 8", True),
    "a holding gone": ("DELETE FROM holding WHERE holding_id = 2",
                       "on hand", "nothing stands where its movements add up to 1", True),
    "a limit": ("UPDATE holding SET last_usable_day = '2031-01-01' WHERE holding_id = 1",
                "limits", "01 JAN 2031 (printed) is kept where its facts give 30 NOV 2027", True),
    "an entry of the search": ("DELETE FROM search WHERE rowid = 1000000001",
                               "search", "1 of its entries are lacking", True),
    "an entry too many": ("INSERT INTO search (rowid, title, words) VALUES (7, 'x', 'y')",
                          "search", "1 left from before", True),
    "what heat is known": ("UPDATE setting SET value = 'none' WHERE key = 'heat'",
                           "settings", "'none' is kept where boxes and readings give", True),
    "the key of a name": ("UPDATE box SET name_key = 'x' WHERE box_id = 1",
                          "settings", "box Inner: it is not found by its name", True),
    "a trigger": ("CREATE TRIGGER x AFTER INSERT ON box BEGIN SELECT 1; END",
                  "schema", "trigger x: was made by another program", False),
    "a view": ("DROP VIEW on_hand", "schema", "view on_hand: is missing", True),
    "an index": ("DROP INDEX holding_once", "schema", "index holding_once: is missing", True),
    "a check digit": ("UPDATE lot SET code = '1000000012'",
                      "codes", "lot L1: its code 1000000012 has a wrong check digit", False),
    "a code of another": (f"UPDATE item SET code = '{make_code('item', 9)}' WHERE item_id = 2",
                          "codes", "belongs to number 9", False),
    "a GTIN": ("UPDATE item_gtin SET gtin = '09520123000104'",
               "codes", "09520123000104 is no GTIN", False),
    "a reference": ("UPDATE print_label SET print_job_id = 9",
                    "references", "1 of its rows name one of print_job that is not there", False),
    "a movement named": ("UPDATE stocktake_line SET since_movement = 77, until_movement = 77",
                         "records", "it names the movement M77, which is not there", False),
    "a movement without a line": ("DELETE FROM movement_line WHERE movement_id = 3",
                                  "records", "M3: it is a movement (inspected) without", False),
    "a reversal": ("UPDATE movement SET what = 'reversed', reverses = 2 WHERE movement_id = 3",
                   "records", "M3: it does not take back what M2 did", False),
    "a list": ("UPDATE own_kit_list SET retired_on = '2026-11-25'",
               "records", "it names the kit list 'own-list'", False),
    "a rule": ("UPDATE kind SET rule = '{}' WHERE key = 'own'",
               "records", "what it keeps cannot be read", False),
    "a made date": ("UPDATE lot SET made = '2O27'",
                    "records", "what it keeps cannot be read", False),
    "received to come": ("UPDATE lot SET received_on = '2027-01-01'",
                         "dates", "received on 01 JAN 2027, which is still to come", False),
    "opened before it was made": ("UPDATE lot SET made = '2026-11-26'",
                                  "dates", "opened on 25 NOV 2026, before it was made", False),
    "the clock": ("UPDATE movement SET recorded_at = '2020-01-01' WHERE movement_id = 2", "dates",
                  "the clock was set back", False),
    "records to come": ("UPDATE wanted SET on_day = '2030-01-01'",
                        "dates", "table wanted: 1 of its rows are of a day after", False),
}  # fmt: skip


@pytest.mark.parametrize("what", MEDDLED)
def test_what_another_program_did_is_found_where_it_is(path: Path, what: str) -> None:
    statement, part, words, mends = MEDDLED[what]
    meddle(path, statement)
    found = check(path, ON).findings
    hit = [each for each in found if words in f"{each.place}: {each.what}"]
    assert hit, found
    assert {each.part.value for each in hit} == {part}
    assert {each.mends for each in hit} == {mends}
    assert all(each.remedy for each in found)


def test_a_mend_sets_right_what_is_derived_after_a_backup(full: Path, path: Path) -> None:
    meddle(path, *(statement for statement, _, _, mends in MEDDLED.values() if mends))
    before = path.read_bytes()
    done = mend(path, ON)
    assert done.findings == []
    assert {each.part for each in done.mended} == {
        Part.ON_HAND, Part.LIMITS, Part.SEARCH, Part.SETTINGS, Part.SCHEMA,
    }  # fmt: skip
    assert done.backup is not None
    assert len(done.backup.path.read_bytes()) == len(before)
    assert [each.reason for each in dated(path)] == ["mend"]
    with opened(path) as one, opened(full) as other:
        assert {k: v for k, v in digests(one.conn).items() if k != "holding"} == {
            k: v for k, v in digests(other.conn).items() if k != "holding"
        }
    assert search(path) == search(full)


@pytest.mark.parametrize("what", [name for name, row in MEDDLED.items() if not row[3]])
def test_a_mend_never_changes_a_fact(path: Path, what: str) -> None:
    meddle(path, MEDDLED[what][0])
    with opened(path) as store:
        before = digests(store.conn)
    assert mend(path, ON).findings
    with opened(path) as store:
        assert digests(store.conn) == before


def test_an_index_that_lost_its_entries_is_made_anew(path: Path) -> None:
    conn = sqlite3.connect(path)
    conn.execute("PRAGMA writable_schema = ON")
    sql = conn.execute("SELECT sql FROM sqlite_master WHERE name = 'lot_by_batch'").fetchone()[0]
    conn.execute("UPDATE sqlite_master SET sql = NULL, name = 'x' WHERE 0")
    conn.execute(
        "UPDATE sqlite_master SET sql = ? WHERE name = 'lot_by_batch'",
        (sql.replace("batch <> ''", "batch = 'none'"),),
    )
    conn.commit()
    conn.close()
    conn = sqlite3.connect(path)
    conn.execute("REINDEX lot_by_batch")
    conn.execute("PRAGMA writable_schema = ON")
    conn.execute("UPDATE sqlite_master SET sql = ? WHERE name = 'lot_by_batch'", (sql,))
    conn.commit()
    conn.close()
    assert any(each.part is Part.FILE and each.mends for each in check(path, ON).findings)
    assert mend(path, ON).findings == []


def test_a_damaged_file_is_told_as_one_and_never_mended(path: Path) -> None:
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xff" * 8192 + whole[12288:])
    found = check(path, ON)
    assert (found.deep, {each.part for each in found.findings}) == (False, {Part.FILE})
    assert all("salvage" in each.remedy for each in found.findings)
    damaged = path.read_bytes()
    assert mend(path, ON).findings == found.findings
    assert path.read_bytes() == damaged


def test_another_program_s_file_is_refused(path: Path) -> None:
    conn = sqlite3.connect(path)
    conn.execute("PRAGMA application_id = 7")
    conn.close()
    with pytest.raises(StoreTrouble, match="is not a stockcheck store"):
        check(path, ON)


def test_what_the_search_should_say_is_read_off_every_trigger_that_fills_it(path: Path) -> None:
    """And is what those triggers have written, for every row there is."""
    names = {name for sort, name in as_made(SCHEMA_VERSION) if sort == "trigger"}
    filling = {name for name in names if name.startswith("search_") and name.endswith("_new")}
    assert searched().count(" AS NEW") == len(filling) >= 6
    conn = sqlite3.connect(path)
    assert conn.execute(f"{searched()} ORDER BY 1").fetchall() == search(path)
    conn.close()


def dates(**days: str) -> list[str]:
    given = {name: date.fromisoformat(day) for name, day in days.items()}
    names = ("made_from", "printed_last", "received_on", "opened_first")
    lot = LotDates(7, *(given.get(name) for name in names))
    return [each.what for each in date_findings(lot, ON)]


@pytest.mark.parametrize(
    ("days", "words"),
    [
        ({}, []),
        ({"made_from": "2026-01-01", "printed_last": "2036-01-01"}, []),
        ({"received_on": "2026-11-25", "opened_first": "2026-11-25"}, []),
        ({"printed_last": "1969-01-01"}, ["good through 01 JAN 1969, decades away"]),
        ({"printed_last": "2072-01-31"}, ["good through 31 JAN 2072, decades away"]),
        ({"made_from": "1912-02-29"}, ["made on 29 FEB 1912, decades ago"]),
        (
            {"made_from": "2025-05-01", "printed_last": "2025-04-30"},
            ["good through 30 APR 2025, b"],
        ),
    ],
)
def test_dates_out_of_reason(days: dict[str, str], words: list[str]) -> None:
    found = dates(**days)
    assert len(found) == len(words)
    assert all(said.startswith(word) for said, word in zip(found, words, strict=True))


def test_a_code_of_another_sort_is_told() -> None:
    (found,) = code_findings("lot", 1, make_code("box", 1))
    assert "is that of a box" in found.what


def test_the_same_in_very_many_places_is_told_once() -> None:
    many_ = [Finding(Part.RECORDS, f"M{n}", "x", "y", Weight.LOOK) for n in range(20)]
    (one,) = gathered(many_)
    assert one.place.endswith("M7 and 12 more")
    assert gathered(many_[:8]) == many_[:8]
