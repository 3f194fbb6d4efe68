"""Continuous rolls and tapes: how long a label has to be for what it says."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from stockcheck.labels.elements import Run
from stockcheck.labels.stock import Stock

if TYPE_CHECKING:
    from stockcheck.labels.layout import Layout

COMFORT = 6.0  # points: smaller print is hard to read in poor light; common practice


def cut(stock: Stock, attempt: Callable[[Stock], Layout | None]) -> tuple[Stock, Layout] | None:
    """The shortest label on which all is said in print of a good size, else in any size.

    Where no length has room for everything it is the shortest that leaves off the least.
    ``attempt`` lays the label out on a stock, None where it does not fit; None is returned where it
    fits none.
    """
    found: list[tuple[int, bool, Stock, Layout]] = []
    for length in stock.lengths:
        page = stock.cut_to(length)
        laid = attempt(page)
        if laid is None:
            continue
        small = _smallest(laid) < COMFORT
        found.append((len(laid.left_off), small, page, laid))
        if not (small or laid.left_off):
            break
    best = min(found, key=lambda it: it[:2], default=None)
    return best[2:] if best else None


def _smallest(laid: Layout) -> float:
    return min((run.size for run in laid.elements if isinstance(run, Run)), default=COMFORT)
