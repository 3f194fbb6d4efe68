"""A damaged store gives up every row that can be read, and what is lost is told.

The practice is that of SQLite's own tests (sqlite.org/testing.html, section 4.5, malformed database
files): bytes are changed, pages overwritten and files cut short, by many seeds.
STOCKCHECK_DAMAGES sets how many.
"""

from __future__ import annotations

import os
import sqlite3
from errno import EIO
from io import BytesIO
from pathlib import Path
from random import Random
from shutil import copyfile
from typing import Any

import pytest

from crash import wrong_with
from full_store import full_store, search, views
from stockcheck.core.errors import StoreTrouble
from stockcheck.store.checking_derived import DERIVED
from stockcheck.store.files import opened
from stockcheck.store.salvage import Salvaged, salvage
from stockcheck.store.salvage_pages import INDEX_LEAF, TABLE_LEAF, Pages
from stockcheck.store.salvage_rows import roots
from stockcheck.store.tables import rows_of, tables
from sums import digests

PAGE = 4096
SEEDS = range(int(os.environ.get("STOCKCHECK_DAMAGES", "8")))


@pytest.fixture(scope="module")
def demo_bytes(made_stores: Path) -> bytes:
    return (made_stores / "demo" / "stock.db").read_bytes()


def rows(path: Path) -> dict[str, set[tuple[Any, ...]]]:
    conn = sqlite3.connect(path)
    try:
        return {each.name: set(rows_of(conn, each)) for each in tables(conn) if not each.derived}
    finally:
        conn.close()


def saved(content: bytes, folder: Path) -> tuple[Path, Salvaged]:
    (folder / "bad.db").write_bytes(content)
    return folder / "new.db", salvage(folder / "bad.db", folder / "new.db")


def overwritten(content: bytes, pages: list[int], random: Random) -> bytes:
    damaged = bytearray(content)
    for page in pages:
        damaged[(page - 1) * PAGE : page * PAGE] = random.randbytes(PAGE)
    return bytes(damaged)


def assert_sound(path: Path) -> None:
    """It opens, adds up, and what is derived in it is as it should be."""
    with opened(path) as store, store.trying() as conn:
        assert [found for derived in DERIVED for found in derived.findings(conn)] == []
    assert wrong_with(path) == []


@pytest.mark.parametrize("which", ["demo", "full"])
def test_of_a_whole_store_everything_is_saved(
    which: str, demo_bytes: bytes, tmp_path: Path
) -> None:
    content = demo_bytes if which == "demo" else full_store(tmp_path / "f.db").read_bytes()
    new, done = saved(content, tmp_path)
    assert (done.aside, done.gaps, done.pages, done.shipped, done.unplaced) == ([], {}, {}, [], [])
    with opened(tmp_path / "bad.db") as one, opened(new) as other:
        assert digests(one.conn) == digests(other.conn)
    assert views(new) == views(tmp_path / "bad.db")
    assert search(new) == search(tmp_path / "bad.db")
    assert new.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("seed", SEEDS)
