"""What audits cost: 200 boxes against a list of 40 lines, as ratios to one plain pass.

Run by name: ``python tests/benchmarks/audit.py``. The baseline asks of every line and every holding
of the 200 boxes whether the thing fits by kind and size (``fit``), and counts nothing. All stock is
invented.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from given_kit import exactly, kit_kind
from stockcheck.core.audit import audit
from stockcheck.core.kit_compare import compared
from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.kit_list_fit import fit
from stockcheck.core.model import Box, Holding, Item, Lot

ON, HORIZON = date(2027, 3, 1), date(2027, 5, 31)
DAYS = (date(2029, 1, 31), date(2027, 4, 30), date(2027, 2, 28))
BOXES, LINES, HOLDINGS = 200, 40, 60


def best(task: Callable[[], object], times: int = 3) -> float:
    """The quickest of some runs, in seconds of the processor."""
    took = []
    for _ in range(times):
        start = time.process_time()
        task()
        took.append(time.process_time() - start)
    return min(took)


def the_list() -> KitList:
    """Forty lines of ten kinds in four sizes each, so that most stock could serve several."""
    lines = [
        Line(f"kind {kind}, {side} mm", 3, (f"kind {kind}",), dated=True, width_mm=side)
        for kind in range(LINES // 4)
        for side in (50, 75, 100, 150)
    ]
    return KitList("forty", "Forty lines", "invented", "", "own", "", tuple(lines))


def boxes(random: Random) -> list[list[Holding]]:
    """Boxes with sixty holdings of mixed kinds, sizes and days."""
    found = []
    for number in range(BOXES):
        box = Box(number, "", f"box {number}")
        held = []
        for at in range(HOLDINGS):
            kind, side = random.randrange(LINES // 4), random.choice((50, 75, 100, 150, 200))
            item = Item(at, "", f"thing {at}", kit_kind(f"kind {kind}"), width_mm=side)
            lot = Lot(at, "", item)
            day = random.choice(DAYS)
            held.append(Holding(at, lot, box, random.randrange(1, 6), last_usable_day=day))
        found.append(held)
    return found


def main() -> None:
    """Print the ratios."""
    kits = the_list()
    stock = boxes(Random(7))
    whole = [[it for line in kits.lines for it in exactly(line)] for _ in range(BOXES)]

    def plain() -> None:
        for held in stock:
            for line in kits.lines:
                for it in held:
                    fit(line, it.item)

    baseline = best(plain)
    print(f"baseline: fit asked {BOXES * LINES * HOLDINGS} times = 1.0 ({baseline:.2f} s)")
    for name, task in (
        ("200 mixed boxes, on the day", lambda: [audit(kits, held, ON) for held in stock]),
        (
            "200 mixed boxes, through a trip",
            lambda: [audit(kits, held, ON, horizon=HORIZON) for held in stock],
        ),
        ("200 boxes that hold exactly the list", lambda: [audit(kits, h, ON) for h in whole]),
        ("the list beside itself, 200 times", lambda: [compared(kits, kits) for _ in stock]),
    ):
        took = best(task)
        print(f"{name}: {took / baseline:.1f} times the baseline ({took:.2f} s)")


if __name__ == "__main__":
    main()
