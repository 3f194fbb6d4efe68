from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from label_checks import assert_tidy, holds, runs, said
from stockcheck.core.codes import make_code
from stockcheck.core.errors import BadInput
from stockcheck.labels.bounds import Need, needs
from stockcheck.labels.elements import Frame, Rule, Symbol
from stockcheck.labels.layout import NoRoom, first_that_fits, layout, tries
from stockcheck.labels.marks import Mark
from stockcheck.labels.measure import Symbology, sensible
from stockcheck.labels.printing import label_sheets, label_size
from stockcheck.labels.stock import Stock, load_stock, shipped_stocks
from stockcheck.labels.styles import MIN_SMALL, STYLES
from stockcheck.labels.text import LabelSize, LabelText
from stocks import with_bars

USUAL = load_stock("a4-3x7")
LARGE = load_stock("roll-100x50")
SMALLEST = load_stock("a4-5x13")


@pytest.mark.parametrize("dpi", [203, 300, 600])
@pytest.mark.parametrize("stock", shipped_stocks(), ids=lambda it: it.name)
def test_nothing_overlaps_or_leaves_the_label_on_any_stock(
    samples: tuple[LabelText, ...], stock: Stock, dpi: int
) -> None:
    size = label_size(stock)
    for text in samples:
        try:
            found = layout(text.checked(), size, dpi)
        except NoRoom:
            assert stock.label_height < 25, text
            continue
        assert_tidy(found.elements, size)


@pytest.mark.parametrize("stock", with_bars(), ids=lambda it: it.name)
def test_a_plain_label_and_a_box_label_fit_every_shipped_stock(
    plain: LabelText, box: LabelText, undated: LabelText, stock: Stock
) -> None:
    for text in (plain, box, undated):
        found = said(layout(text, label_size(stock), 203).elements)
        assert text.code in found
        assert text.short in found
        assert text.date in found


def test_the_usual_stock_holds_everything_that_a_label_can_say(plain: LabelText) -> None:
    found = layout(plain, label_size(USUAL), 203)
    words = said(found.elements)
    for expected in (
        "Threadlocker, medium, 10 ml bottle",
        "NOV 2027",
        "last usable,",
        "in Truck / Sealants",
        "7C21-B",
        "received 02 SEP 2026",
        "opened",
        "L42",
        plain.code,
    ):
        assert expected in words
    assert found.left_off == ()
    assert any(isinstance(it, Rule) and it.length >= 17 for it in found.elements)


@pytest.mark.parametrize("stock", with_bars(), ids=lambda it: it.name)
def test_the_date_is_the_largest_text(plain: LabelText, stock: Stock) -> None:
    found = runs(layout(plain, label_size(stock), 203).elements)
    date = next(run for run in found if run.text == "NOV 2027")
    assert all(run.size <= date.size / 1.15 for run in found if run is not date)


@pytest.mark.parametrize("date", ["2027", "NOV 2027", "2027-11", "30 NOV 2027", "NO DATE"])
def test_the_date_stands_as_the_caller_gave_it(plain: LabelText, date: str) -> None:
    assert date in {
        run.text for run in runs(layout(replace(plain, date=date), label_size(USUAL), 203).elements)
    }


def test_without_a_date_the_name_is_the_largest_text(box: LabelText) -> None:
    found = runs(layout(box, label_size(LARGE), 203).elements)
    assert max(found, key=lambda run: run.size).text == "Tyre kit"


def test_a_caution_stands_in_capitals_inside_a_frame(undated: LabelText) -> None:
    found = layout(undated, label_size(USUAL), 203).elements
    caution = next(run for run in runs(found) if run.text == "FLAMMABLE")
    frame = next(it for it in found if isinstance(it, Frame))
    assert holds(frame, caution)


def test_a_caution_is_never_cut_even_on_the_smallest_label(undated: LabelText) -> None:
    assert "FLAMMABLE" in said(layout(undated, label_size(SMALLEST), 203).elements)


def test_an_opened_day_is_printed_instead_of_the_line_to_write_on(plain: LabelText) -> None:
    text = replace(plain, opened="2026-08-31")
    for stock in (USUAL, SMALLEST):
        found = layout(text, label_size(stock), 203).elements
        assert "opened 2026-08-31" in said(found)
        assert not any(isinstance(it, Rule) for it in found)


def test_a_label_without_opening_has_no_line_to_write_on(plain: LabelText) -> None:
    found = layout(replace(plain, opened=None), label_size(USUAL), 203).elements
    assert "opened" not in said(found)
    assert not any(isinstance(it, Rule) for it in found)


def test_a_small_label_leaves_off_what_is_needed_least_and_says_so(plain: LabelText) -> None:
    found = layout(plain, label_size(SMALLEST), 203)
    assert found.left_off[:2] == ("further lines", "line to write on")
    assert "NOV 2027" in said(found.elements)


def test_the_note_about_what_was_left_off_counts_the_labels(plain: LabelText) -> None:
    notes = label_sheets([plain, plain], SMALLEST).left_off
    assert notes[0] == ("further lines left off 2 of 2 labels: no room on 38.1 × 21.2 mm")


def test_no_text_is_smaller_than_the_stated_minimum(samples: tuple[LabelText, ...]) -> None:
    for text in samples:
        for run in runs(layout(text.checked(), label_size(USUAL), 203).elements):
            assert run.size >= MIN_SMALL


@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_a_large_label_gets_a_wide_module_and_high_bars(box: LabelText, dpi: int) -> None:
    found = layout(box, label_size(LARGE), dpi).elements
    symbol = next(it for it in found if isinstance(it, Symbol))
    assert symbol.measure.module_mm >= 0.37
    assert symbol.height >= symbol.measure.min_height_mm


