from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import date

import pypdfium2
import pytest

from stockcheck.core.errors import BadInput
from stockcheck.output.pdf import render_pdf
from stockcheck.output.report import Column, Report, Row, Section, Tone

MM = 72 / 25.4
EXPIRY = Report(
    title="Expiry report",
    on=date(2026, 11, 25),
    store="birds.db",
    columns=(
        Column("status", "status", fixed=True),
        Column("item", "item", weight=3),
        Column("lot", "lot", fixed=True),
        Column("quantity", "quantity", right=True, fixed=True),
        Column("last_usable_day", "last usable", fixed=True),
        Column("advice", "advice", weight=4),
    ),
    sections=(),
    facts=("trip Bird count: 10 JAN 2027 to 28 MAR 2027",),
    totals=("7 expired, 4 undated",),
    cautions=("Medicines: the leaflet and a pharmacist or doctor decide.",),
    empty="nothing in stock: receive something first",
)
RESTOCK = replace(
    EXPIRY,
    title="Restock list",
    columns=(
        Column("item", "item", weight=3),
        Column("lot", "lot", fixed=True),
        Column("quantity", "buy", right=True, fixed=True),
        Column("advice", "why", weight=4),
    ),
    ticks=True,
)
AUDIT = replace(
    EXPIRY,
    title="First-aid audit",
    columns=(
        Column("finding", "finding", fixed=True),
        Column("item", "line of the list", weight=3),
        Column("quantity", "short", right=True),
        Column("lot", "lot"),
    ),
)
NAMES = ("vulcanising solution, 20 ml tube", "герметик силиконовый", "dressing, 10 × 12 cm")


def row(number: int, **changes: str) -> Row:
    return Row(
        values={
            "status": "expired",
            "finding": "short",
            "item": NAMES[number % len(NAMES)],
            "lot": f"L{number}",
            "quantity": number % 9,
            "last_usable_day": date(2027, 11, 30),
            "advice": "use the opened one first; replace it before the trip",
            **changes,
        },
        tone=(Tone.BAD, Tone.WARN, Tone.GOOD, Tone.QUIET)[number % 4],
        details=("printed EXP 11/2027",) if number % 5 == 0 else (),
    )


