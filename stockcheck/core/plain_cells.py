"""Values of a store as cells of a CSV file, and back without the least change.

NULL is an empty cell. A text that a spreadsheet would take for a formula, that begins with an
apostrophe, or that is empty where NULL could stand gets a leading apostrophe, which reading takes
off again. How a formula begins is told in ``harmless``; the CSV of reports, which people write by
hand too, marks nothing else. Whole numbers and amounts are written plainly, so that a spreadsheet
reckons with them.
"""

from __future__ import annotations

import math
import re
from typing import TypeAlias

from stockcheck.core.harmless import FORMULA_STARTS, MARK

Cell: TypeAlias = "str | int | float | None"
_MARKED = MARK + FORMULA_STARTS
_LEAST, _MOST = -(2**63), 2**63 - 1


def to_cell(value: Cell, *, empty: bool) -> str:
    """A value as it stands in the file; ``empty``: its column may hold NULL."""
    if value is None:
        return ""
    if not isinstance(value, str):
        return repr(value)
    marked = value[0] in _MARKED if value else empty
    return MARK + value if marked else value


def from_cell(cell: str, sort: str, *, empty: bool) -> Cell:
    """The value that a cell was written from; ValueError says what is wrong with it."""
    if cell == "" and (empty or sort != "TEXT"):
        if not empty:
            raise ValueError("is empty")
        return None
    if sort == "TEXT":
        return cell.removeprefix(MARK)
    return _number(cell, sort)


def of_json(value: object, sort: str, *, empty: bool) -> Cell:
    """A value as JSON gives it; ValueError for one that its column cannot hold."""
    if value is None:
        if not empty:
            raise ValueError("is null")
        return None
    if sort == "TEXT":
        if not isinstance(value, str):
            raise ValueError("is no text")
        return value
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("is no number")
    return _number(repr(value), sort)


def _number(text: str, sort: str) -> int | float:
    if sort == "INTEGER":
        if not re.fullmatch(r"-?[0-9]{1,19}", text) or not _LEAST <= int(text) <= _MOST:
            raise ValueError("is no whole number")
        return int(text)
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise ValueError("is no number")
    return number
