"""Several reports as one PDF: one run of page numbers, bookmarks of two levels, and a cover."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import TYPE_CHECKING, NamedTuple

from stockcheck.core.errors import BadInput
from stockcheck.output.bundle import Bundle, Drawn, Paint, Part
from stockcheck.output.cells import clean
from stockcheck.output.pdf import encoder, footer, marks_of, measured, named, new_canvas, printable
from stockcheck.output.pdf_blocks import Composer
from stockcheck.output.pdf_content import Encode, content
from stockcheck.output.pdf_cover import Entry, Page, cover_pages
from stockcheck.output.pdf_page import (
    FOOTER,
    MARGIN,
    MM,
    SHEETS,
    Block,
    Pager,
    Placed,
    Sheet,
    Style,
    Text,
)
from stockcheck.output.pdf_timeline import chart

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

    from stockcheck.output.timeline import Timeline

_LOW = Style(False, 8, 10, grey=0.2)
_LOW_LINE = 7 * MM  # of a page's number below a page that is drawn elsewhere, from its lower edge


class _Leaf(NamedTuple):
    """One page: its blocks or its drawing, on a sheet.

    ``title`` and ``heading`` are bookmarks at its top, of the first and of the second level.
    """

    sheet: Sheet
    placed: list[Placed]
    paint: Paint | None = None
    title: str = ""
    heading: str = ""


class Printed(NamedTuple):
    """A finished PDF, and on which pages (from 0) what is drawn elsewhere begins, in order."""

    pdf: bytes
    drawn: tuple[int, ...]


def render_bundle(bundle: Bundle, *, page: str = "A4") -> Printed:
    """The document on A4 or Letter pages; the same values give the same bytes.

    Codes on pages that are drawn elsewhere lie on a printer's dots, so that a viewer is asked not
    to scale. BadInput for another page size.
    """
    if page not in SHEETS:
        raise BadInput(f"page size {page!r} is not known. Use one of: {', '.join(SHEETS)}")
    sheet = SHEETS[page]
    parts = [list(_leaves(part, sheet)) for part in bundle.parts]
    leaves = [*_cover(bundle, parts, sheet), *(leaf for part in parts for leaf in part)]
    out = io.BytesIO()
    title = named(bundle.title, bundle.on)
    subject = clean(f"{bundle.title} of {bundle.store}" if bundle.store else bundle.title)
    canvas = new_canvas(out, title, subject, sheet)
    canvas.setViewerPreference("PrintScaling", "None")
    encode = encoder(canvas)
    for number, leaf in enumerate(leaves, start=1):
        _draw(canvas, leaf, encode, title, f"page {number} of {len(leaves)}", f"p{number}")
    canvas.save()
    drawn = tuple(number for number, leaf in enumerate(leaves) if leaf.heading)
    return Printed(out.getvalue(), drawn)


def _cover(bundle: Bundle, parts: list[list[_Leaf]], sheet: Sheet) -> list[_Leaf]:
    """The cover's pages, set twice: how many they are tells where the parts begin."""
    page = Page(sheet, measured, printable)
    taken = len(cover_pages(page, bundle, [_entry(leaves, 0) for leaves in parts]))
    entries = []
    for leaves in parts:
        entries.append(_entry(leaves, taken + 1))
        taken += len(leaves)
    title = printable(bundle.title)
    return [
        _Leaf(sheet, placed, title="" if number else title)
        for number, placed in enumerate(cover_pages(page, bundle, entries))
    ]


def _entry(leaves: list[_Leaf], first: int) -> Entry:
    """What the cover says of a part whose first page has that number."""
    inner = [(leaf.heading, str(first + n)) for n, leaf in enumerate(leaves) if leaf.heading]
    return Entry(str(first) if leaves else "", tuple(inner))


def _leaves(part: Part, upright: Sheet) -> Iterator[_Leaf]:
    """The pages of a part; none where there is nothing in it."""
    if part.empty:
        return
    if part.drawn:
        yield from _drawn(part.title, part.drawn, upright)
        return
    title = printable(part.title)
    if not part.report.rows and part.report.timeline:
        yield from _chart(part.report.timeline, title, upright)
        return
    composer = Composer(part.report, measured, printable, upright)
    for number, placed in enumerate(composer.pages()):
        yield _Leaf(composer.sheet, placed, title="" if number else title)


def _chart(timeline: Timeline, title: str, sheet: Sheet) -> Iterator[_Leaf]:
    pager = Pager(sheet.depth)
    chart(timeline, measured, printable, sheet).put(pager)
    for number, placed in enumerate(pager.pages):
        bare = [Placed(y, block._replace(bookmark="")) for y, block in placed]
        yield _Leaf(sheet, bare, title="" if number else title)


def _drawn(title: str, drawn: tuple[Drawn, ...], sheet: Sheet) -> Iterator[_Leaf]:
    """Pages drawn elsewhere: the part's own bookmark is at the first of them."""
    for place, each in enumerate(drawn):
        for number, paint in enumerate(each.pages):
            name = "" if place or number else printable(title)
            yield _Leaf(sheet, [], paint, name, "" if number else printable(each.heading))


def _draw(canvas: Canvas, leaf: _Leaf, encode: Encode, title: str, pages: str, key: str) -> None:
    sheet = leaf.sheet
    canvas.setPageSize((sheet.width, sheet.height))
    _bookmarks(canvas, leaf, key)
    if leaf.paint is not None:
        leaf.paint(canvas)
        foot = [(0.0, _low(sheet, title, pages))]
        canvas.addLiteral(content(foot, sheet, encode))
    else:
        last = Placed(0, Block(0, footer(sheet, title, pages)))
        canvas.addLiteral(content(marks_of([*leaf.placed, last]), sheet, encode))
    canvas.showPage()


def _low(sheet: Sheet, title: str, pages: str) -> Text:
    """The number of a page that is drawn elsewhere, below whatever stands on it."""
    words = f"{printable(title)} · {pages}"
    x = sheet.room - measured(_LOW)(words)
    return Text(x, sheet.depth + FOOTER + MARGIN - _LOW_LINE, words, _LOW)


def _bookmarks(canvas: Canvas, leaf: _Leaf, key: str) -> None:
    """A page's own bookmarks at its top, and those of its blocks one level below."""
    for level, words in enumerate((leaf.title, leaf.heading)):
        if words:
            canvas.bookmarkPage(f"{key}-{level}", fit="XYZ", left=0, top=leaf.sheet.height)
            canvas.addOutlineEntry(words, f"{key}-{level}", level, closed=level == 0)
    for number, each in enumerate(leaf.placed):
        if each.block.bookmark:
            inner, top = f"{key}.{number}", leaf.sheet.height - MARGIN - each.y
            canvas.bookmarkPage(inner, fit="XYZ", left=0, top=top)
            canvas.addOutlineEntry(each.block.bookmark, inner, 1)
