"""Marks as the operators of a PDF page (ISO 32000-1, annex A).

Written directly, because the canvas takes 25 µs for each mark and a report has thousands: this
saves a tenth of the time of a whole expiry PDF.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TypeAlias

from stockcheck.output.pdf_page import MARGIN, Box, Mark, Panel, Rule, Sheet, Text

# A text's runs for the weight of its letters: the name of a font resource, and codes in hex.
Encode: TypeAlias = Callable[[str, bool], list[tuple[str, str]]]

OUTLINE = 0.7  # points
PANEL_LINE = 0.6
DOTS = "[1 1.4] 0 d"
NO_DOTS = "[] 0 d"


def content(marks: Iterable[tuple[float, Mark]], sheet: Sheet, encode: Encode) -> str:
    """The operators of one page: lines and boxes first, then all letters as one text object.

    Each mark comes with the height of its block's top edge.
    """
    top = sheet.height - MARGIN
    texts: list[tuple[float, Text]] = []
    code: list[str] = []
    for y, mark in marks:
        if isinstance(mark, Text):
            texts.append((top - y, mark))
        else:
            code.append(_shape(mark, MARGIN + mark.x, top - y - mark.y))
    return "\n".join([*code, "BT", *_letters(texts, encode), "ET"])


def _shape(mark: Rule | Box | Panel, x: float, y: float) -> str:
    if isinstance(mark, Rule):
        line = f"{x:.2f} {y:.2f} m {x + mark.width:.2f} {y:.2f} l S"
        return f"{mark.grey:g} G {mark.thickness:g} w {line}"
    box = f"{x:.2f} {y - mark.height:.2f} {mark.width:.2f} {mark.height:.2f} re"
    if isinstance(mark, Panel):
        path = _arrow(mark, x, y) if mark.point else box
        paint = f"{DOTS} {path} B {NO_DOTS}" if mark.dotted else f"{path} B"
        return f"0 G {PANEL_LINE} w {mark.fill:g} g {paint}"
    return f"0 G {OUTLINE} w {box} S" if mark.fill is None else f"{mark.fill:g} g {box} f"


def _arrow(mark: Panel, x: float, y: float) -> str:
    """The path of a panel whose right side is a point."""
    tip, bottom = x + mark.width, y - mark.height
    neck = tip - mark.point
    corners = ((neck, y), (tip, (y + bottom) / 2), (neck, bottom), (x, bottom))
    lines = " ".join(f"{a:.2f} {b:.2f} l" for a, b in corners)
    return f"{x:.2f} {y:.2f} m {lines} h"


def _letters(texts: Iterable[tuple[float, Text]], encode: Encode) -> Iterator[str]:
    """Font, size and grey only where they change; a text may need more than one font subset."""
    font, grey = "", -1.0
    for top, (x, y, text, style) in texts:
        if style.grey != grey:
            grey = style.grey
            yield f"{grey:g} g"
        yield f"1 0 0 1 {MARGIN + x:.2f} {top - y:.2f} Tm"
        for name, codes in encode(text, style.bold):
            if font != (font := f"{name} {style.size:g} Tf"):
                yield font
            yield f"<{codes}> Tj"
