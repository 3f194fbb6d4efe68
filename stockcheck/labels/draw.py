"""Drawing laid-out labels into a PDF whose bars lie on the printer's dots."""

from __future__ import annotations

import math
from collections.abc import Iterable
from io import BytesIO
from typing import TYPE_CHECKING, Any

from stockcheck.labels import fonts
from stockcheck.labels.draw_glyphs import set_glyph
from stockcheck.labels.elements import Band, Element, Frame, Glyph, Rule, Run, Symbol
from stockcheck.labels.measure import dark_rectangles
from stockcheck.labels.sheet import Spot
from stockcheck.labels.stock import Stock

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

POINTS_PER_MM = 72 / 25.4


def draw(labels: Iterable[tuple[Spot, tuple[Element, ...]]], stock: Stock, title: str) -> bytes:
    """The PDF of all labels at their spots; the same bytes for the same input."""
    from reportlab.pdfgen.canvas import Canvas

    for bold in (False, True):
        fonts.typeface(bold)
    buffer = BytesIO()
    page_size = stock.page_width * POINTS_PER_MM, stock.page_height * POINTS_PER_MM
    # The stubs of the library take the name for a number; without it Helvetica is not embedded.
    begin: dict[str, Any] = {"initialFontName": fonts.name(False)}
    canvas = Canvas(buffer, pagesize=page_size, invariant=1, **begin)
    canvas.setTitle(title)
    canvas.setSubject("Labels for boxes and lots")
    canvas.setAuthor("stockcheck")
    canvas.setViewerPreference("PrintScaling", "None")  # never "fit to page"
    page = 0
    for spot, elements in labels:
        while page < spot.page:
            canvas.showPage()
            page += 1
        for element in elements:
            _draw_one(canvas, element, spot, stock.page_height)
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _draw_one(canvas: Canvas, element: Element, spot: Spot, page_height: float) -> None:
    match element:
        case Run():
            canvas.setFont(fonts.name(element.bold), element.size)
            if element.white:
                canvas.setFillGray(1)
            canvas.drawString(*_point(element.x, element.y, spot, page_height), element.text)
            if element.white:
                canvas.setFillGray(0)
        case Rule():
            x, y = _point(element.x, element.y, spot, page_height)
            canvas.setLineWidth(element.thickness * POINTS_PER_MM)
            canvas.line(x, y, x + element.length * POINTS_PER_MM, y)
        case Frame():
            _frame(canvas, element, spot, page_height)
        case Band():
            _band(canvas, element, spot, page_height)
        case Glyph():
            bottom = _point(element.x, element.y + element.height, spot, page_height)
            set_glyph(canvas, element.name, *bottom, element.height * POINTS_PER_MM)
        case Symbol():
            _symbol(canvas, element, spot, page_height)


def _point(x: float, y: float, spot: Spot, page_height: float) -> tuple[float, float]:
    return (spot.left + x) * POINTS_PER_MM, (page_height - spot.top - y) * POINTS_PER_MM


def _frame(canvas: Canvas, frame: Frame, spot: Spot, page_height: float) -> None:
    half = frame.thickness / 2
    x, y = _point(frame.x + half, frame.y + frame.height - half, spot, page_height)
    canvas.setLineWidth(frame.thickness * POINTS_PER_MM)
    width, height = frame.width - frame.thickness, frame.height - frame.thickness
    canvas.rect(x, y, width * POINTS_PER_MM, height * POINTS_PER_MM)


def _band(canvas: Canvas, band: Band, spot: Spot, page_height: float) -> None:
    x, y = _point(band.x, band.y + band.height, spot, page_height)
    width, height = band.width * POINTS_PER_MM, band.height * POINTS_PER_MM
    canvas.rect(x, y, width, height, stroke=0, fill=1)


def _symbol(canvas: Canvas, symbol: Symbol, spot: Spot, page_height: float) -> None:
    """The bars, in a coordinate system whose unit is one printer dot."""
    canvas.saveState()
    canvas.scale(symbol.measure.dot_mm * POINTS_PER_MM, symbol.measure.dot_mm * POINTS_PER_MM)
    path = canvas.beginPath()
    for rectangle in bar_rectangles(symbol, spot, page_height):
        path.rect(*rectangle)
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.restoreState()


def bar_rectangles(
    symbol: Symbol, spot: Spot, page_height: float
) -> list[tuple[int, int, int, int]]:
    """The bars as left, bottom, width and height in whole dots from the page's bottom left corner.

    The rounding moves a symbol by at most half a dot, which its quiet zone has to spare.
    """
    measure = symbol.measure
    dot, dots = measure.dot_mm, measure.dots
    left = round((spot.left + symbol.x) / dot)
    bottom = round((page_height - spot.top - symbol.y - symbol.height) / dot)
    height = math.ceil(round(symbol.height / dot, 6))
    rectangles = dark_rectangles(symbol.text, measure.symbology)
    if measure.stretches:
        return [(left + at * dots, bottom, wide * dots, height) for at, _, wide, _ in rectangles]
    top = bottom + height
    return [
        (left + at * dots, top - (down + high) * dots, wide * dots, high * dots)
        for at, down, wide, high in rectangles
    ]
