"""Opening a store: never creating, never guessing, and every trouble told in words."""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from stockcheck.core.errors import BadInput, StoreTrouble
from stockcheck.store import files
from stockcheck.store.files import APPLICATION_ID, SCHEMA_VERSION, Store, opened, trouble
from stockcheck.store.migrate import create

MIGRATIONS = Path(files.__file__).parent / "migrations"
# Names in the sqlite3 module that are no result codes: what an authorizer is asked, and limits.
NO_RESULTS = ("ALTER_", "ANALYZE", "ATTACH", "CREATE_", "DBCONFIG_", "DELETE", "DENY",
              "DETACH", "DROP_", "FUNCTION", "IGNORE", "INSERT", "LIMIT_", "PRAGMA", "READ",
              "RECURSIVE", "REINDEX", "SAVEPOINT", "SELECT", "TRANSACTION", "UPDATE")  # fmt: skip
PRIMARY_RESULTS = (
    "ERROR", "INTERNAL", "PERM", "ABORT", "BUSY", "LOCKED", "NOMEM", "READONLY", "INTERRUPT",
    "IOERR", "CORRUPT", "NOTFOUND", "FULL", "CANTOPEN", "PROTOCOL", "EMPTY", "SCHEMA", "TOOBIG",
    "CONSTRAINT", "MISMATCH", "MISUSE", "NOLFS", "AUTH", "FORMAT", "RANGE", "NOTADB", "NOTICE",
    "WARNING",
)  # fmt: skip
SUCCESSES = ("OK", "ROW", "DONE")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "kit.db"
    create(made, "Kit")
    return made


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with opened(path) as store:
        yield store


def refusal(path: Path) -> str:
    """What opening the file says."""
    with pytest.raises(StoreTrouble) as refused, opened(path):
        pass
    return str(refused.value)


def pragma(store: Store, name: str) -> object:
    return store.conn.execute(f"PRAGMA {name}").fetchone()[0]


def names_of_boxes(conn: sqlite3.Connection) -> list[str]:
    return [row[0] for row in conn.execute("SELECT name FROM box ORDER BY name").fetchall()]


def write_box(store: Store, number: int, then: BaseException | None = None) -> None:
    """One command's write, which something may end early."""
    with store.writing() as conn:
        add_box(conn, number)
        if then is not None:
            raise then


def add_box(conn: sqlite3.Connection, number: int) -> None:
    conn.execute(
        "INSERT INTO box (box_id, code, name, name_key) VALUES (?, ?, ?, ?)",
        (number, f"2{number:09d}", f"Box {number}", f"box {number}"),
    )


def test_a_mistyped_path_creates_nothing(tmp_path: Path) -> None:
    missing = tmp_path / "kti.db"
    assert refusal(missing) == (
        f"there is no store at {missing}; make one with: stockcheck --store {missing} init;"
        " or name another with --store"
    )
    assert list(tmp_path.iterdir()) == []


def test_a_path_below_a_file_is_a_missing_one(path: Path) -> None:
    assert refusal(path / "kit.db").startswith("there is no store at")


def test_a_folder_is_no_store(tmp_path: Path) -> None:
    assert refusal(tmp_path) == f"{tmp_path} is not a file; name the store's file with --store"


def test_a_name_too_long_for_the_disk_is_told(tmp_path: Path) -> None:
    assert refusal(tmp_path / ("k" * 300)).startswith("cannot open")


@pytest.mark.parametrize("content", [b"", b"box,item\nWater,tablet\n" * 60, b"\0" * 4096])
def test_what_is_not_sqlite_is_refused_and_left_as_it_was(tmp_path: Path, content: bytes) -> None:
    other = tmp_path / "stock.csv"
    other.write_bytes(content)
    assert "is not a stockcheck store" in refusal(other)
    assert other.read_bytes() == content


def test_another_program_s_database_is_refused_and_left_as_it_was(tmp_path: Path) -> None:
    other = tmp_path / "birds.db"
    with sqlite3.connect(other) as conn:
        conn.execute("PRAGMA journal_mode = WAL")
        conn.execute("CREATE TABLE bird (name TEXT)")
    conn.close()
    before = other.read_bytes()
    assert "is not a stockcheck store" in refusal(other)
    assert other.read_bytes() == before


def test_a_newer_store_is_refused_naming_both_versions(path: Path) -> None:
    conn = sqlite3.connect(path)
    conn.execute("PRAGMA user_version = 99")
    conn.close()
    said = refusal(path)
    assert "has schema 99" in said
    assert f"this one knows schema {SCHEMA_VERSION}" in said
    assert "update stockcheck" in said


