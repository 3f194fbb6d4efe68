"""A look through a whole store, step by step; and what is derived set right after a backup.

The file comes first: while SQLite itself finds damage, nothing that rests on it is worth a word.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from stockcheck.core.errors import StoreTrouble
from stockcheck.core.store_findings import MENDS, Finding, Part, Weight
from stockcheck.store import checking_facts
from stockcheck.store.backups import Copied, automatic
from stockcheck.store.checking_derived import DERIVED
from stockcheck.store.files import (
    APPLICATION_ID,
    SCHEMA_VERSION,
    FilePath,
    Store,
    connect,
    opened,
    refuse_newer,
    scratch,
    trouble,
)
from stockcheck.store.migrate import migrate
from stockcheck.store.sense import unreadable

_MOST = 100
_DAMAGED = frozenset({"SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_FORMAT", "SQLITE_IOERR"})
_NO_LIMITS = Finding(
    Part.LIMITS,
    "every lot",
    "not looked at while rows name what is not there",
    "first mend what is told under references",
    Weight.LOOK,
)


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found; ``deep``: the file was whole, so that every step was taken.

    ``backup`` and ``mended``: what was kept and set right before this was found.
    """

    findings: list[Finding]
    deep: bool
    store: str
    backup: Copied | None = None
    mended: tuple[Finding, ...] = ()


def check(path: FilePath, on: date) -> Checked:
    """Look through a store; it is not written, and others may go on writing.

    StoreTrouble only for a file that is no store, or of a newer version.
    """
    copy = scratch()
    try:
        return _look(Store(copy, path), path, on) if _copy(path, copy) else _unreadable(path)
    except sqlite3.DatabaseError as error:
        return Checked([_damaged(error, path)], deep=False, store=Path(path).name)
    finally:
        copy.close()


def _copy(path: FilePath, copy: sqlite3.Connection) -> bool:
    """Copy a store's pages as they are, however they are; False for a file with no first page."""
    conn = connect(path)
    try:
        conn.backup(copy)
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorname == "SQLITE_NOTADB":
            return False
        raise
    finally:
        conn.close()
    application = copy.execute("PRAGMA application_id").fetchone()[0]
    if application != APPLICATION_ID:
        raise StoreTrouble(f"{path} is not a stockcheck store; look at the path of --store")
    refuse_newer(copy, path)
    return True


def _unreadable(path: FilePath) -> Checked:
    what = "its first page is damaged, or it is no store at all"
    return Checked([_lost(what, path)], deep=False, store=Path(path).name)


def _look(store: Store, path: FilePath, on: date) -> Checked:
    conn = store.conn
    found = list(_integrity(conn, path))
    if any(not each.mends for each in found):
        return Checked(found, deep=False, store=Path(path).name)
    broken = list(_references(conn, path))
    found += broken
    if conn.execute("PRAGMA user_version").fetchone()[0] < SCHEMA_VERSION:
        migrate(store)
    with store.trying():
        lost = list(unreadable(conn))
        for derived in DERIVED:
            if derived.part is not Part.LIMITS or not (lost or broken):
                found += derived.findings(conn)
        if broken:  # limits rest on items and lots that are not there
            found.append(_NO_LIMITS)
        found += checking_facts.codes(conn)
        found += checking_facts.records(conn)
        found += lost or checking_facts.dates(conn, on)
    parts, weights = list(Part), list(Weight)
    found.sort(key=lambda each: (parts.index(each.part), weights.index(each.weight)))
    return Checked(found, deep=True, store=store.name)


def mend(path: FilePath, on: date) -> Checked:
    """Set right what is derived, after a verified backup; returns what is found afterwards."""
    before = check(path, on)
    wrong = tuple(each for each in before.findings if each.mends)
    if not before.deep or not wrong:
        return before
    with opened(path) as store:
        kept = automatic(store, "mend", whole=False)
        parts = {each.part for each in wrong}
        with store.writing() as conn:
            if Part.FILE in parts:
                conn.execute("REINDEX")
            for derived in DERIVED:
                if derived.part in parts:
                    derived.mend(conn)
    after = check(path, on)
    left = set(after.findings)
    mended = tuple(each for each in wrong if each not in left)
    return Checked(after.findings, after.deep, after.store, kept, mended)


def _damaged(error: sqlite3.DatabaseError, path: FilePath) -> Finding:
    """Damage as a finding; StoreTrouble for anything else, such as a lock."""
    primary = "_".join((getattr(error, "sqlite_errorname", None) or "").split("_")[:2])
    if primary not in _DAMAGED:
        raise trouble(error, path) from error
    return _lost(f"it is damaged: {error}", path)


def _lost(what: str, path: FilePath) -> Finding:
    return Finding(Part.FILE, "the file", what, _remedy(path))


def _remedy(path: FilePath) -> str:
    from shlex import quote

    return (
        "go back to a backup with 'stockcheck restore FILE', or take out what can be read:"
        f" stockcheck salvage {quote(str(path))} --to NEW.db"
    )


def _integrity(conn: sqlite3.Connection, path: FilePath) -> Iterator[Finding]:
    for (said,) in conn.execute(f"PRAGMA integrity_check({_MOST})").fetchall():
        for line in str(said).splitlines():
            if line == "ok" or line.startswith("*** in database"):
                continue
            if "index" in line and ("missing from" in line or "wrong # of entries" in line):
                remedy = MENDS.replace("works it out", "makes it")
                yield Finding(Part.FILE, "the file", line, remedy, mends=True)
            else:
                yield _lost(line, path)


def _references(conn: sqlite3.Connection, path: FilePath) -> Iterator[Finding]:
    found: dict[tuple[str, str], list[int | None]] = {}
    for table, rowid, parent, _ in conn.execute("PRAGMA foreign_key_check").fetchall():
        found.setdefault((table, parent), []).append(rowid)
    for (table, parent), rows in found.items():
        numbers = ", ".join(str(each) for each in rows[:10] if each is not None)
        more = f" and {len(rows) - 10} more" if len(rows) > 10 else ""
        what = f"{len(rows)} of its rows name one of {parent} that is not there"
        yield Finding(Part.REFERENCES, f"{table} {numbers}{more}".strip(), what, _remedy(path))
