"""``scan`` with codes as arguments and from a pipe: what it says, its rows, its exit codes."""

from __future__ import annotations

import csv
import io
import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
SEALANT = "(01)09520123000127"  # tyre sealant, of the invented demo


def told(run: Run, *words: str, stdin: str | bytes = "") -> str:
    done = run("scan", *words, stdin=stdin)
    assert done.returncode == 0, done.stderr
    return " ".join(done.stdout.split())


def rows(run: Run, *words: str) -> list[dict[str, Any]]:
    done = run("scan", *words, "--format", "json")
    assert done.returncode == 0, done.stderr
    return list(json.loads(done.stdout)["rows"])


def ledger(run: Run) -> str:
    return run("history", "--last", "3").stdout


def test_a_lot_is_told_by_one_word_its_item_count_box_day_and_advice(demo: Run) -> None:
    assert told(demo, "1000000136") == (
        "EXPIRED gasket silicone, black, 80 ml tube L13 1 in Sealants and adhesives, opened 30"
        " JUL 2026, was good through 30 OCT 2026: inspect; plan a new one Caution: Chemicals: read"
        " the label and safety data sheet, protect eyes and skin, never mix, never decant into"
        " drink bottles. After contact or swallowing call a poison centre or a doctor."
    )


def test_the_complete_json_of_a_lot(demo: Run) -> None:
    data = json.loads(demo("scan", "L105", "--format", "json", "--trip", "Spring count").stdout)
    assert data == {
        "on": "2026-11-25",
        "store": "Demo truck (invented)",
        "rows": [
            {
                "text": "L105", "type": "lot", "box": "Water",
                "item": "water tablet 8.5 mg NaDCC, for 1 l", "lot": "L105", "code": "1000001057",
                "gtin": None, "batch": data["rows"][0]["batch"], "quantity": 50,
                "unit": "tablet", "last_usable_day": "2029-06-30", "status": "in date",
                "spoken": "GOOD", "advice": "", "match": None, "problem": None,
            }
        ],
        "cautions": [],
    }  # fmt: skip


def test_a_trip_tells_what_ends_on_it(demo: Run) -> None:
    assert told(demo, "L106").startswith("GOOD")
    assert told(demo, "L106", "--trip", "Spring count").startswith("ENDS ON TRIP")


def test_a_makers_code_has_its_row(demo: Run) -> None:
    row = rows(demo, f"{SEALANT}(17)280531(10)NEW1")[0]
    assert (row["type"], row["match"], row["gtin"], row["batch"], row["last_usable_day"]) == (
        "maker's code", "new batch or date", "09520123000127", "NEW1", "2028-05-31",
    )  # fmt: skip
    known = rows(demo, f"{SEALANT}(17)270531(10)TS0931")[0]
    assert known["problem"] == (
        "L7 has the same batch with another date (30 APR 2027): look again"
        if known["lot"] is None
        else None
    )


def test_a_box_has_a_row_for_each_holding_and_an_unknown_text_one_for_itself(demo: Run) -> None:
    found = rows(demo, "Water", "zzz")
    assert [row["spoken"] for row in found] == [
        "EXPIRED", "EXPIRED", "GOOD", "GOOD", "GOOD", "UNKNOWN",
    ]  # fmt: skip
    assert found[-1]["problem"] == "nothing here is called 'zzz'"


def test_csv_has_the_same_columns_and_a_header_alone_when_nothing_is_found(demo: Run) -> None:
    lines = list(csv.DictReader(io.StringIO(demo("scan", "B8", "--format", "csv").stdout)))
    assert len(lines) == 5
    assert set(lines[0]) >= {"text", "type", "box", "lot", "quantity", "status", "spoken"}


def test_a_report_goes_to_a_file(demo: Run, tmp_path: Path) -> None:
    demo("scan", "B8", "--output", "water.txt")
    assert "EXPIRED" in (tmp_path / "water.txt").read_text("utf-8")


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["L105", "--fail-on", "expired"], 0),
        (["L107", "--fail-on", "expired"], 5),
        (["L102", "--fail-on", "held"], 5),
        (["L106", "--trip", "Spring count", "--fail-on", "ends on trip"], 5),
        (["zzz", "--fail-on", "unknown"], 5),
        (["zzz"], 0),
        ([f"{SEALANT}(17)250531(10)X", "--fail-on", "expired"], 5),
        (["B8", "L105", "--fail-on", "not seen"], 5),
        (["L105", "--box", "Watr"], 3),
        (["L105", "--trip", "none"], 3),
        ([], 2),
        (["L105", "--marked", "marked"], 2),
        (["L105", "--photo", "x.jpg"], 2),
        (["--photo", "x.jpg", "--session"], 2),
        (["L105", "--format", "pdf"], 2),
    ],
)
def test_exit_codes(demo: Run, words: list[str], code: int) -> None:
    assert demo("scan", *words).returncode == code


@pytest.mark.parametrize(
    "lines",
    [b"1000001057\r\n", b"1000001057\r", b"1000001057", b"\x021000001057\x03\t\n", b"\n\nL105\n"],
)
def test_lines_from_a_pipe_end_as_scanners_end_them(demo: Run, lines: bytes) -> None:
    assert told(demo, stdin=lines).startswith("GOOD water tablet")


def test_separators_inside_a_piped_line_stay(demo: Run) -> None:
    line = b"]d2010952012300012710NEW1\x1d17280531\r\n"
    assert "batch NEW1, good through 31 MAY 2028" in told(demo, stdin=line)


def test_bytes_that_are_no_text_are_told_and_never_a_crash(demo: Run) -> None:
    assert "UNKNOWN" in told(demo, stdin=b"\xff\xfe\x00\n")


def test_a_pipe_reads_and_writes_nothing_without_session(demo: Run) -> None:
    """Given the lines of a session, when they are piped, then they are told and not done."""
    before = ledger(demo)
    out = told(demo, stdin="B8\nL3\nL3\nuse one\nL107\nwrite off\nwrite off\n")
    assert "the action 'use one' is for a session" in out
    assert "again for yes" not in out
    assert ledger(demo) == before


def test_the_codes_after_a_box_are_held_against_it(demo: Run) -> None:
    out = told(demo, "B8", "L105", "L3")
    assert "ELSEWHERE not in Water by the books, but 10 in Tyre kit" in out
    assert "SUMMARY seen: 1 of 5 holdings" in out


def test_it_runs_on_an_empty_store(empty: Run) -> None:
    assert "UNKNOWN there is no lot L1 in this store" in told(empty, "L1")
    assert "no item has the GTIN 09520123000127" in told(empty, SEALANT)
    assert empty("scan", "--session", stdin="L1\ndone\n").returncode == 0
