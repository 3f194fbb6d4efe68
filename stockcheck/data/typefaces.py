"""The two typefaces of everything printed, read once and made known to the drawing library."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from stockcheck.data import fonts

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont

NAMES = {False: "DejaVuSansCondensed", True: "DejaVuSansCondensed-Bold"}


@cache
def typeface(bold: bool) -> TTFont:
    """The regular or the bold one; one object for all, so that documents can share its subsets."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    font = TTFont(NAMES[bold], fonts() / f"{NAMES[bold]}.ttf")
    pdfmetrics.registerFont(font)
    return font
