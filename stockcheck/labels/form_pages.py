"""A form over its pages: the head once, headings on each, rows kept whole, page numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stockcheck.labels.draw import draw
from stockcheck.labels.elements import Block, Element, Paragraph, Part, Rule, Symbol, stacked
from stockcheck.labels.fitting import Room, fit
from stockcheck.labels.form import Form, FormRow
from stockcheck.labels.form_rows import (
    SIZE,
    SMALL,
    WRITTEN,
    Placed,
    bars,
    codes_of,
    group_heading,
    headings,
    placed,
    row_block,
)
from stockcheck.labels.form_text import REPLACED, paragraph, printable
from stockcheck.labels.measure import Measure
from stockcheck.labels.printing import Sheets, codes_alone
from stockcheck.labels.sheet import Spot
from stockcheck.labels.stock import Stock

SIDE, TOP, BOTTOM = 12.0, 10.0, 14.0  # mm of margin: office printers leave up to 6 mm blank
GAP = 2.5
BIG_HEIGHT = 14.0
_TITLE = 15.0  # points


@dataclass(frozen=True, slots=True)
class FormPage:
    """One page: its elements from the page's top left corner, and the codes to read there."""

    elements: tuple[Element, ...]
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Body:
    """What stands on a page from its top margin downwards, and the codes among it."""

    blocks: tuple[Part, ...]
    codes: tuple[str, ...]


def paged(form: Form, width: float, height: float, dpi: int) -> Sheets:
    """The form on pages of a size in mm, for a printer's resolution."""
    pages = laid_out(form, width, height, dpi)
    return drawn(pages, printable(form.title), (width, height), left_off(form))


def drawn(
    pages: Sequence[FormPage], title: str, size: tuple[float, float], missing: tuple[str, ...] = ()
) -> Sheets:
    """Pages of elements as a PDF."""
    width, height = size
    sheet = Stock("form", "", False, width, height, width, height)
    labels = [(Spot(at, 0.0, 0.0), page.elements) for at, page in enumerate(pages)]
    pdf = draw(labels, sheet, title, subject="Codes to scan")
    codes = tuple(page.codes for page in pages)
    return Sheets(pdf, len(pages), codes, missing, tuple(codes_alone(labels, height)))


def laid_out(form: Form, width: float, height: float, dpi: int) -> tuple[FormPage, ...]:
    """Every element of the form in place, page by page."""
    inner = width - 2 * SIDE
    bodies = list(_bodies(form, placed(form, inner, dpi), inner, height - TOP - BOTTOM, dpi))
    pages = []
    for number, body in enumerate(bodies, 1):
        elements = stacked(body.blocks, 0.0).elements(SIDE, TOP)
        foot = page_foot(form.title, number, len(bodies), inner)
        foot_elements = foot.elements(SIDE, height - BOTTOM + 4)
        pages.append(FormPage((*elements, *foot_elements), body.codes))
    return tuple(pages)


def _bodies(
    form: Form, columns: tuple[Placed, ...], inner: float, height: float, dpi: int
) -> Iterator[_Body]:
    """Page after page: a row that does not fit goes onto the next, its group's heading with it."""
    top = headings(columns, inner)
    blocks: list[Part] = [_head(form, inner, dpi), top]
    codes: list[str] = [form.code] if form.code else []
    used, group, rows = sum(block.height for block in blocks), "", 0
    for row in form.rows:
        block = row_block(row, columns, inner, height - top.height - 12.0)
        opening = _opening(row, group, inner, again=False)
        if used + opening.height + block.height > height:
            yield _Body(tuple(blocks), tuple(codes))
            opening = _opening(row, "", inner, again=row.group == group)
            blocks, codes, used, rows = [top], [], top.height, 0
        blocks += [opening, block]
        codes += codes_of(row, columns)
        used, group, rows = used + opening.height + block.height, row.group, rows + 1
    tail = _tail(form, inner)
    if used + tail.height > height and rows:
        yield _Body(tuple(blocks), tuple(codes))
        blocks, codes = [], []
    yield _Body((*blocks, tail), tuple(codes))


