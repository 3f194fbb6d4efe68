"""Drawing laid-out labels into a PDF whose bars lie on the printer's dots.

Operators are written straight into the page: over thousands of labels the library's own calls for
strings and rectangles would cost more than all the laying out.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from functools import lru_cache
from io import BytesIO
from typing import TYPE_CHECKING, Any

from stockcheck.core.printer import Setting
from stockcheck.labels import fonts
from stockcheck.labels.draw_glyphs import set_glyph
from stockcheck.labels.draw_text import Typeface
from stockcheck.labels.elements import Band, Element, Frame, Glyph, Rule, Run, Symbol
from stockcheck.labels.measure import Measure, dark_rectangles
from stockcheck.labels.sheet import Spot
from stockcheck.labels.stock import Stock

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

POINTS_PER_MM = 72 / 25.4
TRUE = Setting()  # a printer that needs no correction


def draw(
    labels: Iterable[tuple[Spot, tuple[Element, ...]]],
    stock: Stock,
    title: str,
    *,
    setting: Setting = TRUE,
    outline: Mapping[int, str] | None = None,
    subject: str = "Labels for boxes and lots",
) -> bytes:
    """The PDF of all labels at their spots; the same bytes for the same input.

    ``setting`` is the printer's correction. ``outline`` names bookmarks by the place, from 0, of
    the label at which each begins.
    """
    from reportlab.pdfgen.canvas import Canvas

    for bold in (False, True):
        fonts.typeface(bold)
    buffer = BytesIO()
    page_size = stock.page_width, stock.page_height
    # The stubs of the library take the name for a number; without it Helvetica is not embedded.
    begin: dict[str, Any] = {"initialFontName": fonts.name(False)}
    canvas = Canvas(buffer, invariant=1, **begin)
    canvas.setTitle(title)
    canvas.setSubject(subject)
    canvas.setAuthor("stockcheck")
    canvas.setViewerPreference("PrintScaling", "None")  # never "fit to page"
    writer = _Writer(canvas, page_size, setting)
    marked = outline or {}
    for place, (spot, elements) in enumerate(labels):
        writer.turn_to(spot)
        if place in marked:
            writer.bookmark(place, marked[place], spot)
        writer.label(spot, elements)
    if marked:
        canvas.showOutline()
    with _streams_as_bytes():
        writer.end_page()
        canvas.save()
    return buffer.getvalue()


def draw_onto(canvas: Canvas, elements: Iterable[Element], size: tuple[float, float]) -> None:
    """Draw one page of labels onto a canvas whose page has this size in mm, and leave it open.

    It is drawn as ``draw`` draws it, codes on the same dots; for documents that have other pages.
    """
    writer = _Writer(canvas, size, TRUE)
    writer.label(Spot(0, 0, 0), elements)
    writer.codes()


@contextmanager
def _streams_as_bytes() -> Iterator[None]:
    """Without the library's text form of compressed streams: slower and a quarter larger."""
    from reportlab import rl_config

    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before


