"""Reading printed pages back: every page is rendered as a printer would, every code decoded."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image
    from pypdfium2 import PdfPage


def rendered(pdf: bytes, dpi: int) -> Iterator[Image]:
    """The pages of a PDF as grey images with one pixel for each printer dot."""
    from pypdfium2 import PdfDocument

    document = PdfDocument(pdf)
    try:
        for page in document:
            _widen_to_whole_dots(page, dpi)
            yield page.render(scale=dpi / 72, grayscale=True, draw_annots=False).to_pil()
            page.close()
    finally:
        document.close()


def _widen_to_whole_dots(page: PdfPage, dpi: int) -> None:
    """Lets the page end on a dot: the renderer would stretch it to whole dots, a printer does not.

    The hundredth keeps it from rounding up to one dot more.
    """
    width, height = (
        (math.ceil(side * dpi / 72 - 0.001) - 0.01) * 72 / dpi for side in page.get_size()
    )
    page.set_mediabox(0, 0, width, height)


def read_pages(pdf: bytes, dpi: int) -> Iterator[tuple[str, ...]]:
    """The Code 128 texts on each page of a PDF at a resolution, sorted."""
    import zxingcpp

    formats = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.Code128])
    for image in rendered(pdf, dpi):
        found = zxingcpp.read_barcodes(image, formats=formats, try_rotate=False, try_invert=False)
        yield tuple(sorted(str(it.text) for it in found))


def verify(pdf: bytes, expected: Sequence[Sequence[str]], dpi: int) -> tuple[str, ...]:
    """What does not read back as expected, page by page in words; empty when all is well."""
    problems: list[str] = []
    pages = list(read_pages(pdf, dpi))
    if len(pages) != len(expected):
        problems.append(f"pages in the PDF: {len(pages)}, expected {len(expected)}")
    for number, (found, wanted) in enumerate(zip(pages, expected, strict=False), start=1):
        missing = Counter(wanted) - Counter(found)
        surplus = Counter(found) - Counter(wanted)
        where = f"page {number} at {dpi} dpi"
        problems += [f"{where}: {code} is not readable" for code in sorted(missing.elements())]
        problems += [f"{where}: {code} should not be there" for code in sorted(surplus.elements())]
    return tuple(problems)
