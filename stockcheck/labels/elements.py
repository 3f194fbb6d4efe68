"""What a laid-out label is made of. Millimetres from the label's top left corner, y downwards."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Self, TypeAlias

from stockcheck.labels import fonts
from stockcheck.labels.fonts import MM_PER_POINT
from stockcheck.labels.measure import Measure
from stockcheck.labels.symbols import SYMBOLS


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle by its left, top, right and bottom edges."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Rect, slack: float = 0.01) -> bool:
        """Whether the two share more than an edge."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > slack and down > slack


@dataclass(frozen=True, slots=True)
class Run:
    """One line of text on its baseline; ``rise`` and ``drop`` are how far it reaches, in em."""

    x: float
    y: float
    text: str
    size: float
    bold: bool = False
    rise: float = fonts.ASCENT
    drop: float = fonts.DESCENT
    white: bool = False

    @property
    def box(self) -> Rect:
        """The room that the text takes."""
        em = self.size * MM_PER_POINT
        right = self.x + fonts.width_mm(self.text, self.size, self.bold)
        return Rect(self.x, self.y - self.rise * em, right, self.y + self.drop * em)

    def at(self, x: float, y: float) -> Self:
        """The same, further right and down."""
        right, down = self.x + x, self.y + y
        return type(self)(
            right, down, self.text, self.size, self.bold, self.rise, self.drop, self.white
        )


@dataclass(frozen=True, slots=True)
class Rule:
    """A thin level line, such as the one to write on. ``x`` and ``y`` are its left end."""

    x: float
    y: float
    length: float
    thickness: float = 0.2

    @property
    def box(self) -> Rect:
        """The room that the line takes."""
        half = self.thickness / 2
        return Rect(self.x, self.y - half, self.x + self.length, self.y + half)

    def at(self, x: float, y: float) -> Self:
        """The same, further right and down."""
        return type(self)(self.x + x, self.y + y, self.length, self.thickness)


@dataclass(frozen=True, slots=True)
class Frame:
    """A thin frame round other elements; ``x`` and ``y`` are its top left corner."""

    x: float
    y: float
    width: float
    height: float
    thickness: float = 0.25

    @property
    def box(self) -> Rect:
        """The room inside the frame's outer edge."""
        return Rect(self.x, self.y, self.x + self.width, self.y + self.height)

    def at(self, x: float, y: float) -> Self:
        """The same, further right and down."""
        return type(self)(self.x + x, self.y + y, self.width, self.height, self.thickness)


@dataclass(frozen=True, slots=True)
class Symbol:
    """A code; ``x`` and ``y`` are the top left corner of its dark modules.

    ``height`` is that of the dark modules: of bars any from the measure's least height up, of a
    matrix just that.
    """

    x: float
    y: float
    height: float
    text: str
    measure: Measure

    @property
    def box(self) -> Rect:
        """The room that the symbol takes with its quiet zones."""
        measure = self.measure
        right, bottom = self.x + measure.wide_mm, self.y + self.height
        return Rect(
            self.x - measure.quiet_mm,
            self.y - measure.quiet_y_mm,
            right + measure.quiet_mm,
            bottom + measure.quiet_y_mm,
        )

    def at(self, x: float, y: float) -> Self:
        """The same, further right and down."""
        return type(self)(self.x + x, self.y + y, self.height, self.text, self.measure)


@dataclass(frozen=True, slots=True)
class Band:
    """A black area for white words; ``x`` and ``y`` are its top left corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def box(self) -> Rect:
        """The room that it takes."""
        return Rect(self.x, self.y, self.x + self.width, self.y + self.height)

    def at(self, x: float, y: float) -> Self:
        """The same, further right and down."""
        return type(self)(self.x + x, self.y + y, self.width, self.height)


@dataclass(frozen=True, slots=True)
class Glyph:
    """One of the standards' symbols by its name; ``x`` and ``y`` are its top left corner."""

    x: float
    y: float
    height: float
    name: str

    @property
    def width(self) -> float:
        """How wide it is at its height."""
        return SYMBOLS[self.name].width * self.height

    @property
    def box(self) -> Rect:
        """The room that it takes."""
        return Rect(self.x, self.y, self.x + self.width, self.y + self.height)

    def at(self, x: float, y: float) -> Self:
        """The same, further right and down."""
        return type(self)(self.x + x, self.y + y, self.height, self.name)


