"""A card of large codes, each in a frame of its own, laid so that one at a time is scanned.

Two columns, the right one half a frame lower: no level line crosses two codes, and codes below one
another are further apart than they are high.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from stockcheck.core.errors import BadInput
from stockcheck.labels.elements import Block, Element, Frame, Paragraph, Part, Symbol, stacked
from stockcheck.labels.form import USUAL_DPI, page_size, read_back
from stockcheck.labels.form_pages import BOTTOM, SIDE, TOP, FormPage, drawn, page_foot
from stockcheck.labels.form_rows import SIZE, bars
from stockcheck.labels.form_text import paragraph, printable
from stockcheck.labels.printing import Sheets

BAR_HEIGHT = 14.0  # mm
_GUTTER, _INSET, _BETWEEN = 10.0, 3.0, 4.0
_PITCH = 50.0  # mm from frame to frame of one column
_WORD = 18.0  # points


@dataclass(frozen=True, slots=True)
class CardCode:
    """One code with the word that stands large above it, and what it does."""

    code: str
    word: str
    meaning: str = ""


@dataclass(frozen=True, slots=True)
class CardPart:
    """Codes under a heading with words below it; each part begins a page."""

    title: str
    codes: tuple[CardCode, ...]
    words: tuple[str, ...] = ()


def card_sheets(parts: Sequence[CardPart], *, page: str = "A4", dpi: int = USUAL_DPI) -> Sheets:
    """The card as a PDF that was read back; BadInput where a code does not read."""
    size = page_size(page)
    pages = card_pages(parts, *size, dpi)
    if not pages:
        raise BadInput("card: there is nothing to print")
    return read_back(drawn(pages, printable(parts[0].title), size), dpi)


def card_pages(
    parts: Sequence[CardPart], width: float, height: float, dpi: int
) -> tuple[FormPage, ...]:
    """Every element of the card in place, page by page."""
    bodies = [each for part in parts for each in _pages(part, width, height, dpi)]
    pages = []
    for number, (title, elements, codes) in enumerate(bodies, 1):
        foot = page_foot(title, number, len(bodies), width - 2 * SIDE)
        below = foot.elements(SIDE, height - BOTTOM + 4)
        pages.append(FormPage((*elements, *below), codes))
    return tuple(pages)


def _pages(
    part: CardPart, width: float, height: float, dpi: int
) -> Iterator[tuple[str, tuple[Element, ...], tuple[str, ...]]]:
    """The pages of a part: title, elements in place, and the codes on it."""
    inner = width - 2 * SIDE
    words = [paragraph(each, SIZE, inner) for each in part.words]
    head = stacked([paragraph(part.title, 15, inner, bold=True), *words], 0.8)
    column = (inner - _GUTTER) / 2
    room = height - TOP - BOTTOM - head.height - 4.0
    most = int(2 * room / _PITCH) - 1  # the right column is half a frame lower
    for start in range(0, len(part.codes), most):
        some = part.codes[start : start + most]
        elements = list(head.elements(SIDE, TOP))
        for at, each in enumerate(some):
            left = SIDE + (at % 2) * (column + _GUTTER)
            top = TOP + head.height + 4.0 + at * _PITCH / 2
            elements += _framed(each, column, dpi).elements(left, top)
        yield part.title, tuple(elements), tuple(each.code for each in some)


def _framed(each: CardCode, width: float, dpi: int) -> Block:
    """A frame with the word, what it does, and the code at its foot."""
    high = _PITCH - _BETWEEN
    inner = width - 2 * _INSET
    measure = next(it for it in bars(dpi) if it.width_mm <= inner)
    digits = paragraph(each.code, SIZE - 1, inner)
    words = _fitted(each, inner, high - BAR_HEIGHT - digits.height - 3 * _INSET)
    top = high - _INSET - digits.height - BAR_HEIGHT - 0.5
    symbol = Symbol(0.0, 0.0, BAR_HEIGHT, each.code, measure)
    things: tuple[tuple[float, float, Part | Element], ...] = (
        (0.0, 0.0, Frame(0.0, 0.0, width, high, 0.4)),
        (_INSET, _INSET, words),
        ((width - measure.wide_mm) / 2, top, symbol),
        ((width - digits.width) / 2, high - _INSET - digits.height, digits),
    )
    return Block(high, things, width)


def _fitted(each: CardCode, width: float, height: float) -> Block:
    """Word and meaning, the word as large as the room lets it be, never cut."""
    size = _WORD
    while True:
        word = paragraph(each.word, size, width, bold=True)
        meaning: Paragraph = paragraph(each.meaning, min(SIZE, size), width)
        block = stacked([word, meaning], 0.6)
        if block.height <= height or size <= 4.0:
            return block
        size -= 0.5
