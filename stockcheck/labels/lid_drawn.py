"""Lid sheets as pages of a larger document: drawn onto its canvas, and read back from its pages."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from stockcheck.labels.draw import draw_onto
from stockcheck.labels.elements import Element
from stockcheck.labels.fonts import check_carried, typeface
from stockcheck.labels.lid import PAPERS, Lid
from stockcheck.labels.lid_pages import lid_pages
from stockcheck.labels.readback import decoded, rendered

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

DPI = 203  # whose dots the bars lie on: the coarsest usual printer


def lid_painters(lid: Lid, paper: str) -> tuple[Callable[[Any], None], ...]:
    """What draws each page of a lid sheet onto a canvas with a page of that paper.

    BadInput for characters that cannot be printed.
    """
    check_carried(lid.strings(), lid.name)
    for bold in (False, True):
        typeface(bold)
    size = PAPERS[paper.lower()]
    return tuple(_painter(elements, size) for elements in lid_pages(lid, paper.lower(), DPI))


def _painter(elements: tuple[Element, ...], size: tuple[float, float]) -> Callable[[Any], None]:
    def paint(canvas: Canvas) -> None:
        draw_onto(canvas, elements, size)

    return paint


def unreadable(pdf: bytes, codes: Mapping[int, str]) -> tuple[str, ...]:
    """What does not read back on the pages told (from 0) with the code that each must have."""
    problems = []
    for number, image in zip(sorted(codes), rendered(pdf, DPI, codes), strict=True):
        found = [text for _, text in decoded(image)]
        if found != [codes[number]]:
            said = ", ".join(found) or "nothing"
            problems.append(f"page {number + 1}: {codes[number]} reads as {said}")
    return tuple(problems)
