"""The columns and rows of a form, each row as a block of elements."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stockcheck.core.codes import read_code
from stockcheck.core.errors import BadInput
from stockcheck.labels.elements import Block, Element, Frame, Paragraph, Rule, Symbol
from stockcheck.labels.form import Cell, Form, FormColumn, FormRow
from stockcheck.labels.form_text import paragraph
from stockcheck.labels.measure import Measure, Symbology, measures

SIZE, SMALL, LEAST = 9.0, 7.0, 5.0  # points
PAD = 1.2  # mm inside a cell
# Bars of 7 mm with 7 mm of paper between them: what a hand-held scanner's line, held level, hits
# once. Common practice, from memory; the standard asks for 5 mm of bars and nothing between.
BARS, APART = 7.0, 7.0
WRITTEN = 9.0  # mm of height that handwriting wants; common practice
TICK, COUNT = 4.5, (17.0, 7.5)
LEAST_SHARE = 12.0
TEN_DIGITS = "0000000000"  # every code of ours has the same width
_FIXED = {Cell.TICK: 11.0, Cell.COUNT: COUNT[0] + 2 * PAD}


@dataclass(frozen=True, slots=True)
class Placed:
    """A column with where it begins, how wide it is, and the symbols that it takes."""

    column: FormColumn
    left: float
    width: float
    measure: Measure


def placed(form: Form, width: float, dpi: int) -> tuple[Placed, ...]:
    """The form's columns side by side in a width; BadInput when they need more than that."""
    found = [_measure(column, dpi) for column in form.columns]
    fixed = [_fixed(column, measure) for column, measure in zip(form.columns, found, strict=True)]
    shares = sum(c.share for c, mm in zip(form.columns, fixed, strict=True) if mm is None)
    free = width - sum(mm for mm in fixed if mm is not None)
    widths = [
        free * column.share / shares if mm is None else mm
        for column, mm in zip(form.columns, fixed, strict=True)
    ]
    shared = [mm for mm, own in zip(widths, fixed, strict=True) if own is None]
    if free < -0.01 or min(shared, default=width) < LEAST_SHARE:
        raise BadInput(
            f"form {form.title!r}: its columns do not fit side by side in {width:.0f} mm;"
            " turn the page, or leave a column out"
        )
    lefts = [sum(widths[:at]) for at in range(len(widths))]
    return tuple(map(Placed, form.columns, lefts, widths, found))


def bars(dpi: int) -> tuple[Measure, ...]:
    """The sizes of a code of ours on a printer, widest first; BadInput for odd dpi."""
    return measures(TEN_DIGITS, Symbology.CODE_128, dpi)


def _measure(column: FormColumn, dpi: int) -> Measure:
    """The largest symbol that the column's own width holds, else the smallest that there is."""
    every = bars(dpi)
    if column.mm is None:
        return every[-1]
    return next((it for it in every if it.width_mm <= column.mm), every[-1])


def _fixed(column: FormColumn, measure: Measure) -> float | None:
    """The width that a column has before what is left is shared; None for one that shares."""
    if column.cell is Cell.CODE:
        return max(column.mm or 0.0, measure.width_mm + 2 * PAD)
    return column.mm if column.mm is not None else _FIXED.get(column.cell)


def headings(columns: Sequence[Placed], width: float) -> Block:
    """The row of headings, each at the foot of its cell, with a line below."""
    texts = [
        paragraph(it.column.heading, SMALL + 0.5, it.width - 2 * PAD, bold=True) for it in columns
    ]
    high = max((text.height for text in texts), default=0.0)
    things: list[tuple[float, float, Paragraph | Element]] = [
        (it.left + _indent(it, text), high - text.height, text)
        for it, text in zip(columns, texts, strict=True)
    ]
    things.append((0.0, high + 0.8, Rule(0.0, 0.0, width, 0.5)))
    return Block(high + 1.3, tuple(things))


def group_heading(text: str, width: float) -> Block:
    """The heading of the rows that follow."""
    words = paragraph(text, SIZE + 1, width - 2 * PAD, bold=True)
    height = words.height + 3.2
    line = Rule(0.0, 0.0, width, 0.3)
    return Block(height, ((PAD, 2.2, words), (0.0, height - 0.15, line)))


