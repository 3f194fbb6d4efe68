"""What must be true of any laid-out label, and how its words are read out of it."""

from __future__ import annotations

from itertools import combinations

from stockcheck.labels.elements import Band, Element, Frame, Glyph, Run, Symbol
from stockcheck.labels.styles import MIN_SMALL
from stockcheck.labels.symbols import SYMBOLS
from stockcheck.labels.text import LabelSize


def runs(elements: tuple[Element, ...]) -> list[Run]:
    return [it for it in elements if isinstance(it, Run)]


def glyphs(elements: tuple[Element, ...]) -> list[str]:
    return [it.name for it in elements if isinstance(it, Glyph)]


def said(elements: tuple[Element, ...]) -> str:
    return " ".join(run.text for run in runs(elements))


def assert_tidy(elements: tuple[Element, ...], size: LabelSize) -> None:
    """Everything is inside the label, nothing too small, and only frames and bands hold others.

    The quiet zone of a code may reach into the blank edge of the label, its modules may not.
    """
    for it in elements:
        symbol = isinstance(it, Symbol)
        inset = (0.0, 0.0) if symbol else (size.inset_x, size.inset_y)
        assert it.box.left >= inset[0] - 0.01, it
        assert it.box.right <= size.width - inset[0] + 0.01, it
        assert it.box.top >= inset[1] - 0.01, it
        assert it.box.bottom <= size.height - inset[1] + 0.01, it
        assert not isinstance(it, Run) or it.size >= MIN_SMALL, it
        assert not isinstance(it, Glyph) or it.height >= SYMBOLS[it.name].least_mm - 0.01, it
    for one, other in combinations(elements, 2):
        if not holds(one, other) and not holds(other, one):
            assert not one.box.overlaps(other.box), (one, other)


def holds(outer: Element, inner: Element) -> bool:
    """Whether a frame, or a band with white words, lies round the other."""
    if isinstance(outer, Band):
        proper = isinstance(inner, Run) and inner.white
    else:
        proper = isinstance(outer, Frame)
    box, it = outer.box, inner.box
    inside = box.left < it.left and box.right > it.right
    return proper and inside and box.top < it.top and box.bottom > it.bottom
