from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise

import pypdfium2
import pytest

from stockcheck.output.layout import Measure
from stockcheck.output.pdf import render_pdf
from stockcheck.output.pdf_page import SHEETS, Box, Panel, Style, Text
from stockcheck.output.pdf_timeline import MARGIN_DAYS, TRIP, Chart, chart
from stockcheck.output.report import Column, Report, Row, Section, Tone
from stockcheck.output.timeline import Bar, Timeline, Window
from stockcheck.output.write import render

MM = 72 / 25.4
TODAY = date(2026, 11, 25)
HORIZON = date(2027, 5, 2)
WINDOW = Window(date(2027, 2, 8), date(2027, 4, 25), HORIZON)
NAMES = (
    "vulcanising solution, 20 ml tube",
    "герметик, 80 мл",
    "dressing, size 10 × 12 cm, sterile",
)
REASONS = ("printed", "shelf", "opened", "inspected", "heat")
REPORT = Report(
    title="Expiry report",
    on=TODAY,
    store="birds.db",
    columns=(Column("item", "item"),),
    sections=(Section("Tyre kit", (Row({"item": "rubber patch"}),)),),
)


def bar(last: date | None, number: int = 1, box: str = "Tyre kit", status: str = "") -> Bar:
    bad = last is None or last < TODAY or status == "held"
    tone = Tone.BAD if bad else Tone.WARN if last and last < HORIZON else Tone.PLAIN
    name, reason = NAMES[number % len(NAMES)], REASONS[number % len(REASONS)]
    return Bar(box, name, f"L{number}", last, reason if last else "", status or "in date", tone)


def many(count: int) -> Timeline:
    """Bars from long expired to far past the chart, in boxes of twenty, each with an undated."""
    return Timeline(
        TODAY,
        tuple(
            bar(
                TODAY + timedelta(days=number * 5 - 200) if number % 20 else None,
                number,
                box=f"Truck bed / box {number // 20}",
                status="held" if number % 13 == 0 else "last resort" if number % 17 == 0 else "",
            )
            for number in range(count)
        ),
        WINDOW,
    )


def printed(timeline: Timeline | None, page: str = "A4") -> bytes:
    return render_pdf(replace(REPORT, timeline=timeline), page=page)


