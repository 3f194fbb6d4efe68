"""A file equals a store in every value, its storage class and its bytes, or is told apart."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from shutil import copyfile

import pytest

from full_store import full_store
from stockcheck.store.comparing import Compared, compare_with, unchanging
from stockcheck.store.files import connect
from stockcheck.store.tables import tables

FIRST = """
CREATE TABLE loose (a, n TEXT COLLATE NOCASE);
CREATE TABLE keyed (k TEXT COLLATE NOCASE PRIMARY KEY, v) WITHOUT ROWID;
CREATE TABLE pair (x INTEGER, y INTEGER, z, PRIMARY KEY (x, y));
CREATE TABLE gone (a);
CREATE INDEX loose_by_a ON loose (a);
CREATE TRIGGER guard BEFORE DELETE ON keyed BEGIN SELECT RAISE(ABORT, 'kept'); END;
INSERT INTO loose VALUES (1, 'a'), (NULL, 'b'), ('', 'c'), ('text', 'd'), (x'00ff', 'e'),
    (9007199254740993, 'f'), (0.5, 'g'), ('a' || char(0) || 'b', 'h');
INSERT INTO keyed VALUES ('key', 1), ('other', NULL);
INSERT INTO pair VALUES (1, 1, 'one'), (1, 2, 'two');
INSERT INTO gone VALUES (NULL);
"""
CHANGES = [
    ("a text of figures", "UPDATE loose SET a = '1' WHERE n = 'a'", "loose"),
    ("a number with decimals", "UPDATE loose SET a = 1.0 WHERE n = 'a'", "loose"),
    ("nothing for NULL", "UPDATE loose SET a = '' WHERE n = 'b'", "loose"),
    ("NULL for nothing", "UPDATE loose SET a = NULL WHERE n = 'c'", "loose"),
    ("bytes for nothing", "UPDATE loose SET a = x'' WHERE n = 'c'", "loose"),
    ("bytes for the same text", "UPDATE loose SET a = CAST(a AS BLOB) WHERE n = 'd'", "loose"),
    ("another case", "UPDATE loose SET a = 'Text' WHERE n = 'd'", "loose"),
    ("another case where case is not told", "UPDATE loose SET n = 'A' WHERE n = 'a'", "loose"),
    ("a byte of bytes", "UPDATE loose SET a = x'00fe' WHERE n = 'e'", "loose"),
    ("what a double cannot tell", "UPDATE loose SET a = a - 1 WHERE n = 'f'", "loose"),
    ("behind a NUL", "UPDATE loose SET a = 'a' || char(0) || 'c' WHERE n = 'h'", "loose"),
    ("a row more", "INSERT INTO loose VALUES (1, 'a')", "loose"),
    ("a row less", "DELETE FROM loose WHERE n = 'g'", "loose"),
    ("one row for another", "UPDATE loose SET rowid = 99 WHERE n = 'g'", "loose"),
    ("a row of nothing elsewhere", "UPDATE gone SET rowid = 7", "gone"),
    ("a key's case", "UPDATE keyed SET k = 'KEY' WHERE k = 'key'", "keyed"),
    ("a key", "UPDATE keyed SET k = 'keys' WHERE k = 'key'", "keyed"),
    ("a value by its key", "UPDATE keyed SET v = 0 WHERE k = 'other'", "keyed"),
    ("a key of two", "UPDATE pair SET y = 3 WHERE y = 2", "pair"),
    ("an index", "DROP INDEX loose_by_a", "sqlite_schema"),
    ("a guard", "DROP TRIGGER guard", "sqlite_schema"),
    ("a table", "DROP TABLE gone", "the list of tables"),
    ("the schema's number", "PRAGMA user_version = 3", "user_version"),
]


def compared(ours: Path, theirs: Path) -> Compared:
    conn = connect(ours)
    try:
        with unchanging(conn):
            return compare_with(conn, theirs)
    finally:
        conn.close()


def changed(path: Path, script: str) -> Path:
    conn = sqlite3.connect(path, isolation_level=None)
    conn.executescript(script)
    conn.close()
    return path


@pytest.fixture
def first(tmp_path: Path) -> Path:
    return changed(tmp_path / "first.db", FIRST)


def test_a_copy_is_equal_to_what_it_was_made_of(first: Path) -> None:
    found = compared(first, Path(copyfile(first, first.with_name("copy.db"))))
    assert found.differs == ""
    assert (found.rows["loose"], found.rows["keyed"], found.rows["pair"]) == (8, 2, 2)


@pytest.mark.parametrize(("what", "change", "place"), CHANGES, ids=[row[0] for row in CHANGES])
def test_one_thing_that_differs_is_found_from_either_side(
    first: Path, what: str, change: str, place: str
) -> None:
    other = changed(Path(copyfile(first, first.with_name("copy.db"))), change)
    assert compared(first, other).differs == place, what
    assert compared(other, first).differs == place, what


def test_one_byte_on_the_disk_is_found(tmp_path: Path) -> None:
    path = full_store(tmp_path / "full.db")
    whole = path.read_bytes()
    conn = connect(path)
    name = conn.execute("SELECT name FROM box WHERE box_id = 2").fetchone()[0]
    names = {table.name for table in tables(conn)}
    conn.close()
    other = tmp_path / "other.db"
    other.write_bytes(whole)
    found = compared(path, other)
    assert found.differs == ""
    assert names < found.rows.keys(), "what serves the search is compared too"
    places = [at for at in range(len(whole)) if whole.startswith(name.encode(), at)]
    assert len(places) > 1, "with the box, and in the search index"
    for at in places:
        other.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        assert compared(path, other).differs


def test_nothing_is_left_behind(first: Path) -> None:
    other = Path(copyfile(first, first.with_name("copy.db")))
    conn = connect(first)
    for _ in range(2):
        with unchanging(conn):
            compare_with(conn, other)
    assert [row[1] for row in conn.execute("PRAGMA database_list")] == ["main"]
    conn.close()
    assert sorted(each.name for each in first.parent.iterdir()) == ["copy.db", "first.db"]