def test_what_does_not_fit_is_refused_with_the_stocks_that_would(awkward: LabelText) -> None:
    with pytest.raises(NoRoom) as caught:
        label_sheets([replace(awkward, caution="flammable; keep from children")], SMALLEST)
    assert "38.1 × 21.2 mm has no room" in str(caught.value)
    assert "It fits " in str(caught.value)
    assert "a4-5x13" not in str(caught.value)


def test_a_label_narrower_than_the_code_is_refused(plain: LabelText) -> None:
    with pytest.raises(NoRoom, match="25 × 60 mm has no room"):
        layout(plain, LabelSize(25, 60, 1.5, 1.5), 203)


@pytest.mark.parametrize(
    ("name", "named"),
    [
        ("Клей ⽔ 中", "'中' (U+4E2D)"),
        ("Tape 🛞", "(U+1F6DE)"),
        ("שמן", "(U+05DE)"),
        ("Tape\u200b", "'\\u200b' (U+200B)"),
        ("Tape\x07", "'\\x07' (U+0007)"),
        ("Tape \u202e90", "'\\u202e' (U+202E)"),  # turns the writing round
        ("Tape \u200d x", "(U+200D)"),
        ("Sun \u2600\ufe0f", "(U+FE0F)"),
        ("М\u0301ать", "'М\u0301' (U+041C U+0301)"),  # the mark would lie across the letter
        ("e\u0301\u0302", "(U+00E9 U+0302)"),
    ],
)
def test_characters_that_cannot_be_printed_rightly_are_named(
    plain: LabelText, name: str, named: str
) -> None:
    with pytest.raises(BadInput) as caught:
        label_sheets([replace(plain, title=name)], USUAL)
    assert named in str(caught.value)


@pytest.mark.parametrize("name", ["Клей", "Κόλλα", "Ragasztó ő", "Keo dán ộ", "5 µm – 2 × ½ °C"])
def test_names_in_any_script_that_the_typeface_carries_are_printed(
    plain: LabelText, name: str
) -> None:
    assert name in said(layout(replace(plain, title=name), label_size(USUAL), 203).elements)


def test_marks_are_joined_with_their_letters_and_stand_over_low_ones(plain: LabelText) -> None:
    for name, printed in (("Kle\u0301ber", "Kléber"), ("эма\u0301ль", "эма\u0301ль")):
        text = replace(plain, title=name).checked()
        assert text.title == printed
        label_sheets([text], USUAL)


@pytest.mark.parametrize("code", ["1000000420", "42", "", "100000042a", "4006381333931"])
def test_a_code_that_is_not_ours_is_refused(plain: LabelText, code: str) -> None:
    with pytest.raises(BadInput, match="not one of our ten-digit codes"):
        label_sheets([replace(plain, code=code)], USUAL)


def test_a_label_without_a_name_is_refused(plain: LabelText) -> None:
    with pytest.raises(BadInput, match="has no name to print"):
        label_sheets([replace(plain, title=" \n ")], USUAL)


def test_line_breaks_in_a_name_become_single_blanks(plain: LabelText) -> None:
    assert replace(plain, title=" a \n\t b ").checked().title == "a b"


phrase = st.lists(st.text("abcЖщ1W-", min_size=1, max_size=14), max_size=8).map(" ".join)
labels = st.builds(
    LabelText,
    code=st.just(make_code("lot", 5)),
    short=st.just("L5"),
    title=phrase.map(lambda it: it or "x"),
    date=st.sampled_from(["", "NOV 2027", "30 JUN 2027", "NO DATE"]),
    date_word=st.sampled_from(["", "printed", "last usable, shelf (estimate)"]),
    place=phrase,
    batch=phrase,
    lines=st.lists(phrase.map(lambda it: it or "y"), max_size=2).map(tuple),
    caution=st.sampled_from(["", "flammable", "oxidiser; keep dry"]),
    opened=st.sampled_from([None, "", "2026-08-31"]),
    banner=st.sampled_from(["", "ON HOLD: DO NOT USE"]),
    date_mark=st.sampled_from(["", "use by"]),
    made=st.sampled_from(["", "JUN 2025"]),
    about=phrase,
    marks=st.sampled_from([(), (Mark("between", "2 to 8 °C"), Mark("keep dry"))]),
    write=st.sampled_from([(), ("why", "released by")]),
    sign=st.sampled_from(["", "first aid"]),
)
sizes = st.builds(
    LabelSize, st.floats(25, 120), st.floats(12, 80), st.floats(1.5, 4), st.floats(1.5, 4)
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(labels, sizes, st.sampled_from([203, 300]))
def test_whatever_a_label_says_and_measures_it_is_tidy_or_refused(
    text: LabelText, size: LabelSize, dpi: int
) -> None:
    try:
        found = layout(text, size, dpi)
    except NoRoom:
        return
    assert_tidy(found.elements, size)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(labels, sizes, st.sampled_from([Symbology.CODE_128, Symbology.DATA_MATRIX]))
def test_passing_over_hopeless_tries_never_loses_one_that_fits(
    text: LabelText, size: LabelSize, symbology: Symbology
) -> None:
    anything = {style: Need(0, 0, 0, 0) for style in STYLES}
    bounded = needs(text, size.inner, 3)
    every = tries(sensible(text.code, symbology, 203))
    assert first_that_fits(text, size, 3, bounded, every) == first_that_fits(
        text, size, 3, anything, every
    )
    smallest = tuple(it for it in every if it[0].last)
    assert first_that_fits(text, size, 3, bounded, smallest) == first_that_fits(
        text, size, 3, anything, smallest
    )