def pages(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    texts = [page.get_textpage().get_text_bounded() for page in document]
    document.close()
    return texts


def text_boxes(pdf: bytes) -> Iterator[tuple[int, float, float, float, float, float, float]]:
    """Page, left, bottom, right and top of each run of letters, then the page's size."""
    document = pypdfium2.PdfDocument(pdf)
    for number, page in enumerate(document):
        text = page.get_textpage()
        for index in range(text.count_rects()):
            yield number, *text.get_rect(index), *page.get_size()
    document.close()


def laid_out(timeline: Timeline) -> Chart:
    """The chart in letters of half their size each."""

    def ink(style: Style) -> Measure:
        return lambda text: len(text) * style.size / 2

    return chart(timeline, ink, str, SHEETS["A4"])


def shape(drawn: Chart, each: Bar) -> Panel | Box:
    (found,) = (mark for mark in drawn.row(each).marks if isinstance(mark, Panel | Box))
    return found


# Bars


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_bars_begin_today_and_end_in_the_order_of_their_days_inside_the_chart(page: str) -> None:
    drawn = laid_out(Timeline(TODAY, (bar(TODAY),), WINDOW))._replace(sheet=SHEETS[page])
    days = [TODAY + timedelta(days=number) for number in range(0, 1000, 7)]
    shapes = [shape(drawn, bar(day)) for day in days]
    ends = [each.x + each.width for each in shapes]
    assert {each.x for each in shapes} == {drawn.scale.left}
    assert ends == sorted(ends)
    assert ends[0] > drawn.scale.left
    assert ends[-1] == pytest.approx(drawn.scale.right)


def test_a_bar_that_goes_on_past_the_chart_is_an_arrow_and_none_before_is() -> None:
    drawn = laid_out(Timeline(TODAY, (bar(TODAY),), WINDOW))
    leap, after = shape(drawn, bar(date(2028, 2, 29))), shape(drawn, bar(date(2028, 3, 1)))
    assert isinstance(leap, Panel)
    assert isinstance(after, Panel)
    assert leap.x + leap.width == pytest.approx(after.x + after.width)
    assert (leap.point > 0, after.point > 0) == (False, True)


def test_fill_and_outline_tell_holdings_apart_without_colour() -> None:
    drawn = laid_out(Timeline(TODAY, (bar(TODAY),), WINDOW))
    after = date(2027, 9, 30)
    lasting, ending = shape(drawn, bar(after)), shape(drawn, bar(date(2027, 3, 31)))
    undated, held = shape(drawn, bar(None)), shape(drawn, bar(after, status="held"))
    assert isinstance(lasting, Panel)
    assert isinstance(ending, Panel)
    assert isinstance(undated, Panel)
    assert isinstance(held, Panel)
    assert 0 < lasting.fill < 1
    assert ending.fill == undated.fill == held.fill == 1
    assert [each.dotted for each in (lasting, ending, undated, held)] == [False, False, True, True]
    assert undated.width == drawn.scale.width
    assert shape(drawn, bar(date(2026, 11, 24))) == shape(drawn, bar(date(1990, 1, 1)))
    assert shape(drawn, bar(date(2026, 11, 24)))[4] == 0  # black


def test_words_stand_inside_the_chart_and_clear_of_the_name_and_lot() -> None:
    timeline = many(300)
    drawn = laid_out(timeline)
    for each in timeline.bars:
        name, lot, words = (mark for mark in drawn.row(each).marks if isinstance(mark, Text))
        edges = [name.x, drawn.name_room, lot.x, drawn.lot_x + drawn.lot_room, words.x]
        assert edges == sorted(edges)
        assert words.x >= drawn.scale.left
        assert words.x + drawn.ink(words.style)(words.text) <= drawn.scale.right


def test_the_trip_and_its_margin_are_shaded_from_morning_to_evening() -> None:
    drawn = laid_out(many(3))
    shades = [
        (mark.fill, mark.x, mark.x + mark.width)
        for mark in drawn.backdrop(100)
        if isinstance(mark, Box) and mark.fill in {TRIP, MARGIN_DAYS}
    ]
    first = drawn.scale.begin(date(2027, 2, 8))
    back = drawn.scale.begin(date(2027, 4, 26))
    over = drawn.scale.begin(date(2027, 5, 3))
    assert [fill for fill, _, _ in shades] == [TRIP, MARGIN_DAYS]
    assert [x for _, *edges in shades for x in edges] == pytest.approx([first, back, back, over])


def test_a_trip_under_way_is_shaded_from_the_charts_edge_and_none_without_a_trip() -> None:
    window = Window(date(2026, 10, 1), date(2026, 12, 1), date(2026, 12, 1))
    under_way = laid_out(many(3)._replace(window=window))
    (shade,) = (m for m in under_way.backdrop(9) if isinstance(m, Box) and m.fill == TRIP)
    assert shade.x == under_way.scale.left
    no_trip = laid_out(many(3)._replace(window=None))
    assert all(m.fill not in {TRIP, MARGIN_DAYS} for m in no_trip.backdrop(9) if isinstance(m, Box))


# Pages


@pytest.mark.parametrize("page", ["A4", "Letter"])
def test_every_holding_has_its_bar_under_an_axis_on_every_page(page: str) -> None:
    timeline = many(300)
    table, *charts = pages(printed(timeline, page))
    assert "Timeline" not in table
    assert charts[0].startswith("Timeline")
    assert len(charts) > 5
    text = "".join("\n".join(charts).split())
    for each in timeline.bars:
        name = "".join(each.label.split())
        assert f"{name}{each.lot}{''.join(each.words(TODAY).split())}" in text
    for number, each_page in enumerate(charts):
        assert "2026 2027 2028\r\nDEC JAN FEB MAR APR MAY" in each_page
        assert "trip" in each_page
        assert f"page {number + 2} of {len(charts) + 1}" in each_page


def test_a_box_is_never_named_without_its_first_bar() -> None:
    for count in range(40, 80):
        for text in pages(printed(many(count)))[1:]:
            *_, last, _foot = text.splitlines()
            assert "NO DATE" in last or " 20" in last  # the words of a bar


def test_a_box_that_goes_on_is_named_again_at_the_top_of_the_page() -> None:
    bars = tuple(bar(TODAY, number) for number in range(100))
    first, second = pages(printed(Timeline(TODAY, bars)))[1:3]
    assert "Tyre kit, continued" not in first
    assert "Tyre kit, continued" in second


@pytest.mark.parametrize("page", ["A4", "Letter"])
@pytest.mark.parametrize("horizon", [HORIZON, date(2031, 5, 2), date(2090, 5, 2), date.max])
def test_letters_stay_inside_the_margins_and_off_each_other(page: str, horizon: date) -> None:
    strange = bar(date(2027, 11, 30), box="x" * 3000)._replace(label="y" * 10_000, lot="L9" * 500)
    timeline = many(120)._replace(window=WINDOW._replace(horizon=horizon))
    timeline = timeline._replace(bars=(strange, *timeline.bars))
    rows: dict[tuple[int, int], list[tuple[float, float]]] = {}
    for number, left, bottom, right, top, width, height in text_boxes(printed(timeline, page)):
        assert min(left, bottom, width - right, height - top) >= 15 * MM - 1.5
        rows.setdefault((number, round((bottom + top) / 2 / 5)), []).append((left, right))
    for runs in rows.values():
        for (_, right), (left, _) in pairwise(sorted(runs)):
            assert right <= left + 0.5


def test_a_shortened_name_keeps_its_size_and_that_it_was_opened() -> None:
    long = "a name of an item that goes on for longer than the page has room, 250 ml (opened)"
    text = " ".join(pages(printed(Timeline(TODAY, (bar(TODAY)._replace(label=long),))))[1].split())
    assert "250 ml (opened) L1" in text
    assert "a name of" in text
    assert "…" in text


def test_holdings_all_expired_are_marks_at_left() -> None:
    bars = tuple(bar(date(2020, 2, 29), number) for number in range(30))
    text = pages(printed(Timeline(TODAY, bars, WINDOW)))[1]
    assert text.count("EXPIRED 29 FEB 2020") == 30


def test_the_number_without_a_limit_is_told() -> None:
    for count, words in (
        (1, "1 holding without a limit is"),
        (12, "12 holdings without a limit are"),
    ):
        text = pages(printed(many(1)._replace(no_limit=count)))[1]
        assert f"{words} left out." in text
    assert "without a limit" not in pages(printed(many(1)))[1]


@pytest.mark.parametrize("timeline", [None, Timeline(TODAY, (), WINDOW, no_limit=3)])
def test_nothing_to_show_is_no_chart(timeline: Timeline | None) -> None:
    (text,) = pages(printed(timeline))
    assert "Timeline" not in text


def test_the_chart_has_its_bookmark_after_the_boxes() -> None:
    document = pypdfium2.PdfDocument(printed(many(100)))
    found = [(mark.get_title(), mark.get_dest().get_index()) for mark in document.get_toc()]
    document.close()
    assert found == [("Tyre kit", 0), ("Timeline", 1)]


def test_the_same_timeline_gives_the_same_bytes() -> None:
    assert printed(many(60)) == printed(many(60))


@pytest.mark.parametrize("fmt", ["text", "csv", "json"])
def test_other_formats_know_no_chart(fmt: str) -> None:
    assert render(replace(REPORT, timeline=many(5)), fmt) == render(REPORT, fmt)
