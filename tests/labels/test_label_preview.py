"""Labels looked at before they are printed, cut to length, and kept to be printed again."""

from __future__ import annotations

import json
from dataclasses import replace
from io import BytesIO

import pypdfium2
import pytest
from PIL import Image

from stockcheck.core.errors import BadInput
from stockcheck.labels.elements import Glyph, Run, Symbol
from stockcheck.labels.kept import text_of, words_of
from stockcheck.labels.marks import Mark
from stockcheck.labels.preview import boxed, pictures
from stockcheck.labels.printing import label_sheets, laid_out, verify_sheets
from stockcheck.labels.stock import load_stock
from stockcheck.labels.text import LabelText

USUAL = load_stock("a4-3x7")


def test_every_page_becomes_a_picture_with_the_outlines_of_its_labels(plain: LabelText) -> None:
    pages = list(pictures(label_sheets([plain] * 22, USUAL).pdf, USUAL))
    assert len(pages) == 2
    image = Image.open(BytesIO(pages[1]))
    assert image.size == (1241, 1754)  # A4 at 150 dots an inch, as ISO 216 has it
    last = 7.25 + 2 * 66 + 63.5, 15.15 + 7 * 38.1 - 20
    x, y = (round(mm * 150 / 25.4) for mm in last)
    around = image.crop((x - 2, y - 2, x + 3, y + 3))
    assert min(around.convert("L").tobytes()) < 255  # a label without words has its outline


def test_a_label_in_characters_says_what_is_printed(plain: LabelText) -> None:
    stock, layout = laid_out(plain, USUAL)
    lines = boxed(layout, stock.label_width, 80)
    shown = "\n".join(lines)
    for words in (plain.title, plain.date, plain.place, "L42", "[Code 128]", plain.code):
        assert words in shown
    assert {len(line) for line in lines} == {len(lines[0])}


@pytest.mark.parametrize("room", [24, 40, 80, 200])
@pytest.mark.parametrize("stock", ["a4-5x13", "a4-3x7", "roll-100x50", "tape-24"])
def test_no_line_of_it_is_wider_than_the_room(
    samples: tuple[LabelText, ...], stock: str, room: int
) -> None:
    for text in samples:
        try:
            page, layout = laid_out(text, load_stock(stock), code="auto")
        except BadInput:
            continue
        lines = boxed(layout, page.label_width, room)
        assert max(map(len, lines)) <= room
        letters = "".join(run.text for run in layout.elements if isinstance(run, Run))
        told = set("".join(lines))
        assert set(letters.replace(" ", "")) <= told


@pytest.mark.parametrize("name", ["continuous-54", "continuous-62", "tape-24"])
def test_a_continuous_roll_is_as_long_as_its_words_ask(plain: LabelText, name: str) -> None:
    stock = load_stock(name)
    bare = LabelText(plain.code, "L42", "Glue")
    long = replace(plain, title=plain.title + ", for bolts up to M20 and nuts of any size")
    sheets = label_sheets([bare, long], stock)
    assert sheets.left_off == ()
    assert verify_sheets(sheets, 203) == ()
    with pypdfium2.PdfDocument(sheets.pdf) as document:
        sizes = [document.get_page_size(at) for at in range(2)]
    side = 0 if stock.grows == "width" else 1
    assert sizes[0][side] < sizes[1][side]
    assert {round(size[1 - side], 3) for size in sizes} == {round(sizes[0][1 - side], 3)}


def test_narrow_tape_holds_name_and_date_beside_bars(plain: LabelText) -> None:
    """Bars need 5 mm of height, which leaves no room above them on a tape of 12 mm."""
    stock = load_stock("tape-12")
    assert verify_sheets(label_sheets([plain], stock), 203) == ()
    _, found = laid_out(plain, stock)
    symbol = next(it for it in found.elements if isinstance(it, Symbol))
    runs = [it for it in found.elements if isinstance(it, Run)]
    name, day = (next(it for it in runs if it.text == text) for text in (plain.title, plain.date))
    assert max(name.box.right, day.box.right) < symbol.x


@pytest.mark.parametrize("caution", ["", "sterile"])
def test_what_governs_the_date_stands_on_its_baseline(plain: LabelText, caution: str) -> None:
    _, found = laid_out(replace(plain, caution=caution), load_stock("a4-3x7"))
    runs = [it for it in found.elements if isinstance(it, Run)]
    day, word = (next(it for it in runs if it.text == t) for t in (plain.date, plain.date_word))
    assert word.x > day.x
    assert word.y == pytest.approx(day.y)


@pytest.mark.parametrize(("name", "beside"), [("a4-3x7", False), ("roll-62x29", True)])
def test_symbols_have_one_place_on_a_stock(plain: LabelText, name: str, beside: bool) -> None:
    """Right of the bars where the stock has room for most of them there, else below the date."""
    for marks in ((Mark("keep dry"),), (Mark("below", "max. 25 °C"), Mark("keep dry"))):
        _, found = laid_out(replace(plain, marks=marks, opened=None), load_stock(name))
        symbol = next(it for it in found.elements if isinstance(it, Symbol))
        glyphs = [it for it in found.elements if isinstance(it, Glyph)]
        assert [(it.y > symbol.y) for it in glyphs if it.name == "keep dry"] == [beside]


def test_a_label_kept_as_json_is_the_same_label_again(samples: tuple[LabelText, ...]) -> None:
    marked = replace(samples[0], marks=(Mark("keep dry"), Mark("below", "max. 25 °C")))
    for text in (*samples, marked):
        assert text_of(json.loads(json.dumps(words_of(text)))) == text


def test_only_what_is_said_is_kept(bare: LabelText) -> None:
    assert set(words_of(bare)) == {"code", "short", "title"}


def test_what_a_later_version_no_longer_says_is_passed_over(plain: LabelText) -> None:
    assert text_of({**words_of(plain), "smell": "faint"}) == plain


def test_a_print_of_which_nothing_was_kept_cannot_be_made_again() -> None:
    with pytest.raises(BadInput, match="nothing was kept"):
        text_of({})
