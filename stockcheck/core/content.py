"""What one piece of an item holds, as its size or its name says: ``15 ml``, ``3.5 g``, ``1 l``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from stockcheck.core.model import Item

_CONTENT = re.compile(
    r"(?P<before>\bfor\s+|[x×]\s*)?"
    r"(?<![\w.,/])(?P<number>\d{1,6}(?:[.,]\d{1,3})?)\s?(?P<unit>ml|cl|l|kg|g)\b",
    re.IGNORECASE,
)
_INTO = {"ml": ("ml", 1), "cl": ("ml", 10), "l": ("ml", 1000), "g": ("g", 1), "kg": ("g", 1000)}


@dataclass(frozen=True, slots=True)
class Content:
    """What one piece holds, in thousandths of a millilitre or of a gram."""

    thousandths: int
    unit: str

    @property
    def whole(self) -> int:
        """The whole millilitres or grams in it, cut down."""
        return self.thousandths // 1000

    def __str__(self) -> str:
        part = f".{self.thousandths % 1000:03}".rstrip("0").rstrip(".")
        return f"{self.whole}{part} {self.unit}"


@lru_cache(maxsize=4096)
def content_in(text: str) -> Content | None:
    """The one content that a text names; None for none, for several, and for ``for 200 ml``.

    ``2 x 15 ml`` leaves open whether that is one piece or two, and so is none.
    """
    found = {
        Content(_thousandths(it["number"]) * times, unit)
        for it in _CONTENT.finditer(text)
        for unit, times in [_INTO[it["unit"].casefold()]]
        if not it["before"]
    }
    return found.pop() if len(found) == 1 else None


def _thousandths(number: str) -> int:
    whole, _, part = number.replace(",", ".").partition(".")
    return int(whole) * 1000 + int(part.ljust(3, "0"))


def content_of(item: Item) -> Content | None:
    """What one piece of an item that is counted in pieces holds; its size goes before its name."""
    if item.unit != "each":
        return None
    return content_in(item.size) or content_in(item.name)


def pieces_in(item: Item) -> int:
    """Into how many pieces an audit takes one unit of the item apart.

    Two halves of a pair; the whole millilitres or grams of what is counted each, so that bottles
    can be held against a line that asks for a volume.
    """
    if item.unit == "pair":
        return 2
    content = content_of(item)
    return max(1, content.whole) if content else 1
