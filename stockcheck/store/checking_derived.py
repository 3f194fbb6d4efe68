"""What is worked out from other facts, held against them, and worked out anew where it is wrong."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.errors import StoreTrouble
from stockcheck.core.names import name_key
from stockcheck.core.store_findings import MENDS, Finding, Part, Weight
from stockcheck.store.files import SCHEMA_VERSION
from stockcheck.store.migrate import as_made, schema_of
from stockcheck.store.tables import quoted, tables

_HELD = "lot_id = h.lot_id AND box_id = h.box_id AND state = h.state AND ifnull(opened_on, '') ="
_SUM = f"(SELECT ifnull(sum(quantity), 0) FROM movement_line WHERE {_HELD} ifnull(h.opened_on, ''))"


@dataclass(frozen=True, slots=True)
class Derived:
    """One sort of derived values: how to find what is wrong, and how to set it right."""

    part: Part
    findings: Callable[[sqlite3.Connection], Iterator[Finding]]
    mend: Callable[[sqlite3.Connection], None]


def schema_findings(conn: sqlite3.Connection) -> Iterator[Finding]:
    """Tables, indexes, views and triggers against what this version makes."""
    made, there = as_made(SCHEMA_VERSION), schema_of(conn)
    made = {key: sql for key, sql in made.items() if not _shadow(key)}
    for key in made.keys() - there.keys():
        yield _missing(*key, "is missing")
    for key in made.keys() & there.keys():
        if _tidy(made[key]) != _tidy(there[key]):
            yield _missing(*key, "is not as this version makes it")
    for sort, name in sorted(there.keys() - made.keys()):
        if not _shadow((sort, name)):
            remedy = f"take it out unless you made it: DROP {sort.upper()} {name}"
            weight = Weight.WRONG if sort == "trigger" else Weight.LOOK
            what = "was made by another program"
            yield Finding(Part.SCHEMA, f"{sort} {name}", what, remedy, weight)


def _shadow(key: tuple[str, str]) -> bool:
    return key[0] == "table" and key[1].startswith("search_")


def _tidy(sql: str) -> str:
    return " ".join(sql.split())


def _missing(sort: str, name: str, what: str) -> Finding:
    mends = sort != "table"
    remedy = MENDS.replace("works it out", "makes it") if mends else "go back to a backup"
    return Finding(Part.SCHEMA, f"{sort} {name}", what, remedy, mends=mends)


def mend_schema(conn: sqlite3.Connection) -> None:
    """Make triggers, views and indexes as this version does; no table is touched."""
    made, there = as_made(SCHEMA_VERSION), schema_of(conn)
    for (sort, name), sql in made.items():
        if sort != "table" and _tidy(there.get((sort, name), "")) != _tidy(sql):
            conn.execute(f"DROP {sort.upper()} IF EXISTS {quoted(name)}")
            conn.execute(sql)


def on_hand_findings(conn: sqlite3.Connection) -> Iterator[Finding]:
    """Each holding against the sum of its movements."""
    rows = conn.execute(
        f"SELECT lot_id, box.name, quantity, {_SUM} FROM holding AS h JOIN box USING (box_id)"
        f" WHERE quantity <> {_SUM}"
        " UNION ALL SELECT lot_id, box.name, NULL, sum(quantity) FROM movement_line AS h"
        " JOIN box USING (box_id) WHERE NOT EXISTS"
        f" (SELECT 1 FROM holding WHERE {_HELD} ifnull(h.opened_on, ''))"
        " GROUP BY lot_id, box_id, state, opened_on"
    )
    for lot, box, there, wanted in rows.fetchall():
        stands = "nothing stands" if there is None else f"{there} stands"
        what = f"{stands} where its movements add up to {wanted}"
        below = wanted < 0
        remedy = "go back to a backup: the ledger itself is short of a line" if below else MENDS
        yield Finding(Part.ON_HAND, f"lot L{lot} in {box}", what, remedy, mends=not below)


def mend_on_hand(conn: sqlite3.Connection) -> None:
    """Set each holding to the sum of its movements, where that is none below zero."""
    conn.execute(
        "INSERT INTO holding (lot_id, box_id, opened_on, state, quantity)"
        " SELECT DISTINCT lot_id, box_id, opened_on, state, 0 FROM movement_line AS h"
        f" WHERE NOT EXISTS (SELECT 1 FROM holding WHERE {_HELD} ifnull(h.opened_on, ''))"
    )
    conn.execute(
        f"UPDATE holding AS h SET quantity = {_SUM} WHERE quantity <> {_SUM} AND {_SUM} >= 0"
    )


def limit_findings(conn: sqlite3.Connection) -> Iterator[Finding]:
    """Stored limits against those worked out anew; what was worked out stays, so try it only."""
    from stockcheck.store.limits import refreshed
    from stockcheck.store.reads import holdings

    stale = refreshed(conn)
    after = {each.id: each for each in holdings(conn, empty=True)} if stale else {}
    for was in stale:
        now = after[was.id]
        what = f"{_limit(was.last_usable_day, was.governed_by)} is kept where its facts give "
        what += _limit(now.last_usable_day, now.governed_by)
        yield Finding(
            Part.LIMITS, f"lot {was.lot.short} in {was.box.name}", what, MENDS, mends=True
        )


def _limit(day: date | None, word: str) -> str:
    return f"{spoken(day) if day else 'no last usable day'}{f' ({word})' if word else ''}"


def mend_limits(conn: sqlite3.Connection) -> None:
    """Work out every limit anew."""
    from stockcheck.store.limits import refresh_limits

    refresh_limits(conn)


def searched() -> str:
    """What the search index should say, as one SELECT made of this version's own triggers.

    Each ``search_..._new`` trigger tells what a new row brings into the index; with NEW as the name
    of the table it tells the same for every row there is.
    """
    parts = []
    for (sort, name), sql in sorted(as_made(SCHEMA_VERSION).items()):
        if sort == "trigger" and re.fullmatch(r"search_\w+_new", name):
            parts.append(_selected(sql))
            if not parts[-1]:
                raise StoreTrouble(f"the trigger {name} is not told apart; please report it")
    return " UNION ALL ".join(parts)


def _selected(sql: str) -> str:
    """A trigger's INSERT as a SELECT over its whole table, "" for a form that is not known."""
    shape = r"CREATE TRIGGER \w+ AFTER INSERT ON (\w+)\s+BEGIN\s+INSERT INTO search \([a-z, ]+\)\s+"
    if found := re.fullmatch(shape + r"VALUES \((.*)\);\s*END;?", sql, re.DOTALL):
        return f"SELECT {found[2]} FROM {found[1]} AS NEW"
    rest = r"SELECT (.*?)\s+FROM (.*?)\s+WHERE (.*);\s*END;?"
    if found := re.fullmatch(shape + rest, sql, re.DOTALL):
        return f"SELECT {found[2]} FROM {found[3]}, {found[1]} AS NEW WHERE {found[4]}"
    return ""


