"""Every sort of label on every stock, with every code, at 203, 300 and 600 dpi, read back.

Run by name: ``python tests/benchmarks/labels_matrix.py [STOCK]...``. Prints for each stock and
resolution how many of the labels it holds, and what does not read, overlaps or leaves the page.
Exit status 1 when anything does.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "support"))

from label_cases import every_label
from label_checks import assert_tidy
from label_pdf import overlaps, text_boxes
from stockcheck.labels.layout import NoRoom, layout
from stockcheck.labels.measure import Symbology
from stockcheck.labels.printing import label_sheets, label_size, verify_sheets
from stockcheck.labels.stock import Stock, shipped_stocks
from stockcheck.labels.text import LabelText

CODES = {
    "bars": Symbology.CODE_128, "matrix": Symbology.DATA_MATRIX, "qr": Symbology.QR,
}  # fmt: skip


def fitting(stock: Stock, symbology: Symbology, dpi: int) -> list[LabelText]:
    """The labels that the stock holds; each is checked as it is laid out."""
    found, size = [], label_size(stock)
    for text in every_label().values():
        try:
            laid = layout(text.checked(), size, dpi, symbology)
        except NoRoom:
            continue
        assert_tidy(laid.elements, size)
        found.append(text)
    return found


def checked(stock: Stock, code: str, dpi: int) -> tuple[int, list[str]]:
    """How many labels the stock holds, and what is wrong with their pages."""
    texts = fitting(stock, CODES[code], dpi)
    if stock.grows:  # each is tried at many lengths
        texts = texts[::6]
    if not texts:
        return 0, []
    sheets = label_sheets(texts, stock, dpi=dpi, code=code)
    wrong = list(verify_sheets(sheets, dpi))
    wrong += [f"{one!r} over {other!r}" for one, other in overlaps(list(text_boxes(sheets.pdf)))]
    return len(texts), wrong


def main(names: list[str]) -> int:
    """Every stock, or those named."""
    failed = False
    total = 0
    for stock in shipped_stocks():
        if names and stock.name not in names:
            continue
        for dpi in (203, 300, 600):
            found = {code: checked(stock, code, dpi) for code in CODES}
            held = ", ".join(f"{count} {code}" for code, (count, _) in found.items())
            wrong = [line for _, lines in found.values() for line in lines]
            total += sum(count for count, _ in found.values())
            failed |= bool(wrong)
            print(f"{stock.name:16} {dpi:4} dpi  {held:32} {'; '.join(wrong) or 'all read'}")
    print(f"{total} labels")
    return int(failed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