def row_block(row: FormRow, columns: Sequence[Placed], width: float, most: float) -> Block:
    """A row as high as its cells need, with a thin line below; texts shrink to fit ``most`` mm.

    BadInput when even the smallest letters need more than a page.
    """
    size = SIZE
    while True:
        height = max(_height(row, text, it, size) for text, it in _cells(row, columns))
        if height <= most:
            break
        size -= 0.5
        if size < LEAST:
            raise BadInput(f"form: {row.cells[0][:40]!r}… is too long for one page; shorten it")
    things: list[tuple[float, float, Paragraph | Element]] = []
    for text, it in _cells(row, columns):
        things += _drawn(row, text, it, size, height)
    things.append((0.0, height, Rule(0.0, 0.0, width, 0.15)))
    return Block(height, tuple(things))


def codes_of(row: FormRow, columns: Sequence[Placed]) -> list[str]:
    """The codes that a row shows as bars."""
    return [text for text, it in _cells(row, columns) if not row.blank and _is_symbol(text, it)]


def _cells(row: FormRow, columns: Sequence[Placed]) -> list[tuple[str, Placed]]:
    return list(zip(row.cells, columns, strict=True))


def _is_symbol(text: str, it: Placed) -> bool:
    return it.column.cell is Cell.CODE and len(text) == 10 and read_code(text) is not None


def _height(row: FormRow, text: str, it: Placed, size: float) -> float:
    if row.blank:
        return max(WRITTEN, COUNT[1] + 2 * PAD)
    if _is_symbol(text, it):
        return max(BARS, it.measure.min_height_mm) + APART
    match it.column.cell:
        case Cell.WRITE:
            written = _words(text, it, min(size, SMALL)).height
            return WRITTEN + (written + PAD if text else 0.0)
        case Cell.TICK:
            return TICK + 2 * PAD
        case Cell.COUNT:
            return COUNT[1] + 2 * PAD + _words(text, it, min(size, SMALL)).height
        case _:
            return _words(text, it, size).height + 2 * PAD


def _words(text: str, it: Placed, size: float) -> Paragraph:
    return paragraph(text, size, it.width - 2 * PAD, bold=it.column.bold)


def _indent(it: Placed, text: Paragraph) -> float:
    """How far from the column's left edge its texts begin."""
    if it.column.right:
        return it.width - PAD - text.width
    return max((it.width - text.width) / 2, PAD) if it.column.cell is Cell.TICK else PAD


def _drawn(
    row: FormRow, text: str, it: Placed, size: float, height: float
) -> list[tuple[float, float, Paragraph | Element]]:
    """What one cell shows, each right of and below the row's corner by so much."""
    if _is_symbol(text, it) and not row.blank:
        return _bars(text, it, height)
    match it.column.cell:
        case Cell.TICK:
            frame = Frame(0.0, 0.0, TICK, TICK, 0.35)
            return [(it.left + (it.width - TICK) / 2, PAD, frame)]
        case Cell.COUNT:
            words = _words("" if row.blank else text, it, min(size, SMALL))
            wide = min(COUNT[0], it.width - 2 * PAD)
            frame = Frame(0.0, 0.0, wide, COUNT[1], 0.35)
            left = it.left + PAD
            return [(left, PAD, frame), (left, PAD + COUNT[1], words)]
    if row.blank or it.column.cell is Cell.WRITE:
        words = _words("" if row.blank else text, it, min(size, SMALL))
        line = Rule(0.0, 0.0, it.width - 2 * PAD, 0.2)
        return [(it.left + PAD, PAD, words), (it.left + PAD, height - PAD, line)]
    words = _words(text, it, size)
    return [(it.left + _indent(it, words), PAD, words)]


def _bars(text: str, it: Placed, height: float) -> list[tuple[float, float, Paragraph | Element]]:
    """The bars in the middle of their cell, the digits close below."""
    high = max(BARS, it.measure.min_height_mm)
    digits = paragraph(text, LEAST + 1, it.width)
    top = (height - high - digits.height) / 2
    left = it.left + (it.width - it.measure.wide_mm) / 2
    symbol = Symbol(0.0, 0.0, high, text, it.measure)
    return [
        (left, top, symbol),
        (it.left + (it.width - digits.width) / 2, top + high + 0.2, digits),
    ]
