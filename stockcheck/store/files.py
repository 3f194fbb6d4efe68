"""Opening a store file: the one place that connects, checks what it is, and begins a write.

A store is one SQLite file at rest (rollback journal, synchronous FULL), so that copying the file
copies the stock. Opening never creates: a mistyped path must not become an empty store. Paths are
plain text here, since every command comes this way and ``pathlib`` costs a tenth of its start.
"""

from __future__ import annotations

import errno
import os
import sqlite3
import stat
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, TypeAlias

from stockcheck.core.errors import BadInput, StoreTrouble

FilePath: TypeAlias = "str | os.PathLike[str]"
APPLICATION_ID = 0x53544B43
SCHEMA_VERSION = 7
BUSY_MILLISECONDS = 15_000
_SWITCHES = {"foreign_keys": 1, "synchronous": 2}

_WRITES = ("INSERT", "UPDATE", "REPLACE")
_LINES = {10: 32, 13: 32, 9: 32}  # line ends and tabs are white space
_ANEW = "Type it anew; nothing was changed"

_UNFORESEEN = "gave an unforeseen error; please report it with what you did"
_TROUBLE = {
    "SQLITE_BUSY": "is in use by another program; try again when that is done",
    "SQLITE_LOCKED": "is in use by another program; try again when that is done",
    "SQLITE_READONLY": "is read-only; give yourself the right to write it, or copy it",
    "SQLITE_READONLY_DBMOVED": "was moved or replaced meanwhile; nothing was changed: try again",
    "SQLITE_PERM": "may not be opened by you; look at its rights",
    "SQLITE_AUTH": "may not be opened by you; look at its rights",
    "SQLITE_FULL": "could not be written: the disk is full; nothing was changed",
    "SQLITE_IOERR": "could not be read or written; look at the disk, nothing was changed",
    "SQLITE_CORRUPT": "is damaged; work on a copy or go back to a backup",
    "SQLITE_NOTADB": "is not a stockcheck store; look at the path given to --store",
    "SQLITE_CANTOPEN": "cannot be opened; look at the path and its rights",
    "SQLITE_NOLFS": "is too large for this disk's file system",
    "SQLITE_TOOBIG": "was given a text too long to keep; nothing was changed",
    "SQLITE_NOMEM": "needs more memory than there is",
    "SQLITE_PROTOCOL": "is in use by another program; try again when that is done",
    "SQLITE_CONSTRAINT": "refused a change that does not fit its rules; nothing was changed",
    "SQLITE_MISMATCH": "refused a value of the wrong sort; nothing was changed",
    "SQLITE_SCHEMA": "was changed by another program meanwhile; try again",
    "SQLITE_INTERRUPT": "was interrupted; nothing was changed",
    "SQLITE_ABORT": "was interrupted; nothing was changed",
    "SQLITE_FORMAT": "is damaged; work on a copy or go back to a backup",
    "SQLITE_NOTFOUND": "cannot be used on this file system; move it to a local disk",
    "SQLITE_ERROR": _UNFORESEEN,
    "SQLITE_INTERNAL": _UNFORESEEN,
    "SQLITE_MISUSE": _UNFORESEEN,
    "SQLITE_RANGE": _UNFORESEEN,
    "SQLITE_EMPTY": _UNFORESEEN,
    "SQLITE_NOTICE": _UNFORESEEN,
    "SQLITE_WARNING": _UNFORESEEN,
}


class _Kept(sqlite3.Connection):
    """A connection that writes no text which nobody could see: whatever way it came in by.

    Where words are typed or read they are looked at by name (``core.names``); this is the last
    line, so that no new way in forgets it. It looks only once ``looking`` is set: a store of
    another hand is brought up to date, and copied, word for word.
    """

    looking = False

    def execute(self, sql: str, parameters: Any = (), /) -> sqlite3.Cursor:
        """As sqlite3 does it. BadInput for a text with characters that do not print."""
        if parameters and self.looking and sql.startswith(_WRITES):
            _refuse_unseen(parameters.values() if isinstance(parameters, dict) else parameters)
        return super().execute(sql, parameters)

    def executemany(self, sql: str, parameters: Any, /) -> sqlite3.Cursor:
        """As sqlite3 does it. BadInput for a text with characters that do not print."""
        if not (self.looking and sql.startswith(_WRITES)):
            return super().executemany(sql, parameters)
        rows = parameters if isinstance(parameters, list) else list(parameters)
        for row in rows:
            _refuse_unseen(row.values() if isinstance(row, dict) else row)
        return super().executemany(sql, rows)


