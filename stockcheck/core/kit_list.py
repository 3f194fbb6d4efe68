"""A kit list: what a published list asks for, line by line, and whether an item can serve a line.

The text of a list stays as its source has it; the logic beside it (kinds, sizes, either-or,
conditions) is this project's reading of that text.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from stockcheck.core.model import MEASURES, Item

SEEN, MEMORY = "seen", "memory"
PARTS = " + "
"""Between the sources and the editions of lists that were put together."""
LINE_UNITS = ("each", "pair", "pack", "box", "set", "day", "ml", "g", "cm", "ft", "quart")
WHOLE_PACKS = ("pack", "box", "set")

ASKS_NOTHING_MORE = 100_000
ABOUT_PERCENT = 5
"""By how much a side may be smaller where a list says "about": common practice, no source."""
# Exact by definition (NIST Handbook 44, Appendix C): thousandths of a unit, kept whole.
INTO_METRIC = {"quart": ("ml", 946_353), "ft": ("cm", 30_480)}


@dataclass(frozen=True, slots=True)
class Way:
    """One way to serve a line: any of these kinds, and at least this size.

    Sizes are millimetres; with both, the item's shorter side is held against the shorter. An item
    whose size is not recorded does not meet a size. Of ``size_words`` one must stand in the item's
    name or size ("No. 15"), for things sold by a number and not by measures; of ``name_words`` one
    must stand in its name, where a kind holds many different things. ``about`` says that the
    source gives the sides as "about" so much: a little less will do (``ABOUT_PERCENT``).
    """

    kinds: tuple[str, ...]
    width_mm: int | None = None
    length_mm: int | None = None
    minimum_area_mm2: int | None = None
    size_words: tuple[str, ...] = ()
    name_words: tuple[str, ...] = ()
    about: bool = False

    def means(self, item: Item) -> bool:
        """Whether the item is such a thing at all, whatever its size."""
        return item.kind.key in self.kinds and _one_stands(self.name_words, item.name)

    def too_small(self, item: Item) -> str:
        """Why the item's size does not do, in words; "" when it does."""
        if not _one_stands(self.size_words, f"{item.name} {item.size}"):
            return f"not marked {' or '.join(self.size_words)}"
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
        return ""

    def waste_mm(self, item: Item) -> int:
        """How much larger the item is than asked, both sides together; 0 for an exact size.

        Where neither sides nor words are asked the figure is large, so that lines which ask for
        something more take their own first.
        """
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


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a kit list.

    ``quantity`` is None where the source names the thing without a number: presence only, one that
    is usable is enough. ``per_person`` multiplies the quantity by the people; ``per_pack`` is how
    many pieces one pack holds. ``sterile`` stock counts only unopened, unless each piece is
    ``wrapped`` by itself. ``ways`` are other things that serve piece for piece; one usable thing of
    a ``covered_by`` kind serves the whole line and is not used up by it. With a usable thing of the
    kind in ``fewer_with`` the smaller number there is enough. ``unless`` and ``when`` name a
    condition of the place under which the line falls away, or without which it does.
    """

    name: str
    quantity: int | None
    kinds: tuple[str, ...]
    unit: str = "each"
    spec: str = ""
    dated: bool = False
    sterile: bool = False
    wrapped: bool = False
    width_mm: int | None = None
    length_mm: int | None = None
    minimum_area_mm2: int | None = None
    size_words: tuple[str, ...] = ()
    name_words: tuple[str, ...] = ()
    about: bool = False
    per_pack: int | None = None
    per_person: bool = False
    alternative: str = ""
    condition: str = ""
    unless: str = ""
    when: str = ""
    ways: tuple[Way, ...] = ()
    covered_by: tuple[str, ...] = ()
    fewer_with: tuple[str, int] | None = None
    certainty: str = SEEN

    @property
    def all_ways(self) -> tuple[Way, ...]:
        """The line's own kinds and size first, then the others that serve piece for piece."""
        sizes = (self.width_mm, self.length_mm, self.minimum_area_mm2)
        own = Way(self.kinds, *sizes, self.size_words, self.name_words, self.about)
        return (own, *self.ways)

    @property
    def serving_kinds(self) -> frozenset[str]:
        """Every kind that can be counted for the line."""
        return frozenset(kind for way in self.all_ways for kind in way.kinds)

    @property
    def whole_kinds(self) -> frozenset[str]:
        """The kinds that bear on the whole line: those that cover it, or lower its number."""
        with_it = {self.fewer_with[0]} if self.fewer_with else set()
        return frozenset(self.covered_by) | with_it

    @property
    def named_kinds(self) -> frozenset[str]:
        """Every kind that the line mentions."""
        return self.serving_kinds | self.whole_kinds

    def names(self, item: Item) -> bool:
        """Whether the line speaks of such a thing at all, whatever its size and date."""
        return item.kind.key in self.whole_kinds or any(way.means(item) for way in self.all_ways)

    @property
    def only_unopened(self) -> bool:
        """Whether stock that was opened does not count."""
        return self.sterile and not self.wrapped

    def applies(self, conditions: frozenset[str]) -> bool:
        """Whether the line is asked for where these conditions hold."""
        return self.unless not in conditions and (not self.when or self.when in conditions)

    def counted_in(self) -> str:
        """The unit of the line's figures: packs that need not be sealed are counted in pieces."""
        if self.unit == "pack" and self.per_pack and not self.only_unopened:
            return "each"
        return INTO_METRIC[self.unit][0] if self.unit in INTO_METRIC else self.unit

    def required(self, people: int = 1, *, fewer: bool = False) -> int | None:
        """How many the line asks for, in ``counted_in``; None for presence only.

        Quarts and feet are cut down to whole millilitres and centimetres, so that an exact item
        never fails. ``fewer`` says that a thing of the ``fewer_with`` kind is there.
        """
        if self.quantity is None:
            return None
        asked = self.fewer_with[1] if fewer and self.fewer_with else self.quantity
        asked *= people if self.per_person else 1
        if self.unit in INTO_METRIC:
            return asked * INTO_METRIC[self.unit][1] // 1000
        pieces = self.unit == "pack" and self.counted_in() == "each"
        return asked * (self.per_pack or 1) if pieces else asked