def versions(monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    """Go on as a stockcheck whose newest schema has this number."""
    monkeypatch.setattr("stockcheck.store.files.SCHEMA_VERSION", number)
    monkeypatch.setattr("stockcheck.store.migrate.SCHEMA_VERSION", number)


def test_an_older_store_is_brought_up_to_date_on_opening(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    newest = len(list(MIGRATIONS.glob("*.sql")))
    versions(monkeypatch, 1)
    create(tmp_path / "kit.db", "Kit")
    with opened(tmp_path / "kit.db") as store:
        write_box(store, 1)
    versions(monkeypatch, newest)
    with opened(tmp_path / "kit.db") as store:
        assert pragma(store, "user_version") == newest
        assert names_of_boxes(store.conn) == ["Box 1"]
        assert pragma(store, "integrity_check") == "ok"


def test_a_migration_that_fails_leaves_the_store_as_it_was(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = path.read_bytes()
    versions(monkeypatch, 9000)  # no such migration
    with pytest.raises(FileNotFoundError), opened(path):
        pass
    assert path.read_bytes() == before


def test_a_damaged_store_is_told_apart(path: Path) -> None:
    whole = path.read_bytes()
    path.write_bytes(whole[:4096] + b"\xff" * 4096 + whole[8192:])
    assert refusal(path).endswith("is damaged; work on a copy or go back to a backup")


def test_every_switch_is_on(store: Store) -> None:
    assert pragma(store, "foreign_keys") == 1
    assert pragma(store, "synchronous") == 2, "FULL"
    assert pragma(store, "journal_mode") == "delete", "a rollback journal, one file at rest"
    assert pragma(store, "application_id") == APPLICATION_ID
    assert pragma(store, "user_version") == SCHEMA_VERSION


def test_a_store_that_another_tool_turned_to_a_write_ahead_log_is_turned_back(path: Path) -> None:
    conn = sqlite3.connect(path)
    assert conn.execute("PRAGMA journal_mode = WAL").fetchone()[0] == "wal"
    conn.close()
    with opened(path) as store:
        assert pragma(store, "journal_mode") == "delete"
    assert [each.name for each in path.parent.iterdir()] == ["kit.db"]


def test_a_new_store_is_its_owner_s_alone(path: Path) -> None:
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_new_store_knows_its_name_currency_and_the_shipped_kinds(tmp_path: Path) -> None:
    path = tmp_path / "folder" / "not there yet" / "кузов?a#b%20.db"
    create(path, "Кузов", "AUD")
    with opened(path) as store:
        assert (store.name, store.currency) == ("Кузов", "AUD")
        assert store.conn.execute("SELECT count(*) FROM kind").fetchone()[0] >= 45


def test_making_a_store_never_overwrites(path: Path) -> None:
    before = path.read_bytes()
    with pytest.raises(StoreTrouble, match="is there already"):
        create(path, "Another")
    assert path.read_bytes() == before


def test_a_store_that_could_not_be_made_leaves_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "kit.db"
    versions(monkeypatch, 9000)  # no such migration
    with pytest.raises(FileNotFoundError):
        create(path, "Kit")
    assert list(tmp_path.iterdir()) == []


def test_a_store_cannot_be_made_where_nothing_can(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(StoreTrouble, match=r"cannot make .*; choose another path"):
        create(tmp_path / "file" / "kit.db", "Kit")


def results() -> list[str]:
    """Every result code of SQLite that this Python knows by name, extended ones too."""
    names = [name for name in dir(sqlite3) if name.startswith("SQLITE_")]
    return [
        name
        for name in names
        if name.removeprefix("SQLITE_").split("_")[0] not in SUCCESSES
        and not any(
            name == f"SQLITE_{other}"
            or (other.endswith("_") and name.startswith(f"SQLITE_{other}"))
            for other in NO_RESULTS
        )
    ]


class Failed(sqlite3.OperationalError):
    """An error of SQLite with the name of its result code."""

    def __init__(self, name: str) -> None:
        super().__init__("some words of SQLite's own")
        self.sqlite_errorname = name


@pytest.mark.parametrize("name", results())
def test_every_result_code_of_sqlite_has_its_words(name: str) -> None:
    primary = "_".join(name.split("_")[:2])
    assert primary in files._TROUBLE, f"{name} has no words: say what it means for the person"
    said = str(trouble(Failed(name), "kit.db"))
    assert said.startswith("the store kit.db ")
    assert ("please report" in said) == ("some words of SQLite's own" in said)


def test_the_result_codes_are_those_that_sqlite_documents() -> None:
    """Source: sqlite.org/rescode.html, the primary result codes 1 to 28."""
    primary = {"_".join(name.split("_")[:2]) for name in results()}
    assert primary == {f"SQLITE_{name}" for name in PRIMARY_RESULTS}


def test_an_error_without_a_known_code_is_told_whole() -> None:
    assert str(trouble(sqlite3.ProgrammingError("odd"), "kit.db")) == (
        "the store kit.db gave an unforeseen error; please report it with what you did"
        " (SQLITE_ERROR: odd)"
    )


def test_errors_of_sqlite_inside_the_block_come_out_in_words(path: Path) -> None:
    def write_read_only() -> None:
        with opened(path) as store:
            store.conn.execute("PRAGMA query_only = ON")
            write_box(store, 1)

    with pytest.raises(StoreTrouble, match="is read-only"):
        write_read_only()


@pytest.mark.parametrize(
    ("value", "words"),
    [("\udcff", "do not print"), (10**30, "too large to keep")],
)
def test_what_sqlite_cannot_take_is_bad_input(path: Path, value: object, words: str) -> None:
    with pytest.raises(BadInput, match=words), opened(path) as store, store.writing() as conn:
        conn.execute("INSERT INTO setting VALUES ('odd', ?)", (value,))


@pytest.mark.parametrize(
    "stop", [KeyboardInterrupt, SystemExit, BadInput, sqlite3.OperationalError, GeneratorExit]
)
def test_whatever_ends_a_write_early_leaves_nothing_of_it(
    path: Path, stop: type[BaseException]
) -> None:
    with opened(path) as store:
        with pytest.raises(stop):
            write_box(store, 1, then=stop())
        assert not store.conn.in_transaction
        write_box(store, 2)
    with opened(path) as store:
        assert names_of_boxes(store.conn) == ["Box 2"]


def test_a_write_is_kept_when_its_block_ends(path: Path, store: Store) -> None:
    write_box(store, 1)
    with opened(path) as other:
        assert names_of_boxes(other.conn) == ["Box 1"]


@pytest.mark.parametrize("stop", [None, KeyboardInterrupt, BadInput])
def test_a_try_never_keeps_anything(store: Store, stop: type[BaseException] | None) -> None:
    try:
        with store.trying() as conn:
            add_box(conn, 1)
            assert names_of_boxes(conn) == ["Box 1"]
            if stop:
                raise stop
    except (KeyboardInterrupt, BadInput):
        pass
    assert names_of_boxes(store.conn) == []


def test_a_transaction_that_sqlite_ended_by_itself_is_not_rolled_back_twice(store: Store) -> None:
    def write_on_a_full_disk() -> None:
        with store.writing() as conn:
            add_box(conn, 1)
            conn.execute("ROLLBACK")  # as SQLite does before it says SQLITE_FULL
            raise Failed("SQLITE_FULL")

    with pytest.raises(Failed):
        write_on_a_full_disk()
    assert names_of_boxes(store.conn) == []
    assert not store.conn.in_transaction


def test_closing_in_the_middle_of_a_write_leaves_nothing_of_it(path: Path) -> None:
    with opened(path) as store:
        store.conn.execute("BEGIN IMMEDIATE")
        add_box(store.conn, 1)
    with opened(path) as store:
        assert names_of_boxes(store.conn) == []


def test_a_second_writer_waits_and_is_told_when_it_takes_too_long(path: Path) -> None:
    def write_impatiently() -> None:
        with opened(path) as second:
            assert pragma(second, "busy_timeout") == files.BUSY_MILLISECONDS
            second.conn.execute("PRAGMA busy_timeout = 1")
            write_box(second, 2)

    with opened(path) as first, first.writing() as conn:
        add_box(conn, 1)
        with pytest.raises(StoreTrouble, match="in use by another program"):
            write_impatiently()
    write_impatiently()
    with opened(path) as store:
        assert names_of_boxes(store.conn) == ["Box 1", "Box 2"]


def test_readers_see_the_state_before_while_another_writes(path: Path) -> None:
    with opened(path) as reader, opened(path) as writer:
        with writer.writing() as conn:
            add_box(conn, 1)
            assert names_of_boxes(reader.conn) == []
        assert names_of_boxes(reader.conn) == ["Box 1"]


def test_a_file_without_write_permission_still_opens_for_reading(path: Path) -> None:
    path.chmod(0o400)
    path.parent.chmod(0o500)
    try:
        with opened(path) as store:
            assert store.name == "Kit"
            if os.geteuid() != 0:  # the superuser may write everywhere
                with pytest.raises(sqlite3.OperationalError), store.writing():
                    pass
    finally:
        path.parent.chmod(0o700)
