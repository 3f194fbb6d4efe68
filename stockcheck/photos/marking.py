"""A copy of a picture with each code's outcome drawn on it: a word and a shape, not only a colour.

Every line is drawn dark and broad, then light and narrow over it, and every word stands on a dark
plate, so that all can be seen on dark and light grounds.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from math import hypot
from typing import TYPE_CHECKING

from stockcheck.data import fonts
from stockcheck.photos.geometry import Corners, Point, bounds, spanning

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

GOOD, BAD, QUIET, UNREAD = "good", "bad", "quiet", "unread"
_COLOURS = {GOOD: "#7CE38B", BAD: "#FF9A8C", QUIET: "#FFFFFF", UNREAD: "#FFE066"}
_DARK = "#101418"
_MOST_WORDS = 34


@dataclass(frozen=True, slots=True)
class Mark:
    """An outline with a short text. A bad one is crossed out, an unread one has a dashed line."""

    corners: Corners
    words: str
    sort: str


def marked_copy(coloured: Image, marks: Sequence[Mark], scale: float) -> bytes:
    """The picture with its marks, as JPEG. ``scale`` is its pixels for each of the corners'."""
    from PIL import ImageDraw, ImageFont

    copy = coloured.copy()
    pen = ImageDraw.Draw(copy)
    unit = max(2, round(max(copy.size) / 500))
    size = max(12, round(max(copy.size) / 55))
    font = ImageFont.truetype(str(fonts() / "DejaVuSansCondensed-Bold.ttf"), size)
    placed: list[tuple[float, float, float, float]] = []
    for mark in marks:
        outline = [(x * scale, y * scale) for x, y in _around(mark.corners)]
        _outline(pen, outline, mark.sort, unit)
    for mark in marks:
        left, top, _, bottom = (round(each * scale) for each in bounds(_around(mark.corners)))
        _plate(pen, font, mark, (left, top, bottom), copy.size, placed)
    file = BytesIO()
    copy.save(file, "JPEG", quality=88)
    return file.getvalue()


def _around(corners: Corners) -> Corners:
    """A little outside of the symbol; a linear code, of which only lines are known, higher."""
    window = spanning(corners)
    up = max(6.0, window.width * 0.12 if window.height < window.width / 4 else 0.0)
    return window.grown(6, up).corners


def _outline(pen: ImageDraw, points: list[Point], sort: str, unit: int) -> None:
    sides = list(zip(points, points[1:] + points[:1], strict=True))
    for width, colour in ((unit * 3, _DARK), (unit, _COLOURS[sort])):
        for start, end in sides:
            parts = _dashes(start, end, unit * 9) if sort == UNREAD else [(start, end)]
            for one, other in parts:
                pen.line([one, other], fill=colour, width=width)
    if sort == BAD:  # crossed out, for whoever does not see the colour
        for start, end in ((points[0], points[2]), (points[1], points[3])):
            pen.line([start, end], fill=_DARK, width=unit * 2)
            pen.line([start, end], fill=_COLOURS[sort], width=max(1, unit // 2))


def _dashes(start: Point, end: Point, length: float) -> Iterator[tuple[Point, Point]]:
    whole = hypot(end[0] - start[0], end[1] - start[1])
    count = max(1, round(whole / length))
    for number in range(0, count, 2):
        yield _between(start, end, number / count), _between(start, end, (number + 1) / count)


def _between(start: Point, end: Point, share: float) -> Point:
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _plate(
    pen: ImageDraw,
    font: FreeTypeFont,
    mark: Mark,
    at: tuple[int, int, int],
    size: tuple[int, int],
    placed: list[tuple[float, float, float, float]],
) -> None:
    """The words above the outline, or below or on it where there is no room."""
    words = mark.words if len(mark.words) <= _MOST_WORDS else f"{mark.words[: _MOST_WORDS - 1]}…"
    pad = font.size // 4
    _, _, width, height = pen.textbbox((0, 0), words, font=font)
    width, height = width + 2 * pad, height + 2 * pad
    left = max(0, min(at[0], size[0] - width))
    tops = [at[1] - height, at[2], at[1], *(at[2] + height * step for step in range(1, 8))]
    fitting = [max(0, min(top, size[1] - height)) for top in tops]
    top = next((it for it in fitting if _free((left, it, left + width, it + height), placed)),
               fitting[0])  # fmt: skip
    placed.append((left, top, left + width, top + height))
    pen.rectangle((left, top, left + width, top + height), fill=_DARK, outline=_COLOURS[mark.sort])
    pen.text((left + pad, top + pad), words, fill=_COLOURS[mark.sort], font=font)


def _free(
    box: tuple[float, float, float, float], placed: Sequence[tuple[float, float, float, float]]
) -> bool:
    return not any(
        box[0] < right and left < box[2] and box[1] < bottom and top < box[3]
        for left, top, right, bottom in placed
    )
