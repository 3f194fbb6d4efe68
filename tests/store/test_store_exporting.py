"""A store as plain files, and a store of those again: equal in every fact, view and search."""

from __future__ import annotations

import csv
import json
import shutil
import sqlite3
import stat
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from doings import many
from full_store import ROWS, full_store, search, views
from stockcheck.core.errors import BadInput, StoreTrouble
from stockcheck.store.exporting import MANIFEST, export
from stockcheck.store.files import SCHEMA_VERSION, opened
from stockcheck.store.importing import import_folder
from stockcheck.store.tables import tables
from sums import digests

FORMS = ("csv", "jsonl")


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return full_store(tmp_path_factory.mktemp("full") / "full.db")


@pytest.fixture
def exported(full: Path, tmp_path: Path) -> Path:
    with opened(full) as store:
        export(store, tmp_path / "out", "csv")
    return tmp_path / "out"


def there_and_back(path: Path, folder: Path, form: str) -> Path:
    """Export a store and import it again."""
    with opened(path) as store:
        export(store, folder / form, form)
    import_folder(folder / form, folder / f"{form}.db")
    return folder / f"{form}.db"


def assert_equal(one: Path, other: Path) -> None:
    """Equal in every fact, in every view, and in what is found."""
    with opened(one) as a, opened(other) as b:
        assert digests(a.conn) == digests(b.conn)
    assert views(one) == views(other)
    assert search(one) == search(other)


def test_every_table_has_a_row_to_be_tried_with(full: Path) -> None:
    """A new table stands in full_store.ROWS, and so goes through everything here."""
    with opened(full) as store:
        names = {table.name for table in tables(store.conn) if not table.derived}
        assert names == set(ROWS)
        empty = [name for name, (count, _) in digests(store.conn).items() if count == 0]
    assert empty == []


@pytest.mark.parametrize("form", FORMS)
def test_a_store_with_a_row_in_every_table_comes_back_equal(
    full: Path, tmp_path: Path, form: str
) -> None:
    assert_equal(full, there_and_back(full, tmp_path, form))


@pytest.mark.parametrize("form", FORMS)
def test_the_demo_comes_back_equal(made_stores: Path, tmp_path: Path, form: str) -> None:
    demo = made_stores / "demo" / "stock.db"
    assert_equal(demo, there_and_back(demo, tmp_path, form))


@pytest.mark.parametrize("seed", [7, 8])
def test_a_store_that_was_worked_on_at_random_comes_back_equal(
    made_stores: Path, tmp_path: Path, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STOCKCHECK_TODAY", "2026-11-25")
    shutil.copyfile(made_stores / "demo" / "stock.db", tmp_path / "stock.db")
    many(tmp_path / "stock.db", seed, 60)
    assert_equal(tmp_path / "stock.db", there_and_back(tmp_path / "stock.db", tmp_path, "csv"))


ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=30) | st.sampled_from(
    ["'", "''=", "=1", "+", "-", "@", "\t", "\r", "\n", "\r\n", '"', ",", "\0", "NULL", "'NULL"]
)


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(texts=st.lists(ANY_TEXT, min_size=6, max_size=6), form=st.sampled_from(FORMS))
def test_any_text_in_any_field_comes_back(
    full: Path, tmp_path_factory: pytest.TempPathFactory, texts: list[str], form: str
) -> None:
    """Where NULL may stand (became) and where it may not; formulas, quotes, controls, line ends."""
    folder = tmp_path_factory.mktemp("texts")
    shutil.copyfile(full, folder / "kit.db")
    conn = sqlite3.connect(folder / "kit.db")
    conn.execute("UPDATE box SET note = ?, climate = '' WHERE box_id = 1", texts[:1])
    conn.execute("UPDATE lot SET batch = ?, note = ?", texts[1:3])
    conn.execute("UPDATE setting SET value = ? WHERE key = 'an odd one'", texts[3:4])
    conn.execute(
        "INSERT INTO lot_change (lot_id, field, was, became, on_day, recorded_at, after_movement)"
        " VALUES (1, 'note', ?, ?, '2026-11-25', '', 1)",
        texts[4:],
    )
    conn.commit()
    conn.close()
    assert_equal(folder / "kit.db", there_and_back(folder / "kit.db", folder, form))


def test_a_spreadsheet_finds_no_formula_in_any_text(exported: Path) -> None:
    for path in exported.glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as file:
            for row in csv.reader(file):
                risky = [cell for cell in row if cell[:1] in {"=", "+", "@", "\t", "\r"}]
                minus = [cell for cell in row if cell[:1] == "-" and not cell[1:].isdigit()]
                assert risky + minus == [], path.name


def test_the_files_are_their_owner_s_alone(exported: Path) -> None:
    modes = {stat.S_IMODE(path.stat().st_mode) for path in exported.iterdir()}
    assert (stat.S_IMODE(exported.stat().st_mode), modes) == (0o700, {0o600})


def test_the_manifest_tells_schema_store_and_rows(exported: Path) -> None:
    told = json.loads((exported / MANIFEST).read_text("utf-8"))
    assert (told["schema"], told["store"]) == (SCHEMA_VERSION, "Кузов =1+1")
    assert told["tables"]["movement_line"]["rows"] == 4
    assert told["tables"]["holding"]["derived"] is True


