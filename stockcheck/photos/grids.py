"""Matrix codes by their structure, where the decoder's own search loses them in a poor picture.

What is fixed in a symbol (the dark L and the alternating sides of a Data Matrix, the three
finders and the timing lines of a QR code, the light zone around either) is laid over the picture
as a grid of dark and light, and moved until it fits best. Then every module is taken at its own
place, the light of its neighbours is taken off it, and the decoder gets a clean symbol: whether it
is one is decided by its error correction alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate
from math import atan2, cos, hypot, sin
from operator import mul
from typing import TYPE_CHECKING, Any

from stockcheck.photos.geometry import Corners
from stockcheck.photos.templates import CORNER, Template, data_matrix_templates, qr_templates

if TYPE_CHECKING:
    from PIL.Image import Image

SIDE = 192  # pixels that the surroundings of a symbol are drawn wide
_COARSE = 3  # pixels of it for one of the first search
_MOST_SQUARES, _MOST_ROUGH, _MOST_PLACES, _MOST_SIZES, _MOST_FITS = 4, 3, 2, 4, 2
_SOFT = 1.0  # pixels that the picture is softened by before modules are taken from it
_LEAST_EDGE, _LEAST_FIT = 6.0, 10.0  # of 255: how much lighter around it, how well it fits
_STEPS = (0.6, 0.3, 0.15, 0.07)  # modules that the corners are moved by
_CRISP = 2.0  # weight of how far the modules are apart beside how well what is known fits
_DEBLURS = (0.9, 1.6, 0.35)  # shares of the difference to the four neighbours that are added
_PIXELS, _QUIET = 4, 2  # of the clean symbol: pixels a module, modules around


@dataclass(frozen=True, slots=True)
class Fit:
    """A grid laid over the picture: the corners of the symbol in it, and how well it fits."""

    template: Template
    corners: Corners
    score: float


@dataclass(frozen=True, slots=True)
class Clean:
    """A symbol drawn anew, of which symbology, and where it lies in the surroundings."""

    image: Image
    matrix: str
    corners: Corners


def clean_symbols(cut: Callable[[float], Image]) -> Iterator[Clean]:
    """What may be symbols in a picture, the likeliest first; ``cut`` gives it turned by an angle.

    ``cut`` gives ``SIDE`` pixels each way, in the logarithm of light.
    """
    from PIL import ImageFilter

    straight = cut(0.0)
    angle = _lie(straight)
    turned = cut(angle).filter(ImageFilter.GaussianBlur(_SOFT))
    best = _fits(turned)
    for fit in best:
        values = _sampled(turned, fit)
        for share in _DEBLURS:
            image = _drawn(_split(values, fit.template.side, share), fit.template)
            yield Clean(image, fit.template.matrix, _turned(fit.corners, angle))


def _lie(image: Image) -> float:
    """The angle of most edges, which is that of a grid, between plus and minus 45 degrees."""
    small = image.reduce(_COARSE)
    width, height = small.size
    pixels = small.tobytes()
    across = down = 0.0
    for row in range(height // 5, height * 4 // 5):
        start = row * width
        for place in range(start + width // 5, start + width * 4 // 5):
            right = pixels[place + 1] - pixels[place - 1]
            below = pixels[place + width] - pixels[place - width]
            square = (complex(right, below) ** 2) ** 2
            size = right * right + below * below
            if size:
                across += square.real / size
                down += square.imag / size
    return atan2(down, across) / 4


def _turned(corners: Corners, angle: float) -> Corners:
    """Corners in the picture turned by an angle about its middle, back in the straight one."""
    turn, lift, half = cos(angle), sin(angle), SIDE / 2
    back = [
        (half + (x - half) * turn - (y - half) * lift, half + (x - half) * lift + (y - half) * turn)
        for x, y in corners
    ]
    return back[0], back[1], back[2], back[3]


def _squares(turned: Image) -> list[tuple[float, float, float]]:
    """Upright squares that are darker within their edges than around: left, top and side."""
    small = turned.reduce(_COARSE)
    width = small.width
    sums = _sums(small)

    def total(left: int, top: int, right: int, bottom: int) -> int:
        return sums[bottom][right] - sums[top][right] - sums[bottom][left] + sums[top][left]

    found: list[tuple[float, int, int, int]] = []
    for side in range(width // 5, width * 4 // 5, 3):
        thick = max(1, side // 14)
        area = side * thick
        for top in range(thick, width - side - thick, 2):
            bottom = top + side
            for left in range(thick, width - side - thick, 2):
                right = left + side
                outer = (
                    total(left - thick, top, left, bottom)
                    + total(right, top, right + thick, bottom)
                    + total(left, top - thick, right, top)
                    + total(left, bottom, right, bottom + thick)
                )
                inner = (
                    total(left, top, left + thick, bottom)
                    + total(right - thick, top, right, bottom)
                    + total(left, top, right, top + thick)
                    + total(left, bottom - thick, right, bottom)
                )
                edge = (outer - inner) / (4 * area)
                if edge > _LEAST_EDGE:
                    found.append((edge * side**0.5, left, top, side))
    return _apart(found)


def _apart(found: list[tuple[float, int, int, int]]) -> list[tuple[float, float, float]]:
    """The best few that are not nearly the same."""
    kept: list[tuple[int, int, int]] = []
    for _, left, top, side in sorted(found, reverse=True):
        near = side // 8
        if all(
            abs(left - x) > near or abs(top - y) > near or abs(side - s) > near for x, y, s in kept
        ):
            kept.append((left, top, side))
        if len(kept) == _MOST_SQUARES:
            break
    return [(left * _COARSE, top * _COARSE, side * _COARSE) for left, top, side in kept]


def _sums(image: Image) -> list[list[int]]:
    """For each place the sum of all pixels above and to the left of it."""
    pixels, width = image.tobytes(), image.width
    above = [0] * (width + 1)
    sums = [above]
    for start in range(0, len(pixels), width):
        row = list(accumulate(pixels[start : start + width], initial=0))
        above = [one + other for one, other in zip(row, above, strict=True)]
        sums.append(above)
    return sums


def _fits(turned: Image) -> list[Fit]:
    """The likeliest grids: first where the square is and which way up, then of how many modules."""
    rough: list[Fit] = []
    for square in _squares(turned):
        for corners in _ways_up(*square):
            rough += [_fit(turned, each, corners) for each in (CORNER, *qr_templates())]
    rough = [each for each in rough if each.score > _LEAST_FIT]
    rough.sort(key=_how_well)
    moved = [_moved(turned, each, _STEPS[:2], 0.0) for each in rough[:_MOST_ROUGH]]
    fits: list[Fit] = []
    for fit in sorted(moved, key=_how_well)[:_MOST_PLACES]:
        sizes = data_matrix_templates() if fit.template is CORNER else (fit.template,)
        likely = sorted((_fit(turned, each, fit.corners) for each in sizes), key=_how_well)
        fits += [_moved(turned, each, _STEPS[1:2], 0.0) for each in likely[:_MOST_SIZES]]
    fits.sort(key=_how_well)
    last = [_fit(turned, each.template, each.corners, _CRISP) for each in fits[:_MOST_FITS]]
    return [_moved(turned, each, _STEPS[1:], _CRISP) for each in last]


def _how_well(fit: Fit) -> float:
    """The best fit first."""
    return -fit.score


def _fit(turned: Image, template: Template, corners: Corners, crisp: float = 0.0) -> Fit:
    return Fit(template, corners, _score(turned, template, corners, crisp))


def _ways_up(left: float, top: float, side: float) -> Iterator[Corners]:
    right, bottom = left + side, top + side
    points = ((left, top), (right, top), (right, bottom), (left, bottom))
    for turn in range(4):
        yield (
            points[turn], points[(turn + 1) % 4], points[(turn + 2) % 4], points[(turn + 3) % 4],
        )  # fmt: skip


def _score(turned: Image, template: Template, corners: Corners, crisp: float = 0.0) -> float:
    """How much lighter what should be light is than what should be dark, less where it is skewed.

    ``crisp`` is the weight of how far apart all modules are, which is most where each is met
    in its middle.
    """
    modules = _modules(turned, template.side, corners)
    score: float = sum(map(mul, modules.tobytes(), template.weights))
    if crisp:
        score += crisp * _spread(modules)
    return score * (1 - 2 * _skew(corners)) * template.trust if score > 0 else score


def _spread(modules: Image) -> float:
    """The standard deviation of the modules, their neighbours' light taken off."""
    wide = modules.width
    sharp = modules.filter(_sharpener()).crop((1, 1, wide - 1, wide - 1)).tobytes()
    count = len(sharp)
    mean = sum(sharp) / count
    spread: float = max(0.0, sum(map(mul, sharp, sharp)) / count - mean * mean) ** 0.5
    return spread