def search_findings(conn: sqlite3.Connection) -> Iterator[Finding]:
    """The search index against the names, notes, batches and codes it is made of."""
    try:
        conn.execute("INSERT INTO search (search) VALUES ('integrity-check')")
        wanted, there = f"SELECT * FROM ({searched()})", "SELECT rowid, title, words FROM search"
        lacking, more = (
            conn.execute(f"SELECT count(*) FROM ({one} EXCEPT {other})").fetchone()[0]
            for one, other in ((wanted, there), (there, wanted))
        )
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorname.startswith("SQLITE_READONLY"):
            raise
        yield Finding(Part.SEARCH, "search index", f"it is damaged ({error})", MENDS, mends=True)
        return
    if lacking or more:
        what = f"{lacking} of its entries are lacking or out of date, {more} left from before"
        yield Finding(Part.SEARCH, "search index", what, MENDS, mends=True)


def mend_search(conn: sqlite3.Connection) -> None:
    """Make the search index anew from what it is made of."""
    made = as_made(SCHEMA_VERSION)["table", "search"]
    conn.execute("DROP TABLE IF EXISTS search")
    conn.execute(made)
    conn.execute(f"INSERT INTO search (rowid, title, words) {searched()}")


def setting_findings(conn: sqlite3.Connection) -> Iterator[Finding]:
    """Settings and keys of names that are worked out from the rest."""
    from stockcheck.store.heat import heat_is_known

    row = conn.execute("SELECT value FROM setting WHERE key = 'heat'").fetchone()
    wanted = "known" if heat_is_known(conn) else "none"
    if row is None or row[0] != wanted:
        what = f"{row[0] if row else 'nothing'!r} is kept where boxes and readings give {wanted!r}"
        yield Finding(Part.SETTINGS, "setting heat", what, MENDS, mends=True)
    for key in ("name", "currency"):
        if conn.execute("SELECT 1 FROM setting WHERE key = ?", (key,)).fetchone() is None:
            what, remedy = "it is missing", "reports call the store by its file meanwhile"
            yield Finding(Part.SETTINGS, f"setting {key}", what, remedy, Weight.LOOK)
    for table, name, _ in _wrong_keys(conn):
        what = "it is not found by its name: the key kept for it is another's"
        yield Finding(Part.SETTINGS, f"{table} {name}", what, MENDS, mends=True)


def _wrong_keys(conn: sqlite3.Connection) -> list[tuple[str, str, str]]:
    """Table, name and right key of every row whose name is kept under a wrong one."""
    found = []
    for table in tables(conn):
        if {"name", "name_key"} <= set(table.names):
            rows = conn.execute(f"SELECT name, name_key FROM {quoted(table.name)}").fetchall()
            found += [
                (table.name, name, name_key(name)) for name, key in rows if key != name_key(name)
            ]
    return found


def mend_settings(conn: sqlite3.Connection) -> None:
    """Work out those settings and keys anew; a key that another name has stays as it is."""
    from stockcheck.store.limits import note_heat

    note_heat(conn)
    for table, name, key in _wrong_keys(conn):
        conn.execute(
            f"UPDATE {quoted(table)} SET name_key = ?1 WHERE name = ?2"
            f" AND NOT EXISTS (SELECT 1 FROM {quoted(table)} WHERE name_key = ?1)",
            (key, name),
        )


# In the order in which they are set right: limits rest on holdings, settings and the schema.
DERIVED = (
    Derived(Part.SCHEMA, schema_findings, mend_schema),
    Derived(Part.ON_HAND, on_hand_findings, mend_on_hand),
    Derived(Part.SETTINGS, setting_findings, mend_settings),
    Derived(Part.LIMITS, limit_findings, mend_limits),
    Derived(Part.SEARCH, search_findings, mend_search),
)
