"""Pages as plain values: marks in blocks, blocks on pages. Nothing here draws.

Points throughout, measured from the top left corner of the printable area, downwards. Named tuples
rather than dataclasses: classes less to generate save 5 ms at each start, and there are thousands
of marks to make.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple, TypeAlias

MM = 72 / 25.4
MARGIN = 15 * MM
FOOTER = 8 * MM


class Style(NamedTuple):
    """Weight and size of letters, and the distance from line to line."""

    bold: bool
    size: float
    leading: float
    grey: float = 0.0


class Text(NamedTuple):
    """One line of letters; ``y`` is its baseline."""

    x: float
    y: float
    text: str
    style: Style


class Rule(NamedTuple):
    """A horizontal line of a thickness; ``grey`` 0 is black."""

    x: float
    y: float
    width: float
    thickness: float = 0.4
    grey: float = 0.0


class Box(NamedTuple):
    """A rectangle, filled with ``fill`` (0 is black) or, without one, outlined."""

    x: float
    y: float
    width: float
    height: float
    fill: float | None = None


class Panel(NamedTuple):
    """A rectangle that hides what lies under it, outlined; ``fill`` 1 is white.

    The outline is dotted on demand; the right side may be drawn out into an arrow's ``point``,
    which lies within the width.
    """

    x: float
    y: float
    width: float
    height: float
    fill: float = 1.0
    dotted: bool = False
    point: float = 0.0


Mark: TypeAlias = Text | Rule | Box | Panel


class Block(NamedTuple):
    """Marks that stay together on one page; ``bookmark`` is its name in the outline."""

    height: float
    marks: tuple[Mark, ...] = ()
    bookmark: str = ""


class Placed(NamedTuple):
    """A block with the height of its top edge on its page."""

    y: float
    block: Block


class Sheet(NamedTuple):
    """A page's size with what is left for printing inside margins and footer."""

    width: float
    height: float

    @property
    def room(self) -> float:
        """Printable width."""
        return self.width - 2 * MARGIN

    @property
    def depth(self) -> float:
        """Printable height above the footer."""
        return self.height - 2 * MARGIN - FOOTER

    def turned(self) -> Sheet:
        """The same sheet lying on its long side."""
        return Sheet(self.height, self.width)


SHEETS = {"A4": Sheet(210 * MM, 297 * MM), "Letter": Sheet(612, 792)}


def stack(blocks: Sequence[Block], frame: float = 0.0, width: float = 0.0) -> Block:
    """Blocks one under the other as one; with ``frame``, that much padding inside a box."""
    y, marks = frame, []
    for block in blocks:
        marks += [mark._replace(y=mark.y + y) for mark in block.marks]
        y += block.height
    if frame:
        marks.insert(0, Box(0, 0, width, y + frame))
    bookmark = next((block.bookmark for block in blocks if block.bookmark), "")
    return Block(y + frame, tuple(marks), bookmark)


class Pager:
    """Places blocks on pages. ``running`` is repeated at the top of each page begun on the way."""

    def __init__(self, depth: float) -> None:
        self.depth = depth
        self.pages: list[list[Placed]] = [[]]
        self.used = 0.0
        self.running: Block | None = None

    @property
    def left(self) -> float:
        """What is still free on the page."""
        return self.depth - self.used

    def put(self, block: Block, keep_with: float = 0.0) -> None:
        """Place a block here if it and the ``keep_with`` after it fit, else on a new page."""
        if self.used and block.height + keep_with > self.left:
            self.turn()
        self.pages[-1].append(Placed(self.used, block))
        self.used += block.height

    def skip(self, height: float) -> None:
        """Leave white space, unless at the top of a page."""
        if self.used:
            self.used += height

    def turn(self) -> None:
        """Begin a new page."""
        self.pages.append([])
        self.used = 0.0
        if self.running is not None:
            self.put(self.running)

    def put_framed(self, lines: Sequence[Block], padding: float, width: float) -> None:
        """Lines in one frame where they fit on a page, else in a frame on each page they need."""
        rest = list(lines)
        whole = sum(line.height for line in rest) + 2 * padding
        if self.left < whole <= self.depth or self.left < whole / len(rest) * 4:
            self.turn()
        while rest:
            here = self._how_many(rest, self.left - 2 * padding)
            self.put(stack(rest[:here], padding, width))
            rest = rest[here:]

    @staticmethod
    def _how_many(lines: Sequence[Block], room: float) -> int:
        used, count = 0.0, 0
        while count < len(lines) and used + lines[count].height <= room:
            used, count = used + lines[count].height, count + 1
        return max(1, count)