@lru_cache(maxsize=1)
def _sharpener() -> Any:
    from PIL import ImageFilter

    return ImageFilter.Kernel((3, 3), (0, -0.25, 0, -0.25, 1, -0.25, 0, -0.25, 0), 1, 128)


def _skew(corners: Corners) -> float:
    """How far four corners are from those of a square: 0 for it, about 0.02 seen aslant."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    ax, ay, bx, by = x1 - x0 + x2 - x3, y1 - y0 + y2 - y3, x3 - x0 + x2 - x1, y3 - y0 + y2 - y1
    size = ax * ax + ay * ay + bx * bx + by * by or 1.0
    opposite = ((x0 - x1 + x2 - x3) ** 2 + (y0 - y1 + y2 - y3) ** 2) * 4 / size
    square = ((ax + by) ** 2 + (ay - bx) ** 2) / size  # 2 for a square the right way round
    return min(0.5, opposite + max(0.0, 2 - square) / 2)


def _modules(turned: Image, side: int, corners: Corners) -> Image:
    """The grey of each module and of those around."""
    from PIL import Image as Images

    return turned.transform(
        (side + 2, side + 2),
        Images.Transform.PERSPECTIVE,
        _plane(corners, side),
        Images.Resampling.BILINEAR,
        fillcolor=128,
    )


def _plane(corners: Corners, side: int) -> tuple[float, ...]:
    """What takes a module's place to the picture: a square to four corners (Heckbert 1989)."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    sx, sy = x0 - x1 + x2 - x3, y0 - y1 + y2 - y3
    dx1, dx2, dy1, dy2 = x1 - x2, x3 - x2, y1 - y2, y3 - y2
    whole = dx1 * dy2 - dx2 * dy1 or 1e-9
    g, h = (sx * dy2 - dx2 * sy) / whole, (dx1 * sy - sx * dy1) / whole
    a, b, d, e = x1 - x0 + g * x1, x3 - x0 + h * x3, y1 - y0 + g * y1, y3 - y0 + h * y3
    a, b, d, e, g, h = (each / side for each in (a, b, d, e, g, h))
    below = 1 - g - h  # the grid begins one module before the symbol
    return (
        a / below, b / below, (x0 - a - b) / below,
        d / below, e / below, (y0 - d - e) / below,
        g / below, h / below,
    )  # fmt: skip