def test_pages_overwritten_cost_only_what_stood_on_them(
    seed: int, demo_bytes: bytes, tmp_path: Path
) -> None:
    random = Random(seed)
    (tmp_path / "whole.db").write_bytes(demo_bytes)
    before = rows(tmp_path / "whole.db")
    hit = sorted(random.sample(range(1, len(demo_bytes) // PAGE + 1), random.randint(1, 4)))
    new, done = saved(overwritten(demo_bytes, hit, random), tmp_path)
    assert_sound(new)
    after = rows(new)
    for table, found in after.items():
        assert found <= before[table], f"{table}: nothing is made up"
    lost = {name: len(before[name] - after[name]) for name in before if before[name] - after[name]}
    told = {*done.gaps, *done.unplaced, *(each.table for each in done.aside)}
    told |= {word for what in done.pages.values() for word in what.split()[:1]}
    assert set(lost) <= told, "what is lost is told"


@pytest.mark.parametrize("seed", SEEDS)
def test_bytes_changed_and_files_cut_short_end_in_a_sound_store_or_a_clear_no(
    seed: int, demo_bytes: bytes, tmp_path: Path
) -> None:
    random, damaged = Random(seed), bytearray(demo_bytes)
    if seed % 2:
        for _ in range(random.choice([1, 20, 400])):
            damaged[random.randrange(len(damaged))] = random.randrange(256)
    else:
        del damaged[random.randrange(len(damaged)) :]
    try:
        new, done = saved(bytes(damaged), tmp_path)
    except StoreTrouble:
        assert not (tmp_path / "new.db").exists()
        return
    assert_sound(new)
    assert sum(done.rows.values()) > 0


def test_without_its_first_page_rows_are_known_by_their_shape(
    demo_bytes: bytes, tmp_path: Path
) -> None:
    new, done = saved(bytes(PAGE) + demo_bytes[PAGE:], tmp_path)
    (tmp_path / "whole.db").write_bytes(demo_bytes)
    before, after = rows(tmp_path / "whole.db"), rows(new)
    for table in ("movement", "lot", "box", "item", "kind"):
        assert len(after[table]) >= len(before[table]) * 0.9, table
    assert done.pages


def without(path: Path, table: str) -> bytes:
    """A store's bytes with the table's only page, or its root, overwritten."""
    pages = Pages.of(BytesIO(path.read_bytes()))
    root = roots(pages)[table]
    return overwritten(path.read_bytes(), [root], Random(1))


def test_rows_whose_parents_are_lost_are_kept_aside_with_their_reason(tmp_path: Path) -> None:
    full = full_store(tmp_path / "full.db")
    _, done = saved(without(full, "lot"), tmp_path)
    aside = {(each.table, each.why) for each in done.aside}
    assert ("movement_line", "what it refers to is lost") in aside
    assert done.gaps["lot"] == [1]
    assert next(each for each in done.aside if each.table == "lot_change").values["became"] == ""


def test_a_ledger_that_lost_a_line_stays_honest(tmp_path: Path) -> None:
    """What was taken out of stock that nobody knows of any more is kept aside, not counted."""
    full = full_store(tmp_path / "full.db")
    conn = sqlite3.connect(full)
    for trigger in ("movement_line_stay",):
        conn.execute(f"DROP TRIGGER {trigger}")
    conn.execute("DELETE FROM movement_line WHERE line_id = 1")
    conn.commit()
    conn.close()
    new, done = saved(full.read_bytes(), tmp_path)
    assert [(each.table, each.values["quantity"]) for each in done.aside] == [("movement_line", -1)]
    assert done.gaps == {"movement_line": [1]}
    assert_sound(new)


def test_a_kind_that_ships_is_taken_from_the_catalogue(demo_bytes: bytes, tmp_path: Path) -> None:
    (tmp_path / "whole.db").write_bytes(demo_bytes)
    conn = sqlite3.connect(tmp_path / "whole.db")
    leaf = conn.execute(
        "SELECT pageno FROM dbstat WHERE name = 'kind' AND pagetype = 'leaf' LIMIT 1"
    ).fetchone()[0]
    conn.close()
    new, done = saved(overwritten(demo_bytes, [leaf], Random(2)), tmp_path)
    assert done.shipped
    assert rows(new)["kind"] == rows(tmp_path / "whole.db")["kind"]
    assert rows(new)["lot"] == rows(tmp_path / "whole.db")["lot"]


def test_a_write_that_was_broken_off_is_taken_back_first(demo_bytes: bytes, tmp_path: Path) -> None:
    """A journal beside the file is part of it (sqlite.org/howtocorrupt.html, section 1.4)."""
    (tmp_path / "live.db").write_bytes(demo_bytes)
    conn = sqlite3.connect(tmp_path / "live.db", isolation_level=None)
    conn.execute("PRAGMA cache_size = 1")
    conn.execute("BEGIN")
    conn.execute("UPDATE item SET note = note || 'half'")
    copyfile(tmp_path / "live.db", tmp_path / "bad.db")
    copyfile(tmp_path / "live.db-journal", tmp_path / "bad.db-journal")
    conn.close()
    salvage(tmp_path / "bad.db", tmp_path / "new.db")
    assert not [row for row in rows(tmp_path / "new.db")["item"] if "half" in str(row)]


@pytest.mark.parametrize("content", [b"", b"box,item\n" * 900, bytes(9000), b"SQLite format 3\0"])
def test_what_is_no_store_gives_nothing(content: bytes, tmp_path: Path) -> None:
    with pytest.raises(StoreTrouble, match="nothing of a store can be read"):
        saved(content, tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["bad.db"]


def test_the_damaged_file_stays_as_it_is_and_nothing_is_written_over(
    demo_bytes: bytes, tmp_path: Path
) -> None:
    damaged = overwritten(demo_bytes, [5], Random(3))
    new, _ = saved(damaged, tmp_path)
    assert (tmp_path / "bad.db").read_bytes() == damaged
    with pytest.raises(StoreTrouble, match="is there already"):
        salvage(tmp_path / "bad.db", new)


class BadSector(BytesIO):
    """A file of which the disk gives back no byte of one page."""

    bad = 0

    def read(self, size: int | None = -1, /) -> bytes:
        if self.tell() == (self.bad - 1) * PAGE:
            raise OSError(EIO, "Input/output error")
        return super().read(size)


def test_a_page_that_the_disk_does_not_give_back_costs_that_page_alone(tmp_path: Path) -> None:
    conn = sqlite3.connect(tmp_path / "kit.db")
    conn.execute("CREATE TABLE a (n INTEGER PRIMARY KEY, v)")
    conn.executemany("INSERT INTO a (v) VALUES (?)", [("x" * 200,)] * 900)
    conn.commit()
    leaves = conn.execute(
        "SELECT pageno, ncell FROM dbstat WHERE name = 'a' AND pagetype = 'leaf'"
    ).fetchall()
    conn.close()
    bad, rows_on_it = leaves[3]
    file = BadSector((tmp_path / "kit.db").read_bytes())
    file.bad = bad
    pages = Pages.of(file)
    read = list(pages.walk(roots(pages)["a"], TABLE_LEAF, "a"))
    assert len(read) == 900 - rows_on_it
    assert pages.bad == {bad: "a page cannot be read from the disk"}


def test_pages_are_read_as_sqlite_reads_them(tmp_path: Path) -> None:
    """Against SQLite itself: every sort of value, texts over many pages, both sorts of table."""
    conn = sqlite3.connect(tmp_path / "kit.db")
    conn.execute("CREATE TABLE a (n INTEGER PRIMARY KEY, v)")
    conn.execute("CREATE TABLE b (k TEXT PRIMARY KEY, v) WITHOUT ROWID")
    values = [None, 0, 1, -1, 127, -129, 2**23, -(2**31), 2**40, 2**63 - 1, -(2**63), 1.5, -0.25,
              "", "x" * 9000, "кузов" * 4000, b"\0\xff", "y" * 4061]  # fmt: skip
    for number, value in enumerate(values * 20):
        conn.execute("INSERT INTO a VALUES (?, ?)", (number - 50, value))
        conn.execute("INSERT INTO b VALUES (?, ?)", (f"k{number:04}", value))
    conn.commit()
    pages = Pages.of(BytesIO((tmp_path / "kit.db").read_bytes()))
    where = roots(pages)
    read = [(each.rowid, each.values[1]) for each in pages.walk(where["a"], TABLE_LEAF, "a")]
    assert read == conn.execute("SELECT n, v FROM a ORDER BY n").fetchall()
    keyed = sorted(each.values for each in pages.walk(where["b"], INDEX_LEAF, "b"))
    assert [key for key, _ in keyed] == [r[0] for r in conn.execute("SELECT k FROM b ORDER BY k")]
    assert [tuple(each) for each in keyed] == conn.execute(
        "SELECT k, v FROM b ORDER BY k"
    ).fetchall()
    assert pages.bad == {}
    conn.close()
