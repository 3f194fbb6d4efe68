from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.output.report import Column, Report, Row, Section, Tone
from stockcheck.output.text import display_width, render_text

COLUMNS = (
    Column("status", "status", fixed=True),
    Column("item", "item", weight=3),
    Column("lot", "lot", fixed=True),
    Column("quantity", "quantity", right=True, fixed=True),
    Column("last_usable_day", "last usable", fixed=True),
    Column("advice", "advice", weight=4),
)
REPORT = Report(
    title="Expiry report",
    on=date(2026, 11, 25),
    store="birds.db",
    columns=COLUMNS,
    sections=(),
    facts=("trip Bird count: 10 JAN 2027 to 28 MAR 2027",),
    totals=("1 expired, 1 undated",),
    cautions=("Tyre repairs: a qualified fitter decides whether a tyre may go back on the road.",),
    empty="nothing in stock: receive something first",
)


def row(status: str, item: str, tone: Tone = Tone.PLAIN, *details: str) -> Row:
    return Row(
        values={
            "status": status,
            "item": item,
            "lot": "L42",
            "quantity": 3,
            "last_usable_day": None if status == "undated" else date(2027, 11, 30),
            "advice": "use the opened one first; replace before the trip",
        },
        shown={"quantity": "3 tubes"},
        tone=tone,
        details=details,
    )


def with_rows(*rows: Row) -> Report:
    return replace(REPORT, sections=(Section("Tyre kit", rows, note="B3, behind the seat"),))


TUBE = row("expired", "vulcanising solution, 20 ml tube", Tone.BAD, "printed EXP 11/2027")
CYRILLIC = row("undated", "герметик силиконовый", Tone.WARN)


def test_a_report_reads_well_at_eighty_columns() -> None:
    assert render_text(with_rows(TUBE, CYRILLIC)).splitlines() == [
        "Expiry report",
        "as of 25 NOV 2026, store birds.db",
        "trip Bird count: 10 JAN 2027 to 28 MAR 2027",
        "",
        "-- Tyre kit (B3, behind the seat) ----------------------------------------------",
        "status   item               lot  quantity  last usable  advice",
        "expired  vulcanising        L42   3 tubes  30 NOV 2027  use the opened one",
        "         solution, 20 ml                                first; replace before",
        "         tube                                           the trip",
        "  printed EXP 11/2027",
        "undated  герметик           L42   3 tubes  -            use the opened one",
        "         силиконовый                                    first; replace before",
        "                                                        the trip",
        "",
        "1 expired, 1 undated",
        "",
        "! Tyre repairs: a qualified fitter decides whether a tyre may go back on the",
        "  road.",
    ]


def test_a_narrow_terminal_gets_each_value_on_a_line_under_its_heading() -> None:
    report = replace(with_rows(TUBE, CYRILLIC), ticks=True)
    assert render_text(report, width=44).splitlines()[4:] == [
        "",
        "-- Tyre kit (B3, behind the seat) ----------",
        "[ ] status: expired",
        "    item: vulcanising solution, 20 ml tube",
        "    lot: L42",
        "    quantity: 3 tubes",
        "    last usable: 30 NOV 2027",
        "    advice: use the opened one first;",
        "      replace before the trip",
        "      printed EXP 11/2027",
        "",
        "[ ] status: undated",
        "    item: герметик силиконовый",
        "    lot: L42",
        "    quantity: 3 tubes",
        "    last usable: -",
        "    advice: use the opened one first;",
        "      replace before the trip",
        "",
        "1 expired, 1 undated",
        "",
        "! Tyre repairs: a qualified fitter decides",
        "  whether a tyre may go back on the road.",
    ]


def test_a_wide_terminal_gets_one_line_for_each_row() -> None:
    text = render_text(replace(with_rows(TUBE, CYRILLIC), ticks=True), width=140)
    (tube,) = [line for line in text.splitlines() if "vulcanising" in line]
    assert tube == (
        "[ ]  expired  vulcanising solution, 20 ml tube  L42   3 tubes  30 NOV 2027"
        "  use the opened one first; replace before the trip"
    )


