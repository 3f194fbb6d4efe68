"""A departure pack of many holdings, as ratios to the expiry report's PDF of the same store.

Run by name: ``python tests/benchmarks/pack.py [HOLDINGS] [RUNS]``. The stock is invented: boxes and
items of the demo with drawn dates. Each figure is the median of RUNS (3) of processor time of this
process, taken in turns. Ratios travel between machines; seconds do not.
"""

from __future__ import annotations

import random
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

from stockcheck.cli.app import run
from stockcheck.cli.expiry import expiry_of
from stockcheck.cli.packing_parts import Wish, bundle_of
from stockcheck.labels.lid_drawn import unreadable
from stockcheck.output import html, pdf_bundle
from stockcheck.output.write import render
from stockcheck.store import plans, reads
from stockcheck.store.files import Store, opened

TODAY = date(2026, 11, 25)


def stocked(folder: Path, holdings: int) -> Path:
    """The demo's store with as many further lots."""
    store = folder / "demo" / "stock.db"
    assert run(["demo", str(store.parent)]) == 0
    drawn = random.Random(1)
    with opened(store) as found:
        items = [item.name for item in reads.items(found.conn)]
        boxes = [box.name for box in reads.boxes(found.conn)]
    lines = ["box\titem\tquantity\texpiry\tbatch"]
    for number in range(holdings):
        month = f"EXP {drawn.randint(1, 12):02d}/{drawn.randint(2026, 2031)}"
        where, what = drawn.choice(boxes), drawn.choice(items)
        lines.append(f"{where}\t{what}\t{drawn.randint(1, 20)}\t{month}\tX{number}")
    (folder / "more.csv").write_text("\n".join(lines), "utf-8")
    arrive = ["receive", "--from", str(folder / "more.csv"), "--on", TODAY.isoformat()]
    assert run(["--store", str(store), *arrive]) == 0
    return store


def ways(store: Store) -> dict[str, Callable[[], object]]:
    """What is timed: the baseline first."""
    trip = next(it for it in plans.trips(store.conn) if it.name == "Spring count")

    def expiry() -> object:
        return render(expiry_of(store, trip, TODAY), "pdf")

    def paper() -> object:
        return pdf_bundle.render_bundle(bundle_of(store, trip, Wish(TODAY))[0])

    def checked() -> object:
        bundle, codes = bundle_of(store, trip, Wish(TODAY))
        done = pdf_bundle.render_bundle(bundle)
        return unreadable(done.pdf, dict(zip(done.drawn, codes, strict=True)))

    def screen() -> object:
        return html.render_bundle(bundle_of(store, trip, Wish(TODAY, page=""))[0])

    return {
        "expiry report as PDF": expiry,
        "pack as PDF": paper,
        "pack as PDF, codes read back": checked,
        "pack as HTML": screen,
    }


def main(holdings: int, runs: int) -> None:
    """Print each way's ratio to the baseline."""
    with (
        tempfile.TemporaryDirectory() as folder,
        opened(stocked(Path(folder), holdings)) as store,
    ):
        todo = ways(store)
        taken: dict[str, list[float]] = {name: [] for name in todo}
        for _ in range(runs):
            for name, work in todo.items():
                begin = time.process_time()
                work()
                taken[name].append(time.process_time() - begin)
    base = statistics.median(taken["expiry report as PDF"])
    for name, times in taken.items():
        print(f"{name}: {statistics.median(times) / base:.2f} ({statistics.median(times):.2f} s)")


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    main(*(given + [2000, 3][len(given) :]))