def spoil(exported: Path, name: str, old: str, new: str) -> None:
    path = exported / name
    with path.open(encoding="utf-8", newline="") as file:
        text = file.read()
    assert old in text, text
    with path.open("w", encoding="utf-8", newline="") as file:
        file.write(text.replace(old, new, 1))


# A damaged file, what is put for what, and what is said of it.
DAMAGES = {
    "a figure that is none": ("movement_line.csv", ",9\r\n", ",nine\r\n",
                              "movement_line.csv, line 2, quantity 'nine': is no whole number"),
    "a day that is none": ("movement.csv", "2026-11-25,", "2026-02-30,",
                           "movement.csv, line 2, on_day"),
    "a cell too few": ("supplier.csv", "Coast,coast", "Coast", "supplier.csv, line 2, line"),
    "a heading of another": ("supplier.csv", "name_key", "key", "supplier.csv, line 1, heading"),
    "a reference to nothing": ("print_label.csv", "1,1,1,1,lot", "1,8,1,1,lot",
                               "print_label.csv, line 2, print_job_id '8': there is no such"),
    "what is missing where it must be": ("movement.csv", "received", "",
                                         "movement.csv, line 2, what"),
    "on hand against the ledger": ("holding.csv", "stock,8,", "stock,7,",
                                   "holding.csv, line 2, quantity '7': the movements add up to 8"),
    "more taken out than came in": ("movement_line.csv", ",-1\r\n", ",-10\r\n",
                                    "movement_line.csv, line 3"),
    "a quote that does not end": ("supplier.csv", "Coast", '"Coast', "supplier.csv, line"),
    "another text": ("supplier.csv", "Coast", "Shore", "supplier.csv was changed after"),
    "a row twice": ("recall_lift.csv", "other plant", "other", "recall_lift.csv was changed"),
}  # fmt: skip


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_file_is_refused_with_file_line_and_field(
    exported: Path, tmp_path: Path, damage: str
) -> None:
    name, old, new, words = DAMAGES[damage]
    spoil(exported, name, old, new)
    with pytest.raises(BadInput) as refused:
        import_folder(exported, tmp_path / "new.db")
    assert words in str(refused.value)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out"], "nothing is left behind"


def test_a_line_that_is_gone_is_missed(exported: Path, tmp_path: Path) -> None:
    path = exported / "temperature.csv"
    path.write_text("".join(path.read_text("utf-8").splitlines(keepends=True)[:-1]), "utf-8")
    with pytest.raises(BadInput, match=r"temperature\.csv has 2 rows where manifest\.json tells 3"):
        import_folder(exported, tmp_path / "new.db")


def test_edited_takes_a_file_that_a_person_changed(exported: Path, tmp_path: Path) -> None:
    spoil(exported, "supplier.csv", "Coast", "Shore")
    import_folder(exported, tmp_path / "new.db", edited=True)
    assert views(tmp_path / "new.db")["suppliers"][0][0] == "Shore"


@pytest.mark.parametrize("gone", ["movement.csv", MANIFEST])
def test_a_folder_that_is_not_whole_is_refused(exported: Path, tmp_path: Path, gone: str) -> None:
    (exported / gone).unlink()
    with pytest.raises(BadInput, match=gone):
        import_folder(exported, tmp_path / "new.db")


def test_an_export_of_a_newer_version_is_refused_naming_both(
    exported: Path, tmp_path: Path
) -> None:
    spoil(exported, MANIFEST, f'"schema": {SCHEMA_VERSION}', '"schema": 99')
    with pytest.raises(StoreTrouble, match=rf"schema 99.*knows schema {SCHEMA_VERSION}"):
        import_folder(exported, tmp_path / "new.db")


@pytest.mark.parametrize("line", ["[1]", "nothing", '{"a": 1}', '{"supplier_id": true}'])
def test_a_damaged_line_of_json_is_told(full: Path, tmp_path: Path, line: str) -> None:
    with opened(full) as store:
        export(store, tmp_path / "out", "jsonl")
    (tmp_path / "out" / "supplier.jsonl").write_text(line + "\n", "utf-8")
    with pytest.raises(BadInput, match=r"supplier\.jsonl, line 1"):
        import_folder(tmp_path / "out", tmp_path / "new.db")


def test_nothing_is_written_over(full: Path, exported: Path, tmp_path: Path) -> None:
    with opened(full) as store, pytest.raises(BadInput, match="is not empty"):
        export(store, exported, "csv")
    (tmp_path / "new.db").write_text("mine")
    with pytest.raises(StoreTrouble, match="is there already"):
        import_folder(exported, tmp_path / "new.db")
    assert (tmp_path / "new.db").read_text() == "mine"


def test_a_table_of_another_program_is_left_out_and_named(full: Path, tmp_path: Path) -> None:
    shutil.copyfile(full, tmp_path / "kit.db")
    conn = sqlite3.connect(tmp_path / "kit.db")
    conn.execute("CREATE TABLE bird (name TEXT)")
    conn.close()
    with opened(tmp_path / "kit.db") as store:
        assert export(store, tmp_path / "out", "csv").left_out == ("bird",)
    import_folder(tmp_path / "out", tmp_path / "new.db")