def _refuse_unseen(values: Iterable[object]) -> None:
    for value in values:
        if isinstance(value, str) and not value.isprintable():
            from stockcheck.core.names import unprintable

            if bad := unprintable(value.translate(_LINES)):
                raise BadInput(f"{value[:60]!r} has characters that do not print: {bad}", _ANEW)


@dataclass(frozen=True, slots=True)
class Store:
    """An open store: its connection and where the file is."""

    conn: sqlite3.Connection
    path: FilePath

    @property
    def name(self) -> str:
        """The name given when the store was made."""
        row = self.conn.execute("SELECT value FROM setting WHERE key = 'name'").fetchone()
        return str(row[0]) if row else os.path.basename(self.path)

    @property
    def currency(self) -> str:
        """The ISO 4217 code of the money in the store."""
        row = self.conn.execute("SELECT value FROM setting WHERE key = 'currency'").fetchone()
        return str(row[0]) if row else "EUR"

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: all of it is durable when the block ends, or none of it happened."""
        self.conn.execute("BEGIN IMMEDIATE")
        try:
            yield self.conn
            self.conn.execute("COMMIT")
        except BaseException:
            if self.conn.in_transaction:
                self.conn.execute("ROLLBACK")
            raise

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """One state of the store for several reads; others may not write meanwhile."""
        self.conn.execute("BEGIN")
        try:
            yield self.conn
        finally:
            if self.conn.in_transaction:
                self.conn.execute("ROLLBACK")

    @contextmanager
    def worded(self) -> Iterator[None]:
        """SQLite's errors as StoreTrouble at once, where the work goes on after one."""
        try:
            yield
        except sqlite3.Error as error:
            raise trouble(error, self.path) from error

    @contextmanager
    def trying(self) -> Iterator[sqlite3.Connection]:
        """A transaction that is always taken back: to show what would happen."""
        self.conn.execute("BEGIN IMMEDIATE")
        try:
            yield self.conn
        finally:
            if self.conn.in_transaction:
                self.conn.execute("ROLLBACK")


def trouble(error: sqlite3.Error, path: FilePath) -> StoreTrouble:
    """What an SQLite error means for the person, told by its code and never by its text."""
    name = getattr(error, "sqlite_errorname", None) or "SQLITE_ERROR"
    primary = "_".join(name.split("_")[:2])
    words = _TROUBLE.get(name) or _TROUBLE.get(primary, _UNFORESEEN)
    detail = f" ({name}: {error})" if words is _UNFORESEEN else ""
    return StoreTrouble(f"the store {path} {words}{detail}")


@contextmanager
def opened(path: FilePath) -> Iterator[Store]:
    """An existing store, checked; closes it at the end and words SQLite's errors.

    BadInput for texts and numbers that SQLite cannot take at all.
    """
    try:
        conn = connect(path)
        try:
            _check(conn, path)
            conn.looking = True
            with _whole(conn, path):
                yield Store(conn, path)
        finally:
            conn.close()
    except sqlite3.Error as error:
        raise trouble(error, path) from error
    except UnicodeEncodeError as error:
        shown = error.object[error.start : error.end].encode("utf-8", "backslashreplace").decode()
        raise BadInput(f"{shown} is no character; type that text again, as UTF-8") from error
    except OverflowError as error:
        raise BadInput(f"a figure is too large to keep or reckon with ({error})") from error


@contextmanager
def _whole(conn: sqlite3.Connection, path: FilePath) -> Iterator[None]:
    """A look-up that fails where rows name what is not there is the store's trouble, not ours."""
    try:
        yield
    except LookupError as error:
        if conn.execute("PRAGMA foreign_key_check").fetchone() is None:
            raise
        raise StoreTrouble(
            f"the store {path} has rows that name what is not there; 'stockcheck check' tells which"
        ) from error


def in_memory() -> sqlite3.Connection:
    """An empty database that is no file, for reckoning."""
    return sqlite3.connect(":memory:", isolation_level=None)


def scratch() -> sqlite3.Connection:
    """An empty database in a file of SQLite's own, which nobody else sees and closing removes."""
    return sqlite3.connect("", isolation_level=None)


def new_file(path: FilePath) -> None:
    """An empty file that only its owner can read and write, whatever the umask.

    OSError where a file is there.
    """
    os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    os.chmod(path, 0o600)


