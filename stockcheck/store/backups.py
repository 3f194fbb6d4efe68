"""Copies of a store by SQLite's own online backup, verified after writing; and going back to one.

A copy is made beside its place, compared with the store fact by fact while nobody writes, and only
then gets its name: a file that has the name of a backup is one.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from stockcheck.core.errors import StoreTrouble
from stockcheck.core.keeping import Dated, dated_name, read_name, to_let_go
from stockcheck.store.comparing import compare_with, unchanging
from stockcheck.store.files import (
    APPLICATION_ID,
    FilePath,
    Store,
    connect,
    new_file,
    refuse_newer,
    trouble,
    uri_of,
)
from stockcheck.store.tables import quoted, tables


@dataclass(frozen=True, slots=True)
class Copied:
    """A verified copy: where it is, how large, and how many rows it has."""

    path: Path
    size: int
    rows: int


@dataclass(frozen=True, slots=True)
class Difference:
    """Of one table, how many rows only the store has, and how many only the backup."""

    table: str
    lost: int
    back: int


def folder_of(path: FilePath) -> Path:
    """Where the dated backups of a store lie: ``truck-backups`` beside ``truck.db``."""
    store = Path(path)
    return store.with_name(f"{store.stem}-backups")


def automatic(store: Store, reason: str, *, whole: bool = True) -> Copied:
    """A dated backup before something is done to many facts at once; old ones are let go.

    StoreTrouble when none can be made, and then nothing should be done.
    """
    path = Path(store.path)
    folder = folder_of(path)
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        raise _no_backup(folder, error) from error
    done = back_up(store, _free_name(folder, path.stem, reason), whole=whole)
    for old in to_let_go(dated(path)):
        with suppress(OSError):
            (folder / old.name).unlink()
    return done


def dated(path: FilePath) -> list[Dated]:
    """The dated backups of a store that are there."""
    folder, stem = folder_of(path), Path(path).stem
    names = sorted(each.name for each in folder.iterdir()) if folder.is_dir() else []
    return [found for name in names if (found := read_name(stem, name)) is not None]


def _free_name(folder: Path, stem: str, reason: str) -> Path:
    moment = datetime.now(UTC)
    number = 1
    while (path := folder / dated_name(stem, moment, reason, number)).exists():
        number += 1
    return path


def back_up(store: Store, target: Path, *, whole: bool = True) -> Copied:
    """Copy a store as it is now into a new file that only its owner can read.

    The facts of both are compared while nobody can write. ``whole``: a store whose pages or indexes
    are damaged is refused. StoreTrouble says what is in the way; no half a backup is left.
    """
    if target.exists():
        raise StoreTrouble(f"{target} is there already; name another file")
    part = target.with_name(target.name + ".part")
    try:
        part.unlink(missing_ok=True)
        new_file(part)
    except OSError as error:
        raise _no_backup(target, error) from error
    try:
        with store.worded(), unchanging(store.conn):
            rows = _copy(store, part, whole=whole)
        _to_disk(part)
        part.rename(target)
        _to_disk(target.parent)
    except OSError as error:
        raise _no_backup(target, error) from error
    finally:
        for left in (part, part.with_name(part.name + "-journal")):
            left.unlink(missing_ok=True)
    return Copied(target, target.stat().st_size, rows)


def _copy(store: Store, part: Path, *, whole: bool) -> int:
    """Copy, and compare what is on disk with the store; how many rows of facts there are."""
    try:
        copy = connect(part)
        try:
            store.conn.backup(copy)
            if whole and (wrong := damage(copy)):
                raise StoreTrouble(
                    f"the store {store.path} is damaged ({wrong}), so that no backup was made;"
                    " 'stockcheck check' tells more"
                )
        finally:
            copy.close()
        found = compare_with(store.conn, part)
    except sqlite3.Error as error:
        if getattr(error, "sqlite_errorname", "") == "SQLITE_FULL":
            raise StoreTrouble(f"no backup was made: the disk of {part.parent} is full") from error
        raise
    if found.differs:
        raise StoreTrouble(
            f"the copy {part} does not read back as written ({found.differs}); try again"
        )
    return sum(found.rows[table.name] for table in tables(store.conn))


def damage(conn: sqlite3.Connection) -> str:
    """The first thing that SQLite's integrity check finds, "" for none."""
    try:
        first = str(conn.execute("PRAGMA integrity_check(1)").fetchone()[0])
    except sqlite3.DatabaseError as error:
        return str(error)
    return "" if first == "ok" else " ".join(first.replace("*** in database main ***", "").split())


def _to_disk(path: Path) -> None:
    """What was written, or renamed in a folder, outlasts a power cut."""
    if os.name == "nt" and path.is_dir():
        return
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)


def _no_backup(path: Path, error: OSError) -> StoreTrouble:
    return StoreTrouble(
        f"no backup was made at {path}: {error.strerror or error}; nothing was changed"
    )


def by_hand(store: Store, target: Path | None) -> Copied:
    """The backup somebody asked for: into the file they named, else a dated one."""
    if target is None:
        return automatic(store, "asked")
    return back_up(store, target)


def refuse_no_backup(path: Path) -> None:
    """StoreTrouble for a file that is no whole store, or made by a newer version."""
    try:
        conn = connect(path, reading=True)
        try:
            if not _is_ours(conn):
                raise StoreTrouble(f"{path} is not a stockcheck store; nothing was changed")
            refuse_newer(conn, path)
            if wrong := damage(conn):
                raise StoreTrouble(
                    f"{path} is damaged ({wrong}); nothing was changed. 'stockcheck salvage' takes"
                    " out of it what can be read"
                )
        finally:
            conn.close()
    except sqlite3.Error as error:
        raise trouble(error, path) from error