def with_rows(report: Report, *rows: Row) -> Report:
    """The rows in two sections, the second under a Cyrillic name."""
    half = -(-len(rows) // 2)
    parts = (Section("Tyre kit", rows[:half], "B3"), Section("Аптечка", rows[half:]))
    return replace(report, sections=parts)


def numbered(report: Report, rows: int) -> Report:
    return with_rows(report, *(row(number) for number in range(rows)))


def pages(pdf: bytes) -> list[str]:
    """The text of each page."""
    document = pypdfium2.PdfDocument(pdf)
    texts = [page.get_textpage().get_text_bounded() for page in document]
    document.close()
    return texts


def words(pdf: bytes) -> str:
    """All text without white space, so that wrapping does not matter."""
    return "".join("".join(pages(pdf)).split())


def text_boxes(pdf: bytes) -> Iterator[tuple[float, float, float, float]]:
    """Left, bottom, right and top distance of each run of letters from its page's edges."""
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        text = page.get_textpage()
        for index in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(index)
            yield left, bottom, page.get_width() - right, page.get_height() - top
    document.close()


@pytest.mark.parametrize("report", [EXPIRY, RESTOCK, AUDIT], ids=lambda report: report.title)
@pytest.mark.parametrize("rows", [1, 40, 300])
def test_every_row_is_printed_on_numbered_pages(report: Report, rows: int) -> None:
    texts = pages(render_pdf(numbered(report, rows)))
    lots = [int(lot) for text in texts for lot in re.findall(r"\bL(\d+)\b", text)]
    assert lots == list(range(rows))
    for number, text in enumerate(texts, start=1):
        assert f"page {number} of {len(texts)}" in text
        assert f"{report.title}, as of 25 NOV 2026" in text
        assert text.count("lot") >= 1 or "Cautions" in text


def test_title_facts_totals_and_cautions_frame_the_rows() -> None:
    advice = "use the opened one first"
    rows = (row(0, advice=advice), row(1, advice=advice))
    (text,) = pages(render_pdf(with_rows(EXPIRY, *rows)))
    assert text.splitlines() == [
        "Expiry report",
        "as of 25 NOV 2026, store birds.db",
        "trip Bird count: 10 JAN 2027 to 28 MAR 2027",
        "Tyre kit",
        "B3",
        "status item lot quantity last usable advice",
        "expired vulcanising solution, 20 ml tube L0 0 30 NOV 2027 use the opened one first",
        "printed EXP 11/2027",
        "Аптечка",
        "status item lot quantity last usable advice",
        "expired герметик силиконовый L1 1 30 NOV 2027 use the opened one first",
        "7 expired, 4 undated",
        "Cautions",
        "! Medicines: the leaflet and a pharmacist or doctor decide.",
        "Expiry report, as of 25 NOV 2026 page 1 of 1",
    ]


def test_an_empty_report_says_so() -> None:
    (text,) = pages(render_pdf(numbered(EXPIRY, 0)))
    assert "nothing in stock: receive something first" in text
    assert "pharmacist" in text
    assert "page 1 of 1" in text


@pytest.mark.parametrize("page", ["A4", "Letter"])
@pytest.mark.parametrize("report", [EXPIRY, RESTOCK, AUDIT], ids=lambda report: report.title)
def test_no_letter_stands_outside_the_margins(report: Report, page: str) -> None:
    strange = with_rows(report, row(1, item="x" * 10_000, advice="слово " * 500), row(2))
    for made in (numbered(report, 60), strange):
        for distances in text_boxes(render_pdf(made, page=page)):
            assert min(distances) >= 15 * MM - 1.5


@pytest.mark.parametrize(("page", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_pages_have_the_size_asked_for(page: str, size: tuple[int, int]) -> None:
    document = pypdfium2.PdfDocument(render_pdf(numbered(EXPIRY, 1), page=page))
    assert tuple(round(each) for each in document[0].get_size()) == size
    document.close()


def test_many_columns_turn_the_page_on_its_side() -> None:
    columns = tuple(Column(f"c{n}", f"column {n}", fixed=True) for n in range(14))
    wide = Row({column.key: "30 NOV 2027" for column in columns})
    report = replace(EXPIRY, columns=columns, sections=(Section("Everything", (wide,)),))
    document = pypdfium2.PdfDocument(render_pdf(report))
    assert tuple(round(each) for each in document[0].get_size()) == (842, 595)
    document.close()


def test_an_unknown_page_size_names_the_known_ones() -> None:
    with pytest.raises(BadInput, match="A4, Letter"):
        render_pdf(EXPIRY, page="A5")


def test_fonts_are_embedded_and_the_maker_is_named() -> None:
    pdf = render_pdf(numbered(EXPIRY, 3))
    assert pdf.count(b"/FontFile2") == 2
    document = pypdfium2.PdfDocument(pdf)
    found = document.get_metadata_dict()
    document.close()
    assert (found["Title"], found["Author"]) == ("Expiry report, as of 25 NOV 2026", "stockcheck")


def test_the_outline_lists_the_sections() -> None:
    document = pypdfium2.PdfDocument(render_pdf(numbered(EXPIRY, 100)))
    found = [(mark.get_title(), mark.get_dest().get_index()) for mark in document.get_toc()]
    document.close()
    assert [title for title, _ in found] == ["Tyre kit", "Аптечка"]
    assert found[0][1] == 0
    assert found[1][1] > 0


def test_a_list_without_sections_has_no_outline_and_repeats_its_columns() -> None:
    rows = tuple(row(number) for number in range(60))
    pdf = render_pdf(replace(EXPIRY, sections=(Section("", rows),)))
    document = pypdfium2.PdfDocument(pdf)
    assert list(document.get_toc()) == []
    document.close()
    assert pages(pdf)[1].startswith("status item lot")


def test_the_same_report_gives_the_same_bytes() -> None:
    assert render_pdf(numbered(RESTOCK, 40)) == render_pdf(numbered(RESTOCK, 40))


def test_markup_is_shown_as_it_was_written() -> None:
    pdf = render_pdf(with_rows(EXPIRY, row(1, item="<b>tape</b> & <font size=90>")))
    assert "<b>tape</b>&<fontsize=90>" in words(pdf)


def test_letters_that_the_font_lacks_are_boxes_and_controls_are_dropped() -> None:
    pdf = render_pdf(with_rows(EXPIRY, row(1, item="貼\x1b[2J\u202eй\u0306")))
    assert "□[2Jй" in words(pdf)


def test_a_cell_of_ten_thousand_letters_ends_in_an_ellipsis() -> None:
    pdf = render_pdf(with_rows(EXPIRY, row(1, item="x" * 10_000, advice="long " * 2_000)))
    assert len(pages(pdf)) == 1
    assert words(pdf).count("…") == 2


def test_details_that_fill_pages_flow_on() -> None:
    long = replace(row(1), details=tuple(f"step {n}." for n in range(200)))
    pdf = render_pdf(with_rows(EXPIRY, long, row(2)))
    assert all(f"step{n}." in words(pdf) for n in range(200))
    assert len(pages(pdf)) > 2


def test_cautions_that_fill_pages_flow_on() -> None:
    report = replace(numbered(EXPIRY, 1), cautions=tuple(f"caution {n}." for n in range(150)))
    pdf = render_pdf(report)
    assert all(f"caution{n}." in words(pdf) for n in range(150))


def test_a_heading_is_never_left_without_its_first_row() -> None:
    for rows in range(20, 50):
        for text in pages(render_pdf(numbered(EXPIRY, rows))):
            _, found, after = text.partition("Аптечка")
            assert not found or re.search(r"L\d+", after)


def test_text_and_table_model_load_no_other_renderer() -> None:
    code = (
        "import sys, stockcheck.output.report, stockcheck.output.text, stockcheck.output.write;"
        "print([m for m in ('json', 'csv', 'reportlab', 'dateutil') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


def test_a_pdf_needs_the_canvas_alone() -> None:
    code = (
        "import sys, stockcheck.output.pdf as pdf, stockcheck.output.report as r, datetime;"
        "pdf.render_pdf(r.Report('t', datetime.date(2026, 11, 25), 's', (), ()));"
        "print([m for m in sys.modules if 'platypus' in m or 'graphics' in m])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


def test_every_font_that_a_report_names_is_embedded() -> None:
    """Given a report, when its PDF is made, then no font is left for the reader to supply."""
    pdf = render_pdf(numbered(EXPIRY, 3))
    assert b"Helvetica" not in pdf
    assert pdf.count(b"/FontFile2") == len(set(re.findall(rb"/BaseFont /([\w+-]+)", pdf))) == 2
    document = pypdfium2.PdfDocument(pdf)
    assert document.get_metadata_value("Subject") == "Expiry report of birds.db"