def test_a_list_without_sections_stands_under_a_bare_rule() -> None:
    columns = (Column("box", "Box", fixed=True), Column("place", "Where"))
    rows = (Row({"box": "B1", "place": "roof rack"}), Row({"box": "B12", "place": "Tyre kit"}))
    report = replace(REPORT, columns=columns, sections=(Section("", rows),), facts=())
    assert render_text(report, width=60).splitlines()[2:7] == [
        "",
        "-" * 60,
        "Box  Where",
        "B1   roof rack",
        "B12  Tyre kit",
    ]


def test_an_empty_store_is_told_in_words() -> None:
    report = replace(REPORT, totals=(), cautions=(), facts=())
    assert render_text(report).splitlines() == [
        "Expiry report",
        "as of 25 NOV 2026, store birds.db",
        "",
        "nothing in stock: receive something first",
    ]


@pytest.mark.parametrize("tone", [tone for tone in Tone if tone])
def test_colour_repeats_what_the_words_say_and_nothing_else(tone: Tone) -> None:
    report = with_rows(row("expired", "tube", tone), TUBE)
    painted = render_text(report, colour=True)
    assert re.sub("\x1b\\[[0-9;]*m", "", painted) == render_text(report)
    assert re.search("\x1b\\[[0-9;]+mexpired\x1b\\[0m", painted)


def test_numbers_stand_to_the_right() -> None:
    columns = (Column("finding", "finding", fixed=True), Column("short", "short", right=True))
    rows = tuple(Row({"finding": "short", "short": short}) for short in (2, 10, 1500))
    report = replace(REPORT, columns=columns, sections=(Section("Kit", rows),))
    assert [line for line in render_text(report).splitlines() if line[:5] == "short"] == [
        "short        2",
        "short       10",
        "short     1500",
    ]


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        ("\x1b[31mtube\x07", "\ufffd[31mtube\ufffd"),
        ("evil\u202egnp.exe", "evil\ufffdgnp.exe"),
        ("two\nlines\tand a tab", "two lines and a tab"),
        ("и\u0306од", "йод"),
        ("C1 \x9b2J", "C1 \ufffd2J"),
    ],
)
def test_control_and_direction_characters_never_reach_the_terminal(given: str, shown: str) -> None:
    assert shown in render_text(with_rows(row("due", given)), width=160)


@pytest.mark.parametrize(
    ("text", "cells"), [("tube", 4), ("йод", 3), ("и\u0306од", 3), ("絆創膏", 6), ("", 0)]
)
def test_width_is_counted_in_terminal_cells(text: str, cells: int) -> None:
    assert display_width(text) == cells


def test_wide_letters_keep_the_columns_in_line() -> None:
    lines = render_text(with_rows(row("due", "絆創膏"), row("due", "tape"))).splitlines()
    columns = [display_width(line.split("L42")[0]) for line in lines if "L42" in line]
    assert len(set(columns)) == 1


TEXTS = st.text(max_size=30) | st.text("ab-/ й創\u0306", min_size=50, max_size=200)


@given(
    width=st.integers(40, 200),
    words=st.lists(TEXTS, min_size=8, max_size=8),
    ticks=st.booleans(),
)
def test_no_line_is_wider_than_asked_for_whatever_the_names(
    width: int, words: list[str], ticks: bool
) -> None:
    status, item, lot, heading, note, detail, title, caution = words
    strange = Row(
        {"status": status, "item": item, "lot": lot, "quantity": 1, "advice": item + title},
        details=(detail,),
    )
    report = replace(
        REPORT,
        title=title,
        sections=(Section(heading, (strange, TUBE), note),),
        cautions=(caution,),
        ticks=ticks,
    )
    for line in render_text(report, width=width).split("\n"):
        assert display_width(line) <= width
        assert line == line.rstrip(" ")
