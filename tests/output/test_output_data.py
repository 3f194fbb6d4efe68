from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from datetime import date
from types import MappingProxyType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.errors import BadInput
from stockcheck.core.harmless import from_csv_cell, harmless
from stockcheck.output.csv_out import render_csv
from stockcheck.output.json_out import render_json
from stockcheck.output.report import Column, Json, Report, Row, Section, Stream
from stockcheck.output.write import chunks, render

MOVES: Json = [
    {"box": "Tyre kit", "lot": "L4", "quantity": 3},
    {"box": "Ящик", "lot": "L7", "quantity": 1},
]
ROW = Row(
    values={
        "box": "Ящик",
        "item": 'tape, "self-fusing", 25 mm',
        "short": 4,
        "move_from": MOVES,
        "price": 12.5,
        "order_by": date(2026, 12, 1),
        "offer": None,
    },
    shown={"order_by": "01 DEC 2026", "short": "4 rolls"},
)
REPORT = Report(
    title="Restock list",
    on=date(2026, 11, 25),
    store="birds.db",
    columns=(Column("item", "item"), Column("short", "short", right=True)),
    sections=(Section("Workshop wholesale", (ROW,)),),
    totals=("1 line",),
    cautions=("Pressurised cans: never pierce.",),
)


def with_values(**values: Json) -> Report:
    return replace(REPORT, sections=(Section("", (Row(values),)),))


