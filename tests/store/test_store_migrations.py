"""Stores of every released schema come to the present one, and nothing that could be seen changes.

``support/schemas`` holds one of each as text: its tables, triggers and views as they were, and its
rows. A file there is never edited; whoever releases a schema adds one.
"""

from __future__ import annotations

import sqlite3
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from full_store import views
from stockcheck.store.backups import dated
from stockcheck.store.checking import check
from stockcheck.store.exporting import export
from stockcheck.store.files import SCHEMA_VERSION, opened
from stockcheck.store.importing import import_folder
from stockcheck.store.migrate import as_made, schema_of, statements
from stockcheck.store.tables import rows_of, tables
from sums import digests

SCHEMAS = Path(__file__).parents[1] / "support" / "schemas"
RELEASED = sorted(SCHEMAS.glob("schema-*.sql"))


@pytest.fixture(params=RELEASED, ids=lambda path: path.stem)
def old(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    path = tmp_path / "stock.db"
    conn = sqlite3.connect(path, isolation_level=None)
    conn.execute("BEGIN")
    for statement in statements(request.param.read_text("utf-8")):
        conn.execute(statement)
    conn.execute("COMMIT")
    conn.close()
    return path


def facts(path: Path) -> dict[str, list[dict[str, Any]]]:
    conn = sqlite3.connect(path)
    try:
        return {
            table.name: [dict(zip(table.names, row, strict=True)) for row in rows_of(conn, table)]
            for table in tables(conn)
        }
    finally:
        conn.close()


def told(path: Path) -> dict[str, tuple[list[str], list[tuple[Any, ...]]]]:
    """The columns and rows of each view."""
    conn = sqlite3.connect(path)
    try:
        names = {name: conn.execute(f"SELECT * FROM {name}").description for name in views(path)}
    finally:
        conn.close()
    return {name: ([each[0] for each in names[name]], rows) for name, rows in views(path).items()}


def test_every_row_and_every_view_is_as_it_was(old: Path) -> None:
    """The catalogue's own words may be newer: kinds, and the limits that follow from them."""
    before, seen = facts(old), told(old)
    with opened(old):
        pass
    after = facts(old)
    moved = {"label_print"}  # became print_job and print_label
    for table in before.keys() - {"kind", "setting"} - moved:
        derived = {"last_usable_day", "governed_by"}
        for was, now in zip(before[table], after[table], strict=True):
            assert {k: v for k, v in now.items() if k in was and k not in derived} == {
                k: v for k, v in was.items() if k not in derived
            }, table
    assert len(after["print_label"]) == len(before["label_print"])
    by_key = {row["key"]: row["kind_id"] for row in after["kind"]}
    assert {row["key"]: row["kind_id"] for row in before["kind"]}.items() <= by_key.items()
    now = told(old)
    for view in seen.keys() - {"kinds", "on_hand"}:
        columns, rows = seen[view]
        places = [now[view][0].index(column) for column in columns]
        shown = [tuple(row[at] for at in places) for row in now[view][1]]
        assert sorted(shown, key=repr) == rows, view


def test_it_becomes_what_a_new_store_is_and_a_backup_is_kept(old: Path) -> None:
    before = old.read_bytes()
    with opened(old) as store:
        assert schema_of(store.conn).keys() == as_made(SCHEMA_VERSION).keys()
    assert check(old, date(2026, 11, 25)).findings == []
    (backup,) = dated(old)
    assert len((old.with_name("stock-backups") / backup.name).read_bytes()) == len(before)


def test_an_older_store_is_only_looked_at_by_a_check(old: Path) -> None:
    before = old.read_bytes()
    assert check(old, date(2026, 11, 25)).deep
    assert old.read_bytes() == before


def test_migrated_exported_and_imported_it_is_still_the_same(old: Path, tmp_path: Path) -> None:
    with opened(old) as store:
        export(store, tmp_path / "out", "csv")
        facts_ = digests(store.conn)
    import_folder(tmp_path / "out", tmp_path / "new.db")
    with opened(tmp_path / "new.db") as store:
        assert digests(store.conn) == facts_


def test_there_are_fixtures() -> None:
    assert [path.stem for path in RELEASED][:2] == ["schema-1", "schema-2"]
