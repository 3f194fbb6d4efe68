"""What is known of a matrix symbol before it is read, as weights over the modules of its grid."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

DATA_MATRIX = (12, 14, 16, 18, 20, 22, 24, 26)
# ISO/IEC 16022, squares of one region; 10 x 10 corrects too little to trust what was searched for
QR = (21, 25, 29, 33)  # ISO/IEC 18004, versions 1 to 4
_DEBLUR = 1.0  # share of the difference to the four neighbours that a soft picture lacks


@dataclass(frozen=True, slots=True)
class Template:
    """What is known of a symbol: a weight for each module of its grid with one around it.

    ``known`` says of each fixed module whether it is dark; ``trust`` makes fits of different sizes
    comparable: the more is known of a symbol, the less it fits by chance (as the square root).
    """

    matrix: str
    side: int
    weights: tuple[float, ...]
    known: dict[tuple[int, int], bool]
    trust: float


@lru_cache(maxsize=1)
def data_matrix_templates() -> tuple[Template, ...]:
    """Data Matrix of every size that is looked for."""
    return tuple(_template("DataMatrix", side, _border(side)) for side in DATA_MATRIX)


@lru_cache(maxsize=1)
def qr_templates() -> tuple[Template, ...]:
    """QR code of every size that is looked for."""
    return tuple(_template("QRCode", side, _finders(side)) for side in QR)


def _border(side: int) -> dict[tuple[int, int], bool]:
    """Dark along the left and the bottom, in turns along the top and the right."""
    last = side - 1
    known = {}
    for place in range(side):
        known[place, 0] = place % 2 == 0
        known[last, place] = place % 2 == 1
    for place in range(side):
        known[0, place] = known[place, last] = True
    return known


def _finders(side: int) -> dict[tuple[int, int], bool]:
    """Three squares in a square, with light around, and the two lines of turns between them."""
    known = {}
    for place in range(8, side - 8):
        known[place, 6] = known[6, place] = place % 2 == 0
    for left, top in ((0, 0), (side - 7, 0), (0, side - 7)):
        for x in range(max(0, left - 1), min(side, left + 8)):
            for y in range(max(0, top - 1), min(side, top + 8)):
                known[x, y] = max(abs(x - left - 3), abs(y - top - 3)) in {0, 1, 3}
    return known


def _template(matrix: str, side: int, known: dict[tuple[int, int], bool]) -> Template:
    wide = side + 2
    signs = [0.0] * (wide * wide)
    for place in range(wide):
        signs[place] = signs[place * wide] = 1.0
        signs[wide * (wide - 1) + place] = signs[place * wide + wide - 1] = 1.0
    for (x, y), black in known.items():
        signs[(y + 1) * wide + x + 1] = -1.0 if black else 1.0
    light, dark = signs.count(1.0), signs.count(-1.0)
    weights = [max(0.0, each) / light + min(0.0, each) / dark for each in signs]
    return Template(matrix, side, _sharpening(weights, wide), known, ((light + dark) / 100) ** 0.5)


def _corner(side: int) -> Template:
    """The dark L and the light zone beside it alone, of a Data Matrix of any size."""
    wide = side + 2
    weights = [0.0] * (wide * wide)
    for place in range(1, side + 1):
        weights[place * wide] = weights[(side + 1) * wide + place] = 0.7 / (2 * side)
        weights[place] = weights[place * wide + side + 1] = 0.3 / (2 * side)
    for place in range(1, side + 1):
        weights[place * wide + 1] = weights[side * wide + place] = -1.0 / (2 * side - 1)
    return Template("", side, tuple(weights), {}, 1.0)


def _sharpening(weights: list[float], wide: int) -> tuple[float, ...]:
    """The same for a picture out of focus: less of what the neighbours throw on a module."""
    sharp = [each * (1 + _DEBLUR) for each in weights]
    for place, weight in enumerate(weights):
        x, y = place % wide, place // wide
        for i, j in ((x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1)):
            if 0 <= i < wide and 0 <= j < wide:
                sharp[j * wide + i] -= weight * _DEBLUR / 4
            else:
                sharp[place] -= weight * _DEBLUR / 4
    return tuple(sharp)


CORNER = _corner(16)
