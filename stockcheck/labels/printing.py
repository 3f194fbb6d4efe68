"""Labels onto stock: texts in, a PDF out, with the codes that each page must read back as."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from stockcheck.core.errors import BadInput
from stockcheck.labels.draw import draw
from stockcheck.labels.fonts import check_carried
from stockcheck.labels.layout import Layout, NoRoom, layout
from stockcheck.labels.readback import verify
from stockcheck.labels.sheet import check_start, spots
from stockcheck.labels.stock import Stock, shipped_stocks
from stockcheck.labels.text import LabelSize, LabelText

MAX_COPIES = 1000


@dataclass(frozen=True, slots=True)
class Sheets:
    """A finished PDF: its bytes, pages, the codes on each page in order, and what was left off."""

    pdf: bytes
    pages: int
    codes: tuple[tuple[str, ...], ...]
    left_off: tuple[str, ...] = ()


def label_sheets(
    texts: Sequence[LabelText],
    stock: Stock,
    *,
    dpi: int = 203,
    start: int = 1,
    copies: int = 1,
    title: str = "Labels",
) -> Sheets:
    """Labels for all texts on a stock, each ``copies`` times in a row.

    ``start`` is the first free label of a part-used sheet, 1 at its top left, counted row by row;
    ``dpi`` the printer's resolution, on whose dots all bars lie. BadInput for what cannot be
    printed on this stock.
    """
    if not texts:
        raise BadInput("labels: there is nothing to print. Name a lot or a box")
    if not 1 <= copies <= MAX_COPIES:
        raise BadInput(f"copies {copies}: give 1 to {MAX_COPIES}")
    check_start(stock, start)
    layouts = [_laid_out(text, stock, dpi) for text in texts]
    printed = [
        (text.code, laid) for text, laid in zip(texts, layouts, strict=True) for _ in range(copies)
    ]
    places = list(spots(stock, len(printed), start))
    labels = [(spot, laid.elements) for spot, (_, laid) in zip(places, printed, strict=True)]
    codes: list[list[str]] = [[] for _ in range(places[-1].page + 1)]
    for spot, (code, _) in zip(places, printed, strict=True):
        codes[spot.page].append(code)
    return Sheets(
        pdf=draw(labels, stock, title),
        pages=len(codes),
        codes=tuple(tuple(page) for page in codes),
        left_off=_left_off(layouts, stock),
    )


def verify_sheets(sheets: Sheets, dpi: int) -> tuple[str, ...]:
    """What does not read back at a resolution, in words; empty when every code reads right."""
    return verify(sheets.pdf, sheets.codes, dpi)


def label_size(stock: Stock) -> LabelSize:
    """The size of a stock's labels as the layout wants it."""
    return LabelSize(stock.label_width, stock.label_height, stock.inset_x, stock.inset_y)


def _laid_out(text: LabelText, stock: Stock, dpi: int) -> Layout:
    tidy = text.checked()
    check_carried(tidy.strings(), tidy.title)
    try:
        return layout(tidy, label_size(stock), dpi)
    except NoRoom as error:
        fitting = [it.name for it in shipped_stocks() if _fits(tidy, it, dpi)]
        remedy = f"It fits {', '.join(fitting)}" if fitting else "Shorten its date or cautions"
        raise NoRoom(f"{error}. {remedy}") from error


def _fits(text: LabelText, stock: Stock, dpi: int) -> bool:
    try:
        layout(text, label_size(stock), dpi)
    except NoRoom:
        return False
    return True


def _left_off(layouts: Sequence[Layout], stock: Stock) -> tuple[str, ...]:
    counts = Counter(name for laid in layouts for name in laid.left_off)
    return tuple(
        f"{name} left off {count} of {len(layouts)} labels: no room on {stock.size}"
        for name, count in counts.items()
    )