class _Writer:
    """Writes labels page after page. Points from the bottom left corner, codes in dots."""

    def __init__(self, canvas: Canvas, size: tuple[float, float], setting: Setting) -> None:
        self._canvas, self._size, self._setting = canvas, size, setting
        self._page_height = size[1]
        self._typefaces = {bold: Typeface(canvas, bold=bold) for bold in (False, True)}
        self._page = -1
        self._symbols: list[str] = []

    def turn_to(self, spot: Spot) -> None:
        """Go on to a label's page; those between stay empty."""
        while self._page < spot.page:
            if self._page >= 0:
                self.end_page()
            self._page += 1
            self._begin_page(spot.page_size or self._size)

    def bookmark(self, place: int, title: str, spot: Spot) -> None:
        """A bookmark to the label's top left corner."""
        x, y = self._setting.placed(spot.left, spot.top)
        left, top = x * POINTS_PER_MM, (self._page_height - y) * POINTS_PER_MM
        key = f"label-{place}"
        self._canvas.bookmarkPage(key, fit="XYZ", left=left, top=top, zoom=0)
        self._canvas.addOutlineEntry(title, key, 0)

    def label(self, spot: Spot, elements: Iterable[Element]) -> None:
        """One label with its top left corner at the spot."""
        left = spot.left * POINTS_PER_MM
        top = (self._page_height - spot.top) * POINTS_PER_MM
        parts: list[str] = []
        for element in elements:
            match element:
                case Run():
                    parts.append(self._run(element, left, top))
                case Symbol():
                    self._symbols.append(self._symbol(element, spot))
                case Glyph():
                    bottom = top - (element.y + element.height) * POINTS_PER_MM
                    x, height = left + element.x * POINTS_PER_MM, element.height * POINTS_PER_MM
                    set_glyph(self._canvas, element.name, x, bottom, height)
                case _:
                    parts.append(_lines(element, left, top))
        self._canvas.addLiteral("\n".join(parts))

    def end_page(self) -> None:
        """Finish the page: the codes come last, out of reach of the printer's scale."""
        if not self._setting.is_true:
            self._canvas.restoreState()
        self.codes()
        self._canvas.showPage()

    def codes(self) -> None:
        """Draw the codes of the page so far."""
        if self._symbols:
            self._canvas.addLiteral("\n".join(self._symbols))
        self._symbols = []

    def _begin_page(self, size: tuple[float, float]) -> None:
        self._canvas.setPageSize((size[0] * POINTS_PER_MM, size[1] * POINTS_PER_MM))
        self._page_height = size[1]
        it = self._setting
        if it.is_true:
            return
        self._canvas.saveState()
        height = self._page_height * POINTS_PER_MM
        down = height * (1 - it.scale_y) - it.offset_y * POINTS_PER_MM
        self._canvas.transform(it.scale_x, 0, 0, it.scale_y, it.offset_x * POINTS_PER_MM, down)

    def _run(self, run: Run, left: float, top: float) -> str:
        x, y = left + run.x * POINTS_PER_MM, top - run.y * POINTS_PER_MM
        shown = self._typefaces[run.bold].shown(run.text, run.size)
        text = f"BT {x:.2f} {y:.2f} Td {shown} ET"
        return f"1 g {text} 0 g" if run.white else text

    def _symbol(self, symbol: Symbol, spot: Spot) -> str:
        """A code in a coordinate system whose unit is one printer dot."""
        left, bottom, height = symbol_dots(symbol, spot, self._page_height, self._setting)
        scale = symbol.measure.dot_mm * POINTS_PER_MM
        shape = _shape(symbol.text, symbol.measure, height)
        return f"q {scale:.9f} 0 0 {scale:.9f} 0 0 cm 1 0 0 1 {left} {bottom} cm {shape} f Q"


def _lines(element: Rule | Frame | Band, left: float, top: float) -> str:
    x, y = left + element.x * POINTS_PER_MM, top - element.y * POINTS_PER_MM
    match element:
        case Rule():
            pen, right = element.thickness * POINTS_PER_MM, x + element.length * POINTS_PER_MM
            return f"{pen:.3f} w {x:.2f} {y:.2f} m {right:.2f} {y:.2f} l S"
        case Frame():
            pen = element.thickness * POINTS_PER_MM
            width, height = element.width * POINTS_PER_MM, element.height * POINTS_PER_MM
            corner = f"{x + pen / 2:.2f} {y - height + pen / 2:.2f}"
            return f"{pen:.3f} w {corner} {width - pen:.2f} {height - pen:.2f} re S"
        case Band():
            width, height = element.width * POINTS_PER_MM, element.height * POINTS_PER_MM
            return f"{x:.2f} {y - height:.2f} {width:.2f} {height:.2f} re f"


@lru_cache(maxsize=1024)
def _shape(text: str, measure: Measure, height: int) -> str:
    """The dark modules of a code as rectangles from its bottom left corner, in dots."""
    return " ".join(
        f"{x} {y} {width} {high} re" for x, y, width, high in _rectangles(text, measure, height)
    )


def _rectangles(text: str, measure: Measure, height: int) -> list[tuple[int, int, int, int]]:
    dots, found = measure.dots, dark_rectangles(text, measure.symbology)
    if measure.stretches:
        return [(at * dots, 0, wide * dots, height) for at, _, wide, _ in found]
    return [
        (at * dots, height - (down + high) * dots, wide * dots, high * dots)
        for at, down, wide, high in found
    ]


def symbol_dots(
    symbol: Symbol, spot: Spot, page_height: float, setting: Setting = TRUE
) -> tuple[int, int, int]:
    """Left, bottom and height of a code's dark modules in whole dots from the bottom left corner.

    The rounding moves a code by at most half a dot, which its quiet zone has to spare. A printer's
    scale moves its middle.
    """
    dot, wide = symbol.measure.dot_mm, symbol.measure.wide_mm
    middle = spot.left + symbol.x + wide / 2, spot.top + symbol.y + symbol.height / 2
    x, y = setting.placed(*middle)
    left = round((x - wide / 2) / dot)
    bottom = round((page_height - y - symbol.height / 2) / dot)
    return left, bottom, math.ceil(round(symbol.height / dot, 6))


def symbol_rectangles(
    symbol: Symbol, spot: Spot, page_height: float, setting: Setting = TRUE
) -> list[tuple[int, int, int, int]]:
    """The dark modules as left, bottom, width and height in whole dots from the page's corner."""
    left, bottom, height = symbol_dots(symbol, spot, page_height, setting)
    return [
        (left + x, bottom + y, width, high)
        for x, y, width, high in _rectangles(symbol.text, symbol.measure, height)
    ]
