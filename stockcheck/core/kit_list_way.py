"""One way to serve a line of a kit list: which things, and how large they must be at least."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from stockcheck.core.content import Content, content_of
from stockcheck.core.model import Item

ASKS_NOTHING_MORE = 100_000
ABOUT_PERCENT = 5
"""By how much a side may be smaller where a list says "about", or larger where only that size
serves: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to serve a line: any of these kinds, and at least this size.

    Sizes are millimetres; with both, the item's shorter side is held against the shorter. An item
    whose size is not recorded does not meet a size. Of ``size_words`` one must stand in the item's
    name or size ("No. 15"), for things sold by a number and not by measures; of ``name_words`` one
    must stand in its name, where a kind holds many different things. ``about`` says that the
    source gives the sides as "about" so much: a little less will do (``ABOUT_PERCENT``).
    ``only_that_size`` says that a larger one does not stand in: no side may be longer than asked by
    more than that. ``groups`` are groups of kinds of which anything will do ("any first aid
    package"); what such a way takes is only what no other line wants. ``content`` is what a piece
    must hold at least; an item that does not say what it holds is taken at its word.
    """

    kinds: tuple[str, ...]
    width_mm: int | None = None
    length_mm: int | None = None
    minimum_area_mm2: int | None = None
    size_words: tuple[str, ...] = ()
    name_words: tuple[str, ...] = ()
    about: bool = False
    only_that_size: bool = False
    groups: tuple[str, ...] = ()
    content: Content | None = None

    def means(self, item: Item) -> bool:
        """Whether the item is such a thing at all, whatever its size."""
        known = item.kind.key in self.kinds or item.kind.group in self.groups
        return known and _one_stands(self.name_words, item.name)

    def misfit(self, item: Item) -> str:
        """Why the item's size does not do, in words; "" when it does."""
        if not _one_stands(self.size_words, f"{item.name} {item.size}"):
            return f"not marked {' or '.join(self.size_words)}"
        if too_little := self._holds_too_little(item):
            return too_little
        if not self._asks_a_size():
            return ""
        short, long = _sides(item)
        measured = (
            (self._least(self.width_mm), short),
            (self._least(self.length_mm), long),
            (self.minimum_area_mm2, short * long if short and long else None),
        )
        asked = [(least, has) for least, has in measured if least is not None]
        if any(has is None for _, has in asked):
            known = "size not recorded" if short is long is None else "size not fully recorded"
            return f"{known}; the list asks {self.asked_size()}"
        if any(has is not None and has < least for least, has in asked):
            return f"{size_of(item)} is too small; the list asks {self.asked_size()}"
        return self._too_large(item) if self.only_that_size else ""

    def _holds_too_little(self, item: Item) -> str:
        holds, least = content_of(item), self.content
        if holds is None or least is None or holds.unit != least.unit:
            return ""
        few = holds.thousandths < least.thousandths
        return f"{holds} is too little; the list asks at least {least}" if few else ""

    def _too_large(self, item: Item) -> str:
        sides = zip((self.width_mm, self.length_mm), _sides(item), strict=True)
        if any(most and has and has * 100 > most * (100 + ABOUT_PERCENT) for most, has in sides):
            return f"{size_of(item)} is too large; the list asks only {self.asked_size()}"
        return ""

    def waste_mm(self, item: Item) -> int:
        """How much larger the item is than asked, both sides together; 0 for an exact size.

        Where neither sides nor words are asked the figure is large, so that lines which ask for
        something more take their own first; where anything of a group will do it is larger still.
        """
        if self.groups:
            return 10 * ASKS_NOTHING_MORE
        if self.width_mm is None and self.length_mm is None:
            return 0 if self.size_words or self.name_words else ASKS_NOTHING_MORE
        short, long = _sides(item)
        sides = ((self.width_mm, short), (self.length_mm, long))
        return sum(max(0, has - least) for least, has in sides if least is not None and has)

    def lack_mm(self, item: Item) -> int:
        """How much smaller the item is than asked, both sides together."""
        short, long = _sides(item)
        sides = ((self.width_mm, short), (self.length_mm, long))
        return sum(max(0, least - (has or 0)) for least, has in sides if least is not None)

    def asked_size(self) -> str:
        """The size asked, in words."""
        if self.minimum_area_mm2 is not None:
            return f"at least {self.minimum_area_mm2} mm²"
        width, length = self._least(self.width_mm), self._least(self.length_mm)
        least = f"at least {_sides_in_words(width, length)}"
        if not self.about:
            return least
        return f"about {_sides_in_words(self.width_mm, self.length_mm)}, {least}"

    def _least(self, asked: int | None) -> int | None:
        """The smallest side that does, in whole millimetres."""
        if asked is None or not self.about:
            return asked
        return -(-asked * (100 - ABOUT_PERCENT) // 100)

    def _asks_a_size(self) -> bool:
        sizes = (self.width_mm, self.length_mm, self.minimum_area_mm2)
        return any(size is not None for size in sizes)


def size_of(item: Item) -> str:
    """The item's recorded size, in words."""
    sides: Mapping[str, int | None] = {"wide": item.width_mm, "long": item.length_mm}
    if item.width_mm is not None and item.length_mm is not None:
        return f"{item.width_mm} x {item.length_mm} mm"
    known = (f"{side} mm {name}" for name, side in sides.items() if side is not None)
    return next(known, "size not recorded")


def _sides_in_words(width_mm: int | None, length_mm: int | None) -> str:
    if width_mm is not None and length_mm is not None:
        return f"{width_mm} x {length_mm} mm"
    return f"{width_mm} mm wide" if width_mm is not None else f"{length_mm} mm long"


def _sides(item: Item) -> tuple[int | None, int | None]:
    if item.width_mm is None or item.length_mm is None:
        return item.width_mm, item.length_mm
    return min(item.width_mm, item.length_mm), max(item.width_mm, item.length_mm)


def _one_stands(words: tuple[str, ...], text: str) -> bool:
    return not words or any(_words(word) in _words(text) for word in words)


def _words(text: str) -> str:
    apart = "".join(sign if sign.isalnum() else " " for sign in text.casefold())
    return f" {' '.join(apart.split())} "