def _opening(row: FormRow, before: str, inner: float, *, again: bool) -> Block:
    """The heading of a row's group where another one came before it; nothing where not."""
    if not row.group or row.group == before:
        return Block(0.0)
    return group_heading(row.group + (" (continued)" if again else ""), inner)


def _head(form: Form, inner: float, dpi: int) -> Block:
    """Title, facts and lines to fill in, with the large code at the right."""
    big = _big_code(form, bars(dpi)[0], inner)
    left = inner - (big.width + 4.0 if big.width else 0.0)
    title = paragraph(form.title, _TITLE, left, bold=True)
    facts = [paragraph(fact, SIZE, left) for fact in form.facts]
    words = stacked([title, *facts], 0.8)
    head = Block(max(words.height, big.height), ((0.0, 0.0, words), (inner - big.width, 0.0, big)))
    fill = _fill_in(form.fill_in, inner)
    gap = Block(GAP + 1)
    return stacked([head, gap, fill, gap] if fill.height else [head, gap], 0.0)


def _big_code(form: Form, measure: Measure, inner: float) -> Block:
    if not form.code:
        return Block(0.0)
    width = measure.width_mm
    words = paragraph(form.code_words or form.code, SIZE, min(width, inner), bold=True)
    quiet = measure.quiet_mm
    symbol = Symbol(0.0, 0.0, BIG_HEIGHT, form.code, measure)
    height = BIG_HEIGHT + 1.0 + words.height
    return Block(height, ((quiet, 0.0, symbol), (quiet, BIG_HEIGHT + 1.0, words)), width)


def _fill_in(words: tuple[str, ...], inner: float) -> Block:
    """Words with a line to write on after each, side by side."""
    if not words:
        return Block(0.0)
    each = inner / len(words)
    things: list[tuple[float, float, Paragraph | Element]] = []
    for at, word in enumerate(words):
        text = paragraph(word, SIZE, each * 0.5)
        things.append((at * each, WRITTEN - text.height, text))
        start = at * each + text.width + 1.5
        line = Rule(0.0, 0.0, each - text.width - 4.5, 0.2)
        things.append((start, WRITTEN - 0.6, line))
    return Block(WRITTEN, tuple(things))


def _tail(form: Form, inner: float) -> Block:
    """What comes after the rows."""
    empty = [] if form.rows else [paragraph(form.empty, SIZE, inner)]
    foot = [paragraph(line, SIZE - 1, inner) for line in form.foot]
    cautions = [paragraph(line, SIZE - 1, inner, bold=True) for line in form.cautions]
    return stacked([Block(GAP), *empty, *foot, *cautions], 1.0)


def page_foot(title: str, number: int, pages: int, inner: float) -> Block:
    """The title, as far as it fits, and which page of how many this is."""
    count = paragraph(f"page {number} of {pages}", SMALL, inner)
    room = Room(inner - count.width - 6.0, SMALL, SMALL - 1)
    fitted = fit(printable(title), room)
    name = Paragraph(fitted.lines, fitted.size)
    return Block(count.height, ((0.0, 0.0, name), (inner - count.width, 0.0, count)))


def left_off(form: Form) -> tuple[str, ...]:
    """What cannot be printed as it is written."""
    texts = [form.title, *form.facts, *form.foot, *form.cautions]
    texts += [cell for row in form.rows for cell in (*row.cells, row.group)]
    touched = [text for text in texts if printable(text) != " ".join(text.split())]
    if not touched:
        return ()
    return (
        f"characters that the typeface does not carry are printed as {REPLACED!r}:"
        f" {', '.join(repr(text) for text in touched[:3])}"
        + (f" and {len(touched) - 3} more" if len(touched) > 3 else ""),
    )
