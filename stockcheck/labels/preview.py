"""Looking at labels before they are printed: as pictures of the pages, and as boxes of text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from io import BytesIO
from typing import TYPE_CHECKING

from stockcheck.labels.readback import rendered
from stockcheck.labels.sheet import spots

if TYPE_CHECKING:
    from PIL.Image import Image

    from stockcheck.labels.layout import Layout
    from stockcheck.labels.stock import Stock

DPI = 150  # enough to read the smallest print on a screen
_OUTLINE = 190  # grey
_CHARACTER = 1.45  # mm of label to a character across
_NARROWEST = 24


def pictures(pdf: bytes, stock: Stock | None) -> Iterator[bytes]:
    """Each page as a PNG, with the outlines of the labels where the stock has several a page."""
    from PIL import ImageDraw

    scale = DPI / 25.4
    for image in rendered(pdf, DPI):
        pen = ImageDraw.Draw(image)
        if stock is None or stock.roll:
            yield _png(image)
            continue
        for spot in spots(stock, stock.per_page):
            corners = (
                spot.left * scale,
                spot.top * scale,
                (spot.left + stock.label_width) * scale,
                (spot.top + stock.label_height) * scale,
            )
            pen.rounded_rectangle(corners, radius=stock.corner * scale, outline=_OUTLINE)
        yield _png(image)


def _png(image: Image) -> bytes:
    buffer = BytesIO()
    image.save(buffer, format="PNG")
    return buffer.getvalue()


def boxed(layout: Layout, width: float, room: int) -> list[str]:
    """One label as lines of characters: its words about where they stand, its code as a block.

    ``width`` is the label's in mm, ``room`` the most characters that a line may have.
    """
    from stockcheck.labels.elements import Glyph, Run, Symbol

    columns = max(_NARROWEST, min(room, round(width / _CHARACTER))) - 4
    things: list[tuple[float, float, str]] = []
    for element in layout.elements:
        if isinstance(element, Run):
            things.append((element.y, element.x, element.text))
        elif isinstance(element, Symbol):
            middle = element.y + element.height / 2
            things.append((middle, element.x, f"[{element.measure.symbology.value}]"))
        elif isinstance(element, Glyph):
            things.append((element.y + 0.8 * element.height, element.x, f"({element.name})"))
    lines = [line for row in _rows(things) for line in _set(row, columns, columns / width)]
    edge = "+" + "-" * (columns + 2) + "+"
    return [edge, *(f"| {line:<{columns}} |" for line in lines), edge]


def _rows(things: Sequence[tuple[float, float, str]]) -> Iterator[list[tuple[float, str]]]:
    """What stands on one level, from the left; a level is less than a line of small print."""
    row: list[tuple[float, str]] = []
    level = 0.0
    for y, x, text in sorted(things):
        if row and y - level > 1.0:
            yield sorted(row)
            row = []
        if not row:
            level = y
        row.append((x, text))
    if row:
        yield sorted(row)


def _set(row: Sequence[tuple[float, str]], columns: int, scale: float) -> Iterator[str]:
    """A level's texts in a line where they stand; what finds no room goes on below."""
    from textwrap import wrap

    line = ""
    for x, text in row:
        for part in wrap(text, columns) or [""]:
            at = min(round(x * scale), columns - len(part))
            if line and at <= len(line):
                at = len(line) + 2
            if at + len(part) > columns:
                yield line
                line, at = "", max(0, min(round(x * scale), columns - len(part)))
            line = f"{line:<{at}}{part}"
    yield line
