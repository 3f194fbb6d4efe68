from __future__ import annotations

import itertools
import math
import re
from pathlib import Path

import pytest

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.labels import stock_words
from stockcheck.labels.measure import Symbology, measures
from stockcheck.labels.stock import Stock, load_stock, read_stock, shipped_stocks

GOOD = """
media = "sheet"
about = "mine"
[page]
width = 210
height = 297
[label]
width = 63.5
height = 38.1
[grid]
columns = 3
rows = 7
pitch_x = 66.0
pitch_y = 38.1
left = 7.25
top = 15.15
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def boxes(stock: Stock) -> list[tuple[float, float, float, float]]:
    return [
        (left, top, left + stock.label_width, top + stock.label_height)
        for row in range(stock.rows)
        for column in range(stock.columns)
        for left in [stock.left + column * stock.pitch_x]
        for top in [stock.top + row * stock.pitch_y]
    ]


@pytest.mark.parametrize("stock", shipped_stocks(), ids=lambda it: it.name)
def test_every_shipped_stock_keeps_its_labels_on_the_page_and_apart(stock: Stock) -> None:
    found = boxes(stock)
    assert len(found) == stock.per_page
    for at, (left, top, right, bottom) in enumerate(found):
        assert left >= 0
        assert top >= 0
        assert right <= stock.page_width + 0.05
        assert bottom <= stock.page_height + 0.05
        for other in found[at + 1 :]:
            across = min(right, other[2]) - max(left, other[0])
            down = min(bottom, other[3]) - max(top, other[1])
            assert min(across, down) < 0.05


@pytest.mark.parametrize("stock", shipped_stocks(), ids=lambda it: it.name)
def test_every_shipped_stock_has_room_for_a_code_and_says_what_it_is(stock: Stock) -> None:
    assert measures("1000000420", Symbology.CODE_128, 203)[-1].width_mm <= stock.label_width
    assert said_of(stock) in stock.about
    assert stock.source


@pytest.mark.parametrize("stock", shipped_stocks(), ids=lambda it: it.name)
def test_margins_of_shipped_sheets_are_even_on_both_sides(stock: Stock) -> None:
    assert stock.left == pytest.approx(stock.right, abs=0.06)


def test_there_are_sheets_of_two_papers_rolls_and_tapes() -> None:
    names = [stock.name for stock in shipped_stocks()]
    assert len(names) >= 12
    for start in ("a4-", "letter-", "roll-", "continuous-", "tape-"):
        assert sum(name.startswith(start) for name in names) >= 3


def test_labels_that_touch_the_page_edge_keep_four_millimetres_blank() -> None:
    edge, usual = load_stock("a4-3x8-edge"), load_stock("a4-3x7")
    assert (edge.inset_x, edge.inset_y) == (4.0, 3.5)
    assert (usual.inset_x, usual.inset_y) == (1.5, 1.5)


def test_a_roll_is_a_page_for_each_label() -> None:
    roll = load_stock("roll-57x32")
    assert (roll.page_width, roll.page_height, roll.per_page) == (57, 32, 1)


def test_ones_own_file_is_read_like_a_shipped_one(tmp_path: Path) -> None:
    own = load_stock(str(written(tmp_path, GOOD)))
    assert (own.name, own.per_page, own.size) == ("mine", 21, "63.5 × 38.1 mm")


def test_a_file_saved_with_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    assert read_stock(written(tmp_path, "\ufeff" + GOOD)).columns == 3


def said_of(stock: Stock) -> str:
    """The figures by which people know a stock."""
    if stock.grows:
        side, way = (stock.label_height, "high") if stock.grows == "width" else (
            stock.label_width, "wide"
        )  # fmt: skip
        return f"{side:g} mm {way}, cut to length"
    return f"{stock.label_width:g} × {stock.label_height:g} mm"


BAD = [
    ("pitch_x = 66.0", "pitch_x = 60", "grid.pitch_x 60: labels of 63.5 mm would overlap"),
    ("pitch_y = 38.1", "pitch_y = 37.0", "grid.pitch_y 37: labels of 38.1 mm would overlap"),
    ("left = 7.25", "left = 20", "grid.left 20: the last label would reach 5.50 mm past"),
    ("rows = 7", "rows = 8", "grid.top 15.15: the last label would reach 22.95 mm past"),
    ("rows = 7", "rows = 7.5", "grid.rows 7.5: write a whole number"),
    ("rows = 7", "rows = 0", "grid.rows 0: it must lie between 1 and 200"),
    ("width = 63.5", 'width = "63,5"', "label.width '63,5': write a number of millimetres"),
    ("width = 63.5", "width = nan", "label.width nan: it must lie between 1 and 1500"),
    ("width = 63.5", "width = -63.5", "label.width -63.5: it must lie between 1 and 1500"),
    ("width = 63.5", "width = true", "label.width True: write a number of millimetres"),
    ("height = 38.1", "height = 38.1\ncorner = 20", "label.corner 20: it is more than half"),
    ("height = 38.1", "height = 38.1\ncolour = 1", "label.colour: not known here. Take it out"),
    ("left = 7.25\n", "", "grid.left None: write a number of millimetres"),
    ("[grid]", "[gird]", "[grid]: this table is missing. Add it with columns, rows"),
    ('media = "sheet"', 'media = "tape"', "media 'tape': write media = \"sheet\", media"),
    ('about = "mine"', "about = 7", "about 7: write a text in quotes"),
    ("[grid]", "[grid", "not TOML"),
]


@pytest.mark.parametrize(("old", "new", "message"), BAD)
def test_a_bad_stock_is_refused_naming_file_field_value_and_remedy(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    path = written(tmp_path, GOOD.replace(old, new))
    with pytest.raises(BadInput) as caught:
        read_stock(path)
    assert message in str(caught.value)
    assert "mine.toml" in str(caught.value)


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    text = GOOD.replace("left = 7.25", "left = 60").replace("pitch_x = 66.0", "pitch_x = 60")
    with pytest.raises(BadInput, match=r"pitch_x 60.*\n.*left 60") as caught:
        read_stock(written(tmp_path, text))
    assert len(str(caught.value).splitlines()) == 2


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"\x80abc"])
def test_a_file_that_is_not_text_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "odd.toml"
    path.write_bytes(content)
    with pytest.raises(BadInput, match="not UTF-8 text"):
        read_stock(path)


def test_a_missing_file_is_refused_by_its_path() -> None:
    with pytest.raises(BadInput, match=r"nowhere/mine\.toml: No such file"):
        load_stock("nowhere/mine.toml")


def test_an_unknown_name_is_answered_with_near_ones() -> None:
    with pytest.raises(UnknownName, match="did you mean 'a4-3x7'"):
        load_stock("a4-3x77")
    with pytest.raises(UnknownName, match="there are a4-2x4, a4-2x7"):
        load_stock("zzzz")


ROLL = """
media = "continuous"
[label]
width = 62
height_least = 20
height_most = 100
"""
TAPE = ROLL.replace("height_", "width_").replace("width = ", "height = ")


def test_a_continuous_roll_is_cut_to_the_length_that_is_asked(tmp_path: Path) -> None:
    roll = read_stock(written(tmp_path, ROLL))
    assert (roll.media, roll.size) == ("continuous", "62 × 20 to 100 mm")
    assert roll.lengths[0] == 20
    assert roll.lengths[-1] == 100
    cut = roll.cut_to(35)
    assert (cut.page_width, cut.page_height, cut.label_height, cut.grows) == (62, 35, 35, "")


def test_a_tape_grows_in_width_and_keeps_its_height(tmp_path: Path) -> None:
    tape = read_stock(written(tmp_path, TAPE))
    assert tape.size == "20 to 100 × 62 mm"
    assert tape.cut_to(44).size == "44 × 62 mm"


def test_lengths_are_the_least_and_the_most_and_steps_between(tmp_path: Path) -> None:
    for least, most in ((20, 20), (20, 21), (20, 100), (1, 1500)):
        text = ROLL.replace("= 20", f"= {least}").replace("= 100", f"= {most}")
        lengths = read_stock(written(tmp_path, text)).lengths
        assert (lengths[0], lengths[-1]) == (least, most)
        assert all(0 < b - a <= 4 for a, b in itertools.pairwise(lengths))


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("height_least = 20", "height_least = 120", "label.height_least 120: it is more than"),
        ("height_least = 20", "", "label.height_least None: write a number of millimetres"),
        ("width = 62", "width = 62\ncorner = 2", "label.corner: not known here"),
        ("width = 62", "", "label.height_least: not known here"),
        ("[label]", "[page]\nwidth = 1\n[label]", "page: not known here"),
        ("[label]", "[lable]", "[label]: this table is missing"),
        ("height_most = 100", "height_most = 1e400", "label.height_most inf: it must lie"),
    ],
)
def test_a_bad_continuous_roll_is_refused(tmp_path: Path, old: str, new: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_stock(written(tmp_path, ROLL.replace(old, new)))
    assert message in str(caught.value)


@pytest.mark.parametrize("stock", shipped_stocks(), ids=lambda it: it.name)
def test_every_shipped_stock_adds_up_in_words(stock: Stock) -> None:
    """The figures of each sum, added up again from the words, are the page's."""
    for line in stock_words.sums(stock):
        if " = " not in line:
            assert stock.roll
            continue
        parts, page = line.partition(": ")[2].removesuffix(" mm of page").split(" = ")
        total = 0.0
        for part in parts.split(" + "):
            numbers = [float(number) for number in re.findall(r"-?[0-9.]+", part)]
            total += math.prod(numbers)
        assert total == pytest.approx(float(page), abs=0.06)


def test_what_an_office_printer_cannot_print_is_warned_about() -> None:
    assert stock_words.warnings(load_stock("a4-3x7")) == []
    assert stock_words.warnings(load_stock("roll-62x29")) == []
    (said,) = stock_words.warnings(load_stock("a4-3x8-edge"))
    assert "most office printers leave the outer 4 mm blank" in said


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("left = 7.25", "left = 5.0", "the left margin is 5 mm and the right one 9.5 mm"),
        ("top = 15.15", "top = 20.0", "the top margin is 20 mm and the bottom one 10.3 mm"),
        ("height = 297", "height = 300", "210 × 300 mm is none of A4, A5, A6, Letter"),
        ("left = 7.25", "left = 1.0", "most office printers"),
    ],
)
def test_what_looks_like_a_slip_of_the_rule_is_warned_about(
    tmp_path: Path, old: str, new: str, message: str
) -> None:
    own = read_stock(written(tmp_path, GOOD.replace(old, new)))
    assert message in " ".join(stock_words.warnings(own))
