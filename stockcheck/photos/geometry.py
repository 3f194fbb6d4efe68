"""Where things lie in a picture: corners, overlaps, places in words, and windows cut out of it.

Lengths are pixels of the picture as it is looked at (turned upright), x to the right, y down.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, cos, hypot, sin

Point = tuple[float, float]
Corners = tuple[Point, Point, Point, Point]
_ROWS = ("upper", "", "lower")
_COLUMNS = ("left", "", "right")


def middle(corners: Corners) -> Point:
    """The point between the four corners."""
    return sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4


def bounds(corners: Corners) -> tuple[int, int, int, int]:
    """Left, top, right and bottom of what the corners reach."""
    across, down = [x for x, _ in corners], [y for _, y in corners]
    return round(min(across)), round(min(down)), round(max(across)), round(max(down))


def inside(point: Point, corners: Corners, margin: float = 0.0) -> bool:
    """Whether a point lies within four corners, or no further than ``margin`` outside of them."""
    sides = []
    for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1], strict=True):
        length = hypot(x2 - x1, y2 - y1) or 1.0
        sides.append(((x2 - x1) * (point[1] - y1) - (y2 - y1) * (point[0] - x1)) / length)
    return min(sides) >= -margin or max(sides) <= margin


def overlap(one: Corners, other: Corners) -> bool:
    """Whether two outlines are of one thing: the middle of either lies within the other."""
    return inside(middle(one), other) or inside(middle(other), one)


def place_words(corners: Corners, size: tuple[int, int]) -> str:
    """Where that is in a picture of this size: ``upper left``, ``middle``, ``right``."""
    x, y = middle(corners)
    column = _COLUMNS[_third(x, size[0])]
    row = _ROWS[_third(y, size[1])]
    return f"{row} {column}".strip() or "middle"


def _third(value: float, whole: int) -> int:
    return max(0, min(2, int(value * 3 / max(1, whole))))


def area_words(corners: Corners) -> str:
    """How large it is and where it begins: ``310 x 120 pixels at 40, 520``."""
    left, top, right, bottom = bounds(corners)
    return f"{max(1, right - left)} x {max(1, bottom - top)} pixels at {left}, {top}"


@dataclass(frozen=True, slots=True)
class Window:
    """A turned rectangle of the picture: its middle, its angle in radians, and its size."""

    at: Point
    angle: float
    width: float
    height: float

    def point(self, right: float, down: float) -> Point:
        """The point of the picture so far right of and below the window's upper left corner."""
        u, v = right - self.width / 2, down - self.height / 2
        turn, lift = cos(self.angle), sin(self.angle)
        return self.at[0] + u * turn - v * lift, self.at[1] + u * lift + v * turn

    @property
    def corners(self) -> Corners:
        """Its corners, from the upper left as the window is turned."""
        return (
            self.point(0, 0),
            self.point(self.width, 0),
            self.point(self.width, self.height),
            self.point(0, self.height),
        )

    def grown(self, across: float, down: float) -> Window:
        """The same with so much more on each side."""
        return Window(self.at, self.angle, self.width + 2 * across, self.height + 2 * down)

    def figures(
        self, across: float, down: float
    ) -> tuple[float, float, float, float, float, float]:
        """What takes a pixel of the cut-out, drawn at a scale, to the picture (an affine map)."""
        turn, lift = cos(self.angle), sin(self.angle)
        x, y = self.point(0, 0)
        return turn / across, -lift / down, x, lift / across, turn / down, y


def spanning(corners: Corners, *more: Corners) -> Window:
    """The window along the first side of four corners that holds all of them, and more."""
    (x1, y1), (x2, y2) = corners[0], corners[1]
    return turned(corners, atan2(y2 - y1, x2 - x1), *more)


def turned(corners: Corners, angle: float, *more: Corners) -> Window:
    """The window at an angle that holds all the corners."""
    turn, lift = cos(angle), sin(angle)
    points = [point for each in (corners, *more) for point in each]
    along = [x * turn + y * lift for x, y in points]
    down = [-x * lift + y * turn for x, y in points]
    u, v = (min(along) + max(along)) / 2, (min(down) + max(down)) / 2
    at = (u * turn - v * lift, u * lift + v * turn)
    return Window(at, angle, max(along) - min(along), max(down) - min(down))
