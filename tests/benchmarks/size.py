"""What size costs, as ratios in one run: python tests/benchmarks/size.py [--all] [--runs N]

Stores of 1,000, 10,000 and 100,000 lots (with ``--all`` 1,000,000) are built with ledgers to match
(``big_stores``), each by a process of its own. Then whole commands are run in turns and their
processor time (user and system, of the child alone) is held against a named baseline:

- start-up and a scan against ``python -c "import click, sqlite3"``;
- the expiry report, as CSV and JSON, against the bare SQL with sqlite3 that returns the same rows,
  written by the same writer; that and the other reports against the same SQL and the csv module;
- intake of a CSV file against ``sqlite-utils insert`` of the same file, each into a copy;
- an export of everything against ``sqlite3.Connection.backup`` and reading all rows.

Peak memory is the child's ``ru_maxrss``. The growth exponent between two sizes is that of the time
above start-up: 1 is linear, 0 flat. Run by name, never in the default run.
"""

from __future__ import annotations

import csv
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise, takewhile
from math import log
from pathlib import Path

SUPPORT = Path(__file__).parents[1] / "support"
SIZES, LARGEST = (1_000, 10_000, 100_000), 1_000_000
DAY = "2026-11-25"
SCRIPTS = Path(sys.executable).parent
STARTED = [sys.executable, "-c", "import click, sqlite3"]
BUILD = "import sys; sys.path.insert(0, sys.argv[1]); import big_stores, pathlib;"
BUILD += "big_stores.build(pathlib.Path(sys.argv[2]), int(sys.argv[3]))"
SAME_ROWS = """
    SELECT box.name, item.name, kind.key, 'L' || lot_id, lot.code, batch, quantity, unit,
        last_usable_day, governed_by,
        cast(julianday(last_usable_day) - julianday('2026-11-25') AS INTEGER), state,
        json_extract(kind.rule, '$.meaning'), iif(last_usable_day < '2026-11-25', 'past', '')
    FROM holding JOIN lot USING (lot_id) JOIN item USING (item_id) JOIN kind USING (kind_id)
        JOIN box USING (box_id) WHERE quantity > 0
    ORDER BY box.name_key, last_usable_day, item.name_key, lot_id
"""
BARE = """
import csv, sqlite3, sys
conn = sqlite3.connect(sys.argv[1])
csv.writer(sys.stdout).writerows(conn.execute(sys.argv[2]))
"""
RENDERED = """
import sqlite3, sys
from datetime import date
from stockcheck.output.expiry_report import KEYS
from stockcheck.output.report import Row, Stream
from stockcheck.output.write import chunks
conn = sqlite3.connect(sys.argv[1])
rows = (Row(dict(zip(KEYS, values))) for values in conn.execute(sys.argv[2]))
stream = Stream(date(2026, 11, 25), "bare", KEYS, rows, lambda: ())
sys.stdout.buffer.writelines(chunks(stream, sys.argv[3]))
"""
READ_ALL = """
import csv, sqlite3, sys
conn = sqlite3.connect(sys.argv[1])
out = csv.writer(sys.stdout)
for (name,) in conn.execute("SELECT name FROM sqlite_schema WHERE type = 'table'").fetchall():
    out.writerows(conn.execute(f'SELECT * FROM "{name}"'))
"""
AIMS = {"start-up": 1.5, "expiry, csv": 2.0, "expiry, json": 2.0, "intake": 4.0}
SCAN_GROWTH = 1.3
QUICK, QUICK_RUNS = ("start-up", "scan"), 9  # a tenth of a second each: more runs for their medians


@dataclass(frozen=True, slots=True)
class Cost:
    """Processor seconds and peak megabytes of one process."""

    seconds: float
    megabytes: float


def cost(command: list[str]) -> Cost:
    """What one process took; it must succeed."""
    environment = {k: v for k, v in os.environ.items() if not k.startswith("STOCKCHECK_")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    child = subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=environment
    )
    said = child.stderr.read().decode() if child.stderr else ""
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(f"{command}: exit {child.returncode}: {said}")
    return Cost(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def lines_to_take_in(path: Path, count: int) -> None:
    """An intake file: new lots of known items in known boxes."""
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file)
        out.writerow(["box", "item", "quantity", "expiry", "batch", "received", "note"])
        for line in range(count):
            day = f"{2027 + line % 4}-{line % 12 + 1:02}-{line % 28 + 1:02}"
            box, item = f"box {line % 25 + 1}", f"item {line % 400 + 1}"
            out.writerow([box, item, 10, day, f"N{line:07}", DAY, "from the market, in two bags"])


