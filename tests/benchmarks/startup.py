"""Start-up of whole commands, as ratios to ``python -c "import click, sqlite3"`` in one run.

Run by name: ``python tests/benchmarks/startup.py [RUNS]``. Each figure is the median of RUNS (21)
runs of a whole process, taken in turns so that a busy machine slows all alike. Ratios travel
between machines; milliseconds do not.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

SCRIPTS = Path(sys.executable).parent
BASELINE = [sys.executable, "-c", "import click, sqlite3"]
AIMS = {"quick": 1.5, "look-up": 2.0, "write": 3.0, "PDF": 4.0}


def commands(folder: Path) -> dict[str, tuple[str, list[str]]]:
    """The commands measured: a name, the class whose aim it is held to, and the arguments."""
    store = ["--store", str(folder / "stock.db")]
    day = ["--on", "2026-11-25"]
    return {
        "--help": ("quick", ["--help"]),
        "read (our code)": ("quick", ["read", "1000000013"]),
        "find": ("look-up", [*store, "find", "water", *day]),
        "why": ("look-up", [*store, "why", "L13", *day]),
        "box list": ("look-up", [*store, "box", "list", *day]),
        "history": ("look-up", [*store, "history", "L13", *day]),
        "expiry --box": ("look-up", [*store, "expiry", "--box", "Water", *day]),
        "move": ("write", [*store, "move", "L109", "-n", "1", "--to", "B1", "--from", "B8", *day]),
        "correct": ("write", [*store, "correct", "L1", "--count", "COUNT", *day]),
        "expiry PDF": ("PDF", [*store, "expiry", "--format", "pdf", "--output", "-", *day]),
        "restock PDF": (
            "PDF",
            [*store, "restock", "--by", "2027-05-02", "--format", "pdf", "--output", "-", *day],
        ),
        "a label, read back": ("PDF", [*store, "labels", "L13", "--output", "-", *day]),
        "audit PDF": (
            "PDF",
            [*store, "audit", "First aid", "--list", "de-din-13164-2022", "--format", "pdf",
             "--output", "-", *day],
        ),
    }  # fmt: skip


def seconds(command: list[str]) -> float:
    """Wall time of one whole process."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    subprocess.run(command, check=False, capture_output=True, env=environment)
    return time.perf_counter() - start


def main() -> None:
    """Print the table."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 21
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "demo"
        tool = str(SCRIPTS / "stockcheck")
        subprocess.run([tool, "demo", str(folder)], check=True, capture_output=True)
        table = commands(folder)
        taken: dict[str, list[float]] = {each: [] for each in ("baseline", *table)}
        for run in range(runs):
            taken["baseline"].append(seconds(BASELINE))
            for each, (_, arguments) in table.items():
                filled = [str(run % 2 + 1) if part == "COUNT" else part for part in arguments]
                taken[each].append(seconds([tool, *filled]))
    base = statistics.median(taken["baseline"])
    print(f"baseline {base * 1000:.0f} ms, median of {runs}")
    for each, (sort, _) in table.items():
        ratio = statistics.median(taken[each]) / base
        word = "" if ratio <= AIMS[sort] else "  over its aim"
        print(f"{each:18} {ratio:5.2f}  (aim {AIMS[sort]}){word}")


if __name__ == "__main__":
    main()
