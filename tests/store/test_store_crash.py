"""Killed at any moment, a store has every command that said done, whole, and nothing else.

The practice is that of SQLite's own tests (sqlite.org/testing.html, section 4: anomaly testing):
a child process is killed while it writes, and the file it leaves is opened and checked.
STOCKCHECK_KILLS sets how often; tests/benchmarks/crash.py does it by the thousand.
"""

from __future__ import annotations

import os
import sys
from itertools import chain
from pathlib import Path
from random import Random
from shutil import copyfile

import pytest

from crash import facts, follow, kill_at_random, new_backups, wrong_with
from doings import doings, done, many
from stockcheck.store.files import opened

KILLS = int(os.environ.get("STOCKCHECK_KILLS", "24"))
COMMANDS, SECONDS = 4, 0.06  # before the kill; a command takes some hundredths of a second

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="forks and kills as POSIX does")


@pytest.fixture
def store(made_stores: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("STOCKCHECK_TODAY", "2026-11-25")
    return Path(copyfile(made_stores / "demo" / "stock.db", tmp_path / "stock.db"))


def test_a_store_killed_again_and_again_has_all_that_was_acknowledged(
    store: Path, tmp_path: Path
) -> None:
    shadow = Path(copyfile(store, tmp_path / "shadow.db"))
    many(Path(copyfile(store, tmp_path / "first.db")), 0, 60)  # loads what commands load
    acknowledged, seen = 0, set[str]()
    for seed in range(KILLS):
        killed = kill_at_random(store, seed, COMMANDS, SECONDS)
        with opened(store):
            pass
        assert wrong_with(store) == [], seed
        for backup in new_backups(store, seen):
            assert wrong_with(backup) == [], seed
        assert follow(shadow, seed, killed.acknowledged, store), seed
        acknowledged += killed.acknowledged
    assert acknowledged >= KILLS, "the child has worked at all"
    assert len(facts(store)["movement"]) > 117, "and it has moved stock"


def test_the_commands_at_random_write_in_every_way(store: Path) -> None:
    before = facts(store)
    random = Random(1)
    for number in range(4):
        for command in chain(*doings(random, number)):
            done(store, command)
    after = facts(store)
    grown = {name for name in after if len(after[name]) > len(before[name])}
    changed = {name for name in after if after[name] != before[name]}
    assert grown >= {
        "movement", "movement_line", "holding", "lot", "lot_change", "inspection", "decision",
        "recall", "wanted", "told_use", "audit_round", "box", "item", "par", "supplier", "trip",
        "kit_match", "box_kit", "printer", "print_job", "print_label", "purchase", "purchase_line",
        "purchase_end", "trip_close", "trip_stop", "substitute", "temperature",
    }  # fmt: skip
    assert "kind" in changed
    assert wrong_with(store) == []
