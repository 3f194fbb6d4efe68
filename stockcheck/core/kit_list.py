"""A kit list: what a published list asks for, line by line.

The text of a list stays as its source has it; the logic beside it (kinds, sizes, either-or,
conditions) is this project's reading of that text.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from stockcheck.core.content import Content
from stockcheck.core.kit_list_scale import AS_IT_STANDS, Scale
from stockcheck.core.kit_list_way import Way
from stockcheck.core.model import Item, Kind

SEEN, MEMORY, OWN = "seen", "memory", "own"
PARTS = " + "
"""Between the sources and the editions of lists that were put together."""
LINE_UNITS = ("each", "pair", "pack", "box", "set", "day", "ml", "g", "cm", "ft", "quart")
WHOLE_PACKS = ("pack", "box", "set")

# Exact by definition (NIST Handbook 44, Appendix C): thousandths of a unit, kept whole.
INTO_METRIC = {"quart": ("ml", 946_353), "ft": ("cm", 30_480)}


@dataclass(frozen=True, slots=True)
class Instead:
    """What a line asks for where a condition holds: another quantity, other words of size."""

    when: str
    quantity: int
    size_words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a kit list.

    ``quantity`` is None where the source names the thing without a number: presence only, one that
    is usable is enough. ``scale`` says how the quantity grows with people and days; ``per_pack`` is
    how many pieces one pack holds. ``sterile`` stock counts only unopened, unless each piece is
    ``wrapped`` by itself. ``ways`` are other things that serve piece for piece; one usable thing of
    a ``covered_by`` kind serves the whole line and is not used up by it. With a usable thing of the
    kind in ``fewer_with`` the smaller number there is enough. ``unless`` and ``when`` name a
    condition of the place under which the line falls away, or without which it does; ``instead``
    what it asks for under others.

    A line with ``parts`` asks for a set of them: a ready-made set by the line's own kinds, or so
    many of each part as make one.
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
    only_that_size: bool = False
    groups: tuple[str, ...] = ()
    content: Content | None = None
    per_pack: int | None = None
    scale: Scale = AS_IT_STANDS
    alternative: str = ""
    condition: str = ""
    unless: str = ""
    when: str = ""
    ways: tuple[Way, ...] = ()
    covered_by: tuple[str, ...] = ()
    fewer_with: tuple[str, int] | None = None
    certainty: str = SEEN
    parts: tuple[Line, ...] = ()
    instead: tuple[Instead, ...] = ()

    @property
    def all_ways(self) -> tuple[Way, ...]:
        """The line's own kinds and size first, then the others that serve piece for piece."""
        sizes = (self.width_mm, self.length_mm, self.minimum_area_mm2)
        words = self.size_words, self.name_words
        marks = self.about, self.only_that_size
        own = Way(self.kinds, *sizes, *words, *marks, self.groups, self.content)
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
        """Every kind that the line mentions, those of its parts too."""
        inside = (kind for part in self.parts for kind in part.named_kinds)
        return self.serving_kinds | self.whole_kinds | frozenset(inside)

    def names(self, item: Item) -> bool:
        """Whether the line speaks of such a thing at all, whatever its size and date."""
        return (
            item.kind.key in self.whole_kinds
            or any(way.means(item) for way in self.all_ways)
            or any(part.names(item) for part in self.parts)
        )

    def takes(self, kind: Kind) -> bool:
        """Whether things of that kind can be counted for the line."""
        return kind.key in self.serving_kinds or kind.group in self.groups

    @property
    def anything_of_a_group(self) -> bool:
        """Whether it takes whatever no other line wants."""
        return bool(self.groups)

    @property
    def only_unopened(self) -> bool:
        """Whether stock that was opened does not count."""
        return self.sterile and not self.wrapped

    def applies(self, conditions: frozenset[str]) -> bool:
        """Whether the line is asked for where these conditions hold."""
        return self.unless not in conditions and (not self.when or self.when in conditions)

    def under(self, conditions: frozenset[str]) -> Line:
        """The line as it is asked for where these conditions hold."""
        for other in self.instead:
            if other.when in conditions:
                words = other.size_words or self.size_words
                return replace(self, quantity=other.quantity, size_words=words, instead=())
        return self

    def counted_in(self) -> str:
        """The unit of the line's figures: packs that need not be sealed are counted in pieces."""
        if self.unit == "pack" and self.per_pack and not self.only_unopened:
            return "each"
        return INTO_METRIC[self.unit][0] if self.unit in INTO_METRIC else self.unit

    def required(self, people: int = 1, days: int = 1, *, fewer: bool = False) -> int | None:
        """How many the line asks for, in ``counted_in``; None for presence only.

        Quarts and feet are cut down to whole millilitres and centimetres, so that an exact item
        never fails. ``fewer`` says that a thing of the ``fewer_with`` kind is there.
        """
        if self.quantity is None:
            return None
        asked = self.fewer_with[1] if fewer and self.fewer_with else self.quantity
        asked = self.scale.of(asked, people, days)
        if self.unit in INTO_METRIC:
            return asked * INTO_METRIC[self.unit][1] // 1000
        pieces = self.unit == "pack" and self.counted_in() == "each"
        return asked * (self.per_pack or 1) if pieces else asked


