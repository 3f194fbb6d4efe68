"""The alignment page: what a steel rule is held against has to lie where it says."""

from __future__ import annotations

import pypdfium2
import pytest

from stockcheck.core.printer import Setting
from stockcheck.labels.align import align_page, ruler
from stockcheck.labels.readback import rendered
from stockcheck.labels.stock import Stock, load_stock, shipped_stocks

DPI = 254  # ten dots to a millimetre


def ticks(stock: Stock, setting: Setting, level: float) -> list[float]:
    """Where the long marks stand along the ruler across, in mm: dark at ``level`` mm down."""
    image = next(rendered(align_page(stock, setting), DPI))
    row = round(level * 10)
    across = image.crop((0, row, image.width, row + 1)).tobytes()
    dark = [x for x, value in enumerate(across) if value < 140]
    starts = [x for at, x in enumerate(dark) if at == 0 or x - dark[at - 1] > 2]
    return [x / 10 for x in starts]


@pytest.mark.parametrize("stock", shipped_stocks(), ids=lambda it: it.name)
def test_every_stock_has_an_alignment_page_with_every_label_numbered(stock: Stock) -> None:
    pdf = align_page(stock, Setting())
    with pypdfium2.PdfDocument(pdf) as document:
        assert len(document) == 1
        words = document[0].get_textpage().get_text_range()
        width, _ = (side * 25.4 / 72 for side in document[0].get_size())
    assert all(str(number) in words for number in range(1, stock.per_page + 1))
    if stock.grows != "width":
        assert width == pytest.approx(stock.page_width, abs=0.01)
    assert align_page(stock, Setting()) == pdf


def test_the_marks_of_the_ruler_lie_at_their_millimetres() -> None:
    """Rendered at ten dots a millimetre: between 3 and 4 mm long are the marks of every 10 mm."""
    found = ticks(load_stock("a4-3x7"), Setting(), 16 + 3.4)
    tens = list(range(10, 205, 10))
    assert [at for at in tens if any(abs(x - at) <= 0.2 for x in found)] == tens


def test_a_setting_moves_and_stretches_them() -> None:
    setting = Setting(offset_x=2.0, scale_x=1.01)
    found = ticks(load_stock("a4-3x7"), setting, 16 + 3.4)
    for at in (10, 110, 180):
        assert any(abs(x - (at * 1.01 + 2)) <= 0.2 for x in found), at


@pytest.mark.parametrize(
    ("side", "whole"), [(210, 100), (297, 100), (114, 100), (62, 40), (29, 10), (12, 10)]
)
def test_there_is_always_something_to_measure(side: float, whole: int) -> None:
    assert ruler(side).whole == whole
