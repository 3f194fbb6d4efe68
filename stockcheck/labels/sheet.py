"""Where each label goes: page by page, row by row, from a start on a part-used sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from stockcheck.core.errors import BadInput
from stockcheck.labels.stock import Stock


@dataclass(frozen=True, slots=True)
class Spot:
    """One label's place: page from 0, and its left and top edge on the page in mm.

    ``page_size`` is that of its page where it is cut to length, None where it is the stock's.
    """

    page: int
    left: float
    top: float
    page_size: tuple[float, float] | None = None


def spots(stock: Stock, count: int, start: int = 1) -> Iterator[Spot]:
    """The places of ``count`` labels in order; the first ``start - 1`` of page one stay empty."""
    check_start(stock, start)
    for place in range(start - 1, start - 1 + count):
        page, on_page = divmod(place, stock.per_page)
        row, column = divmod(on_page, stock.columns)
        yield Spot(page, stock.left + column * stock.pitch_x, stock.top + row * stock.pitch_y)


def check_start(stock: Stock, start: int) -> None:
    """BadInput for a first label that the sheet does not have."""
    if 1 <= start <= stock.per_page:
        return
    if stock.roll:
        raise BadInput(
            f"start {start}: {stock.name} is a roll, which has no part-used sheet."
            " Leave the start out"
        )
    raise BadInput(
        f"start {start}: a sheet of {stock.name} has {stock.per_page} labels,"
        f" counted row by row from the top left. Give 1 to {stock.per_page}"
    )
