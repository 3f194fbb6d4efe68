"""Making a store, and bringing an older one up to the present schema.

Each migration is one numbered text of SQL in ``migrations/``; it runs, with the new user_version,
in one transaction.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from stockcheck.core.errors import StoreTrouble
from stockcheck.store.files import APPLICATION_ID, SCHEMA_VERSION, Store, connect, trouble
from stockcheck.store.kinds import refresh_kinds
from stockcheck.store.limits import note_heat

_FOLDER = Path(__file__).parent / "migrations"


def create(path: Path, name: str, currency: str = "EUR", *, demo: bool = False) -> None:
    """Make a new, empty store that only its owner can read. StoreTrouble when a file is there.

    ``demo`` marks it as the demo's, the only sort that may ever be made anew over itself.
    """
    try:
        if path.exists():
            raise StoreTrouble(f"{path} is there already; choose another path or keep that one")
        path.parent.mkdir(parents=True, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else error
        raise StoreTrouble(f"cannot make {path}: {why}; choose another path") from error
    try:
        _fill(path, {"name": name, "currency": currency} | ({"demo": "1"} if demo else {}))
    except sqlite3.Error as error:
        path.unlink(missing_ok=True)
        raise trouble(error, path) from error
    except BaseException:
        path.unlink(missing_ok=True)
        raise


def _fill(path: Path, settings: dict[str, str]) -> None:
    conn = connect(path)
    try:
        conn.execute("PRAGMA journal_mode = DELETE")
        store = Store(conn, path)
        with store.writing():
            conn.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            for number in range(1, SCHEMA_VERSION + 1):
                _run(conn, number)
            conn.executemany("INSERT INTO setting (key, value) VALUES (?, ?)", settings.items())
            refresh_kinds(conn)
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
