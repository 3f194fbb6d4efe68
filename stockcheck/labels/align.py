"""The alignment page: rulers in mm from the page's edges, corner marks, and every label's outline.

Hold a steel rule against the print: where the 10 mm mark lies and how long the ruler came out is
all that ``core.printer`` needs.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any

from stockcheck.core.printer import MARK, RULER, Setting
from stockcheck.labels import fonts
from stockcheck.labels.sheet import spots
from stockcheck.labels.stock import Stock

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

POINTS_PER_MM = 72 / 25.4
_CORNER, _ARM = 5.0, 5.0  # mm: how far in the corner marks stand, and how long their arms are
_LONGEST = 120.0  # mm of a continuous roll are enough to measure on
_SMALL = 60.0  # mm: below this a page has no room for corner marks
_EDGE = 4.0  # mm at the end of a ruler
_TICK = {10: 4.0, 5: 2.8, 1: 1.6}  # mm: how long a mark is at every so many mm


@dataclass(frozen=True, slots=True)
class Ruler:
    """How far a ruler reaches: from 0 to the last whole mm, of which ``whole`` to measure on."""

    reach: int
    whole: int


def ruler(side: float) -> Ruler:
    """The ruler along a side so long; 100 mm to measure where there is room, else whole tens."""
    reach = int(side - _EDGE)
    return Ruler(reach, min(int(RULER), max(10, (reach - int(MARK)) // 10 * 10)))


def align_page(stock: Stock, setting: Setting, printer: str = "") -> bytes:
    """The alignment page of a stock as a PDF, moved and scaled as a printer is set.

    The same bytes for the same input.
    """
    from reportlab.pdfgen.canvas import Canvas

    page = stock.cut_to(min(_LONGEST, stock.lengths[-1])) if stock.grows else stock
    for bold in (False, True):
        fonts.typeface(bold)
    buffer = BytesIO()
    begin: dict[str, Any] = {"initialFontName": fonts.name(False)}
    size = page.page_width * POINTS_PER_MM, page.page_height * POINTS_PER_MM
    canvas = Canvas(buffer, pagesize=size, invariant=1, **begin)
    canvas.setTitle(f"Alignment page for {stock.name}")
    canvas.setAuthor("stockcheck")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.saveState()
    _set_true(canvas, setting, page.page_height)
    _outlines(canvas, page)
    _corners(canvas, page)
    _rulers(canvas, page)
    _words(canvas, page, setting, printer)
    canvas.restoreState()
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _set_true(canvas: Canvas, setting: Setting, height: float) -> None:
    """From here on in mm from the page's top left corner, as the printer needs it."""
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    down = height * (1 - setting.scale_y) - setting.offset_y
    canvas.transform(setting.scale_x, 0, 0, setting.scale_y, setting.offset_x, down)
    canvas.setLineWidth(0.15)


def _line(
    canvas: Canvas, page: Stock, start: tuple[float, float], end: tuple[float, float]
) -> None:
    canvas.line(start[0], page.page_height - start[1], end[0], page.page_height - end[1])


def _text(canvas: Canvas, page: Stock, at: tuple[float, float], words: str, points: float) -> None:
    canvas.setFont(fonts.name(False), points / POINTS_PER_MM)
    canvas.drawString(at[0], page.page_height - at[1], words)


def _outlines(canvas: Canvas, page: Stock) -> None:
    canvas.saveState()
    canvas.setStrokeGray(0.45)
    canvas.setFillGray(0.35)
    canvas.setDash([0.8, 0.6])
    points = max(6.0, min(22.0, page.label_height * 0.55))
    for number, spot in enumerate(spots(page, page.per_page), start=1):
        bottom = page.page_height - spot.top - page.label_height
        corner = page.corner or 0.01
        canvas.roundRect(spot.left, bottom, page.label_width, page.label_height, corner)
        canvas.setFont(fonts.name(True), points / POINTS_PER_MM)
        middle = spot.left + page.label_width / 2
        canvas.drawCentredString(middle, bottom + page.label_height * 0.16, str(number))
    canvas.restoreState()


def _corners(canvas: Canvas, page: Stock) -> None:
    if min(page.page_width, page.page_height) < _SMALL:
        return
    canvas.setLineWidth(0.25)
    for x, right in ((_CORNER, 1), (page.page_width - _CORNER, -1)):
        for y, down in ((_CORNER, 1), (page.page_height - _CORNER, -1)):
            _line(canvas, page, (x, y), (x + right * _ARM, y))
            _line(canvas, page, (x, y), (x, y + down * _ARM))


def _rulers(canvas: Canvas, page: Stock) -> None:
    """Both stand where the other begins to be measured: on small labels nearer to the edge."""
    canvas.setLineWidth(0.15)
    top, left = _lies(page)
    across, down = ruler(page.page_width), ruler(page.page_height)
    for at in range(int(_EDGE), across.reach + 1):
        tick = _tick(at)
        _line(canvas, page, (at, top), (at, top + tick))
        if at % 10 == 0 and not _near(at, left):
            _text(canvas, page, (at + 0.5, top + tick + 0.6), str(at), 6)
    for at in range(int(_EDGE), down.reach + 1):
        tick = _tick(at)
        _line(canvas, page, (left, at), (left + tick, at))
        if at % 10 == 0 and not _near(at, top):
            _text(canvas, page, (left + tick + 0.4, at - 0.5), str(at), 6)
    _line(canvas, page, (_EDGE, top), (across.reach, top))
    _line(canvas, page, (left, _EDGE), (left, down.reach))


def _lies(page: Stock) -> tuple[float, float]:
    """How far from the top and from the left the two rulers lie."""
    return (16.0 if page.page_height >= _SMALL else 6.0), (16.0 if page.page_width > 80 else 6.0)


def _near(at: int, other: float) -> bool:
    """Whether a figure there would stand in the other ruler."""
    return -4 < at - other < 6


def _tick(at: int) -> float:
    return next(length for every, length in _TICK.items() if at % every == 0)


def _words(canvas: Canvas, page: Stock, setting: Setting, printer: str) -> None:
    if page.page_height < _SMALL or page.page_width < 100:
        return
    across, down = ruler(page.page_width), ruler(page.page_height)
    made = printer or "no printer's setting"
    if not setting.is_true:
        made += (
            f": offset {setting.offset_x:+.2f} {setting.offset_y:+.2f} mm,"
            f" scale {setting.scale_x:.4f} {setting.scale_y:.4f}"
        )
    lines = (
        f"Alignment page for {page.name}. Printed with {made}. Print at 100 %.",
        "Along each edge measure with a steel rule: from the paper's edge to the mark 10;",
        f"and from mark 10 to {int(MARK) + across.whole} across, {int(MARK) + down.whole} down.",
        "Then hold page and label sheet against a window: outlines should lie on labels.",
    )
    for number, line in enumerate(lines):
        _text(canvas, page, (24.0, 25.0 + 3.2 * number), line, 7)
