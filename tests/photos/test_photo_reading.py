"""Codes drawn into photographs are read, told apart by place, and never read as something else.

The symbols come from encoders other than the decoder, see ``symbols_drawn``. Rates over hundreds
of codes are measured by ``tests/benchmarks/photos.py``; here each condition has a few.
"""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from PIL import Image, ImageDraw

from conditions import CONDITIONS
from photographs import Conditions, Shot, photograph, picture_of
from stockcheck.core.codes import make_code
from stockcheck.labels.printing import label_sheets
from stockcheck.labels.readback import rendered
from stockcheck.labels.stock import load_stock
from stockcheck.labels.text import LabelText
from stockcheck.photos.geometry import inside, middle
from stockcheck.photos.reading import read_grey
from symbols_drawn import MAKERS, Symbol

USUAL = ("our Code 128", "our Data Matrix", "GS1-128", "GS1 Data Matrix", "EAN-13")
ALONE = sorted(set(CONDITIONS) - {"all at once"})


def texts(shot: Shot) -> list[str]:
    return [each.text for each in read_grey(shot.image)[0]]


def shot_of(name: str, given: Conditions, seed: str) -> Shot:
    dice = random.Random(seed)
    return photograph(dice, [MAKERS[name](dice)], given)


@pytest.mark.parametrize("name", MAKERS)
def test_every_symbology_is_read_with_its_identifier(name: str) -> None:
    shot = shot_of(name, Conditions(angle=None), name)
    assert texts(shot) == [shot.drawn[0].symbol.scanned]


@pytest.mark.parametrize("condition", ALONE)
def test_our_own_code_is_read_under_every_condition(condition: str) -> None:
    shot = shot_of("our Code 128", replace(CONDITIONS[condition], module=3), condition)
    assert texts(shot) == [shot.drawn[0].symbol.scanned]


@pytest.mark.parametrize("name", ["our Code 128", "EAN-13", "GS1 Data Matrix"])
def test_a_module_of_two_pixels_is_enough_in_a_good_picture(name: str) -> None:
    shot = shot_of(name, Conditions(module=2), name)
    assert texts(shot) == [shot.drawn[0].symbol.scanned]


def test_several_codes_are_told_apart_and_found_where_they_are() -> None:
    dice = random.Random(5)
    shot = photograph(dice, [MAKERS[name](dice) for name in USUAL], Conditions(angle=None))
    found = {each.text: each for each in read_grey(shot.image)[0]}
    assert set(found) == {each.symbol.scanned for each in shot.drawn}
    for drawn in shot.drawn:
        assert inside(middle(found[drawn.symbol.scanned].corners), drawn.corners)


def test_two_labels_with_one_code_are_two_sightings() -> None:
    symbol = MAKERS["our Code 128"](random.Random(1))
    shot = photograph(random.Random(2), [symbol, symbol], Conditions())
    assert texts(shot) == [symbol.scanned] * 2


def test_a_code_crossed_by_a_line_is_one_sighting() -> None:
    shot = shot_of("our Code 128", Conditions(), "crossed")
    x, y = shot.drawn[0].middle
    ImageDraw.Draw(shot.image).line((x - 300, y - 12, x + 300, y - 12), fill=20, width=8)
    assert texts(shot) == [shot.drawn[0].symbol.scanned]


def test_light_bars_on_dark_are_read() -> None:
    shot = shot_of("our Data Matrix", Conditions(ink=230, paper=30), "inverted")
    assert texts(shot) == [shot.drawn[0].symbol.scanned]


def torn(shot: Shot) -> Image.Image:
    """The photograph with a broad strip of each bar painted over lengthwise and across."""
    image = shot.image.copy()
    x, y = shot.drawn[0].middle
    ImageDraw.Draw(image).rectangle((x - 30, y - 200, x + 30, y + 200), fill=120)
    return image


def test_bars_that_cannot_be_read_are_listed_with_their_place() -> None:
    shot = shot_of("GS1-128", Conditions(), "torn")
    seen, unread = read_grey(torn(shot))
    assert seen == ()
    assert unread
    assert all(inside(middle(each.corners), shot.drawn[0].corners) for each in unread)
    assert "read" in unread[0].why or "damaged" in unread[0].why


@pytest.mark.parametrize("seed", range(3))
def test_a_picture_without_codes_gives_none_and_says_of_none(seed: int) -> None:
    assert read_grey(photograph(random.Random(seed), [_plain()], Conditions()).image) == ((), ())


def _plain() -> Symbol:
    import numpy as np

    return Symbol("nothing", "", np.zeros((60, 60), dtype=np.uint8))


@pytest.mark.parametrize("size", [(1, 1), (1, 900), (900, 1), (3, 2), (40, 40)])
@pytest.mark.parametrize("shade", [0, 128, 255])
def test_the_smallest_and_emptiest_pictures_are_read_as_empty(
    size: tuple[int, int], shade: int
) -> None:
    assert read_grey(Image.new("L", size, shade)) == ((), ())


def test_reading_twice_gives_the_same() -> None:
    shot = shot_of("EAN-8", CONDITIONS["all at once"], "twice")
    assert read_grey(shot.image) == read_grey(shot.image)


@pytest.mark.parametrize("angle", [0, 13, 45, 90, 200])
def test_our_printed_labels_are_read_as_photographed(angle: float) -> None:
    codes = [make_code("lot", number) for number in (1, 42, 99_999_999)]
    labels = [
        LabelText(code, f"L{number}", "Rubber solution", "NOV 2027", "last usable, printed")
        for number, code in enumerate(codes)
    ]
    pdf = label_sheets(labels, load_stock("a4-3x7"), dpi=300).pdf
    page = next(iter(rendered(pdf, 300))).crop((0, 0, 2480, 700))
    taken = Conditions(module=3, angle=angle, tilt=0.03, blur=0.2, noise=6, light=0.6, quality=70)
    shot = picture_of(page, random.Random(int(angle)), taken, 1.0)
    assert {text[3:] for text in texts(shot)} == set(codes)