def connect(path: FilePath, *, reading: bool = False) -> _Kept:
    """A connection to an existing file with every switch set and read back.

    ``reading``: nothing is ever written through it, not even what a journal left to be taken back.
    """
    _refuse_missing(path)
    conn = sqlite3.connect(
        uri_of(path, "ro" if reading else "rw"),
        uri=True,
        isolation_level=None,
        timeout=BUSY_MILLISECONDS / 1000,
        factory=_Kept,
    )
    try:
        conn.execute("PRAGMA foreign_keys = ON")
        conn.execute("PRAGMA synchronous = FULL")
        kept = [conn.execute(f"PRAGMA {name}").fetchone()[0] for name in _SWITCHES]
        if kept != list(_SWITCHES.values()):
            raise StoreTrouble("this SQLite was built without foreign keys; use another Python")
    except BaseException:
        conn.close()
        raise
    return conn


def settings_of(path: FilePath) -> dict[str, str] | None:
    """What a store says of itself, None for a file that is no store; the file stays as it is.

    Unlike ``opened`` it brings no older store up to the present schema.
    """
    try:
        conn = connect(path)
        try:
            if conn.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                return None
            return dict(conn.execute("SELECT key, value FROM setting").fetchall())
        finally:
            conn.close()
    except sqlite3.Error as error:
        if error.sqlite_errorname == "SQLITE_NOTADB":
            return None
        raise trouble(error, path) from error


def uri_of(path: FilePath, mode: str) -> str:
    """The path as SQLite's URI (sqlite.org/uri.html, section 3.1), to be opened and not created."""
    plain = os.path.abspath(path).replace("%", "%25").replace("?", "%3f").replace("#", "%23")
    plain = plain.replace(os.sep, "/")
    return f"file:{'' if plain.startswith('/') else '/'}{plain}?mode={mode}"


def _refuse_missing(path: FilePath) -> None:
    try:
        mode = os.stat(path).st_mode
    except OSError as error:
        if error.errno not in {errno.ENOENT, errno.ENOTDIR}:
            raise StoreTrouble(f"cannot open {path}: {error.strerror}") from error
        from shlex import quote

        named = quote(os.fspath(path))
        raise StoreTrouble(
            f"there is no store at {path}; make one with: stockcheck --store {named} init;"
            " or name another with --store"
        ) from error
    if not stat.S_ISREG(mode):
        raise StoreTrouble(f"{path} is not a file; name the store's file with --store")


def _check(conn: sqlite3.Connection, path: FilePath) -> None:
    """Refuse a file that is no store, or that a newer version made."""
    if conn.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise StoreTrouble(f"{path} is not a stockcheck store; look at the path given to --store")
    version = refuse_newer(conn, path)
    if conn.execute("PRAGMA journal_mode").fetchone()[0] == "wal":
        # another tool turned it: with a log beside it, a copy of the file is no copy of the stock
        conn.execute("PRAGMA journal_mode = DELETE")
    if version < SCHEMA_VERSION:
        from stockcheck.store.backups import automatic
        from stockcheck.store.migrate import migrate

        automatic(Store(conn, path), "migration")
        migrate(Store(conn, path))
    _renew_kinds(Store(conn, path))


def refuse_newer(conn: sqlite3.Connection, path: FilePath) -> int:
    """The schema's number; StoreTrouble for one that only a newer version knows."""
    version = int(conn.execute("PRAGMA user_version").fetchone()[0])
    if version > SCHEMA_VERSION:
        raise StoreTrouble(
            f"the store {path} has schema {version}, made by a newer stockcheck;"
            f" this one knows schema {SCHEMA_VERSION}: update stockcheck"
        )
    return version


def _renew_kinds(store: Store) -> None:
    """After an update of stockcheck: take over the new catalogue and work the limits out anew."""
    from stockcheck.data.kinds import CATALOGUE_EDITION

    row = store.conn.execute("SELECT value FROM setting WHERE key = 'catalogue'").fetchone()
    if row is not None and row[0] == CATALOGUE_EDITION:
        return
    from stockcheck.store.kinds import refresh_kinds
    from stockcheck.store.limits import refresh_limits

    try:
        with store.writing() as conn:
            refresh_kinds(conn)
            refresh_limits(conn)
    except sqlite3.OperationalError as error:
        if not error.sqlite_errorname.startswith("SQLITE_READONLY"):
            raise
