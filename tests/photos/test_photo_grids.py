"""Matrix codes found by their fixed modules where a soft picture hides them from the decoder.

The symbols come from zxing-cpp's writer; what is fixed in each is told in ISO/IEC 16022 and 18004.
"""

from __future__ import annotations

import random

import pytest
import zxingcpp

from photographs import Conditions, photograph
from stockcheck.photos.areas import find_areas
from stockcheck.photos.decoding import decode
from stockcheck.photos.geometry import inside, middle
from stockcheck.photos.looks import goes_on, of_structure
from stockcheck.photos.templates import data_matrix_templates, qr_templates
from symbols_drawn import MAKERS, Field

SOFT = Conditions(
    module=3, angle=None, tilt=0.06, blur=0.35, shake=0.4, noise=9, ink=50, quality=55
)


def modules(text: str, form: str) -> Field:
    import numpy as np

    made = zxingcpp.create_barcode(text, getattr(zxingcpp.BarcodeFormat, form))
    return (np.array(made.to_image(scale=1, add_quiet_zones=False)) < 128).astype(np.uint8)


@pytest.mark.parametrize("length", [10, 16, 24, 36, 44, 60, 72, 88])
def test_the_fixed_modules_of_a_data_matrix_are_those_a_writer_draws(length: int) -> None:
    drawn = modules("1" * length, "DataMatrix")
    (template,) = [each for each in data_matrix_templates() if each.side == len(drawn)]
    assert all(bool(drawn[y, x]) == dark for (x, y), dark in template.known.items())


@pytest.mark.parametrize("length", [5, 20, 40, 70])
def test_the_fixed_modules_of_a_qr_code_are_those_a_writer_draws(length: int) -> None:
    drawn = modules("a" * length, "QRCode")
    found = [each for each in qr_templates() if each.side == len(drawn)]
    assert found
    assert all(bool(drawn[y, x]) == dark for (x, y), dark in found[0].known.items())


@pytest.mark.parametrize("name", ["our Data Matrix", "GS1 Data Matrix"])
def test_a_soft_symbol_is_drawn_clean_and_read_where_it_lies(name: str) -> None:
    dice = random.Random(f"soft {name}")
    shot = photograph(dice, [MAKERS[name](dice)], SOFT)
    (drawn,) = shot.drawn
    areas = [each for each in find_areas(shot.image) if inside(each.window.at, drawn.corners)]
    looks = [
        look for each in areas if not each.bars for look in of_structure(shot.image, each.window)
    ]
    found = [each for look in looks for each in decode(look)]
    assert {each.text for each in found} == {drawn.symbol.scanned}
    assert all(inside(middle(each.corners), drawn.corners) for each in found)


def test_bars_beside_bars_are_seen_and_a_clear_zone_too() -> None:
    dice = random.Random("beside")
    shot = photograph(dice, [MAKERS["EAN-13"](dice)], Conditions(module=3))
    whole = next(each.window for each in find_areas(shot.image) if each.bars)
    half = type(whole)(whole.at, whole.angle, 45 * 3, whole.height)
    bars = type(whole)(whole.at, whole.angle, 95 * 3, whole.height)
    assert goes_on(shot.image, half, 6 / 51)
    assert not goes_on(shot.image, bars, 6 / 95)
