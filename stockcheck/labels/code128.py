"""Code 128 (ISO/IEC 15417) as whole printer dots.

The library python-barcode gives the modules; here they become bars whose edges all lie on the dot
grid, because a bar of two and a half dots prints as two or as three and spoils the symbol.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from stockcheck.core.errors import BadInput

QUIET_MODULES = 10  # each side: ISO/IEC 15417
CODE_MODULES = 90  # ten digits in set C: 11 x 5 + 35
# Smallest and largest module in mm: GS1 General Specifications, symbol table 4 (neither retail nor
# general distribution): 0.250 and 0.495, the latter rounded up to whole dots of a coarse printer.
MIN_MODULE_MM, MAX_MODULE_MM = 0.250, 0.510
MIN_HEIGHT_MM, MIN_HEIGHT_SHARE = 5.0, 0.15  # the larger counts: ISO/IEC 15417, from memory
MIN_DPI, MAX_DPI = 150, 2400


@dataclass(frozen=True, slots=True)
class Measure:
    """The size in mm of a symbol of ten digits on a printer, whose module is whole dots wide.

    ``bars_mm`` is from the first bar's left edge to the last one's right edge; ``quiet_mm`` the
    blank space on each side, with one dot to spare for rounding to the dot grid.
    """

    dots: int
    dot_mm: float
    module_mm: float
    bars_mm: float
    quiet_mm: float
    min_height_mm: float

    @property
    def width_mm(self) -> float:
        """The whole symbol with both quiet zones."""
        return self.bars_mm + 2 * self.quiet_mm


def measure(dots: int, dpi: int) -> Measure:
    """The symbol whose modules are so many dots wide."""
    dot = 25.4 / dpi
    module = dots * dot
    bars, quiet = CODE_MODULES * module, QUIET_MODULES * module + dot
    height = max(MIN_HEIGHT_MM, MIN_HEIGHT_SHARE * (bars + 2 * quiet))
    return Measure(dots, dot, module, bars, quiet, height)


@lru_cache(maxsize=8)
def measures(dpi: int) -> tuple[Measure, ...]:
    """Every symbol that a printer can make exactly, widest module first; BadInput for odd dpi."""
    if not MIN_DPI <= dpi <= MAX_DPI:
        raise BadInput(
            f"dpi {dpi}: a label printer has {MIN_DPI} to {MAX_DPI} dots an inch."
            " Usual are 203, 300 and 600; its manual says"
        )
    dot = 25.4 / dpi
    least, most = math.ceil(MIN_MODULE_MM / dot - 1e-9), math.floor(MAX_MODULE_MM / dot + 1e-9)
    return tuple(measure(dots, dpi) for dots in range(most, least - 1, -1))


def modules(text: str) -> str:
    """The symbol of a text as modules, "1" dark and "0" light, without quiet zones."""
    from barcode.codex import Code128

    class Symbol(Code128):  # type: ignore[misc]  # the library has no types
        """As the library makes it, but a leading pair 99 is data and no change of code set."""

        def _try_to_optimize(self, encoded: list[int]) -> list[int]:
            if text[:2].isdigit():
                return encoded
            optimized: list[int] = super()._try_to_optimize(encoded)
            return optimized

    return str(Symbol(text).build()[0])


def bars(text: str) -> tuple[tuple[int, int], ...]:
    """The dark bars of a text's symbol: where each begins and how wide it is, in modules."""
    found: list[tuple[int, int]] = []
    row = modules(text)
    start = row.find("1")
    while start >= 0:
        end = row.find("0", start)
        end = len(row) if end < 0 else end
        found.append((start, end - start))
        start = row.find("1", end)
    return tuple(found)
