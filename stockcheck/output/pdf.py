"""Reports as PDF: fonts, document and footer; what stands where is made in pdf_blocks.

The canvas alone, not reportlab's platypus: that costs another 60 ms at each start.
"""

from __future__ import annotations

import io
from functools import cache
from typing import TYPE_CHECKING, Any

from stockcheck.core.calendar import spoken
from stockcheck.core.errors import BadInput
from stockcheck.data.typefaces import NAMES, typeface
from stockcheck.output.cells import NBSP, clean
from stockcheck.output.layout import Measure, wrap_within
from stockcheck.output.pdf_blocks import Composer
from stockcheck.output.pdf_content import Encode, content
from stockcheck.output.pdf_page import (
    FOOTER,
    MARGIN,
    SHEETS,
    Block,
    Mark,
    Placed,
    Rule,
    Sheet,
    Style,
    Text,
)
from stockcheck.output.report import Report

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from reportlab.pdfgen.canvas import Canvas

MISSING = "□"
# A canvas begins with Helvetica, which is not embedded, unless told another; the stubs of the
# library take the name for a number.
_BEGIN: dict[str, Any] = {"initialFontName": NAMES[False]}
_FOOT = Style(False, 8, 10, grey=0.2)


def render_pdf(report: Report, *, page: str = "A4") -> bytes:
    """The report on A4 or Letter pages, upright, or lying where its columns need the width.

    The same report gives the same bytes. Texts are printed as they are, never as markup; letters
    that the font lacks appear as a box, control characters not at all. Raises BadInput for another
    page size.
    """
    if page not in SHEETS:
        raise BadInput(f"page size {page!r} is not known. Use one of: {', '.join(SHEETS)}")
    composer = Composer(report, measured, printable, SHEETS[page])
    pages = composer.pages()
    out = io.BytesIO()
    sheet = composer.sheet
    title = named(report.title, report.on)
    subject = clean(f"{report.title} of {report.store}" if report.store else report.title)
    canvas = new_canvas(out, title, subject, sheet)
    encode = encoder(canvas)
    for number, placed in enumerate(pages, start=1):
        _bookmark(canvas, sheet, placed, f"p{number}")
        foot = Block(0, footer(sheet, title, f"page {number} of {len(pages)}"))
        canvas.addLiteral(content(marks_of([*placed, Placed(0, foot)]), sheet, encode))
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def named(title: str, on: date) -> str:
    """What a document is called in its footer and in a viewer."""
    return f"{clean(title)}, as of {spoken(on)}"


def marks_of(placed: Iterable[Placed]) -> list[tuple[float, Mark]]:
    """Every mark of a page with the height of its block's top edge."""
    return [(y, mark) for y, block in placed for mark in block.marks]


def new_canvas(out: io.BytesIO, title: str, subject: str, sheet: Sheet) -> Canvas:
    """A document whose bytes depend on what is drawn alone."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    rl_config.useA85 = 0  # binary streams: a fifth smaller, and 20 ms saved on embedding the fonts
    size = (sheet.width, sheet.height)
    typeface(False)
    canvas = Canvas(out, pagesize=size, invariant=1, pageCompression=1, lang="en", **_BEGIN)
    canvas.setTitle(title)
    canvas.setSubject(subject)
    canvas.setAuthor("stockcheck")
    canvas.setCreator("stockcheck")
    return canvas


@cache
def measured(style: Style) -> Measure:
    """How wide texts are in a style."""
    font, size = typeface(style.bold), style.size

    @cache
    def width(text: str) -> float:
        return float(font.stringWidth(text, size))

    return width


@cache
def printable(text: str) -> str:
    """The text on one line with only the letters that the fonts carry."""
    known = typeface(False).face.charToGlyph
    cleaned = clean(text, "")
    if all(map(known.__contains__, map(ord, cleaned))):
        return cleaned
    return "".join(c if ord(c) in known or c == NBSP else MISSING for c in cleaned)


def _bookmark(canvas: Canvas, sheet: Sheet, placed: list[Placed], name: str) -> None:
    for number, each in enumerate(placed):
        if each.block.bookmark:
            key = f"{name}.{number}"
            canvas.bookmarkPage(key, fit="XYZ", left=0, top=sheet.height - MARGIN - each.y)
            canvas.addOutlineEntry(each.block.bookmark, key)


def encoder(canvas: Canvas) -> Encode:
    """How the document's font subsets write a text; each letter written is embedded."""
    document = vars(canvas)["_doc"]  # the public methods of its fonts ask for it

    @cache
    def encode(text: str, bold: bool) -> list[tuple[str, str]]:
        font = typeface(bold)
        runs = font.splitString(text, document)
        return [(font.getSubsetInternalName(subset, document), run.hex()) for subset, run in runs]

    return encode


def footer(sheet: Sheet, title: str, pages: str) -> tuple[Mark, ...]:
    """The line at a page's foot: what it belongs to, and which page it is."""
    measure = measured(_FOOT)
    right = sheet.room - measure(pages)
    (line,) = wrap_within(printable(title), right - 20, measure, 1)
    base = sheet.depth + FOOTER
    return (
        Rule(0, base - 11, sheet.room, 0.3, grey=0.5),
        Text(0, base - 2, line, _FOOT),
        Text(right, base - 2, pages, _FOOT),
    )