@dataclass(frozen=True, slots=True)
class KitList:
    """A contents list with where it comes from. ``certainty`` is ``seen`` or ``memory``."""

    id: str
    title: str
    source: str
    edition: str
    certainty: str
    jurisdiction: str
    lines: tuple[Line, ...]
    notes: str = ""
    seen_at: tuple[str, ...] = ()

    @property
    def conditions(self) -> tuple[str, ...]:
        """The names of the conditions that some line depends on."""
        named = (word for line in self.lines for word in (line.unless, line.when) if word)
        return tuple(sorted(set(named)))

    @property
    def from_memory(self) -> tuple[Line, ...]:
        """The lines that were not read in a copy of the source."""
        return tuple(line for line in self.lines if line.certainty == MEMORY)


def together(lists: Iterable[KitList]) -> KitList:
    """Several lists as one, as a module adds to a base list: equal lines add up.

    Editions of one standard replace each other and are not to be put together. A line that is
    presence only in one list and numbered in another keeps the number.
    """
    parts = tuple(lists)
    lines: dict[Line, Line] = {}
    for line in (line for part in parts for line in part.lines):
        key = replace(line, quantity=0, spec="", certainty=SEEN)
        lines[key] = _added(lines[key], line) if key in lines else line
    return KitList(
        id="+".join(part.id for part in parts),
        title=" + ".join(part.title for part in parts),
        source=PARTS.join(part.source for part in parts),
        edition=PARTS.join(part.edition for part in parts),
        certainty=MEMORY if any(part.certainty == MEMORY for part in parts) else SEEN,
        jurisdiction="; ".join(dict.fromkeys(part.jurisdiction for part in parts)),
        lines=tuple(lines.values()),
        notes=" ".join(part.notes for part in parts if part.notes),
        seen_at=tuple(dict.fromkeys(place for part in parts for place in part.seen_at)),
    )


def _added(one: Line, other: Line) -> Line:
    known = [line.quantity for line in (one, other) if line.quantity is not None]
    certainty = MEMORY if MEMORY in (one.certainty, other.certainty) else SEEN
    return replace(one, quantity=sum(known) if known else None, certainty=certainty)


@dataclass(frozen=True, slots=True)
class Fit:
    """How an item stands to a line: a low ``rank`` fits closely; ``why_not`` is "" if it serves."""

    rank: int
    why_not: str = ""

    @property
    def serves(self) -> bool:
        """Whether the item counts for the line."""
        return not self.why_not


def fit(line: Line, item: Item) -> Fit | None:
    """How the item fits the line by kind, size and unit; None when it is another thing."""
    found = [
        _fit_one(line, way, item, position)
        for position, way in enumerate(line.all_ways)
        if way.means(item)
    ]
    return min(found, key=lambda it: (not it.serves, it.rank)) if found else None


def _fit_one(line: Line, way: Way, item: Item, position: int) -> Fit:
    if problem := way.too_small(item):
        return Fit(way.lack_mm(item), problem)
    if pieces_per_unit(line, item) == 0:
        return Fit(0, f"counted in {item.unit}; the list counts in {line.counted_in()}")
    return Fit(way.waste_mm(item) + position)


def pieces_per_unit(line: Line, item: Item) -> int:
    """How many pieces of the item make one unit of the line; 0 when the two cannot be compared.

    A piece is a unit of the item, but half of a pair. A bottle counted in ml is one of a line
    that counts bottles only by whole packs.
    """
    unit, has = line.counted_in(), item.unit
    whole = item.pack * (2 if has == "pair" else 1)
    if line.quantity is None:
        return 1
    if unit in MEASURES or has in MEASURES:
        if unit == has:
            return 1
        return item.pack if has in MEASURES and unit not in MEASURES and item.pack > 1 else 0
    if unit == "pair":
        return 2
    if unit in WHOLE_PACKS:
        return line.per_pack or whole
    return 1


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
