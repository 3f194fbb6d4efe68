"""How fast buying plans are found, as ratios: python tests/benchmarks/buying.py

Seconds tell of the machine, ratios to a bare covering knapsack for each want (the cheapest packs
from everybody, no fees) tell of the search. Run by name, never in the default run. Ends with exit
code 1 when a promise is broken: a plan of 300 wants over 8 suppliers, and one of 30 wants over 12,
are proven; what is not proven says so with a bound; a cap on money never takes long either.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable, Sequence
from datetime import date
from functools import partial
from time import process_time
from typing import NamedTuple

from stockcheck.core.buying import Level, OnSale, Terms, Want, buy
from stockcheck.core.model import Importance

HORIZON = date(2027, 5, 2)
SIZES = (1, 2, 3, 4, 5, 6, 10, 12, 20, 24, 25, 50)
MOST_SECONDS = 5.0


class Shop(NamedTuple):
    """Wants, offers and terms, invented by dice."""

    wants: list[Want]
    offers: list[OnSale]
    terms: list[Terms]


class Size(NamedTuple):
    """How many suppliers, wants and units a want, and whether sums of money decide."""

    suppliers: int
    wants: int
    units: int
    waivers: bool = False
    proven: bool = True
    capped: bool = False


CASES = {
    "30 wants of up to 200, 12 suppliers": Size(12, 30, 200),
    "30 wants of up to 200, 12 suppliers, waivers": Size(12, 30, 200, waivers=True),
    "300 wants of up to 60, 8 suppliers": Size(8, 300, 60),
    "300 wants of up to 60, 8 suppliers, waivers": Size(8, 300, 60, waivers=True),
    "30 wants of up to 12, 12 suppliers, waivers": Size(12, 30, 12, waivers=True, proven=False),
    "100 wants of up to 60, 8 suppliers, half the money": Size(8, 100, 60, True, False, True),
    "300 wants of up to 60, 8 suppliers, half the money": Size(8, 300, 60, True, False, True),
}


def made(size: Size) -> Shop:
    dice = random.Random(11)
    wants = [
        Want(key, (Level(HORIZON, dice.randint(1, size.units)),), dice.choice(list(Importance)))
        for key in range(size.wants)
    ]
    offers: list[OnSale] = []
    for want in wants:
        price = dice.randint(20, 900)
        for supplier in range(size.suppliers):
            for units in dice.sample(SIZES, 2):
                cents = max(1, int(price * units**0.9 * dice.uniform(0.6, 1.4)))
                stock = dice.choice([None, None, None, 3, 8])
                offers.append(OnSale(len(offers), supplier, want.key, units, cents, stock))
    terms = [
        Terms(
            it,
            dice.choice([0, 300, 490, 900]),
            dice.choice([None, 3000, 5000, 10_000]) if size.waivers else None,
            dice.choice([0, 0, 1500, 5000]) if size.waivers else 0,
        )
        for it in range(size.suppliers)
    ]
    return Shop(wants, offers, terms)


def bare(shop: Shop) -> int:
    """The cheapest packs for each want from everybody, by the plain recursion."""
    return sum(
        knapsack(want.units, [it for it in shop.offers if it.want == want.key])
        for want in shop.wants
    )


def knapsack(units: int, offers: Sequence[OnSale]) -> int:
    least = [0] * (units + 1)
    for at in range(1, units + 1):
        least[at] = min(it.price_cents + least[max(0, at - it.size)] for it in offers)
    return least[units]


def timed(work: Callable[[], object]) -> float:
    start = process_time()
    work()
    return process_time() - start


def main() -> int:
    broken = 0
    for name, size in CASES.items():
        shop = made(size)
        baseline = timed(partial(bare, shop))
        cap = buy(*shop).total_cents // 2 if size.capped else None
        start = process_time()
        plan = buy(*shop, cap_cents=cap)
        seconds = process_time() - start
        gap = 100 * (plan.total_cents - plan.at_least_cents) / plan.total_cents
        told = "proven" if plan.proven else f"within {gap:.1f} % of the least"
        if not plan.proven and size.capped:
            told = "not proven"
        wrong = (size.proven and not plan.proven) or (
            (size.proven or size.capped) and seconds > MOST_SECONDS
        )
        broken += wrong
        print(
            f"{name}: {seconds:.2f} s, {seconds / baseline:.1f} times the bare knapsacks, {told}"
            + ("  BROKEN" if wrong else "")
        )
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
