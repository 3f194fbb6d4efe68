"""Wrapping words and sharing width, for a terminal's columns and a page's points alike.

A ``Measure`` gives the width of a text and must be additive: the width of a text is the sum of the
widths of its characters. That holds for terminal cells and for the unkerned text of our PDFs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from typing import NamedTuple, TypeAlias

from stockcheck.output.cells import NBSP

Measure: TypeAlias = Callable[[str], float]

ELLIPSIS = "…"
_SLACK = 1e-6  # widths in points are sums of floats


def wrap(text: str, room: float, measure: Measure) -> Iterator[str]:
    """The lines of a cleaned text, broken at spaces; a word wider than ``room`` is broken too."""
    if measure(text) <= room + _SLACK:
        yield text.replace(NBSP, " ")
        return
    gap, line, used = measure(" "), "", 0.0
    for word in text.split(" "):
        size = measure(word)
        if line and used + gap + size <= room + _SLACK:
            line, used = f"{line} {word}", used + gap + size
            continue
        if line:
            yield line.replace(NBSP, " ")
        *full, line = _broken(word, room, measure) if size > room + _SLACK else [word]
        yield from (piece.replace(NBSP, " ") for piece in full)
        used = measure(line)
    yield line.replace(NBSP, " ")


def _broken(word: str, room: float, measure: Measure) -> list[str]:
    """A long word in pieces of at most ``room``, after a hyphen or slash where there is one.

    A combining mark stays with its letter.
    """
    pieces, piece, used = [], "", 0.0
    for char in word:
        size = measure(char)
        while piece and size and used + size > room + _SLACK:
            cut = max(piece.rfind("-"), piece.rfind("/")) + 1 or len(piece)
            pieces.append(piece[:cut])
            piece = piece[cut:]
            used = measure(piece)
        piece, used = piece + char, used + size
    return [*pieces, piece]


def wrap_within(text: str, room: float, measure: Measure, most: int) -> list[str]:
    """At most ``most`` lines; what was cut off is marked by an ellipsis."""
    lines = list(islice(wrap(text, room, measure), most + 1))
    if len(lines) <= most:
        return lines
    last = lines[most - 1]
    while last and measure(last + ELLIPSIS) > room + _SLACK:
        last = last[:-1]
    return [*lines[: most - 1], last.rstrip() + ELLIPSIS]


class Need(NamedTuple):
    """What one column asks for: width of its longest text and longest word, and its share."""

    natural: float
    word: float
    weight: int = 1
    fixed: bool = False


def need(texts: Iterable[str], measure: Measure, weight: int, fixed: bool) -> Need:
    """The need of a column with these cleaned texts."""
    natural = word = 0.0
    for text in set(texts):
        natural = max(natural, measure(text))
        word = max(word, *(measure(part) for part in text.split(" ")))
    return Need(natural, word, max(1, weight), fixed)


def fit(needs: list[Need], room: float, cap: float) -> list[float] | None:
    """Widths for all columns within ``room``, or None when they cannot stand side by side.

    Fixed columns get their longest text, the others at least their longest word, neither more
    than ``cap``; what remains is shared by weight, and nobody gets more than its longest text.
    """
    least = [min(each.natural if each.fixed else each.word, cap) for each in needs]
    spare = room - sum(least)
    if spare < -_SLACK:
        return None
    widths = list(least)
    growing = {i for i, each in enumerate(needs) if not each.fixed and each.natural > least[i]}
    free = spare + sum(least[i] for i in growing)
    while growing:
        parts = sum(needs[i].weight for i in growing)
        wish = {i: free * needs[i].weight / parts for i in growing}
        settled = _settle(needs, least, wish)
        for i, size in (settled or wish).items():
            widths[i] = size
            free -= size
            growing.discard(i)
    return widths


def widen(widths: list[float], wishes: list[float], room: float) -> list[float]:
    """The widths with what is left of ``room`` given, from the left, to columns that wish more."""
    left, widened = room - sum(widths), []
    for width, wish in zip(widths, wishes, strict=True):
        more = wish - width if 0 < wish - width <= left else 0.0
        left -= more
        widened.append(width + more)
    return widened


def _settle(needs: list[Need], least: list[float], wish: dict[int, float]) -> dict[int, float]:
    """Columns whose share is too small (they take their least first), else those with too much."""
    short = {i: least[i] for i, size in wish.items() if size < least[i]}
    return short or {i: needs[i].natural for i, size in wish.items() if size > needs[i].natural}