def _is_ours(conn: sqlite3.Connection) -> bool:
    return bool(conn.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID)


def differences(store: Store, backup: Path) -> list[Difference]:
    """What going back to a backup would change, by table; nothing is written.

    A row that was changed since counts on both sides. A table or a column that the backup's schema
    has not yet counts as lost where it holds anything.
    """
    conn = store.conn
    conn.execute("ATTACH ? AS old", (uri_of(backup, "ro"),))
    try:
        return [each for table in tables(conn) if (each := _difference(conn, table.name))]
    finally:
        conn.execute("DETACH old")


def _difference(conn: sqlite3.Connection, table: str) -> Difference | None:
    columns = [
        [row[0] for row in conn.execute("SELECT name FROM pragma_table_info(?, ?)", (table, side))]
        for side in ("main", "old")
    ]
    shared = ", ".join(quoted(each) for each in columns[0] if each in columns[1])
    name = quoted(table)
    if not shared:
        lost = conn.execute(f"SELECT count(*) FROM main.{name}").fetchone()[0]
        return Difference(table, lost, 0) if lost else None
    counts = [
        conn.execute(
            f"SELECT count(*) FROM (SELECT {shared} FROM {one}.{name}"
            f" EXCEPT SELECT {shared} FROM {other}.{name})"
        ).fetchone()[0]
        for one, other in (("main", "old"), ("old", "main"))
    ]
    return Difference(table, *counts) if any(counts) else None


def movements_since(store: Store, backup: Path) -> list[int]:
    """The numbers of the movements that the backup does not have."""
    conn = store.conn
    conn.execute("ATTACH ? AS old", (uri_of(backup, "ro"),))
    try:
        rows = conn.execute(
            "SELECT movement_id FROM main.movement EXCEPT SELECT movement_id FROM old.movement"
            " ORDER BY movement_id"
        ).fetchall()
    finally:
        conn.execute("DETACH old")
    return [row[0] for row in rows]


def go_back(path: FilePath, backup: Path) -> Path:
    """Put a backup in a store's place; returns where the store as it was is kept.

    The store's file is locked from before its copy is taken until the backup stands in it, so that
    no write of another process falls between; a power cut leaves the one or the other. A file that
    SQLite cannot copy any more is moved aside as it is.
    """
    aside = _aside(Path(path))
    try:
        aside.parent.mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        raise _no_backup(aside.parent, error) from error
    try:
        conn = connect(path)
        try:
            lasting = bool(Path(path).stat().st_size) and _locked_copy(Store(conn, path), aside)
            if lasting:
                _put_back(conn, backup)
        finally:
            conn.close()
    except sqlite3.DatabaseError as error:
        if past_reading(error):
            lasting = False
        else:
            raise trouble(error, path) from error
    if not lasting:
        _swap(Path(path), aside, backup)
    return aside


def past_reading(error: sqlite3.DatabaseError) -> bool:
    """Whether an error says that the file's content is at fault."""
    name = getattr(error, "sqlite_errorname", None) or ""
    return name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB"))


def _locked_copy(store: Store, aside: Path) -> bool:
    """Lock the file for good and copy it; False for one that cannot be copied any more."""
    store.conn.execute("PRAGMA locking_mode = EXCLUSIVE").fetchone()
    store.conn.execute("BEGIN EXCLUSIVE")
    store.conn.execute("COMMIT")
    if damage(store.conn):
        return False
    if not _is_ours(store.conn):
        raise StoreTrouble(f"{store.path} is not a stockcheck store; nothing was changed")
    back_up(store, aside)
    return True


def _put_back(conn: sqlite3.Connection, backup: Path) -> None:
    old = connect(backup, reading=True)
    try:
        old.backup(conn)
    finally:
        old.close()
    with unchanging(conn):
        if found := compare_with(conn, backup).differs:
            raise StoreTrouble(f"the store does not read back as {backup} ({found}); try again")


def _swap(path: Path, aside: Path, backup: Path) -> None:
    """For a file that is past copying: it goes aside with its journal, a copy takes its place."""
    part = path.with_name(path.name + ".part")
    part.unlink(missing_ok=True)
    with opened_as_it_is(backup) as old:
        back_up(old, part)
    try:
        journal = path.with_name(path.name + "-journal")
        if journal.exists():
            journal.rename(aside.with_name(aside.name + "-journal"))
        path.rename(aside)
        aside.chmod(0o600)
        part.rename(path)
        _to_disk(path.parent)
    except OSError as error:
        raise StoreTrouble(f"cannot put {path} aside: {error.strerror}") from error


@contextmanager
def opened_as_it_is(path: Path) -> Iterator[Store]:
    """A store for reading, neither checked nor brought up to the present schema."""
    try:
        conn = connect(path, reading=True)
        try:
            yield Store(conn, path)
        finally:
            conn.close()
    except sqlite3.Error as error:
        raise trouble(error, path) from error


def to_place(backup: Store, path: FilePath) -> None:
    """Put a backup where there is no store. StoreTrouble when the folder is not to be written."""
    target = Path(path)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _no_backup(target, error) from error
    back_up(backup, target)


def _aside(path: Path) -> Path:
    moment, number = datetime.now(UTC), 1
    folder = folder_of(path)
    while (aside := folder / dated_name(path.stem, moment, "put-aside", number)).exists():
        number += 1
    return aside