def read_csv(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_json_is_the_object_of_the_contract_and_nothing_more() -> None:
    assert json.loads(render_json(REPORT)) == {
        "on": "2026-11-25",
        "store": "birds.db",
        "rows": [
            {
                "box": "Ящик",
                "item": 'tape, "self-fusing", 25 mm',
                "short": 4,
                "move_from": MOVES,
                "price": 12.5,
                "order_by": "2026-12-01",
                "offer": None,
            }
        ],
        "cautions": ["Pressurised cans: never pierce."],
    }


def test_json_of_an_empty_report_is_still_the_whole_object() -> None:
    assert render_json(replace(REPORT, sections=(), cautions=())).splitlines() == [
        "{",
        '  "on": "2026-11-25",',
        '  "store": "birds.db",',
        '  "rows": [],',
        '  "cautions": []',
        "}",
    ]


def test_json_keeps_real_letters_but_escapes_what_a_terminal_would_obey() -> None:
    text = render_json(with_values(item="йод \x1b[2J \x9b2J \u202e \ud800"))
    assert '"йод \\u001b[2J \\u009b2J \\u202e \\ud800"' in text
    assert json.loads(text)["rows"][0]["item"] == "йод \x1b[2J \x9b2J \u202e \ud800"


def test_json_takes_any_mapping_and_refuses_what_is_no_plain_value() -> None:
    held = with_values(holding=MappingProxyType({"lot": "L4"}))
    assert json.loads(render_json(held))["rows"] == [{"holding": {"lot": "L4"}}]
    with pytest.raises(ValueError, match="not JSON compliant"):
        render_json(with_values(price=float("nan")))


@given(st.dictionaries(st.text(), st.text() | st.integers() | st.none() | st.booleans()))
def test_json_gives_back_every_value(values: dict[str, Json]) -> None:
    text = render_json(replace(REPORT, sections=(Section("", (Row(values),)),)))
    assert json.loads(text)["rows"] == [values]


def test_csv_has_the_contract_names_then_one_record_a_row() -> None:
    assert render_csv(REPORT) == (
        "box,item,short,move_from,price,order_by,offer\r\n"
        'Ящик,"tape, ""self-fusing"", 25 mm",4,3 from Tyre kit (L4); 1 from Ящик (L7),'
        "12.5,2026-12-01,\r\n"
    )


def test_csv_of_an_empty_report_is_a_header() -> None:
    empty = replace(REPORT, sections=())
    assert render_csv(replace(empty, keys=("box", "item"))) == "box,item\r\n"
    assert render_csv(empty) == "item,short\r\n"


def test_csv_header_takes_in_what_any_row_carries() -> None:
    rows = (Row({"item": "tape"}), Row({"item": "tube", "batch": "BX-7"}))
    report = replace(REPORT, sections=(Section("", rows),), keys=("box", "item"))
    assert render_csv(report) == "box,item,batch\r\n,tape,\r\n,tube,BX-7\r\n"


HELD: Json = [{"box": "First aid", "lot": "L4", "quantity": 3, "status": "due", "until": None}]


@pytest.mark.parametrize(
    ("key", "value", "cell"),
    [
        ("holdings", HELD, "3 in First aid (L4, due)"),
        ("holdings", [], ""),
        ("holdings", [{"lot": "L4", "day": date(2027, 11, 30)}], "L4 2027-11-30"),
        ("readings", [date(2027, 3, 4), date(2027, 4, 3)], "2027-03-04; 2027-04-03"),
        ("opened", True, "yes"),
        ("opened", False, "no"),
    ],
)
def test_csv_puts_nested_values_on_one_line(key: str, value: Json, cell: str) -> None:
    assert read_csv(render_csv(with_values(**{key: value}))) == [{key: cell}]


def test_csv_prefers_the_words_that_a_report_chose_for_a_nested_value() -> None:
    row = replace(ROW, shown={"move_from": "3 from Tyre kit"})
    (record,) = read_csv(render_csv(replace(REPORT, sections=(Section("", (row,)),))))
    assert record["move_from"] == "3 from Tyre kit"


@pytest.mark.parametrize(
    ("value", "cell"),
    [
        ("=HYPERLINK(1)", "'=HYPERLINK(1)"),
        ("+cmd|' /C calc'!A0", "'+cmd|' /C calc'!A0"),
        ("-2+3", "'-2+3"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "'\t=1"),
        ("\r=1", "\ufffd=1"),
        ("\x1b[2J", "\ufffd[2J"),
        ("'=1", "''=1"),
        ("'tis", "'tis"),
        ("＝1+1", "'＝1+1"),
        ("-5", "-5"),
        ("+12.50", "+12.50"),
        (-5, "-5"),
        ("tape = good", "tape = good"),
    ],
)
def test_csv_lets_no_spreadsheet_run_a_name_as_a_formula(value: Json, cell: str) -> None:
    assert read_csv(render_csv(with_values(item=value))) == [{"item": cell}]


@given(st.lists(st.text(), min_size=1, max_size=4))
def test_csv_gives_back_every_text(texts: list[str]) -> None:
    report = replace(REPORT, sections=(Section("", tuple(Row({"item": t}) for t in texts)),))
    found = [record["item"] for record in read_csv(render_csv(report))]
    assert [from_csv_cell(cell) for cell in found] == [harmless(text) for text in texts]


@pytest.mark.parametrize("rows", [0, 1, 3, 1201])
def test_a_stream_writes_the_same_bytes_as_the_whole_report(rows: int) -> None:
    values: dict[str, Json] = {"item": '=Йод, "5 %"\u202e', "on": date(2028, 2, 29), "n": 3}
    nested: dict[str, Json] = {
        "move_from": [{"box": "B", "lot": "L1", "quantity": 2}],
        "price": 1.5,
        "empty": [],
    }
    row = Row(values | nested)
    report = replace(REPORT, sections=(Section("", (row,) * rows),), keys=tuple(row.values))
    stream = Stream(
        report.on, report.store, report.keys, iter(report.rows), lambda: report.cautions
    )
    for fmt, whole in (("csv", render_csv(report)), ("json", render_json(report))):
        again = replace(stream, rows=iter(report.rows))
        assert b"".join(chunks(again, fmt)).decode() == whole
    assert json.loads(render_json(report))["rows"] == [json.loads(_plainly(row))] * rows


def _plainly(row: Row) -> str:
    return json.dumps(dict(row.values), default=str)


def test_every_format_has_one_way_in() -> None:
    assert render(REPORT, "csv") == render_csv(REPORT)
    assert render(REPORT, "json") == render_json(REPORT)
    assert str(render(REPORT, "text", width=60)).startswith("Restock list\n")
    assert isinstance(pdf := render(REPORT, "pdf", page="Letter"), bytes)
    assert pdf.startswith(b"%PDF-")


def test_an_unknown_format_names_the_known_ones() -> None:
    with pytest.raises(BadInput, match="text, csv, json, pdf"):
        render(REPORT, "xml")
