"""What can be saved from a damaged store: a new one with every readable row, and what is lost.

The damaged file is only read. Rows go into an empty store of the same schema, parents first, with
every rule of the new store in force; movements are replayed in their order, so that on-hand is what
the readable ones add up to. What a rule refuses, or what refers to a row that is gone, is kept
aside with the reason.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from stockcheck.core.errors import StoreTrouble
from stockcheck.store.checking_derived import mend_settings
from stockcheck.store.files import SCHEMA_VERSION, Store, connect, trouble
from stockcheck.store.kinds import refresh_kinds
from stockcheck.store.limits import refresh_limits
from stockcheck.store.migrate import blank, migrate
from stockcheck.store.salvage_found import Found, Row
from stockcheck.store.salvage_pages import TABLE_LEAF, Pages, Record, Value
from stockcheck.store.salvage_rows import Shape, indexed, roots, shapes, stray_rows
from stockcheck.store.sense import why_not
from stockcheck.store.tables import Table, loading, putting

_KIND_ENTRIES = 4 * 10**9
_ENOUGH = 10
_ORPHAN = "what it refers to is lost"
_WHY = {
    "SQLITE_CONSTRAINT_FOREIGNKEY": _ORPHAN,
    "SQLITE_CONSTRAINT_TRIGGER": "the movements that can be read do not bear it",
    "SQLITE_CONSTRAINT_UNIQUE": "another row has its key",
    "SQLITE_CONSTRAINT_PRIMARYKEY": "another row has its key",
}


@dataclass(frozen=True, slots=True)
class Aside:
    """A row that was read and could not be taken over: its values by column, and why."""

    table: str
    values: dict[str, Any]
    why: str


@dataclass(slots=True)
class Salvaged:
    """What was saved, what was not, and from which pages nothing came.

    ``gaps``: numbers that must have been there, by table. ``shipped``: kinds whose row is lost and
    which stand in the catalogue. ``unplaced``: tables of which neither a row nor their place in the
    file is left.
    """

    rows: dict[str, int] = field(default_factory=dict)
    aside: list[Aside] = field(default_factory=list)
    gaps: dict[str, list[int]] = field(default_factory=dict)
    pages: dict[int, str] = field(default_factory=dict)
    shipped: list[str] = field(default_factory=list)
    unplaced: list[str] = field(default_factory=list)


def salvage(damaged: Path, new: Path) -> Salvaged:
    """Make a new store of what can be read.

    StoreTrouble where nothing can, or where ``new`` is there already.
    """
    if new.exists():
        raise StoreTrouble(f"{new} is there already; name a new file")
    with _pages(damaged, new) as pages:
        return _salvaged(damaged, new, pages)


def _salvaged(damaged: Path, new: Path, pages: Pages) -> Salvaged:
    version = pages.version if pages.headed else SCHEMA_VERSION
    if version > SCHEMA_VERSION and version < 1000:
        raise StoreTrouble(
            f"{damaged} has schema {version}, made by a newer stockcheck;"
            f" this one knows schema {SCHEMA_VERSION}: update stockcheck"
        )
    part = new.with_name(new.name + ".part")
    part.unlink(missing_ok=True)
    try:
        blank(part, version if 1 <= version <= SCHEMA_VERSION else SCHEMA_VERSION)
        done = _fill(part, pages)
        if not any(done.rows.values()):
            raise StoreTrouble(f"nothing of a store can be read in {damaged}; try a backup")
        part.rename(new)
    finally:
        part.unlink(missing_ok=True)
    return done


@contextmanager
def _pages(damaged: Path, new: Path) -> Iterator[Pages]:
    """The file as it was before a write that a journal tells was broken off."""
    with ExitStack() as open_:
        try:
            journal = damaged.with_name(damaged.name + "-journal")
            if journal.exists():
                from tempfile import TemporaryDirectory

                place = open_.enter_context(TemporaryDirectory(dir=new.parent))
                damaged = _rolled_back(damaged, journal, Path(place))
            # no connection of this process has it open: closing a file drops its locks
            pages = Pages.of(open_.enter_context(damaged.open("rb")))
        except OSError as error:
            raise StoreTrouble(f"cannot read {damaged}: {error.strerror}") from error
        yield pages


def _rolled_back(damaged: Path, journal: Path, folder: Path) -> Path:
    from shutil import copyfile

    copy = folder / "copy.db"
    copyfile(damaged, copy)
    copyfile(journal, copy.with_name("copy.db-journal"))
    with suppress(sqlite3.Error):
        conn = connect(copy)
        try:
            conn.execute("SELECT count(*) FROM sqlite_master").fetchone()
        finally:
            conn.close()
    return copy


def _fill(part: Path, pages: Pages) -> Salvaged:
    conn = connect(part)
    done = Salvaged()
    known = shapes(conn)
    found = Found([shape.table for shape in known])
    try:
        store = Store(conn, part)
        with store.writing():
            kinds = _read(conn, pages, known, found, done)
            with loading(conn):
                conn.execute("PRAGMA defer_foreign_keys = OFF")
                _shipped_kinds(known, found, kinds, done)
                for shape in known:
                    if not shape.table.derived:
                        _put(conn, shape.table, found, done)
        if conn.execute("PRAGMA user_version").fetchone()[0] < SCHEMA_VERSION:
            migrate(store)
        with store.writing():
            _name(conn)
            conn.execute("DELETE FROM setting WHERE key = 'catalogue'")
            refresh_kinds(conn)  # shipped kinds stand as they are shipped, whatever was damaged
            mend_settings(conn)
            refresh_limits(conn)
        done.gaps = _gaps(conn, known, found)
        done.pages = dict(sorted(pages.bad.items()))
    except sqlite3.Error as error:
        raise trouble(error, part) from error
    finally:
        conn.close()
        found.close()
    return done


def _read(
    conn: sqlite3.Connection, pages: Pages, known: list[Shape], found: Found, done: Salvaged
) -> dict[int, str]:
    """Take every row that can be read; returns the keys of kinds that the search tells."""
    pages.skip_free()
    where = roots(pages)
    for shape in known:
        root = where.get(shape.table.name)
        for record in pages.walk(root, shape.leaf, shape.table.name) if root else ():
            _take(found, shape, record, done)
    kinds = _kinds_in_search(pages, where.get("search_content"))
    for name in ("search_data", "search_docsize"):
        if name in where:
            for _ in pages.walk(where[name], TABLE_LEAF, name):
                pass
    for number, fits, record in stray_rows(pages, known, indexed(conn)):
        if len(fits) == 1:
            _take(found, fits[0], record, done)
        elif not all(shape.table.derived for shape in fits):
            names = " or ".join(shape.table.name for shape in fits)
            done.aside.append(Aside(names, _plain(record), f"page {number} is of one of them"))
    facts = [shape.table for shape in known if not shape.table.derived]
    done.unplaced = [it.name for it in facts if it.name not in where and not found.count(it)]
    return kinds


def _plain(record: Record) -> dict[str, Any]:
    return {"row": record.rowid} | {str(at): value for at, value in enumerate(record.values)}


def _take(found: Found, shape: Shape, record: Record, done: Salvaged) -> None:
    """Keep a row; of two with one key the first, which a root led to."""
    row, table = shape.row(record), shape.table
    if row is None:
        if not table.derived:
            done.aside.append(Aside(table.name, _plain(record), "it does not fit the columns"))
        return
    told = dict(zip(table.names, row, strict=True))
    if why := why_not(table.name, told):
        done.aside.append(Aside(table.name, told, why))
        return
    found.take(table, row)


def _kinds_in_search(pages: Pages, root: int | None) -> dict[int, str]:
    """The keys of kinds by number: the search index has them a second time."""
    kinds = {}
    for record in pages.walk(root, TABLE_LEAF, "search") if root else ():
        words = record.values[2] if len(record.values) == 3 else None
        if record.rowid > _KIND_ENTRIES and isinstance(words, str) and words.split():
            kinds[record.rowid - _KIND_ENTRIES] = words.split()[0]
    return kinds


def _shipped_kinds(known: list[Shape], found: Found, told: dict[int, str], done: Salvaged) -> None:
    """Kinds whose row is lost and whose key is still told: as the catalogue has them.

    Where every shipped kind that is left has its place in the catalogue as its number, so had the
    lost ones.
    """
    import json

    from stockcheck.data.kind_table import kind_table
    from stockcheck.data.kinds import SHIPPED, shipped_kinds

    table = next(shape.table for shape in known if shape.table.name == "kind")
    shipped, rows = shipped_kinds(), {row[0]: row for row in found.rows(table)}
    there = {row[table.names.index("key")] for row in rows.values()}
    keys = dict(enumerate(shipped, 1))
    left = [row for row in rows.values() if row[1] in shipped]
    if len(left) >= _ENOUGH and all((row[0], row[1]) in keys.items() for row in left):
        told = keys | told
    for number, key in told.items():
        kind = shipped.get(key)
        if number in rows or key in there or kind is None:
            continue
        values: dict[str, Value] = {
            "kind_id": number,
            "key": key,
            "name": kind.name,
            "words": " ".join((kind.group, *kind.also)),
            "origin": SHIPPED,
            "changes": "{}",
            "rule": json.dumps(kind_table(kind), ensure_ascii=False),
        }
        found.put(table, values)
        done.shipped.append(key)


def _put(conn: sqlite3.Connection, table: Table, found: Found, done: Salvaged) -> None:
    """Put a table's rows in, in the order of their keys, again and again while that helps.

    A row may refer to a later one of its own table, such as a box inside a box.
    """
    count = left = found.count(table)
    waiting: Iterable[Row] = found.rows(table)
    statement, refused = putting(table), list[tuple[Row, str]]()
    while left:
        tried = list(_refused(conn, statement, waiting))
        again = [row for row, why in tried if why == _ORPHAN]
        refused += [(row, why) for row, why in tried if why != _ORPHAN]
        if len(again) == left:
            refused += [(row, _ORPHAN) for row in again]
            break
        waiting, left = again, len(again)
    done.rows[table.name] = count - len(refused)
    for row, why in refused:
        done.aside.append(Aside(table.name, dict(zip(table.names, row, strict=True)), why))


def _refused(
    conn: sqlite3.Connection, statement: str, rows: Iterable[Row]
) -> Iterator[tuple[Row, str]]:
    """Put rows in one by one; those that the store's rules refuse, and why."""
    for row in rows:
        try:
            conn.execute(statement, row)
        except (sqlite3.IntegrityError, sqlite3.DataError) as error:
            yield (
                row,
                _WHY.get(error.sqlite_errorname, "it breaks a rule of the store")
                + (
                    ""
                    if error.sqlite_errorname == "SQLITE_CONSTRAINT_FOREIGNKEY"
                    else f" ({error})"
                ),
            )


