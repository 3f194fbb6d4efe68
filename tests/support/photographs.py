"""Invented photographs of real symbols: drawn flat, then turned, tilted, blurred, lit and packed.

The symbols come from two encoders of which neither is the reader's own decoder: python-barcode for
Code 128, EAN, UPC-A, ITF and Code 39, zxing-cpp's writer (libzint) for the rest. Everything follows
from the seed, so that a photograph that is not read can be made again.
"""

from __future__ import annotations

import io
import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil, cos, pi, sin

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from symbols_drawn import Symbol

Point = tuple[float, float]
Corners = tuple[Point, Point, Point, Point]
Pixels = NDArray[np.floating]
_OVERSIZE = 2  # the scene is drawn twice as large as the photograph, which smooths its edges
_PIXELS_A_MODULE = 6  # in the flat drawing of a symbol


@dataclass(frozen=True, slots=True)
class Conditions:
    """How a photograph is taken. Lengths are in modules of the symbol unless said otherwise.

    ``angle`` in degrees is a fixed turn, None any; ``tilt`` is how far the corners are pulled, as a
    share of the sides; ``blur`` the spread of the focus, ``shake`` the length of a movement along
    a random direction; ``noise`` the spread of grey values of 255; ``light`` the share of
    the light at the darkest edge, ``shadow`` in a hard shadow across the codes; ``ink`` and
    ``paper`` grey values; ``quality`` the JPEG's, None for none.
    """

    module: float = 4.0
    angle: float | None = 0.0
    tilt: float = 0.0
    blur: float = 0.0
    shake: float = 0.0
    noise: float = 2.0
    light: float = 1.0
    shadow: float = 1.0
    ink: int = 25
    paper: int = 235
    quality: int | None = None


@dataclass(frozen=True, slots=True)
class Drawn:
    """One symbol as it lies in the photograph, its corners with the quiet zone."""

    symbol: Symbol
    module: float
    corners: Corners

    @property
    def middle(self) -> tuple[float, float]:
        """The point in the middle."""
        return (
            sum(x for x, _ in self.corners) / 4,
            sum(y for _, y in self.corners) / 4,
        )


@dataclass(frozen=True, slots=True)
class Shot:
    """A finished photograph and what there is to read on it."""

    image: Image.Image
    drawn: tuple[Drawn, ...] = field(default=())


