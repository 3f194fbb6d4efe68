"""What a rendered page shows of a code, in figures a person understands.

Symbol contrast is the largest reflectance less the smallest (ISO/IEC 15416 and 15415), here of
rendered grey; module, quiet zone and height are measured in whole dots from the same picture.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from PIL.Image import Image

    from stockcheck.labels.measure import Measure

_WHITE = 255
_DARK = re.compile(rb"\x01+")


class Dots(NamedTuple):
    """A rectangle of the page in dots: its first and the first after its last."""

    left: int
    top: int
    right: int
    bottom: int


@dataclass(frozen=True, slots=True)
class CodeFacts:
    """What one printed code measures at a resolution.

    ``module_dots`` is the narrowest dark element found, ``quiet_modules`` the blank space on the
    scantiest side, up to twice of what is ``asked``; ``contrast`` and ``darkest`` are reflectances
    from 0 to 1.
    """

    name: str
    dpi: int
    module_dots: int
    width_mm: float
    height_mm: float
    least_height_mm: float
    stretches: bool
    quiet_modules: float
    asked: int
    contrast: float
    darkest: float

    @property
    def module_mm(self) -> float:
        """The width of the narrowest dark element in mm."""
        return self.module_dots * 25.4 / self.dpi


def facts(image: Image, ink: Dots, measure: Measure, dpi: int) -> CodeFacts:
    """The figures of the code whose dark modules stand there."""
    dot = 25.4 / dpi
    low, high = _reflectances(image.crop(ink))
    runs = [end - start for start, end in _dark_runs(image, ink, high_modules=measure.modules_high)]
    module = min(runs, default=0)
    return CodeFacts(
        name=str(measure.symbology),
        dpi=dpi,
        module_dots=module,
        width_mm=(ink.right - ink.left) * dot,
        height_mm=(ink.bottom - ink.top) * dot,
        least_height_mm=measure.min_height_mm,
        stretches=measure.stretches,
        quiet_modules=_quiet(image, ink, measure, module, (low + high) / 2),
        asked=max(measure.quiet_modules),
        contrast=high - low,
        darkest=low,
    )


def faults(found: CodeFacts, measure: Measure) -> list[str]:
    """Where a printed code falls short of what its standard asks, in words.

    Nothing is said at another resolution than the one that it was drawn for.
    """
    if found.dpi != round(25.4 / measure.dot_mm):
        return []
    problems = []
    if found.module_dots != measure.dots:
        drawn = f"drawn were {measure.dots}"
        problems.append(f"its narrowest element is {found.module_dots} dots wide, {drawn}")
    if found.quiet_modules < found.asked:
        asked = f"{found.asked} are asked"
        problems.append(f"its quiet zone is {found.quiet_modules:.1f} modules, {asked}")
    if found.height_mm < found.least_height_mm - measure.dot_mm:
        asked = f"{found.least_height_mm:.1f} mm are asked"
        problems.append(f"it is {found.height_mm:.1f} mm high, {asked}")
    return problems


def summary(codes: Sequence[CodeFacts]) -> tuple[str, ...]:
    """A line for each sort of code and size of module, the scantiest figures of all its codes."""
    groups: dict[tuple[str, int, int], list[CodeFacts]] = {}
    for code in codes:
        groups.setdefault((code.name, code.module_dots, code.dpi), []).append(code)
    return tuple(_line(*key, group) for key, group in groups.items())


def _line(name: str, dots: int, dpi: int, group: Sequence[CodeFacts]) -> str:
    quiet = min(it.quiet_modules for it in group)
    contrast = min(it.contrast for it in group)
    lowest = min(group, key=lambda it: it.height_mm - it.least_height_mm)
    size = f"{lowest.width_mm:.1f} × {lowest.height_mm:.1f} mm"
    if lowest.stretches:
        size += f" ({lowest.least_height_mm:.1f} mm high at least)"
    return (
        f"{len(group)} × {name}, {size}: module {group[0].module_mm:.3f} mm ({dots} dots at"
        f" {dpi} dpi); quiet zone {quiet:.1f} modules ({group[0].asked} asked); symbol contrast"
        f" {contrast:.0%} as rendered"
    )


def _reflectances(crop: Image) -> tuple[float, float]:
    """The smallest and the largest reflectance of grey pixels."""
    extremes = crop.getextrema()
    low, high = extremes[0], extremes[1]
    if not isinstance(low, int | float) or not isinstance(high, int | float):
        raise TypeError("the page was not rendered in grey")
    return low / _WHITE, high / _WHITE


def _dark_runs(image: Image, ink: Dots, *, high_modules: int) -> list[tuple[int, int]]:
    """Where dark elements begin and end along one line of bars, or along each row of modules."""
    rows = max(high_modules, 1)
    step = (ink.bottom - ink.top) / rows
    found: list[tuple[int, int]] = []
    for row in range(rows):
        middle = int(ink.top + (row + 0.5) * step)
        line = image.crop((ink.left, middle, ink.right, middle + 1)).point(_AS_BITS).tobytes()
        found += [match.span() for match in _DARK.finditer(line)]
    return found


_AS_BITS = [1 if value < 128 else 0 for value in range(256)]


def _quiet(image: Image, ink: Dots, measure: Measure, module: int, threshold: float) -> float:
    """The blank space on the scantiest side in modules, looked for up to twice of what is asked."""
    across, along = (2 * modules * module for modules in measure.quiet_modules)
    sides = []
    if across:
        left = Dots(max(ink.left - across, 0), ink.top, ink.left, ink.bottom)
        right = Dots(ink.right, ink.top, min(ink.right + across, image.width), ink.bottom)
        sides += [_blank(image, left, 2, threshold), _blank(image, right, 0, threshold)]
    if along:
        above = Dots(ink.left, max(ink.top - along, 0), ink.right, ink.top)
        below = Dots(ink.left, ink.bottom, ink.right, min(ink.bottom + along, image.height))
        sides += [_blank(image, above, 3, threshold), _blank(image, below, 1, threshold)]
    return min(sides, default=0) / module if module else 0.0


def _blank(image: Image, strip: Dots, edge: int, threshold: float) -> int:
    """How many dots stay blank from the edge that touches the code; the strip is all there is.

    ``edge`` tells which side of the dark box counts: 0 left, 1 top, 2 right, 3 bottom.
    """
    if strip.right <= strip.left or strip.bottom <= strip.top:
        return 0
    level = [255 if value / _WHITE < threshold else 0 for value in range(256)]
    box = image.crop(strip).point(level).getbbox()
    width, height = strip.right - strip.left, strip.bottom - strip.top
    if box is None:
        return width if edge in {0, 2} else height
    return (box[0], box[1], width - box[2], height - box[3])[edge]