class Folder:
    """The stores, and the commands measured on each."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def store(self, size: int) -> Path:
        """The store of that many lots, built when first asked for."""
        path = self.folder / f"{size}.db"
        if not path.exists():
            took = cost([sys.executable, "-c", BUILD, str(SUPPORT), str(path), str(size)])
            each = took.seconds / size * 1e6
            print(f"built {size:,} lots: {took.seconds:.0f} s, {each:.0f} us a lot", flush=True)
        return path

    def commands(self, size: int) -> Iterator[tuple[str, list[str], str]]:
        """Each command with what it is held against: "started" or the name of a baseline."""
        path = str(self.store(size))
        ours = [str(SCRIPTS / "stockcheck"), "--store", path]
        on = ["--on", DAY]
        yield "start-up", [*ours, "box", "--help"], "started"
        yield "scan", [*ours, "scan", *on, "1000000013"], "started"
        yield "bare", [sys.executable, "-c", BARE, path, SAME_ROWS], ""
        for fmt in ("csv", "json"):
            rendered = [sys.executable, "-c", RENDERED, path, SAME_ROWS, fmt]
            yield f"bare, our {fmt}", rendered, "bare"
            yield f"expiry, {fmt}", [*ours, "expiry", *on, "--format", fmt], f"bare, our {fmt}"
        yield "expiry, text", [*ours, "expiry", *on], "bare"
        yield "restock", [*ours, "restock", *on, "--by", "2027-05-01", "--format", "csv"], "bare"
        yield from self.intake(size)
        yield "all rows", [sys.executable, "-c", READ_ALL, path], ""
        if exporting():
            target = self.folder / "exported"
            shutil.rmtree(target, ignore_errors=True)
            yield "export", [*ours, "export", str(target)], "all rows"

    def intake(self, size: int) -> Iterator[tuple[str, list[str], str]]:
        """A file of as many lines as a tenth of the lots, into copies."""
        lines, copy, plain = (self.folder / name for name in ("in.csv", "copy.db", "plain.db"))
        lines_to_take_in(lines, size // 10)
        shutil.rmtree(self.folder / "copy-backups", ignore_errors=True)
        shutil.copyfile(self.store(size), plain)
        insert = [str(SCRIPTS / "sqlite-utils"), "insert", str(plain), "taken", str(lines), "--csv"]
        yield "inserted", insert, ""
        shutil.copyfile(self.store(size), copy)
        tool = [str(SCRIPTS / "stockcheck"), "--store", str(copy)]
        yield "intake", [*tool, "receive", "--from", str(lines), "--on", DAY], "inserted"


def exporting() -> bool:
    """Whether there is a command ``export``."""
    done = subprocess.run(
        [str(SCRIPTS / "stockcheck"), "export", "--help"], capture_output=True, check=False
    )
    return done.returncode == 0


def measured(folder: Folder, size: int, runs: int) -> dict[str, Cost]:
    """Medians of each command on one store, taken in turns."""
    found: dict[str, list[Cost]] = {}
    against = {}
    for _ in range(runs):
        found.setdefault("started", []).append(cost(STARTED))
        for name, command, baseline in folder.commands(size):
            found.setdefault(name, []).append(cost(command))
            against[name] = baseline
    quick = list(takewhile(lambda each: each[0] in QUICK, folder.commands(size)))
    for _ in range(QUICK_RUNS):
        found["started"].append(cost(STARTED))
        for name, command, _ in quick:
            found[name].append(cost(command))
    medians = {
        name: Cost(
            statistics.median(each.seconds for each in costs),
            statistics.median(each.megabytes for each in costs),
        )
        for name, costs in found.items()
    }
    print(f"\n{size:,} lots{'':12} ratio  against            seconds  peak MB")
    for name, each in medians.items():
        baseline = against.get(name, "")
        ratio = each.seconds / medians[baseline].seconds if baseline else 1.0
        over = "  over its aim" if ratio > AIMS.get(name, ratio) else ""
        took = f"{each.seconds:9.2f} {each.megabytes:8.0f}"
        print(f"  {name:20} {ratio:9.2f}  {baseline:15} {took}{over}", flush=True)
    return medians


def growth(by_size: dict[int, dict[str, Cost]]) -> None:
    """How each command grows from one size to the next."""
    sizes = sorted(by_size)
    print("\ngrowth exponent of the time above start-up, and of peak memory")
    for name in by_size[sizes[0]]:
        told = []
        for small, large in pairwise(sizes):
            one, other = by_size[small], by_size[large]
            floor = one["started"].seconds
            times = [max(each[name].seconds - floor, 0.01) for each in (one, other)]
            step = log(large / small)
            time = log(times[1] / times[0]) / step
            memory = log(other[name].megabytes / one[name].megabytes) / step
            told.append(f"{time:5.2f} / {memory:4.2f}")
        print(f"  {name:20} {'   '.join(told)}")
    scans = [by_size[size]["scan"].seconds for size in sizes]
    ratio = scans[-1] / scans[0]
    print(f"scan, largest to smallest: {ratio:.2f} (aim {SCAN_GROWTH})")


def main() -> None:
    """Build, measure and print."""
    runs = int(sys.argv[sys.argv.index("--runs") + 1]) if "--runs" in sys.argv else 3
    sizes = (*SIZES, LARGEST) if "--all" in sys.argv else SIZES
    with tempfile.TemporaryDirectory() as name:
        kept = os.environ.get("BENCHMARK_STORES")  # a folder of stores built before
        folder = Folder(Path(kept or name))
        growth({size: measured(folder, size, 1 if size == LARGEST else runs) for size in sizes})


if __name__ == "__main__":
    main()
