"""Where a PDF's texts stand, as it says itself: in mm from the page's top left corner."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from pypdfium2 import PdfDocument

from stockcheck.labels.elements import Rect

MM = 25.4 / 72


def text_boxes(pdf: bytes) -> Iterator[tuple[int, str, Rect]]:
    """Page, letters and box of each stretch of text on one line, as the PDF itself has them."""
    document = PdfDocument(pdf)
    try:
        for number, page in enumerate(document):
            high = page.get_height()
            words = page.get_textpage()
            for at in range(words.count_rects()):
                left, bottom, right, top = words.get_rect(at)
                text = words.get_text_bounded(left, bottom, right, top)
                box = Rect(left * MM, (high - top) * MM, right * MM, (high - bottom) * MM)
                yield number, text, box
            words.close()
            page.close()
    finally:
        document.close()


def overlaps(found: list[tuple[int, str, Rect]], slack: float = 0.05) -> list[tuple[str, str]]:
    """Which texts share room on a page."""
    return [
        (one[1], other[1])
        for one, other in combinations(found, 2)
        if one[0] == other[0] and one[2].overlaps(other[2], slack)
    ]
