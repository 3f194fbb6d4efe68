"""Labels in thousands, as ratios to a bare loop of the drawing library in one run.

Run by name: ``python tests/benchmarks/labels.py [LABELS] [RUNS]``. The bare loop draws the same
rectangles and strings, already placed, by the library's own calls; ours lays the labels out,
measures and draws them, from cold caches. Reading back is held against rendering each page and
decoding it as a whole. Each figure is the median of RUNS (3) of processor time, taken in turns.
Ratios travel between machines; seconds do not.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable, Sequence
from functools import partial
from io import BytesIO

import zxingcpp
from reportlab.pdfgen.canvas import Canvas

from stockcheck.core.codes import make_code
from stockcheck.labels import fonts
from stockcheck.labels.draw import POINTS_PER_MM, symbol_rectangles
from stockcheck.labels.elements import Band, Element, Frame, Rule, Run, Symbol
from stockcheck.labels.layout import layout
from stockcheck.labels.measure import Symbology
from stockcheck.labels.printing import label_sheets, label_size, read_back_sheets
from stockcheck.labels.readback import rendered
from stockcheck.labels.sheet import Spot, spots
from stockcheck.labels.stock import Stock, load_stock
from stockcheck.labels.text import LabelText

DPI = 203
READ = 130  # labels that are read back
AIM = 2.0
CODES = {
    "bars": Symbology.CODE_128, "matrix": Symbology.DATA_MATRIX, "qr": Symbology.QR,
}  # fmt: skip
Box = tuple[float, float, float, float]
String = tuple[str, float, float, float, str]
Page = tuple[list[Box], list[String]]

# Invented: what a field crew that counts desert birds might carry.
NAMES = (
    "Threadlocker, medium, 10 ml bottle", "Eyewash, sterile, 20 ml", "Tyre plug, 100 mm",
    "Water tablet, chlorine", "Self-fusing tape, 25 mm", "Brake fluid, 250 ml, sealed",
    "Wound dressing, 10 × 10 cm", "Lithium cell, AA", "Rubber solution, 20 g tube",
    "Sun lotion, factor 50", "Клей для прокладок, 85 г", "Head torch",
)  # fmt: skip
BOXES = ("Truck / Sealants", "Truck / First aid", "Camp / Water", "Truck / Tyres", "Optics")
MONTHS = ("JAN", "MAR", "MAY", "JUL", "NOV")


def texts(count: int) -> list[LabelText]:
    """As many different lots."""
    return [
        LabelText(
            code=make_code("lot", serial),
            short=f"L{serial}",
            title=NAMES[serial % len(NAMES)],
            date=f"{MONTHS[serial % 5]} {2027 + serial % 4}",
            date_word="printed date" if serial % 3 else "by shelf life",
            place=BOXES[serial % 5],
            batch=f"{serial * 7919 % 10000:04d}-{'ABCDEF'[serial % 6]}",
            lines=(f"rec. {1 + serial % 28:02d} SEP 2026",),
            caution="" if serial % 4 else "FLAMMABLE",
            opened="" if serial % 2 else None,
        )
        for serial in range(1, count + 1)
    ]


def placed(labels: Sequence[LabelText], stock: Stock, symbology: Symbology) -> list[Page]:
    """The rectangles and strings of every page in points, as the bare loop wants them."""
    pages: list[Page] = []
    for text, spot in zip(labels, spots(stock, len(labels)), strict=True):
        while len(pages) <= spot.page:
            pages.append(([], []))
        for element in layout(text.checked(), label_size(stock), DPI, symbology).elements:
            _place(element, spot, stock.page_height, pages[-1])
    return pages


def _place(element: Element, spot: Spot, height: float, page: Page) -> None:
    rectangles, strings = page
    match element:
        case Run():
            x, y = (spot.left + element.x, height - spot.top - element.y)
            name = fonts.name(element.bold)
            strings.append((name, element.size, x * POINTS_PER_MM, y * POINTS_PER_MM, element.text))
        case Symbol():
            dot = element.measure.dot_mm * POINTS_PER_MM
            for x, y, wide, high in symbol_rectangles(element, spot, height):
                rectangles.append((x * dot, y * dot, wide * dot, high * dot))
        case Rule() | Frame() | Band():
            box = element.box
            left, bottom = spot.left + box.left, height - spot.top - box.bottom
            edges = (left, bottom, box.right - box.left, box.bottom - box.top)
            a, b, c, d = (edge * POINTS_PER_MM for edge in edges)
            rectangles.append((a, b, c, d))


def bare(pages: Sequence[Page], stock: Stock) -> bytes:
    """Rectangles and strings by the library's own calls, in a loop."""
    buffer = BytesIO()
    size = stock.page_width * POINTS_PER_MM, stock.page_height * POINTS_PER_MM
    canvas = Canvas(buffer, pagesize=size)
    for rectangles, strings in pages:
        for left, bottom, width, height in rectangles:
            canvas.rect(left, bottom, width, height, stroke=0, fill=1)
        for name, points, x, y, text in strings:
            canvas.setFont(name, points)
            canvas.drawString(x, y, text)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def render_and_decode(pdf: bytes) -> int:
    """Every page rendered and decoded as a whole."""
    return sum(len(zxingcpp.read_barcodes(image)) for image in rendered(pdf, DPI))


def seconds(what: Callable[[], object]) -> float:
    """Processor time of one call."""
    start = time.process_time()
    what()
    return time.process_time() - start


def forget() -> None:
    """Empty all that the label modules keep from one print to the next."""
    for name, module in list(sys.modules.items()):
        if name.startswith("stockcheck.labels"):
            for thing in vars(module).values():
                clear = getattr(thing, "cache_clear", None)
                if clear is not None and thing is not fonts.typeface:
                    clear()


def in_turns(ours: Callable[[], object], baseline: Callable[[], object], runs: int) -> list[float]:
    """Our time over the baseline's, run by run."""
    ratios = []
    for _ in range(runs):
        forget()
        ratios.append(seconds(ours) / seconds(baseline))
    return ratios


def main() -> None:
    """Print the ratios."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 3
    labels = texts(count)
    label_sheets(labels[:3], load_stock("a4-3x7"))
    print(f"{count} labels at {DPI} dpi; median of {runs} runs, aim at most {AIM}")
    print(f"{'stock':<12} {'code':<7} {'drawn':>6} {'read back':>10}")
    for name in ("a4-3x7", "a4-5x13", "roll-62x29"):
        stock = load_stock(name)
        for code, symbology in CODES.items():
            pages = placed(labels, stock, symbology)
            ours = partial(label_sheets, labels, stock, dpi=DPI, code=code)
            drawn = in_turns(ours, partial(bare, pages, stock), runs)
            some = label_sheets(labels[:READ], stock, dpi=DPI, code=code)
            read = in_turns(
                partial(read_back_sheets, some, DPI), partial(render_and_decode, some.pdf), 1
            )
            ratio = statistics.median(drawn)
            note = "" if ratio <= AIM else "  ABOVE THE AIM"
            print(f"{name:<12} {code:<7} {ratio:6.2f} {read[0]:10.2f}{note}")


if __name__ == "__main__":
    main()