Element: TypeAlias = Run | Rule | Frame | Band | Glyph | Symbol


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Lines of text from the left edge, 1.2 em apart."""

    lines: tuple[str, ...]
    size: float
    bold: bool = False

    @property
    def width(self) -> float:
        """The width of the longest line in mm."""
        return max((fonts.width_mm(it, self.size, self.bold) for it in self.lines), default=0.0)

    @property
    def height(self) -> float:
        """The height of all lines in mm."""
        return paragraph_height(len(self.lines), self.size)

    def elements(self, x: float = 0.0, y: float = 0.0) -> Iterator[Element]:
        """Every line in place, when the paragraph stands there."""
        em = self.size * MM_PER_POINT
        for at, line in enumerate(self.lines):
            baseline = y + (fonts.ASCENT + at * fonts.LINE_PITCH) * em
            yield Run(x, baseline, line, self.size, self.bold)


def paragraph_height(lines: int, size: float) -> float:
    """The height of so many lines in mm; nothing for none."""
    if lines < 1:
        return 0.0
    em = fonts.ASCENT + fonts.DESCENT + (lines - 1) * fonts.LINE_PITCH
    return em * size * MM_PER_POINT


@dataclass(frozen=True, slots=True)
class Block:
    """Things that belong together, each right of and below the block's own corner by so much."""

    height: float
    things: tuple[tuple[float, float, Block | Paragraph | Element], ...] = ()
    width: float = 0.0

    def elements(self, x: float = 0.0, y: float = 0.0) -> Iterator[Element]:
        """Every element in place, when the block stands there."""
        for right, down, thing in self.things:
            if isinstance(thing, Block | Paragraph):
                yield from thing.elements(x + right, y + down)
            else:
                yield thing.at(x + right, y + down)


Part: TypeAlias = Block | Paragraph
NOTHING = Block(0.0)


def stacked(blocks: Iterable[Part], gap: float) -> Block:
    """Blocks below one another with a gap between; empty ones take no room."""
    things: list[tuple[float, float, Part]] = []
    total = 0.0
    for block in blocks:
        height = block.height
        if height <= 0:
            continue
        top = total + gap if total else 0.0
        things.append((0.0, top, block))
        total = top + height
    return Block(total, tuple(things), max((it.width for _, _, it in things), default=0.0))


def beside(blocks: Iterable[Part], gap: float) -> Block:
    """Blocks in a row with a gap between, each at half height; empty ones take no room."""
    kept = [block for block in blocks if block.height > 0]
    high = max((block.height for block in kept), default=0.0)
    things: list[tuple[float, float, Part]] = []
    total = 0.0
    for block in kept:
        left = total + gap if things else 0.0
        things.append((left, (high - block.height) / 2, block))
        total = left + block.width
    return Block(high, tuple(things), total)


def capitals(text: str, size: float, *, bold: bool = True) -> Block:
    """One line of capitals and digits, in no more height than their ink needs."""
    em = size * MM_PER_POINT
    rise, drop = _reach(text)
    run = Run(0.0, rise * em, text, size, bold, rise, drop)
    return Block((rise + drop) * em, ((0.0, 0.0, run),), fonts.width_em(text, bold) * em)


@lru_cache(maxsize=256)
def _reach(text: str) -> tuple[float, float]:
    """How far the text reaches above and below its baseline, in em."""
    if not text.isascii():
        return fonts.ASCENT, fonts.DESCENT
    level = all(char in " -" or char.isdigit() or char.isupper() for char in text)
    if level and not set(text) & set("JQ"):
        return fonts.CAPITAL, fonts.DIGIT_DROP
    return fonts.CAPITAL, fonts.DESCENT
