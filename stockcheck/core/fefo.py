"""First expired, first out: in what order stock is issued, and which units answer a demand.

The stock that ends first goes out first (WHO good distribution practices: FEFO). What is expired,
undated, held or a last resort is never issued by itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core.model import Holding
from stockcheck.core.shelf_life import usable


@dataclass(frozen=True, slots=True)
class Take:
    """So many units out of one holding."""

    holding: Holding
    quantity: int


def first_out(holding: Holding) -> tuple[date, bool, int, int, int]:
    """Sorts holdings: earliest last usable day first, and what has no limit last.

    At an equal day the opened go before the sealed; then lot, box and holding decide, so that the
    order never depends on how the holdings were given.
    """
    last = holding.last_usable_day or date.max
    sealed = holding.opened_on is None
    return last, sealed, holding.lot.id, holding.box.id, holding.id


def issue_order(holdings: Iterable[Holding], on: date) -> list[Holding]:
    """The holdings that may be issued on a day, the one to issue first in front."""
    good = (it for it in holdings if it.quantity > 0 and usable(it, on))
    return sorted(good, key=first_out)


def pick(holdings: Sequence[Holding], quantity: int, on: date) -> tuple[tuple[Take, ...], int]:
    """Which units to take for a demand on a day, in issuing order, and how many are lacking.

    A holding's last unit goes before the next holding is touched. ValueError when the quantity is
    negative.
    """
    if quantity < 0:
        raise ValueError(f"cannot take {quantity} units: a quantity is 0 or more")
    takes: list[Take] = []
    for holding in issue_order(holdings, on):
        if quantity == 0:
            break
        taken = min(quantity, holding.quantity)
        takes.append(Take(holding, taken))
        quantity -= taken
    return tuple(takes), quantity