@dataclass(frozen=True, slots=True)
class KitList:
    """A contents list with where it comes from.

    ``certainty`` is ``seen``, ``memory`` or ``own``. ``check_every_days`` is how often its source
    wants the kit looked at, None where it does not say. ``replaced_by`` is the id of a newer
    edition: the two are never added up. ``people_from`` and ``people_to`` are for how many people
    its source means it, None where it sets no bound.
    """

    id: str
    title: str
    source: str
    edition: str
    certainty: str
    jurisdiction: str
    lines: tuple[Line, ...]
    notes: str = ""
    seen_at: tuple[str, ...] = ()
    check_every_days: int | None = None
    check_source: str = ""
    replaced_by: str = ""
    people_from: int | None = None
    people_to: int | None = None

    @property
    def title_with_certainty(self) -> str:
        """The title, and that the list, or some of its rows, rest on memory."""
        some = "" if self.certainty == MEMORY else "partly "
        told = f" ({some}from memory, not read in the source)" if self.from_memory else ""
        return f"{self.title}{told}"

    @property
    def people_words(self) -> str:
        """For how many people the list is meant; "" where its source does not say."""
        least, most = self.people_from, self.people_to
        if most is None:
            return f"{least} people or more" if least else ""
        if least == most:
            return "one person" if most == 1 else f"{most} people"
        return f"{least} to {most} people" if least else f"up to {most} people"

    def is_for(self, people: int) -> bool:
        """Whether the list is meant for so many people, as far as its source says."""
        return (self.people_from or 0) <= people <= (self.people_to or people)

    @property
    def conditions(self) -> tuple[str, ...]:
        """The names of the conditions that some line depends on."""
        named = {word for line in self.lines for word in (line.unless, line.when)}
        named |= {other.when for line in self.lines for other in line.instead}
        return tuple(sorted(named - {""}))

    def asks_for(self, caution: str, kinds: Iterable[Kind]) -> bool:
        """Whether some line can be served by a kind that has such a caution."""
        wary = [kind for kind in kinds if caution in kind.cautions]
        return any(line.takes(kind) for line in self.lines for kind in wary)

    @property
    def from_memory(self) -> tuple[Line, ...]:
        """The lines that were not read in a copy of the source."""
        return tuple(line for line in self.lines if line.certainty == MEMORY)


@dataclass(frozen=True, slots=True)
class BoxKit:
    """What a box is usually held against: ids of lists, conditions of its place, and how often.

    ``every_days`` is None where the lists' own interval counts.
    """

    box_id: int
    lists: tuple[str, ...]
    given: tuple[str, ...] = ()
    every_days: int | None = None


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
        check_every_days=min(
            (it.check_every_days for it in parts if it.check_every_days), default=None
        ),
        check_source="; ".join(it.check_source for it in parts if it.check_source),
        people_from=max((it.people_from for it in parts if it.people_from), default=None),
        people_to=min((it.people_to for it in parts if it.people_to), default=None),
    )


def _added(one: Line, other: Line) -> Line:
    known = [line.quantity for line in (one, other) if line.quantity is not None]
    certainty = MEMORY if MEMORY in (one.certainty, other.certainty) else SEEN
    return replace(one, quantity=sum(known) if known else None, certainty=certainty)
