"""The standards' symbols as plain geometry: each in a box one high and ``width`` wide, y downwards.

What each means is told by the standards: ISO 15223-1 and ISO 7000 for the black ones, ISO 7010 for
the first-aid sign. Numbers and meanings are as public glossaries of ISO 15223-1 quote them; the
drawings are our own, from the names and from memory, since the standards' artwork is not free. The
least printed heights are common practice: the standards ask only that symbols can be read.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

Point = tuple[float, float]
BLACK, GREEN, WHITE = "black", "green", "white"
LINE = 0.075  # of the height: 0.22 mm at the least height, nearly two dots at 203 dpi


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through points, as wide as told, with round ends and corners."""

    points: tuple[Point, ...]
    closed: bool = False
    width: float = LINE


@dataclass(frozen=True, slots=True)
class Fill:
    """A filled outline."""

    points: tuple[Point, ...]
    ink: str = BLACK


@dataclass(frozen=True, slots=True)
class Drawing:
    """One symbol: its meaning, its standard, its shapes in order, and the least height in mm."""

    meaning: str
    standard: str
    shapes: tuple[Stroke | Fill, ...]
    width: float = 1.0
    least_mm: float = 3.0

    def reach(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of all ink."""
        edges = [
            (x, y, shape.width / 2 if isinstance(shape, Stroke) else 0.0)
            for shape in self.shapes
            for x, y in shape.points
        ]
        return (
            min(x - half for x, _, half in edges),
            min(y - half for _, y, half in edges),
            max(x + half for x, _, half in edges),
            max(y + half for _, y, half in edges),
        )


def _arc(
    centre: Point, across: float, start: float, end: float, steps: int = 16, down: float = 0.0
) -> tuple[Point, ...]:
    """Points on an arc in degrees, 0 to the right and 90 up; ``down`` is its other half axis."""
    (x, y), down = centre, down or across
    turns = (math.radians(start + (end - start) * at / steps) for at in range(steps + 1))
    return tuple(
        (round(x + across * math.cos(turn), 4), round(y - down * math.sin(turn), 4))
        for turn in turns
    )


def _box(left: float, top: float, right: float, bottom: float) -> tuple[Point, ...]:
    return ((left, top), (right, top), (right, bottom), (left, bottom))


def _hourglass() -> Drawing:
    glass = ((0.1, 0.07), (0.6, 0.07), (0.1, 0.93), (0.6, 0.93))
    sand = ((0.2, 0.93), (0.35, 0.7), (0.5, 0.93))
    caps = (Stroke(((0.05, 0.05), (0.65, 0.05))), Stroke(((0.05, 0.95), (0.65, 0.95))))
    shapes = (Stroke(glass, closed=True), Fill(sand), *caps)
    return Drawing("not to be used after this date", "ISO 15223-1 no. 5.1.4", shapes, width=0.7)


def _batch() -> Drawing:
    pen = 0.1
    letters = (
        Stroke(((0.34, 0.24), (0.34, 0.76), (0.62, 0.76)), width=pen),
        Stroke(_arc((0.98, 0.5), 0.2, 0, 360, 24, down=0.26), closed=True, width=pen),
        Stroke(((1.34, 0.24), (1.76, 0.24)), width=pen),
        Stroke(((1.55, 0.24), (1.55, 0.76)), width=pen),
    )
    frame = Stroke(_box(0.05, 0.05, 2.05, 0.95), closed=True)
    shapes = (frame, *letters)
    return Drawing("maker's batch", "ISO 15223-1 no. 5.1.5", shapes, width=2.1, least_mm=2.3)


def _factory() -> Drawing:
    roof = ((0.3, 0.55), (0.52, 0.36), (0.52, 0.55), (0.73, 0.36), (0.73, 0.55), (0.95, 0.36))
    outline = ((0.05, 0.95), (0.05, 0.06), (0.25, 0.06), (0.3, 0.55), *roof[1:], (0.95, 0.95))
    shapes = (Stroke(outline, closed=True),)
    return Drawing("date of manufacture", "ISO 15223-1 no. 5.1.3", shapes)


def _thermometer(*, lower: bool, upper: bool) -> Drawing:
    tube = (*_arc((0.4, 0.14), 0.09, 180, 0, 8), (0.49, 0.66))
    bulb = _arc((0.4, 0.8), 0.16, 55, -235, 24)
    shapes: list[Stroke | Fill] = [
        Stroke((*tube, *bulb), closed=True, width=0.065),
        Fill(_arc((0.4, 0.8), 0.09, 0, 360, 20)),
        Stroke(((0.4, 0.8), (0.4, 0.42))),
    ]
    if upper:
        shapes.append(Stroke(((0.58, 0.2), (0.76, 0.2))))
    if lower:
        shapes.append(Stroke(((0.04, 0.56), (0.22, 0.56))))
    number = "5.3.7" if lower and upper else "5.3.6" if upper else "5.3.5"
    standard = f"ISO 15223-1 no. {number}"
    return Drawing("temperatures to keep it at", standard, tuple(shapes), width=0.8)


def _umbrella() -> Drawing:
    canopy = _arc((0.5, 0.6), 0.44, 180, 0, 20)
    scallops = tuple(
        point
        for centre in (0.7933, 0.5, 0.2067)
        for point in _arc((centre, 0.6), 0.1467, 0, 180, 8, down=0.07)
    )
    stick = ((0.5, 0.56), (0.5, 0.86), *_arc((0.41, 0.86), 0.09, 0, -180, 8))
    drops = (((0.2, 0.05), (0.15, 0.16)), ((0.52, 0.04), (0.49, 0.11)), ((0.85, 0.05), (0.8, 0.16)))
    canvas = Fill((*canopy, *scallops))
    strokes = [Stroke(stick), *map(Stroke, drops)]
    return Drawing("keep dry", "ISO 15223-1 no. 5.3.4", (canvas, *strokes))


def _single_use() -> Drawing:
    two = (*_arc((0.5, 0.4), 0.15, 170, -25, 12), (0.35, 0.73), (0.67, 0.73))
    across = 0.45 * math.sqrt(0.5)
    shapes = (
        Stroke(_arc((0.5, 0.5), 0.45, 0, 360, 40), closed=True),
        Stroke(two, width=0.09),
        Stroke(((0.5 - across, 0.5 - across), (0.5 + across, 0.5 + across))),
    )
    return Drawing("for one use only", "ISO 15223-1 no. 5.4.2", shapes)


def _first_aid() -> Drawing:
    near, far, inner, outer = 0.18, 0.82, 0.39, 0.61
    level = _box(near, inner, far, outer)
    upright = _box(inner, near, outer, far)
    shapes = (Fill(_box(0, 0, 1, 1), GREEN), Fill(level, WHITE), Fill(upright, WHITE))
    return Drawing("first aid", "ISO 7010 E003", shapes, least_mm=6.0)


USE_BY, BATCH, MADE = "use by", "batch", "made"
STORE_BETWEEN, STORE_BELOW, STORE_ABOVE = "between", "below", "above"
KEEP_DRY, SINGLE_USE, FIRST_AID = "keep dry", "single use", "first aid"
SYMBOLS = {
    USE_BY: _hourglass(),
    BATCH: _batch(),
    MADE: _factory(),
    STORE_BETWEEN: _thermometer(lower=True, upper=True),
    STORE_BELOW: _thermometer(lower=False, upper=True),
    STORE_ABOVE: _thermometer(lower=True, upper=False),
    KEEP_DRY: _umbrella(),
    SINGLE_USE: _single_use(),
    FIRST_AID: _first_aid(),
}