def photograph(
    dice: random.Random, symbols: Sequence[Symbol], given: Conditions, *, margin: int = 40
) -> Shot:
    """The symbols on labels, spread over one photograph just large enough for them."""
    labels = [_label(dice, symbol, given) for symbol in symbols]
    sizes = [_reach(label.size, given.module) for label in labels]
    columns = ceil(len(labels) ** 0.5)
    cell = max(sizes) + margin
    rows = -(-len(labels) // columns)
    width, height = max(480, columns * cell), max(360, rows * cell)
    scene = _ground(dice, width * _OVERSIZE, height * _OVERSIZE)
    drawn = []
    for number, (symbol, label) in enumerate(zip(symbols, labels, strict=True)):
        middle = (
            (number % columns + 0.5) * width / columns,
            (number // columns + 0.5) * height / rows,
        )
        corners = _corners(dice, label.size, middle, given)
        _lay(scene, label, corners)
        drawn.append(Drawn(symbol, given.module, corners))
    image = scene.reduce(_OVERSIZE)
    return Shot(_taken(dice, image, given, cell), tuple(drawn))


def picture_of(flat: Image.Image, dice: random.Random, given: Conditions, scale: float) -> Shot:
    """A printed page or label as photographed, ``scale`` pixels of the photograph for each of its.

    ``given.module`` must say how many pixels its modules then have.
    """
    reach = int((flat.width**2 + flat.height**2) ** 0.5 * scale) + 60
    scene = _ground(dice, reach * _OVERSIZE, reach * _OVERSIZE)
    size = (flat.width * scale, flat.height * scale)
    corners = _placed(dice, size, (reach / 2, reach / 2), given)
    _lay(scene, flat.convert("L"), corners)
    return Shot(_taken(dice, scene.reduce(_OVERSIZE), given, reach))


def _label(dice: random.Random, symbol: Symbol, given: Conditions) -> Image.Image:
    """The symbol in its own two greys, with a line of print under it."""
    modules = symbol.modules
    flat = np.where(np.kron(modules, np.ones((_PIXELS_A_MODULE,) * 2)) > 0, given.ink, given.paper)
    below = np.full((_PIXELS_A_MODULE * 8, flat.shape[1]), given.paper)
    label = Image.fromarray(np.vstack([flat, below]).astype(np.uint8))
    words = "".join(dice.choice("0123456789ABCDEF ") for _ in range(max(4, modules.shape[1] // 6)))
    ImageDraw.Draw(label).text(
        (_PIXELS_A_MODULE * 4, flat.shape[0]), words, fill=given.ink, font_size=30
    )
    return label


def _reach(size: tuple[int, int], module: float) -> int:
    return int((size[0] ** 2 + size[1] ** 2) ** 0.5 / _PIXELS_A_MODULE * module)


def _ground(dice: random.Random, width: int, height: int) -> Image.Image:
    """A bench top: cloudy grain, and a few printed words for the reader to stumble over."""
    grain = np.random.default_rng(dice.randrange(2**32))
    small = grain.normal(128, 25, (max(2, height // 90), max(2, width // 20))).clip(40, 215)
    ground = Image.fromarray(small.astype(np.uint8)).resize(
        (width, height), Image.Resampling.BICUBIC
    )
    pen = ImageDraw.Draw(ground)
    for _ in range(6):
        words = "".join(dice.choice("abcdefghilmnoprstu  ") for _ in range(28))
        place = (dice.randrange(width), dice.randrange(height))
        pen.text(place, words, fill=dice.choice((20, 230)), font_size=dice.randrange(20, 50))
    return ground


def _corners(
    dice: random.Random, size: tuple[int, int], middle: tuple[float, float], given: Conditions
) -> Corners:
    scale = given.module / _PIXELS_A_MODULE
    return _placed(dice, (size[0] * scale, size[1] * scale), middle, given)


def _placed(
    dice: random.Random, size: tuple[float, float], middle: tuple[float, float], given: Conditions
) -> Corners:
    angle = dice.uniform(0, 360) if given.angle is None else given.angle
    turn, (width, height) = angle / 180 * pi, size
    found = []
    for right, down in ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)):
        x = width * (right - right * dice.uniform(0, 2 * given.tilt))
        y = height * (down - down * dice.uniform(0, 2 * given.tilt))
        found.append(
            (
                middle[0] + x * cos(turn) - y * sin(turn),
                middle[1] + x * sin(turn) + y * cos(turn),
            )
        )
    return found[0], found[1], found[2], found[3]


def _lay(scene: Image.Image, label: Image.Image, corners: Corners) -> None:
    """Draw the label into the scene with its corners where they belong."""
    there = [(x * _OVERSIZE, y * _OVERSIZE) for x, y in corners]
    left, top = (int(min(point[axis] for point in there)) - 1 for axis in (0, 1))
    right, bottom = (int(max(point[axis] for point in there)) + 2 for axis in (0, 1))
    size = (right - left, bottom - top)
    local = [(x - left, y - top) for x, y in there]
    plane = _perspective(local, label.size)
    laid = label.transform(size, Image.Transform.PERSPECTIVE, plane, Image.Resampling.BICUBIC)
    full = Image.new("L", label.size, 255)
    mask = full.transform(size, Image.Transform.PERSPECTIVE, plane, Image.Resampling.BILINEAR)
    scene.paste(laid, (left, top), mask)


def _perspective(there: Sequence[tuple[float, float]], size: tuple[int, int]) -> list[float]:
    """The eight figures that take a point of the scene back to the flat label."""
    flat = ((0, 0), (size[0], 0), size, (0, size[1]))
    rows, values = [], []
    for (x, y), (u, v) in zip(there, flat, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        values += [u, v]
    return [float(figure) for figure in np.linalg.solve(np.array(rows), np.array(values))]


def _taken(dice: random.Random, image: Image.Image, given: Conditions, cell: int) -> Image.Image:
    """What light, lens, hand, sensor and file do to the scene, in this order."""
    pixels = np.asarray(image, dtype=np.float32)
    pixels = _lit(dice, pixels, given, cell)
    pixels = _shaken(dice, pixels, given.shake * given.module)
    soft = Image.fromarray(pixels.clip(0, 255).astype(np.uint8))
    if given.blur:
        soft = soft.filter(ImageFilter.GaussianBlur(given.blur * given.module))
    grain = np.random.default_rng(dice.randrange(2**32))
    noisy = np.asarray(soft, dtype=np.float32) + grain.normal(0, given.noise, pixels.shape)
    done = Image.fromarray(noisy.clip(0, 255).astype(np.uint8))
    if given.quality is None:
        return done
    packed = io.BytesIO()
    done.save(packed, "JPEG", quality=given.quality)
    return Image.open(io.BytesIO(packed.getvalue())).convert("L")


def _lit(dice: random.Random, pixels: Pixels, given: Conditions, cell: int) -> Pixels:
    height, width = pixels.shape
    across, down = np.meshgrid(np.linspace(0, 1, width), np.linspace(0, 1, height))
    turn = dice.uniform(0, 2 * pi)
    slope = across * cos(turn) + down * sin(turn)
    slope = (slope - slope.min()) / (slope.max() - slope.min())
    lit = pixels * (1 - (1 - given.light) * slope)
    if given.shadow < 1:  # bands as broad as a third of a label, so that each has an edge in it
        turn = dice.uniform(0, 2 * pi)
        along = (across * width * cos(turn) + down * height * sin(turn)) / (cell / 3)
        lit = np.where(np.floor(along + dice.random()) % 2 == 0, lit, lit * given.shadow)
    done: Pixels = lit.astype(np.float32)
    return done


def _shaken(dice: random.Random, pixels: Pixels, length: float) -> Pixels:
    if length <= 0:
        return pixels
    turn, steps = dice.uniform(0, 2 * pi), max(2, int(length * 2))
    total = np.zeros_like(pixels)
    for step in range(steps):
        far = length * (step / (steps - 1) - 0.5)
        moved = Image.fromarray(pixels).transform(
            pixels.shape[::-1],
            Image.Transform.AFFINE,
            (1, 0, far * cos(turn), 0, 1, far * sin(turn)),
            Image.Resampling.BILINEAR,
        )
        total += np.asarray(moved)
    done: Pixels = (total / steps).astype(np.float32)
    return done
