"""What came, held against what was ordered: which lines it belongs to, short, over, instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class OpenLine:
    """A line of a purchase with the units that are still to come; the box it was ordered for."""

    id: int
    item_id: int
    open: int
    box_id: int | None = None


def lines_for(
    lines: Sequence[OpenLine], item_id: int, box_id: int, quantity: int
) -> list[tuple[int, int]]:
    """To which lines units of an item belong: line and units; empty where none asked for it.

    The line for the box that they went into goes first, then those that still wait, in order.
    What is more than was ordered is counted to the last of them.
    """
    mine = [it for it in lines if it.item_id == item_id]
    mine.sort(key=lambda it: (it.box_id != box_id, not it.open, it.id))
    found: list[tuple[int, int]] = []
    for line in mine:
        units = min(quantity, line.open)
        if units:
            found.append((line.id, units))
            quantity -= units
    if quantity and mine:
        last = found.pop() if found else (mine[0].id, 0)
        found.append((last[0], last[1] + quantity))
    return found
