"""Making a store, and bringing an older one up to the present schema.

Each migration is one numbered text of SQL in ``migrations/``; it runs, with the new user_version,
in one transaction.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path

from stockcheck.core.errors import StoreTrouble
from stockcheck.store.files import (
    APPLICATION_ID,
    SCHEMA_VERSION,
    Store,
    connect,
    in_memory,
    new_file,
    trouble,
)
from stockcheck.store.kinds import refresh_kinds
from stockcheck.store.limits import note_heat

_FOLDER = Path(__file__).parent / "migrations"


def create(path: Path, name: str, currency: str = "EUR", *, demo: bool = False) -> None:
    """Make a new, empty store that only its owner can read. StoreTrouble when a file is there.

    ``demo`` marks it as the demo's, the only sort that may ever be made anew over itself.
    """
    settings = {"name": name, "currency": currency} | ({"demo": "1"} if demo else {})

    def fill(conn: sqlite3.Connection) -> None:
        conn.executemany("INSERT INTO setting (key, value) VALUES (?, ?)", settings.items())
        refresh_kinds(conn)

    _make(path, SCHEMA_VERSION, fill)


def blank(path: Path, version: int) -> None:
    """A store file of a schema without a single row, for what is read back from elsewhere.

    StoreTrouble when a file is there.
    """
    _make(path, version, lambda conn: conn.execute("DELETE FROM setting"))


def as_made(version: int) -> dict[tuple[str, str], str]:
    """The text of every table, index, view and trigger of a schema, by its sort and name."""
    conn = in_memory()
    try:
        for number in range(1, version + 1):
            _run(conn, number)
        return schema_of(conn)
    finally:
        conn.close()


def schema_of(conn: sqlite3.Connection) -> dict[tuple[str, str], str]:
    """The same of a store as it is, without what SQLite keeps for itself."""
    rows = conn.execute("SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    return {(sort, name): sql for sort, name, sql in rows if not name.startswith("sqlite_")}


def _make(path: Path, version: int, fill: Callable[[sqlite3.Connection], object]) -> None:
    try:
        if path.exists():
            raise StoreTrouble(f"{path} is there already; choose another path or keep that one")
        path.parent.mkdir(parents=True, exist_ok=True)
        new_file(path)
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else error
        raise StoreTrouble(f"cannot make {path}: {why}; choose another path") from error
    try:
        _write(path, version, fill)
    except sqlite3.Error as error:
        path.unlink(missing_ok=True)
        raise trouble(error, path) from error
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def _write(path: Path, version: int, fill: Callable[[sqlite3.Connection], object]) -> None:
    conn = connect(path)
    try:
        conn.execute("PRAGMA journal_mode = DELETE")
        store = Store(conn, path)
        with store.writing():
            conn.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            for number in range(1, version + 1):
                _run(conn, number)
            fill(conn)
    finally:
        conn.close()


def migrate(store: Store) -> None:
    """Run every migration that the store has not seen, in one transaction."""
    with store.writing() as conn:
        # read in here: another process may have migrated it while this one waited
        version = conn.execute("PRAGMA user_version").fetchone()[0]
        for number in range(version + 1, SCHEMA_VERSION + 1):
            _run(conn, number)
        note_heat(conn)


def _run(conn: sqlite3.Connection, number: int) -> None:
    for statement in statements((_FOLDER / f"{number:04d}.sql").read_text("utf-8")):
        conn.execute(statement)
    conn.execute(f"PRAGMA user_version = {number}")


def statements(text: str) -> Iterator[str]:
    """The statements of a text of SQL, one by one; triggers are kept whole."""
    held = ""
    for line in text.splitlines(keepends=True):
        held += line
        if line.rstrip().endswith(";") and sqlite3.complete_statement(held):
            yield held
            held = ""
    if held.strip():
        yield held