def _moved(turned: Image, fit: Fit, steps: Sequence[float], crisp: float) -> Fit:
    """The grid moved, stretched and tilted until it fits no better."""
    side = hypot(fit.corners[1][0] - fit.corners[0][0], fit.corners[1][1] - fit.corners[0][1])
    module = side / fit.template.side
    for share in steps:
        for _ in range(2):
            before = fit.score
            fit = _better(turned, fit, share * module, crisp)
            if fit.score <= before:
                break
    return fit


_SETS = ((0, 1, 2, 3), (0, 1), (1, 2), (2, 3), (3, 0), (0,), (1,), (2,), (3,))


def _better(turned: Image, fit: Fit, step: float, crisp: float) -> Fit:
    """The best of moving all corners, each side and each corner, one after another."""
    for moving in _SETS:
        for right, down in ((step, 0), (-step, 0), (0, step), (0, -step)):
            corners = tuple(
                (x + right, y + down) if number in moving else (x, y)
                for number, (x, y) in enumerate(fit.corners)
            )
            tried: Corners = (corners[0], corners[1], corners[2], corners[3])
            score = _score(turned, fit.template, tried, crisp)
            if score > fit.score:
                fit = Fit(fit.template, tried, score)
    return fit


def _sampled(turned: Image, fit: Fit) -> list[list[int]]:
    wide = fit.template.side + 2
    pixels = _modules(turned, fit.template.side, fit.corners).tobytes()
    return [list(pixels[start : start + wide]) for start in range(0, wide * wide, wide)]


def _split(values: Sequence[Sequence[int]], side: int, share: float) -> list[list[bool]]:
    """Dark or light, each module against those around, after its neighbours' light is taken off."""
    sharp = [
        [
            values[y][x] * (1 + share)
            - share
            * (values[y - 1][x] + values[y + 1][x] + values[y][x - 1] + values[y][x + 1])
            / 4
            for x in range(1, side + 1)
        ]
        for y in range(1, side + 1)
    ]
    return [[sharp[y][x] < _level(sharp, x, y) for x in range(side)] for y in range(side)]


def _level(sharp: list[list[float]], x: int, y: int, reach: int = 3) -> float:
    """Halfway between dark and light around a module."""
    near = sorted(
        value
        for row in sharp[max(0, y - reach) : y + reach + 1]
        for value in row[max(0, x - reach) : x + reach + 1]
    )
    few = max(1, len(near) // 6)
    return (sum(near[:few]) + sum(near[-few:])) / (2 * few)


def _drawn(dark: list[list[bool]], template: Template) -> Image:
    """The symbol drawn clean, with what is known of it as it must be."""
    from PIL import Image as Images

    wide = template.side + 2 * _QUIET
    flat = bytearray(b"\xff" * (wide * wide))
    for y, row in enumerate(dark):
        for x, black in enumerate(row):
            if template.known.get((x, y), black):
                flat[(y + _QUIET) * wide + x + _QUIET] = 0
    small = Images.frombytes("L", (wide, wide), bytes(flat))
    return small.resize((wide * _PIXELS, wide * _PIXELS), Images.Resampling.NEAREST)
