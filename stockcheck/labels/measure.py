"""How large a symbol is on a printer: modules of whole dots, quiet zones, least height.

A module of two and a half dots prints as two or as three and spoils the symbol, so every size here
is reckoned from whole printer dots.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from stockcheck.core.errors import BadInput
from stockcheck.labels import code128, matrix

MIN_DPI, MAX_DPI = 150, 2400
MIN_HEIGHT_MM, MIN_HEIGHT_SHARE = 5.0, 0.15  # the larger counts: ISO/IEC 15417, from memory


class Symbology(StrEnum):
    """The codes that a label may carry, each by the name it goes by."""

    CODE_128 = "Code 128"
    DATA_MATRIX = "Data Matrix"
    QR = "QR code"
    GS1_DATA_MATRIX = "GS1 Data Matrix"

    @property
    def is_matrix(self) -> bool:
        """Whether it is a square of modules and no row of bars."""
        return self is not Symbology.CODE_128


@dataclass(frozen=True, slots=True)
class _Rule:
    """Quiet modules at the sides and above and below; the module in mm: least, good, most."""

    quiet_x: int
    quiet_y: int
    least: float
    good: float
    most: float


# Bars: ISO/IEC 15417 for the quiet zone; GS1 General Specifications, symbol table 4 (neither retail
# nor general distribution) for the module, 0.250 to 0.495 mm. Data Matrix: quiet zone ISO/IEC
# 16022; 0.254 to 0.495 with 0.380 as the target, symbol table 6. A two-dimensional symbol may have
# 1.5 times the module of the bars, 0.743 mm (the same, release 18, on two-dimensional symbols in
# distribution). QR: quiet zone ISO/IEC 18004, which leaves the module to the application: taken as
# for Data Matrix. The largest are rounded up to whole dots of a coarse printer. Modules below the
# good one read, but cost reading distance and bear less dirt: 0.375 is three dots at 203 dpi.
_RULES = {
    Symbology.CODE_128: _Rule(10, 0, 0.250, 0.375, 0.510),
    Symbology.DATA_MATRIX: _Rule(1, 1, 0.254, 0.375, 0.752),
    Symbology.GS1_DATA_MATRIX: _Rule(1, 1, 0.254, 0.375, 0.752),
    Symbology.QR: _Rule(4, 4, 0.254, 0.375, 0.752),
}


@dataclass(frozen=True, slots=True)
class Measure:
    """The size of one symbol on one printer, whose module is ``dots`` whole dots wide.

    Millimetres: ``module_mm`` is the narrowest dark element; ``wide_mm`` reaches from the left edge
    of the first dark module to the right edge of the last; ``quiet_mm`` stays blank left and right,
    ``quiet_y_mm`` above and below (nothing is asked for bars), each as the standard asks and one
    dot more, because a symbol is moved to the dot grid. ``min_height_mm`` is the least height of
    the dark modules, the only one of a matrix; bars stretch. ``fineness`` tells how far the module
    is below a good one: 0 for good, 1 for the least allowed. ``quiet_modules`` is what the standard
    asks at the sides, and above and below.
    """

    symbology: Symbology
    dots: int
    dot_mm: float
    modules_wide: int
    modules_high: int
    module_mm: float
    wide_mm: float
    quiet_mm: float
    quiet_y_mm: float
    min_height_mm: float
    fineness: float
    quiet_modules: tuple[int, int]

    @property
    def width_mm(self) -> float:
        """The whole symbol with both quiet zones."""
        return self.wide_mm + 2 * self.quiet_mm

    @property
    def stretches(self) -> bool:
        """Whether the symbol may be made higher than its least height."""
        return not self.symbology.is_matrix


def measure(symbology: Symbology, dots: int, dot: float, wide: int, high: int) -> Measure:
    """The symbol of so many modules, each so many dots wide; ``high`` is 0 for bars."""
    rule, module = _RULES[symbology], dots * dot
    quiet = rule.quiet_x * module + dot
    least = high * module
    if not symbology.is_matrix:
        least = max(MIN_HEIGHT_MM, MIN_HEIGHT_SHARE * (wide * module + 2 * quiet))
    return Measure(
        symbology=symbology,
        dots=dots,
        dot_mm=dot,
        modules_wide=wide,
        modules_high=high,
        module_mm=module,
        wide_mm=wide * module,
        quiet_mm=quiet,
        quiet_y_mm=rule.quiet_y * module + dot if rule.quiet_y else 0.0,
        min_height_mm=least,
        fineness=max(0.0, rule.good - module) / (rule.good - rule.least),
        quiet_modules=(rule.quiet_x, rule.quiet_y),
    )


def modules_of(text: str, symbology: Symbology) -> tuple[int, int]:
    """How many modules wide and high the symbol of a text is; 0 high for bars."""
    if not symbology.is_matrix:
        return len(code128.modules(text)), 0
    rows = grid(text, symbology)
    return len(rows[0]), len(rows)


def grid(text: str, symbology: Symbology) -> tuple[str, ...]:
    """The rows of a symbol as modules, "1" dark and "0" light; a single row for bars."""
    match symbology:
        case Symbology.CODE_128:
            return (code128.modules(text),)
        case Symbology.QR:
            return matrix.qr(text)
        case Symbology.DATA_MATRIX:
            return matrix.data_matrix(text)
        case Symbology.GS1_DATA_MATRIX:
            return matrix.gs1_data_matrix(text)


@lru_cache(maxsize=4096)
def dark_rectangles(text: str, symbology: Symbology) -> tuple[tuple[int, int, int, int], ...]:
    """The dark modules joined to rectangles: left, top, width and height in modules.

    Bars are one module high here; the drawing stretches them.
    """
    if symbology is Symbology.CODE_128:
        return tuple((start, 0, width, 1) for start, width in code128.bars(text))
    return matrix.rectangles(grid(text, symbology))


def measures(text: str, symbology: Symbology, dpi: int) -> tuple[Measure, ...]:
    """Every size of a text's symbol that a printer can make exactly, widest module first.

    BadInput for odd dpi, and for a text that the symbology cannot hold.
    """
    check_dpi(dpi)
    return _measures(symbology, dpi, *modules_of(text, symbology))


def sensible(text: str, symbology: Symbology, dpi: int) -> tuple[Measure, ...]:
    """Of the measures those worth trying, widest first.

    They are the widest, a middle one, the least good one, the one below it and the narrowest.
    """
    check_dpi(dpi)
    return _sensible(symbology, dpi, *modules_of(text, symbology))


def check_dpi(dpi: int) -> None:
    """BadInput for a resolution that no label printer has."""
    if not MIN_DPI <= dpi <= MAX_DPI:
        raise BadInput(
            f"dpi {dpi}: a label printer has {MIN_DPI} to {MAX_DPI} dots an inch."
            " Usual are 203, 300 and 600; its manual says"
        )


@lru_cache(maxsize=64)
def _measures(symbology: Symbology, dpi: int, wide: int, high: int) -> tuple[Measure, ...]:
    dot, rule = 25.4 / dpi, _RULES[symbology]
    least = math.ceil(rule.least / dot - 1e-9)
    most = max(least, math.floor(rule.most / dot + 1e-9))
    return tuple(measure(symbology, dots, dot, wide, high) for dots in range(most, least - 1, -1))


@lru_cache(maxsize=64)
def _sensible(symbology: Symbology, dpi: int, wide: int, high: int) -> tuple[Measure, ...]:
    found = _measures(symbology, dpi, wide, high)
    good = [it for it in found if it.module_mm >= _RULES[symbology].good - 0.001]
    rest = [it for it in found if it not in good]
    middle = good[len(good) // 2 :]
    return tuple(dict.fromkeys((*good[:1], *middle[:1], *good[-1:], *rest[:1], *rest[-1:])))
