"""Label stocks by what they have room for."""

from __future__ import annotations

from stockcheck.labels.stock import Stock, shipped_stocks


def with_bars() -> tuple[Stock, ...]:
    """The shipped stocks whose labels are high enough for a code in bars below or beside words."""
    return tuple(stock for stock in shipped_stocks() if stock.label_height > 15)
