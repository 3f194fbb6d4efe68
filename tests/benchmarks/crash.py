"""Kills by the thousand: python tests/benchmarks/crash.py [KILLS [WRITES [FOLDER]]]

A process that works on the demo's store is killed at random moments; afterwards the store opens, is
sound, and has every command that said done, which a second store that follows it tells
(tests/support/crash.py). Then two processes write WRITES lines each at once. Figures are counts and
ratios: what share of the kills left a journal, that is fell into a write.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path
from shutil import copyfile
from tempfile import TemporaryDirectory

sys.path[:0] = [str(Path(__file__).parents[1] / "support")]

from crash import follow, kill_at_random, new_backups, wrong_with
from doings import done, many
from stockcheck.store.files import opened
from stockcheck.store.migrate import create

WRITER = """
import sys
from stockcheck.store.files import opened
for number in range(int(sys.argv[2])):
    with opened(sys.argv[1]) as store, store.writing() as conn:
        conn.execute("UPDATE setting SET value = value + 1 WHERE key = 'count'")
"""


def kills(folder: Path, count: int) -> None:
    """Kill so often, and begin with a fresh pair of stores every hundred times."""
    demo = folder / "demo"
    assert done(folder / "none.db", ["demo", str(demo)]) == 0
    store, shadow = folder / "stock.db", folder / "shadow.db"
    acknowledged = journals = 0
    seen: set[str] = set()
    many(Path(copyfile(demo / "stock.db", folder / "warm.db")), 0, 60)
    for seed in range(count):
        if seed % 100 == 0:
            for path in (store, shadow):
                copyfile(demo / "stock.db", path)
        killed = kill_at_random(store, seed, 4, 0.06)
        with opened(store):
            pass
        assert wrong_with(store) == [], seed
        for backup in new_backups(store, seen):
            assert wrong_with(backup) == [], seed
        assert follow(shadow, seed, killed.acknowledged, store), seed
        acknowledged += killed.acknowledged
        journals += killed.journal
        if (seed + 1) % 100 == 0:
            print(f"{seed + 1} kills, {acknowledged} commands, {journals} in a write", flush=True)
    print(f"{count} kills, all sound; {journals / count:.2f} of them fell into a write")
    print(f"{len(seen)} backups made meanwhile, each sound")


def writers(folder: Path, count: int) -> None:
    """Two processes that write at once, against one that writes as much alone."""
    path = folder / "kit.db"
    create(path, "Kit")
    with opened(path) as store, store.writing() as conn:
        conn.execute("INSERT INTO setting VALUES ('count', '0')")
    seconds = []
    for share, processes in ((2 * count, 1), (count, 2)):
        command = [sys.executable, "-c", WRITER, str(path), str(share)]
        begun = time.perf_counter()
        running = [subprocess.Popen(command) for _ in range(processes)]
        assert [each.wait() for each in running] == [0] * processes
        seconds.append(time.perf_counter() - begun)
    with opened(path) as store:
        row = store.conn.execute("SELECT value FROM setting WHERE key = 'count'").fetchone()
    assert int(row[0]) == 4 * count, row
    print(
        f"2 x {count} writes at once, none lost; {seconds[1] / seconds[0]:.2f} x one writer alone"
    )


def main() -> None:
    """Run both."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    writes = int(sys.argv[2]) if len(sys.argv) > 2 else 10_000
    os.environ["STOCKCHECK_TODAY"] = "2026-11-25"
    with TemporaryDirectory(dir=sys.argv[3] if len(sys.argv) > 3 else None) as folder:
        kills(Path(folder), count)
        writers(Path(folder), writes)


if __name__ == "__main__":
    main()
