"""How many codes in photographs are read, by condition and symbology, and what it costs:

    python tests/benchmarks/photos.py [CODES OF EACH SORT UNDER EACH CONDITION] [MODULE] [SEED]

Every symbology under every condition of ``tests/support/conditions.py``, and several codes in one
picture. Times are ratios to one bare pass of the decoder over the same pictures. It ends with exit
code 1 when anything was misread, or fewer than 98 % were read at modules of 3 pixels or more.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from time import process_time

import zxingcpp

sys.path.insert(0, str(Path(__file__).parent.parent / "support"))

from conditions import CONDITIONS
from photographs import Conditions, Shot, photograph
from stockcheck.photos.reading import read_grey
from symbols_drawn import MAKERS

LEAST = 0.98
SEVERAL = 6


def shots(each: int, module: float, seed: str) -> Iterator[tuple[str, Shot]]:
    for condition, given in CONDITIONS.items():
        for name, make in MAKERS.items():
            for number in range(each):
                dice = random.Random(f"{seed} {condition} {name} {number}")
                yield condition, photograph(dice, [make(dice)], replace(given, module=module))
    mixed = Conditions(module=module, angle=None, tilt=0.05, blur=0.25, noise=6, quality=70)
    for number in range(2 * each):
        dice = random.Random(f"{seed} several {number}")
        symbols = [MAKERS[name](dice) for name in dice.sample(sorted(MAKERS), SEVERAL)]
        yield "several in a picture", photograph(dice, symbols, mixed)


def say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def table(title: str, read: Counter[str], bare: Counter[str], asked: Counter[str]) -> None:
    say(f"\n{title:22}  codes   read  by one bare pass")
    for name, count in asked.items():
        say(f"{name:22}  {count:5}  {read[name] / count:4.0%}  {bare[name] / count:16.0%}")


def main(each: int, module: float, seed: str) -> int:
    read, bare, asked = Counter[str](), Counter[str](), Counter[str]()
    wrong: list[str] = []
    ours = theirs = 0.0
    for condition, shot in shots(each, module, seed):
        start = process_time()
        once = zxingcpp.read_barcodes(shot.image, text_mode=zxingcpp.TextMode.Plain)
        between = process_time()
        found = {it.text for it in read_grey(shot.image)[0]}
        theirs, ours = theirs + between - start, ours + process_time() - between
        passed = {f"{it.symbology_identifier}{it.text}" for it in once}
        for drawn in shot.drawn:
            symbol = drawn.symbol
            for key in (condition, symbol.name):
                asked[key] += 1
                read[key] += symbol.scanned in found
                bare[key] += symbol.scanned in passed
        wanted = {drawn.symbol.scanned for drawn in shot.drawn}
        wrong += [f"{condition}: {text!r}, drawn were {wanted}" for text in found - wanted]
    names = set(MAKERS)
    for title, part in (("condition", set(asked) - names), ("symbology", names)):
        table(title, read, bare, Counter({key: asked[key] for key in asked if key in part}))
    total = sum(asked[name] for name in names)
    rate = sum(read[name] for name in names) / total
    say(f"\nmodules of {module:g} pixels, {total} codes: {rate:.1%} read, {len(wrong)} misread")
    say(f"time: {ours / theirs:.1f} times one bare pass of the decoder")
    for text in wrong:
        say(f"MISREAD {text}")
    return int(bool(wrong) or (module >= 3 and rate < LEAST))


if __name__ == "__main__":
    given = sys.argv[1:]
    each, module, seed = (*given, *("4", "3", "report")[len(given) :])
    sys.exit(main(int(each), float(module), seed))
