"""Disk full, read-only, file gone, two who write at once, a clock set back: told in words, and
nothing that was acknowledged is lost.

STOCKCHECK_WRITES sets how many lines each of two processes writes at once (10,000 is the promise;
tests/benchmarks/crash.py runs it so).
"""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest

from crash import facts, wrong_with
from doings import done, many
from ordinary import ordinary
from stockcheck.core.errors import StoreTrouble
from stockcheck.core.intake import Arrival, LotFacts
from stockcheck.store import reads
from stockcheck.store.files import opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import create
from stockcheck.store.receiving import receive

WRITES = int(os.environ.get("STOCKCHECK_WRITES", "60"))
WRITER = """
import sys
from stockcheck.store.files import opened
for number in range(int(sys.argv[2])):
    with opened(sys.argv[1]) as store, store.writing() as conn:
        conn.execute("UPDATE setting SET value = value + 1 WHERE key = 'count'")
"""
FULL = """
import resource, signal, sys
from stockcheck.cli.app import run
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), resource.RLIM_INFINITY))
sys.exit(run(sys.argv[2:]))
"""


@pytest.fixture
def store(made_stores: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("STOCKCHECK_TODAY", "2026-11-25")
    copyfile(made_stores / "demo" / "stock.db", tmp_path / "stock.db")
    return tmp_path / "stock.db"


def test_two_processes_that_write_at_once_lose_nothing_and_meet_no_lock(tmp_path: Path) -> None:
    create(tmp_path / "kit.db", "Kit")
    with opened(tmp_path / "kit.db") as store, store.writing() as conn:
        conn.execute("INSERT INTO setting VALUES ('count', '0')")
    command = [sys.executable, "-c", WRITER, str(tmp_path / "kit.db"), str(WRITES)]
    both = [subprocess.Popen(command, stderr=subprocess.PIPE, text=True) for _ in range(2)]
    assert [(each.communicate()[1], each.returncode) for each in both] == [("", 0), ("", 0)]
    with opened(tmp_path / "kit.db") as store:
        row = store.conn.execute("SELECT value FROM setting WHERE key = 'count'").fetchone()
    assert int(row[0]) == 2 * WRITES


@pytest.mark.skipif(sys.platform == "win32", reason="limits of a process as POSIX has them")
@pytest.mark.parametrize("more", [0, 1, 5000, 20_000])
def test_a_full_disk_is_told_and_changes_nothing(store: Path, more: int) -> None:
    """No file may grow past so many bytes: journal, store, backup and export alike."""
    before = facts(store)
    full = [sys.executable, "-c", FULL, str(more or 900)]
    for command in (["receive", "--box", "Water", "--item", "I70", "--quantity", "5"],
                    ["backup"], ["export", str(store.with_name("out"))]):  # fmt: skip
        ran = subprocess.run(
            [*full, "--store", str(store), *command], capture_output=True, text=True, check=False
        )
        assert ran.returncode in {3, 4}, ran.stderr
        assert "Traceback" not in ran.stderr
        assert ran.stderr.startswith("stockcheck: "), ran.stderr
    assert facts(store) == before
    assert wrong_with(store) == []
    assert not list(store.parent.rglob("*.part"))
    assert not store.with_name("out").exists(), "no half an export is left"
    assert done(store, ["box", "add", "Fridge"]) == 0


@pytest.mark.parametrize("more", [0, 1, 8, 40])
def test_sqlite_s_own_word_for_a_full_disk_is_told_and_changes_nothing(
    store: Path, more: int
) -> None:
    """SQLITE_FULL itself, which a bound on the file's pages gives as a full disk does."""
    before = facts(store)

    def take_in_too_much() -> None:
        with opened(store) as full:
            pages = full.conn.execute("PRAGMA page_count").fetchone()[0]
            full.conn.execute(f"PRAGMA max_page_count = {pages + more}").fetchone()
            box, item = reads.boxes(full.conn)[0], reads.items(full.conn)[0]
            lots = [LotFacts(item.id, batch=f"N{number}", note="x" * 400) for number in range(900)]
            arrivals = [Arrival(at, box, item, 1, lot) for at, lot in enumerate(lots, 2)]
            with full.writing() as conn:
                receive(conn, arrivals, Stamp(date(2026, 11, 25), "2026-11-25T08:00:00+00:00"))

    with pytest.raises(StoreTrouble, match=r"the disk is full; nothing was changed"):
        take_in_too_much()
    assert facts(store) == before
    assert wrong_with(store) == []
    assert done(store, ["box", "add", "Fridge"]) == 0


@pytest.mark.skipif(sys.platform == "win32", reason="permissions as POSIX has them")
@pytest.mark.parametrize("what", ["file", "folder"])
def test_what_may_only_be_read_is_told(store: Path, what: str) -> None:
    place = store if what == "file" else store.parent
    place.chmod(0o400 if what == "file" else 0o500)
    try:
        command = ["-m", "stockcheck", "--store", str(store)]
        written = ordinary(*command, "box", "add", "Fridge")
        assert written.returncode == 4, written.stderr
        assert ordinary(*command, "find", "tablet").returncode == 0
    finally:
        place.chmod(0o700)


def test_a_store_that_vanishes_under_a_write_is_told_and_nothing_is_acknowledged(
    store: Path,
) -> None:
    def write_into_what_is_gone() -> None:
        with opened(store) as gone:
            gone.conn.execute("SELECT count(*) FROM box").fetchone()
            store.rename(store.with_name("moved.db"))
            with gone.writing() as conn:
                conn.execute("UPDATE box SET note = 'lost'")

    with pytest.raises(StoreTrouble, match="was moved or replaced meanwhile"):
        write_into_what_is_gone()
    assert not [row for row in facts(store.with_name("moved.db"))["box"] if "lost" in row]


def test_a_clock_that_was_set_back_changes_no_sum_and_stops_no_command(
    store: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STOCKCHECK_TODAY", "2020-02-29")
    codes = [code for _, code in many(store, 11, 25)]
    assert set(codes) <= {0, 1, 2, 3}
    assert 0 in codes
    assert wrong_with(store) == []
    assert done(store, ["expiry"]) == 0
    assert done(store, ["check"]) == 0, "what is to come is worth a look, and nothing is wrong"


def test_what_was_done_last_is_told_within_one_second(store: Path) -> None:
    """A script's commands: a closing that wrote no movement is not passed over by undo."""
    use = ["use", "L50", "-n", "1", "--anyway", "--reason", "count"]
    close = ["trip", "close", "Shakedown weekend", "--nothing-more", "--yes", "--on", "2027-01-18"]
    for _ in range(3):
        assert (done(store, use), done(store, close)) == (0, 0)
        before = facts(store)["movement"]
        assert done(store, ["undo"]) == 3
        assert facts(store)["movement"] == before
        assert done(store, [*close[:3], "--undo", "--yes", "--on", "2027-01-18"]) == 0
        assert done(store, ["undo"]) == 0
