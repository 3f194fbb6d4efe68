"""A printer's setting: how its print is to be scaled and moved so that it lies true.

A printer puts a point that should lie ``x`` mm from the page's edge at ``a * x + b``. Two marks of
the alignment page, measured with a steel rule, give a and b; printing at ``x / a - b / a`` undoes
both. The same down the page.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace

from stockcheck.core.errors import BadInput
from stockcheck.core.words import listed

MARK, RULER = 10.0, 100.0  # mm: where the first mark should lie, how long the ruler should be
MOST_OFFSET = 20.0  # mm: more is a wrong paper size, not a printer's play
LEAST_SCALE, MOST_SCALE = 0.97, 1.03  # beyond this the print was fitted to the page


@dataclass(frozen=True, slots=True)
class Setting:
    """Scaled from the page's top left corner, then moved right and down by so many mm."""

    offset_x: float = 0.0
    offset_y: float = 0.0
    scale_x: float = 1.0
    scale_y: float = 1.0

    @property
    def is_true(self) -> bool:
        """Whether it leaves everything where it is."""
        return self == Setting()

    def placed(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the page is to be printed, so that it comes out where it belongs."""
        return x * self.scale_x + self.offset_x, y * self.scale_y + self.offset_y


@dataclass(frozen=True, slots=True)
class Printer:
    """A printer by the name that a person gave it."""

    id: int
    name: str
    setting: Setting
    set_on: str
    note: str = ""
    retired_on: str = ""


def corrected(mark: float, ruler: float, of: float = RULER) -> tuple[float, float]:
    """Offset and scale from what was measured along one edge of the alignment page.

    ``mark`` is how far the 10 mm mark lies from the edge, ``ruler`` how long a stretch of ``of`` mm
    came out. BadInput for a length that no such stretch comes out at.
    """
    least, most = of / MOST_SCALE, of / LEAST_SCALE
    if not least <= ruler <= most:
        raise BadInput(
            f"ruler {ruler:g} mm: {of:g} mm of the alignment page come out between {least:.1f} and"
            f" {most:.1f} mm. Print it at 100 %, and measure from mark 10 on"
        )
    factor = ruler / of
    return -(mark - MARK * factor) / factor, 1 / factor


def with_measures(was: Setting, given: Mapping[str, float | str]) -> Setting:
    """A setting anew from what was measured or is known, by the names of the options.

    Along each edge: ``mark_x`` and ``ruler_x`` (``99.6``, or ``49.8/50`` of a shorter ruler) are
    of a print without any setting and take the place of the old one; ``offset_x`` and ``scale_x``
    are the correction itself. BadInput for both at once, and for what cannot be made up for.
    """
    found: dict[str, float] = {}
    for way in ("x", "y"):
        mark, ruler = given.get(f"mark_{way}"), given.get(f"ruler_{way}")
        known = {name: given[name] for name in (f"offset_{way}", f"scale_{way}") if name in given}
        options = listed([f"--{name.replace('_', '-')}" for name in known])
        if (mark is not None or ruler is not None) and known:
            raise BadInput(
                f"{options}: that is worked out from mark and ruler. Give the one or the other"
            )
        found |= {name: float(value) for name, value in known.items()}
        if mark is not None or ruler is not None:
            length, of = _ruler(str(ruler or RULER))
            measured = MARK * length / of if mark is None else float(mark)
            found[f"offset_{way}"], found[f"scale_{way}"] = corrected(measured, length, of)
    return checked(replace(was, **found))


def _ruler(text: str) -> tuple[float, float]:
    """A measured length and what it should be: ``99.6``, or ``49.8/50``."""
    length, _, of = text.replace(",", ".").partition("/")
    with suppress(ValueError):
        measured, whole = float(length), float(of or RULER)
        if whole > 0:
            return measured, whole
    raise BadInput(
        f"ruler {text!r}: write the millimetres that you measured, such as 99.6, or 49.8/50 for a"
        " ruler of 50 mm"
    )


def checked(setting: Setting) -> Setting:
    """The same; BadInput for what is no printer's play but a wrong paper or a fitted page."""
    for name, offset in (("x", setting.offset_x), ("y", setting.offset_y)):
        if not abs(offset) <= MOST_OFFSET:
            raise BadInput(
                f"offset {name} {offset:g} mm: at most {MOST_OFFSET:g} mm either way can be made up"
                " for. Look whether printer and PDF have the same paper size"
            )
    for name, scale in (("x", setting.scale_x), ("y", setting.scale_y)):
        if not LEAST_SCALE <= scale <= MOST_SCALE:
            raise BadInput(
                f"scale {name} {scale:g}: it must lie between {LEAST_SCALE:g} and {MOST_SCALE:g}."
                " Print at 100 %, never fitted to the page, and measure again"
            )
    return setting
