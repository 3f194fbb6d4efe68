"""Data Matrix ECC 200 (ISO/IEC 16022) and QR codes (ISO/IEC 18004) as rows of modules.

The library zxing-cpp makes the modules; they are drawn here as rectangles on whole printer dots.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from stockcheck.core.errors import BadInput

Rows = tuple[str, ...]


@lru_cache(maxsize=4096)
def data_matrix(text: str) -> Rows:
    """The smallest square symbol of a text: 12 × 12 modules for our ten digits."""
    return _made(text, "DataMatrix", force_square=True)


@lru_cache(maxsize=4096)
def gs1_data_matrix(bracketed: str) -> Rows:
    """The smallest square symbol of an element string such as ``[01]09506000134352[17]291231``.

    It begins with FNC1, so that readers report it as ]d2.
    """
    return _made(bracketed, "DataMatrix", gs1=True, force_square=True)


@lru_cache(maxsize=4096)
def qr(text: str) -> Rows:
    """The smallest symbol of a text, at the highest error correction that keeps it so small."""
    smallest = _made(text, "QRCode", ec_level="L")
    for level in "HQM":
        rows = _made(text, "QRCode", ec_level=level)
        if len(rows) == len(smallest):
            return rows
    return smallest


def rectangles(rows: Rows) -> tuple[tuple[int, int, int, int], ...]:
    """The dark modules joined to rectangles: left, top, width and height in modules.

    Runs that are alike in rows below one another become one: edges inside a dark area would show
    as hairlines in a viewer.
    """
    done: list[tuple[int, int, int, int]] = []
    open_runs: dict[tuple[int, int], int] = {}
    for at, row in enumerate((*rows, "")):
        now = dict.fromkeys(runs(row), at)
        for (start, width), top in open_runs.items():
            if (start, width) in now:
                now[start, width] = top
            else:
                done.append((start, top, width, at - top))
        open_runs = now
    return tuple(sorted(done, key=lambda it: (it[1], it[0])))


def runs(row: str) -> tuple[tuple[int, int], ...]:
    """The dark runs of a row: where each begins and how wide it is, in modules."""
    found: list[tuple[int, int]] = []
    start = row.find("1")
    while start >= 0:
        end = row.find("0", start)
        end = len(row) if end < 0 else end
        found.append((start, end - start))
        start = row.find("1", end)
    return tuple(found)


def _made(text: str, name: str, **options: Any) -> Rows:
    import zxingcpp

    try:
        made = zxingcpp.create_barcode(text, getattr(zxingcpp.BarcodeFormat, name), **options)
    except ValueError as error:
        raise BadInput(f"code {text!r}: no symbol can hold it ({error}). Shorten it") from error
    image: Any = made.to_image(scale=1, add_quiet_zones=False)
    rows: Any = memoryview(image).tolist()
    return tuple("".join("0" if light else "1" for light in row) for row in rows)
