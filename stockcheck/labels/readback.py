"""Reading printed pages back: every page is rendered as a printer would, every code decoded.

What is reported in numbers are notions of ISO/IEC 15416 (bars) and ISO/IEC 15415 (matrices): symbol
contrast, quiet zone, module. No grade is claimed: the page is rendered and not printed, and a grade
needs a verifier's light, aperture and ten scans.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from stockcheck.labels.measure import Symbology
from stockcheck.labels.measuring import CodeFacts, Dots, facts, faults, summary

if TYPE_CHECKING:
    from PIL.Image import Image
    from pypdfium2 import PdfPage

    from stockcheck.labels.measure import Measure

# What a reader says of each: symbology identifiers of ISO/IEC 15424.
IDENTIFIERS = {
    Symbology.CODE_128: "]C0",
    Symbology.DATA_MATRIX: "]d1",
    Symbology.GS1_DATA_MATRIX: "]d2",
    Symbology.QR: "]Q1",
}


Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class PlacedCode:
    """A code on a page: what readers must say, where its label and its dark modules are.

    Millimetres from the page's bottom left corner: left, bottom, right, top.
    """

    page: int
    text: str
    measure: Measure
    label: Box
    ink: Box


@dataclass(frozen=True, slots=True)
class ReadBack:
    """What reading back found: problems in words, none when all is well; the codes' figures."""

    problems: tuple[str, ...]
    codes: tuple[CodeFacts, ...]

    @property
    def report(self) -> tuple[str, ...]:
        """Contrast, module, quiet zone and height in a line for each sort and size of code."""
        return summary(self.codes)


def read_back(pdf: bytes, placed: Sequence[PlacedCode], pages: int, dpi: int) -> ReadBack:
    """Every label decoded by itself at a resolution, and every code on it measured.

    A code that is missing, says something else, should not be there, or is smaller or has less
    quiet zone than its standard asks, is a problem.
    """
    by_page: dict[int, list[PlacedCode]] = {}
    for code in placed:
        by_page.setdefault(code.page, []).append(code)
    problems: list[str] = []
    found: list[CodeFacts] = []
    seen = 0
    for page, image in enumerate(rendered(pdf, dpi)):
        seen = page + 1
        where = f"page {seen} at {dpi} dpi"
        for label, codes in _by_label(by_page.get(page, ())):
            crop = image.crop(_dots(label, dpi, image))
            problems += [f"{where}: {it}" for it in _differences(decoded(crop), codes)]
        for code in by_page.get(page, ()):
            fact = facts(image, _dots(code.ink, dpi, image), code.measure, dpi)
            found.append(fact)
            problems += [f"{where}: {code.text}: {it}" for it in faults(fact, code.measure)]
    if seen != pages:
        problems.append(f"pages in the PDF: {seen}, expected {pages}")
    return ReadBack(tuple(problems), tuple(found))


def _by_label(
    codes: Iterable[PlacedCode],
) -> Iterator[tuple[Box, list[PlacedCode]]]:
    labels: dict[Box, list[PlacedCode]] = {}
    for code in codes:
        labels.setdefault(code.label, []).append(code)
    return iter(labels.items())


def _dots(box: Box, dpi: int, image: Image) -> Dots:
    """A box of the page in dots of its picture, whose rows are counted from the top."""
    left, bottom, right, top = (round(edge * dpi / 25.4) for edge in box)
    return Dots(
        max(left, 0),
        max(image.height - top, 0),
        min(right, image.width),
        min(image.height - bottom, image.height),
    )


def _differences(found: Sequence[tuple[str, str]], codes: Sequence[PlacedCode]) -> list[str]:
    wanted = Counter((IDENTIFIERS[code.measure.symbology], code.text) for code in codes)
    read = Counter(found)
    missing = sorted((wanted - read).elements())
    surplus = sorted((read - wanted).elements())
    if missing and surplus:
        return [
            f"{text} reads as {other} ({identifier})"
            for (_, text), (identifier, other) in zip(missing, surplus, strict=False)
        ]
    problems = [f"{text} is not readable" for _, text in missing]
    return problems + [f"{text} should not be there" for _, text in surplus]


def decoded(image: Image) -> list[tuple[str, str]]:
    """Every code of our symbologies in an image: symbology identifier and text."""
    import zxingcpp

    sorts = zxingcpp.BarcodeFormat
    formats = zxingcpp.BarcodeFormats([sorts.Code128, sorts.DataMatrix, sorts.QRCode])
    found = zxingcpp.read_barcodes(image, formats=formats, try_rotate=False, try_invert=False)
    return [(str(it.symbology_identifier), it.bytes.decode("utf-8", "replace")) for it in found]


def rendered(pdf: bytes, dpi: int, only: Collection[int] | None = None) -> Iterator[Image]:
    """The pages of a PDF as grey images with one pixel for each printer dot.

    ``only`` are the pages wanted, from 0; without it all of them.
    """
    from pypdfium2 import PdfDocument

    document = PdfDocument(pdf)
    try:
        for number in range(len(document)) if only is None else sorted(only):
            page = document[number]
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
    """The texts of all codes on each page of a PDF at a resolution, sorted."""
    for image in rendered(pdf, dpi):
        yield tuple(sorted(text for _, text in decoded(image)))


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
