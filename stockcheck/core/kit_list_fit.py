"""How an item stands to a line of a kit list: by kind, size and unit, or as a person said.

What a person says of an item and a line (``Match``) goes before kind and size: who has the thing in
hand knows it better than its record.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from stockcheck.core.content import content_of, pieces_in
from stockcheck.core.kit_list import WHOLE_PACKS, KitList, Line
from stockcheck.core.kit_list_way import Way
from stockcheck.core.model import MEASURES, Item


@dataclass(frozen=True, slots=True)
class Match:
    """What a person said: that an item does, or does not, serve a line of a list.

    ``measure`` is how many units of the item make one unit of the line, 0 to leave that to the
    rules (then 1 where the two cannot be compared).
    """

    list_id: str
    line: str
    item_id: int
    serves: bool
    measure: int = 0
    on: date | None = None
    note: str = ""
    id: int = 0


ByHand = Mapping[tuple[str, int], Match]
"""What was said, by the name of the line and the id of the item."""


def by_hand(kit_list: KitList, matches: Iterable[Match]) -> dict[tuple[str, int], Match]:
    """Those matches that are about this list, or one of the lists put together in it."""
    lists = kit_list.id.split("+")
    return {(it.line, it.item_id): it for it in matches if it.list_id in lists}


@dataclass(frozen=True, slots=True)
class Fit:
    """How an item stands to a line: a low ``rank`` fits closely; ``why_not`` is "" if it serves."""

    rank: int
    why_not: str = ""

    @property
    def serves(self) -> bool:
        """Whether the item counts for the line."""
        return not self.why_not


def fit(line: Line, item: Item, said: Match | None = None) -> Fit | None:
    """How the item fits the line by kind, size and unit; None when it is another thing.

    What was ``said`` of the two decides, where anything was.
    """
    if said is not None:
        return Fit(0) if said.serves else None
    found = [
        _fit_one(line, way, item, position)
        for position, way in enumerate(line.all_ways)
        if way.means(item)
    ]
    return min(found, key=lambda it: (not it.serves, it.rank)) if found else None


def _fit_one(line: Line, way: Way, item: Item, position: int) -> Fit:
    if problem := way.misfit(item):
        return Fit(way.lack_mm(item), problem)
    if pieces_per_unit(line, item) == 0:
        return Fit(0, f"counted in {item.unit}; the list counts in {line.counted_in()}")
    return Fit(way.waste_mm(item) + position)


def pieces_per_unit(line: Line, item: Item, said: Match | None = None) -> int:
    """How many pieces of the item make one unit of the line; 0 when the two cannot be compared.

    ``content.pieces_in`` tells what a piece is. A bottle counted in ml is one of a line that counts
    bottles only by whole packs. What was ``said`` to serve always counts somehow.
    """
    if said is not None and said.serves:
        pieces = pieces_in(item)
        return said.measure * pieces or _by_the_rules(line, item) or pieces
    return _by_the_rules(line, item)


def _by_the_rules(line: Line, item: Item) -> int:
    unit, has = line.counted_in(), item.unit
    one = 1 if has == "pair" else pieces_in(item)
    if line.quantity is None:
        return one
    if unit in MEASURES or has in MEASURES:
        return _by_measure(unit, item)
    if unit == "pair":
        return 2 * one
    if unit in WHOLE_PACKS:
        return line.per_pack * one if line.per_pack else item.pack * pieces_in(item)
    return one


def _by_measure(unit: str, item: Item) -> int:
    """The pieces in a millilitre, gram or centimetre, or in a piece of what is counted so."""
    content = content_of(item)
    if unit == item.unit or (content and content.unit == unit and content.whole):
        return 1
    return item.pack if item.unit in MEASURES and unit not in MEASURES and item.pack > 1 else 0
