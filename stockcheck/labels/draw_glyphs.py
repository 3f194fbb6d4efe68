"""The standards' symbols into a PDF: each drawn once as a form, and set wherever it is wanted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockcheck.labels.symbols import BLACK, GREEN, SYMBOLS, WHITE, Drawing, Fill, Stroke

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

# The green is that of safety signs as screens show it (RAL 6032), from memory. A black printer
# makes a dark grey of it, on which the white cross stands out as well.
_INKS = {BLACK: (0.0, 0.0, 0.0), GREEN: (0.0, 0.48, 0.33), WHITE: (1.0, 1.0, 1.0)}


def set_glyph(canvas: Canvas, name: str, left: float, bottom: float, height: float) -> None:
    """Set a symbol of a height with its bottom left corner there, all in points."""
    form = f"glyph-{name.replace(' ', '-')}"
    if not canvas.hasForm(form):
        drawing = SYMBOLS[name]
        canvas.beginForm(form, 0, 0, drawing.width, 1)
        _shapes(canvas, drawing)
        canvas.endForm()
    canvas.saveState()
    canvas.transform(height, 0, 0, height, left, bottom)
    canvas.doForm(form)
    canvas.restoreState()


def _shapes(canvas: Canvas, drawing: Drawing) -> None:
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    for shape in drawing.shapes:
        path = canvas.beginPath()
        path.moveTo(shape.points[0][0], 1 - shape.points[0][1])
        for x, y in shape.points[1:]:
            path.lineTo(x, 1 - y)
        match shape:
            case Stroke():
                if shape.closed:
                    path.close()
                canvas.setLineWidth(shape.width)
                canvas.drawPath(path, stroke=1, fill=0)
            case Fill():
                path.close()
                canvas.setFillColorRGB(*_INKS[shape.ink])
                canvas.drawPath(path, stroke=0, fill=1)
