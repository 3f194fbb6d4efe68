"""A label stock's geometry in words and figures, and what about it is likely to go wrong."""

from __future__ import annotations

from collections.abc import Iterator

from stockcheck.labels.stock import PADDING, UNPRINTABLE, Stock

UNEVEN = 1.0  # mm: labels are usually centred on their sheet; common practice
_SAME = 0.5  # mm: papers are cut to about that
_PAPERS = {
    "A4": (210.0, 297.0),  # ISO 216
    "A5": (148.0, 210.0),  # ISO 216
    "A6": (105.0, 148.0),  # ISO 216
    "Letter": (215.9, 279.4),  # ANSI/ASME Y14.1, size A
}


def sums(stock: Stock) -> list[str]:
    """What adds up to the page, across and down."""
    if stock.grows:
        side, other = ("long", "high") if stock.grows == "width" else ("high", "wide")
        fixed = stock.label_height if stock.grows == "width" else stock.label_width
        longest = stock.label_width if stock.grows == "width" else stock.label_height
        cut = f"cut to {stock.least:g} to {longest:g} mm {side}, as its words ask"
        return [f"{fixed:g} mm {other}, {cut}"]
    if stock.roll:
        return [f"one label of {stock.size}, which is a page of its own"]
    return [
        _sum("across", stock.left, stock.columns, stock.label_width, stock.pitch_x, stock.right)
        + f" = {stock.page_width:g} mm of page",
        _sum("down", stock.top, stock.rows, stock.label_height, stock.pitch_y, stock.bottom)
        + f" = {stock.page_height:g} mm of page",
    ]


def _sum(way: str, first: float, count: int, size: float, pitch: float, last: float) -> str:
    gap = f" + {count - 1} gaps of {_mm(pitch - size)}" if count > 1 else ""
    labels = f"{count} labels of" if count > 1 else "a label of"
    return f"{way}: {_mm(first)} + {labels} {size:g}{gap} + {_mm(last)}"


def _mm(value: float) -> str:
    """Rounded to what a steel rule shows, and no minus before nothing."""
    return f"{round(value, 2) or 0:g}"


def checked(stock: Stock) -> str:
    """What the check found, in a sentence; a stock with anything wrong is never made."""
    if stock.grows:
        return "every length between can be cut"
    if stock.per_page == 1:
        return "the label lies on its page"
    return f"all {stock.per_page} labels lie on the page, and none overlap"


def warnings(stock: Stock) -> list[str]:
    """What an office printer may not manage, and what looks like a slip of the rule."""
    return [*_edges(stock), *_lopsided(stock), *_paper(stock)]


def _edges(stock: Stock) -> Iterator[str]:
    if stock.roll:
        return
    margins = {
        "left": stock.left,
        "right": stock.right,
        "top": stock.top,
        "bottom": stock.bottom,
    }
    near = [side for side, margin in margins.items() if margin < UNPRINTABLE - PADDING - 1e-9]
    if near:
        yield (
            f"labels reach to within {UNPRINTABLE - PADDING:g} mm of the page's"
            f" {', '.join(near)}: most office printers leave the outer {UNPRINTABLE:g} mm blank, so"
            f" {stock.inset_x:g} mm at the sides and {stock.inset_y:g} mm above and below stay"
            " blank on every label"
        )


def _lopsided(stock: Stock) -> Iterator[str]:
    for one, other, first, last in (
        ("left", "right", stock.left, stock.right),
        ("top", "bottom", stock.top, stock.bottom),
    ):
        if not stock.roll and abs(first - last) > UNEVEN:
            yield (
                f"the {one} margin is {_mm(first)} mm and the {other} one {_mm(last)} mm: labels"
                " are usually centred, so measure both again"
            )


def _paper(stock: Stock) -> Iterator[str]:
    if stock.roll:
        return
    size = (stock.page_width, stock.page_height)
    for wide, high in _PAPERS.values():
        for sides in ((wide, high), (high, wide)):
            if all(abs(a - b) <= _SAME for a, b in zip(size, sides, strict=True)):
                return
    yield (
        f"{size[0]:g} × {size[1]:g} mm is none of {', '.join(_PAPERS)}: tell the printer's"
        " settings of it, or it scales the page"
    )