def _name(conn: sqlite3.Connection) -> None:
    conn.execute(
        "INSERT INTO setting (key, value) SELECT 'name', 'Salvaged'"
        " WHERE NOT EXISTS (SELECT 1 FROM setting WHERE key = 'name')"
    )


def _gaps(conn: sqlite3.Connection, known: list[Shape], found: Found) -> dict[str, list[int]]:
    """Numbers that were given and whose row is gone, of the tables that are numbered on and on."""
    named: dict[str, set[int]] = {shape.table.name: set() for shape in known}
    numbered = {shape.table.name for shape in known if shape.table.rowid}
    for shape in known:
        table = shape.table
        links = conn.execute(
            'SELECT "from", "table" FROM pragma_foreign_key_list(?)', (table.name,)
        )
        for column, parent in links.fetchall():
            if column in table.key:
                numbered.discard(table.name)
            named[parent] |= found.numbers(table, column)
    gaps = {}
    for shape in known:
        name = shape.table.name
        if name in numbered and not shape.table.derived:
            there = found.numbers(shape.table, shape.table.key[0])
            gone = _missing(there, named[name])
            if gone:
                gaps[name] = gone
    return gaps


def _missing(there: set[int], named: set[int]) -> list[int]:
    """The numbers up to the last one that are not there; a last one out of all reason is none."""
    ordered = sorted(number for number in there | named if number > 0)
    while ordered and ordered[-1] > 10 * len(ordered) + 10_000:
        ordered.pop()
    return [n for n in range(1, ordered[-1] + 1) if n not in there] if ordered else []
