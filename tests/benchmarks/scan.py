"""How fast a scan is answered, as ratios: python tests/benchmarks/scan.py [RUNS]

Two stores are built, of 1,000 and of 100,000 lots, with their ledgers (``big_stores``). Then whole
processes, ``stockcheck scan CODE`` from start to output, are held against ``python -c "import
click, sqlite3"``, taken in turns so that a busy machine slows all alike; and scans inside a session
are timed one by one and held against a bare look-up in SQL of the same lots. Run by name, never in
the default run. Ratios travel between machines, milliseconds do not.
"""

from __future__ import annotations

import contextlib
import io
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from big_stores import ITEMS, LOTS_A_BOX, TODAY, batch_of, build, expiry_of, gtin_of
from stockcheck.cli.scan_looking import Looking
from stockcheck.cli.scan_session import Worked
from stockcheck.core.codes import make_code
from stockcheck.core.scanning import Setting
from stockcheck.store.files import Store, opened

SIZES = (1_000, 100_000)
AIM_RATIO, AIM_MILLISECONDS = 2.5, 20.0
BASELINE = [sys.executable, "-c", "import click, sqlite3"]
TOOL = str(Path(sys.executable).parent / "stockcheck")


def seconds(command: list[str]) -> float:
    """Wall time of one whole process, which must succeed."""
    environment = {
        name: value
        for name, value in os.environ.items()
        if name != "PYTHONDONTWRITEBYTECODE" and not name.startswith("STOCKCHECK_")
    }
    start = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True, env=environment)
    return time.perf_counter() - start


def processes(stores: dict[int, Path], runs: int) -> dict[str, float]:
    """Ratios to the baseline of whole processes, by what was scanned and in which store."""
    taken: dict[str, list[float]] = {"baseline": []}
    for run in range(runs):
        taken["baseline"].append(seconds(BASELINE))
        for size, path in stores.items():
            lot = 1 + (run * 7919) % size
            words = [TOOL, "--store", str(path), "scan", "--on", TODAY.isoformat()]
            for name, code in (
                (f"our code, {size:,} lots", make_code("lot", lot)),
                (f"a maker's code, {size:,} lots", maker_code(lot)),
            ):
                taken.setdefault(name, []).append(seconds([*words, code]))
    base = statistics.median(taken.pop("baseline"))
    print(f"baseline {base * 1000:.0f} ms, medians of {runs}")
    return {name: statistics.median(times) / base for name, times in taken.items()}


def maker_code(lot: int) -> str:
    """What stands on the pack of a lot, as a scanner sends it."""
    item = lot % ITEMS + 1
    gtin = gtin_of(item)
    return f"]d201{gtin}17{expiry_of(lot):%y%m%d}10{batch_of(lot)}"


def in_session(path: Path, lots: int) -> list[tuple[str, float, float]]:
    """Milliseconds a scan in a session, and its ratio to a bare look-up, for each sort of scan."""
    dice = random.Random(7)
    chosen = [dice.randrange(1, lots + 1) for _ in range(200)]
    found = []
    with opened(path) as store:
        worked = Worked(Looking(store, TODAY), Setting(TODAY))
        quiet(worked, make_code("box", 1))
        bare = statistics.median(timed_bare(store, lot) for lot in chosen)
        for name, codes in (
            ("our code", [make_code("lot", lot) for lot in chosen]),
            ("a maker's code", [maker_code(lot) for lot in chosen]),
            ("a box", [make_code("box", lot % (lots // LOTS_A_BOX) + 1) for lot in chosen[:20]]),
            ("a slip", [_slip(make_code("lot", lot)) for lot in chosen[:50]]),
        ):
            quiet(worked, codes[0])  # loads what is loaded once
            taken = statistics.median(quiet(worked, code) for code in codes)
            found.append((name, taken * 1000, taken / bare))
    return found


def _slip(code: str) -> str:
    return code[:-1] + str((int(code[-1]) + 1) % 10)


def quiet(worked: Worked, code: str) -> float:
    """Seconds that one line takes, its words kept off the screen."""
    with contextlib.redirect_stdout(io.StringIO()):
        start = time.perf_counter()
        worked.line(code)
        return time.perf_counter() - start


def timed_bare(store: Store, lot: int) -> float:
    """Seconds that a look-up of a lot's holdings takes in SQL alone."""
    start = time.perf_counter()
    store.conn.execute(
        "SELECT item.name, box.name, quantity, opened_on, state, last_usable_day FROM holding"
        " JOIN lot USING (lot_id) JOIN item USING (item_id) JOIN box USING (box_id)"
        " WHERE lot.code = ? AND quantity > 0",
        (make_code("lot", lot),),
    ).fetchall()
    return time.perf_counter() - start


def main() -> None:
    """Build the stores and print the tables."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 21
    with tempfile.TemporaryDirectory() as name:
        stores = {size: Path(name) / f"{size}.db" for size in SIZES}
        for size, path in stores.items():
            start = time.perf_counter()
            build(path, size)
            print(f"built {size:,} lots in {time.perf_counter() - start:.0f} s")
        for what, ratio in processes(stores, runs).items():
            over = "  over its aim" if ratio > AIM_RATIO and what.startswith("our") else ""
            print(f"  scan, {what:30} {ratio:5.2f}  (aim {AIM_RATIO} for our codes){over}")
        for size, path in stores.items():
            print(f"in a session, {size:,} lots:")
            for what, milliseconds, ratio in in_session(path, size):
                over = "  over its aim" if milliseconds > AIM_MILLISECONDS else ""
                print(
                    f"  {what:20} {milliseconds:6.1f} ms (aim {AIM_MILLISECONDS:.0f}),"
                    f" {ratio:6.1f} times a bare look-up{over}"
                )


if __name__ == "__main__":
    main()
