"""Where something like a code lies in a picture, whether it can be read or not.

Bars make grey values change along one direction only, a matrix makes them change a lot along every
one. Both are measured in small cells by the differences to neighbours in four directions, then
cells of one sort that touch are gathered. The direction is that of the structure tensor's
double angle (Bigun and Granlund 1987; from memory), here of absolute differences, which is exact at
multiples of 22.5 degrees and within 2 between them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import atan2, cos, hypot, log, pi, sin, sqrt
from typing import TYPE_CHECKING

from stockcheck.photos.geometry import Window, inside, spanning

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_AREAS = 16  # of each sort in one picture, the likeliest first: each costs time
_CELL = 8  # pixels of the level that a cell is wide
_FINEST, _COARSEST = 2400, 240  # longest sides between which the picture is looked at
_WEAKEST = 1.0  # mean difference to the neighbours, of 255, in a cell that may belong to a code
_WEAKEST_OF_BARS = (1.0, 5.0)
_WEAKEST_OF_MATRIX = (1.2, 2.3, 4.0, 6.0)  # a darker ground parts what a brighter one joins
_MOST_NOISE = 16.0
_ONE_WAY, _EVERY_WAY = 0.34, 0.3  # shares of the differences that run one way: bars, matrix
_STEEP = pi / 9  # how far neighbouring cells of bars may turn against each other
_Cell = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Area:
    """A part of the picture that looks like a code: bars across the window, or a matrix."""

    window: Window
    bars: bool
    strength: float


@dataclass(frozen=True, slots=True)
class _Grain:
    """What one cell holds: how much changes in it, how far one way, and which way."""

    strength: float
    one_way: float
    angle: float


def find_areas(grey: Image) -> list[Area]:
    """What looks like codes: bars, then matrices, the likeliest first, at most 16 of each."""
    found: list[Area] = []
    factor = max(1, round(max(grey.size) / _FINEST))
    level = grey.point(LOGARITHM)
    level = level.reduce(factor) if factor > 1 else level
    first = factor
    while min(level.size) > _CELL and (factor == first or max(level.size) >= _COARSEST):
        found += _at_level(level, factor)
        level, factor = level.reduce(2), factor * 2
    return _strongest(found, bars=True) + _strongest(found, bars=False)


def _strongest(found: list[Area], *, bars: bool) -> list[Area]:
    """Those of one sort, the likeliest first, each thing once."""
    kept: list[Area] = []
    for area in sorted((each for each in found if each.bars == bars), key=_chance, reverse=True):
        if len(kept) < MOST_AREAS and not any(_same(area, other) for other in kept):
            kept.append(area)
    return kept


def _chance(area: Area) -> float:
    """What speaks for an area: how much changes in it, and that it is no speck."""
    size = sqrt(area.window.width * area.window.height)
    return area.strength * (size if area.bars else sqrt(size))


def _same(area: Area, other: Area) -> bool:
    """Whether an area adds nothing to one that is kept, being of its sort and within it."""
    size, than = (it.window.width * it.window.height for it in (area, other))
    return 0.5 < size / than < 2 and inside(area.window.at, other.window.corners)


def _at_level(grey: Image, factor: int) -> Iterator[Area]:
    grains = _grains(grey)
    for weakest in _WEAKEST_OF_BARS:
        bars = {
            cell for cell, it in grains.items() if it.one_way > _ONE_WAY and it.strength > weakest
        }
        pieces: list[Area] = []
        for group in _groups(bars, grains, turning=True):
            if len(group) >= 4:
                pieces += _bars_area(group, grains, factor)
        yield from joined(pieces)
    for weakest in _WEAKEST_OF_MATRIX:
        dense = {
            cell
            for cell, it in grains.items()
            if it.one_way <= _EVERY_WAY and it.strength > weakest
        }
        for group in _groups(dense, grains, turning=False):
            if len(group) >= 4:
                yield from _matrix_area(group, grains, factor)


def _grains(grey: Image) -> dict[_Cell, _Grain]:
    """The cells in which enough changes."""
    from PIL import ImageChops, ImageFilter

    width, height = grey.size
    core = grey.crop((0, 0, width - 1, height - 1))
    moved = {
        "right": (grey.crop((1, 0, width, height - 1)), core),
        "down": (grey.crop((0, 1, width - 1, height)), core),
        "falling": (grey.crop((1, 1, width, height)), core),
        "rising": (grey.crop((1, 0, width, height - 1)), grey.crop((0, 1, width - 1, height))),
    }
    sums = {}
    for way, (one, other) in moved.items():
        stronger = ImageChops.difference(one, other).point(_DOUBLED)
        sums[way] = stronger.reduce(_CELL).filter(ImageFilter.BoxBlur(1))
    columns = sums["right"].width
    values = list(zip(*(sums[way].tobytes() for way in moved), strict=True))
    floor = _floor(values)
    cells: dict[_Cell, _Grain] = {}
    for number, (right, down, falling, rising) in enumerate(values):
        strength = _strength(right, down, falling, rising) - floor
        if strength < _WEAKEST:
            continue
        straight, slant = right - down, (falling - rising) * _DIAGONAL
        one_way = hypot(straight, slant) / (4 * strength)
        cells[number % columns, number // columns] = _Grain(
            strength, one_way, atan2(slant, straight) / 2
        )
    return cells


def _strength(right: int, down: int, falling: int, rising: int) -> float:
    """The mean difference to the neighbours, of what was doubled."""
    return (right + down + (falling + rising) * _DIAGONAL) / 8


def _floor(values: list[tuple[int, ...]]) -> float:
    """What noise alone makes: the strength that a sixth of the picture stays below."""
    ordered = sorted(_strength(*each) for each in values)
    return min(_MOST_NOISE, ordered[len(ordered) // 6]) if ordered else 0.0


LOGARITHM = [min(255, round(45 * log((value + 12) / 12))) for value in range(256)]
# light multiplies: so the same contrast counts the same in the sun and in a shadow
_DOUBLED = [min(255, 2 * value) for value in range(256)]
_DIAGONAL = 1.0 / 2**0.5  # a diagonal step is so much longer


def _groups(
    cells: set[_Cell], grains: dict[_Cell, _Grain], *, turning: bool
) -> Iterator[list[_Cell]]:
    """Cells that touch; of bars, those that turn little against each other."""
    left = set(cells)
    while left:
        waiting = [left.pop()]
        group = []
        while waiting:
            cell = waiting.pop()
            group.append(cell)
            x, y = cell
            for near in [(x + i, y + j) for i in (-1, 0, 1) for j in (-1, 0, 1)]:
                if near in left and not (turning and _turned(grains[cell], grains[near])):
                    left.remove(near)
                    waiting.append(near)
        yield group


def _turned(one: _Grain, other: _Grain) -> bool:
    return abs((one.angle - other.angle + pi / 2) % pi - pi / 2) > _STEEP


def _bars_area(group: list[_Cell], grains: dict[_Cell, _Grain], factor: int) -> Iterator[Area]:
    """The window across the bars, if it is longer than it could be by chance."""
    weight = sum(grains[cell].strength for cell in group)
    across = sum(grains[cell].strength * cos(2 * grains[cell].angle) for cell in group)
    along = sum(grains[cell].strength * sin(2 * grains[cell].angle) for cell in group)
    window = _window(group, atan2(along, across) / 2, factor)
    filled = len(group) * (_CELL * factor) ** 2 / (window.width * window.height)
    if window.width >= 3 * _CELL * factor and filled > 0.4:
        yield Area(window, bars=True, strength=weight / len(group))


def joined(pieces: list[Area]) -> list[Area]:
    """Bars that go on behind a gap, as where a shadow's edge lies across them, as one area."""
    left = sorted(pieces, key=lambda each: -each.window.width)
    whole: list[Area] = []
    while left:
        area = left.pop(0)
        while more := [other for other in left if _goes_on(area.window, other.window)]:
            left.remove(more[0])
            window = _around(area.window, more[0].window)
            area = Area(window, bars=True, strength=max(area.strength, more[0].strength))
        whole.append(area)
    return whole


