"""Element strings as printed below a symbol and typed: ``(01)09506000134352(17)291231``.

The brackets are print, never data; but a batch may hold brackets of its own, as ``(10)A(1)B``. An
opening bracket begins a new element where an assigned AI stands in it and everything after it reads
too; where several places would do, the first is taken.
"""

from __future__ import annotations

import re
from datetime import date

from stockcheck.core.gs1_dates import Malformed
from stockcheck.core.gs1_elements import Element, one, together
from stockcheck.core.scanned import SEPARATOR

_AI = re.compile(r"\(([0-9]{2,4})\)")
_LONGEST = 96  # four figures in brackets and a value of ninety characters


def bracketed(text: str, today: date) -> tuple[Element, ...]:
    """The elements of a typed text; spaces and separators in it are dropped. Malformed."""
    data = "".join(text.replace(SEPARATOR, "").split())
    places = [found.start() for found in _AI.finditer(data)]
    endings: dict[int, list[Element] | None] = {len(data): []}
    for start in reversed(places):
        endings[start] = _from(data, start, endings, today)
    best = endings.get(0)
    if best is None:
        best = [_between(data, *ends, today) for ends in _plainly(places, len(data))]
    return together(best)


def _from(
    data: str, start: int, endings: dict[int, list[Element] | None], today: date
) -> list[Element] | None:
    """The elements from this bracket to the end; None when they do not read."""
    for end in sorted(endings):
        rest = endings[end]
        if rest is None or end - start > _LONGEST:
            continue
        try:
            return [_between(data, start, end, today), *rest]
        except Malformed:
            continue
    return None


def _plainly(places: list[int], end: int) -> list[tuple[int, int]]:
    """Every bracket taken for an AI, so that the message names the first thing that is wrong."""
    return list(zip(places, [*places[1:], end], strict=True))


def _between(data: str, start: int, end: int, today: date) -> Element:
    found = _AI.match(data, start)
    if found is None:
        raise Malformed(f"{data[start : start + 6]!r} is no AI in brackets")
    element = one(found[1], data[found.end() : end], today)
    if element.ai != found[1]:
        raise Malformed(f"there is no AI {found[1]}")
    return element