def _goes_on(one: Window, other: Window) -> bool:
    if abs((one.angle - other.angle + pi / 2) % pi - pi / 2) > pi / 12:
        return False
    both = _around(one, other)
    gap = both.width - one.width - other.width
    lower, higher = sorted((one.height, other.height))
    return gap < 0.35 * one.height and both.height < 1.3 * higher and higher < 2 * lower


def _around(one: Window, other: Window) -> Window:
    """The window at the angle of the first that holds both."""
    return spanning(one.corners, other.corners)


def _matrix_area(group: list[_Cell], grains: dict[_Cell, _Grain], factor: int) -> Iterator[Area]:
    """The smallest window around it among a few angles, if it is about as wide as it is high."""
    windows = [_window(group, turn * pi / 24, factor) for turn in range(12)]
    window = min(windows, key=lambda it: it.width * it.height)
    filled = len(group) * (_CELL * factor) ** 2 / (window.width * window.height)
    longer = max(window.width, window.height) / min(window.width, window.height)
    if filled > 0.5 and longer < 2.5:
        strength = sum(grains[cell].strength for cell in group) / len(group)
        yield Area(window, bars=False, strength=strength)


def _window(group: list[_Cell], angle: float, factor: int) -> Window:
    """What holds all the cells at an angle, in pixels of the whole picture."""
    turn, lift = cos(angle), sin(angle)
    along = [x * turn + y * lift for x, y in group]
    down = [-x * lift + y * turn for x, y in group]
    u, v = (min(along) + max(along)) / 2, (min(down) + max(down)) / 2
    step = _CELL * factor
    at = ((u * turn - v * lift + 0.5) * step, (u * lift + v * turn + 0.5) * step)
    return Window(
        at, angle, (max(along) - min(along) + 1) * step, (max(down) - min(down) + 1) * step
    )
