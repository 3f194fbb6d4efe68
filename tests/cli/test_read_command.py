"""``stockcheck read`` as a person and as a script meet it, through the command line itself."""

from __future__ import annotations

import json
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from datetime import date
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stockcheck.cli.app import run
from stockcheck.cli.reading_report import KEYS, reading_report
from stockcheck.core.codes import make_code
from stockcheck.core.errors import BadInput
from stockcheck.core.reading import read_any

ON = "2026-11-25"
LOT = make_code("lot", 42)
T = "0109506000134352"
DIFFER = "published sources differ on how far these words reach"
DONE, USAGE, BAD = 0, 2, BadInput.exit_code


@pytest.fixture(autouse=True)
def _eighty_columns(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")


def _read(*texts: str, stdin: bytes | None = None) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-m", "stockcheck", "read", "--on", ON, *texts]
    return subprocess.run(command, input=stdin, capture_output=True, check=False)


def _rows(capsys: pytest.CaptureFixture[str], *texts: str) -> list[dict[str, object]]:
    run(["read", "--on", ON, "--format", "json", *texts])
    whole = json.loads(capsys.readouterr().out)
    assert list(whole) == ["on", "store", "rows", "cautions"]
    assert (whole["on"], whole["store"], whole["cautions"]) == (ON, None, [])
    rows: list[dict[str, object]] = whole["rows"]
    return rows


def _row(**known: object) -> dict[str, object]:
    return dict.fromkeys(KEYS) | {"readings": []} | known


def test_the_json_rows_have_the_keys_of_the_contract_and_nothing_else(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code = f"{T}1125010017290200301210A1"
    assert _rows(capsys, LOT, "9506000134352", "EXP 11/2027", "03/04/27", code, "MFG 2025-06") == [
        _row(text=LOT, type="lot"),
        _row(text="9506000134352", type="gtin", gtin="09506000134352"),
        _row(
            text="EXP 11/2027", type="date", last_usable_day="2027-11-30", precision="month"
        ),
        _row(
            text="03/04/27", type="date", readings=["2027-03-04", "2027-04-03"],
            problem="day, month and year fit in more than one order;"
            " another reading lies far in the past: 2003-04-27",
        ),
        _row(
            text=code, type="unknown",
            problem="not readable as a maker's code: AI 30 (VAR. COUNT) cannot hold '1210A1':"
            " its form is N2+N..8",
        ),
        _row(text="MFG 2025-06", type="date", made_on="2025-06", precision="month"),
    ]  # fmt: skip


def test_a_makers_code_fills_its_fields(capsys: pytest.CaptureFixture[str]) -> None:
    code = f"{T}112501001729020010A1{{GS}}3012{{GS}}21S7"
    (row,) = _rows(capsys, code)
    assert row == _row(
        text=code, type="gs1", last_usable_day="2029-02-28", precision="month",
        gtin="09506000134352", batch="A1", serial="S7", made_on="2025-01", count=12,
    )  # fmt: skip


def test_text_is_one_aligned_line_for_each_text(capsys: pytest.CaptureFixture[str]) -> None:
    texts = [LOT, "L42", "EXP 11/2027", "03/04/27", f"{T}17290200", "Клей ☂ 2027"]
    assert run(["read", "--on", ON, *texts]) == BAD
    out, err = capsys.readouterr()
    assert out.splitlines() == [
        f"{LOT}                lot L42, one of our codes",
        "L42                       lot L42, one of our codes",
        "EXP 11/2027               last usable 30 NOV 2027 (month printed); month and",
        "                          year: good through the last day of the month (USP <7>)",
        "03/04/27                  UNSURE: day, month and year fit in more than one",
        "                          order; another reading lies far in the past:",
        "                          2003-04-27",
        "                          04 MAR 2027 as month, day, year: good through that day",
        "                          03 APR 2027 as day, month, year: good through that day",
        "010950600013435217290200  last usable 28 FEB 2029 (month printed); GTIN (01)",
        "                          09506000134352; expiry (17) 2029-02, day 00, through",
        "                          the end of the month",
        "Клей ☂ 2027               UNKNOWN: neither a code nor a date: not in a form that",
        "                          dates are printed in",
    ]
    assert err == "stockcheck: 2 of 6 texts are unsure or unknown; nothing is assumed\n"


def test_text_names_a_gtin_a_made_date_and_what_is_worth_a_look(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(["read", "--on", ON, "9506000134352", "MFG 2025-06", "]C1" + T + "10A"]) == DONE
    assert capsys.readouterr().out.splitlines() == [
        "9506000134352           GTIN 09506000134352",
        "MFG 2025-06             made JUN 2025; a made date, not an expiry: year and",
        "                        month: the last day that it may have been made",
        "]C1010950600013435210A  GTIN (01) 09506000134352; batch (10) A",
        "                        NOTE: no expiry read",
    ]


def test_a_long_text_has_its_meaning_below(capsys: pytest.CaptureFixture[str]) -> None:
    link = "https://id.gs1.org/01/09520123456788/10/ABC1/21/12345?17=290200"
    assert run(["read", "--on", ON, link]) == DONE
    assert capsys.readouterr().out.splitlines() == [
        link,
        "    last usable 28 FEB 2029 (month printed); GTIN (01) 09520123456788; batch",
        "    (10) ABC1; serial (21) 12345; expiry (17) 2029-02, day 00, through the end",
        "    of the month",
    ]


def test_the_quick_way_and_the_whole_report_say_the_same_of_our_codes(
    capsys: pytest.CaptureFixture[str],
) -> None:
    codes = [LOT, "B3", "i17", make_code("action", 5)]
    assert run(["read", "--on", ON, *codes]) == DONE
    quick = capsys.readouterr().out
    found = [read_any(code, _day(), "general", None) for code in codes]
    assert quick == reading_report(found, "text", _day())


def _day() -> date:
    return date.fromisoformat(ON)


def test_csv_has_a_column_for_each_key(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["read", "--on", ON, "--format", "csv", "B3", "USE BY 06/2027", "LOT 1"]) == BAD
    assert capsys.readouterr().out.splitlines() == [
        ",".join(KEYS),
        "B3,box,,,,,,,,,",
        f"USE BY 06/2027,date,,,2027-05-31; 2027-06-30,,,,,,{DIFFER}",
        "LOT 1,unknown,,,,,,,,,a batch number is never a date",
    ]


@pytest.mark.parametrize(
    ("texts", "code"),
    [
        ((LOT,), DONE),
        (("EXP 11/2027", f"{T}17291231"), DONE),
        (("EXP 11/2027", "03/04/27"), BAD),
        (("03/04/27", "--date-order", "dmy"), DONE),
        (("BBE 2027", "--dates", "food"), DONE),
        (("EXP 2027",), BAD),
        (("",), BAD),
        (("--dates", "sweets", "L1"), USAGE),
    ],
)
def test_the_exit_code_tells_whether_all_is_settled(texts: tuple[str, ...], code: int) -> None:
    assert run(["read", "--on", ON, *texts]) == code


def test_lines_of_standard_input_are_read_without_a_text() -> None:
    done = _read(stdin=f"{LOT}\r\n\n{T}10A1\x1d17291231\n".encode())
    assert done.returncode == DONE
    assert len([line for line in done.stdout.splitlines() if line[:1] != b" "]) == 2
    assert b"batch (10) A1" in done.stdout


def test_no_text_and_no_input_is_wrong_usage() -> None:
    done = _read(stdin=b"")
    assert (done.returncode, done.stdout) == (USAGE, b"")
    assert b"nothing to read" in done.stderr


@pytest.mark.parametrize(
    "stdin", [b"\n \n", b"\xff\xfe\x00\n", b"EXP 11/2027\xff", b"\xed\xa0\x80"]
)
def test_input_that_is_no_text_is_bad_input_and_no_crash(stdin: bytes) -> None:
    done = _read(stdin=stdin)
    assert done.returncode == BAD
    assert len(done.stderr.splitlines()) == 1


def test_bytes_that_are_no_utf_8_are_spelt_out() -> None:
    done = _read("--format", "json", stdin=b"EXP \xff 2027\n")
    assert json.loads(done.stdout)["rows"][0]["text"] == "EXP \\xff 2027"


def test_the_answer_goes_whole_into_a_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "read.json"
    assert run(["read", "--on", ON, "B3", "--format", "json", "--output", str(file)]) == DONE
    assert json.loads(file.read_text(encoding="utf-8"))["rows"][0]["type"] == "box"
    assert capsys.readouterr().out == ""


def _bytes_of(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


class _Lines:
    """Standard input of given bytes."""

    def __init__(self, data: bytes) -> None:
        self.buffer = BytesIO(data)

    def isatty(self) -> bool:
        return False


@settings(max_examples=300, deadline=None)
@given(st.one_of(st.binary(max_size=200), st.text(max_size=100).map(_bytes_of)))
def test_random_input_ends_with_0_or_3(data: bytes) -> None:
    ends = set()
    for fmt in ("text", "json"):
        with (
            pytest.MonkeyPatch.context() as patch,
            redirect_stdout(TextIOWrapper(BytesIO(), "utf-8", write_through=True)) as out,
            redirect_stderr(StringIO()) as err,
        ):
            patch.setattr(sys, "stdin", _Lines(data + b"\n"))
            ends.add(run(["read", "--on", ON, "--format", fmt]))
        out.seek(0)
        assert "Traceback" not in out.read() + err.getvalue()
        assert "unforeseen" not in err.getvalue()
    assert ends <= {DONE, BAD}


# What a scan of one of our codes may load beside what click and sqlite3 have loaded anyhow.
LIGHT = {
    "stockcheck", "stockcheck.cli", "stockcheck.cli.app", "stockcheck.cli.choosing",
    "stockcheck.cli.help_layout", "stockcheck.cli.reading", "stockcheck.cli.screen",
    "stockcheck.cli.shell", "stockcheck.cli.wrapping", "stockcheck.core", "stockcheck.core.codes",
    "stockcheck.core.errors", "stockcheck.core.harmless",
}  # fmt: skip
HEAVY = {"json", "csv", "sqlite3", "sqlite_utils", "biip", "dateutil", "reportlab", "tomllib"}
PROBE = """
import sys
from stockcheck.cli import main
try:
    main(sys.argv[1:])
except SystemExit as leaving:
    assert leaving.code == 0, leaving.code
print(*sorted(sys.modules))
"""


def test_a_scan_of_one_of_our_codes_loads_next_to_nothing() -> None:
    command = [sys.executable, "-c", PROBE, "read", LOT]
    done = subprocess.run(command, capture_output=True, check=True, text=True)
    answer, modules = done.stdout.splitlines()
    loaded = set(modules.split())
    assert answer == f"{LOT}  lot L42, one of our codes"
    assert {name for name in loaded if name.startswith("stockcheck")} == LIGHT
    assert not loaded & HEAVY


def test_a_printed_date_loads_no_library_for_makers_codes() -> None:
    command = [sys.executable, "-c", PROBE, "read", "EXP 11/2027"]
    done = subprocess.run(command, capture_output=True, check=True, text=True)
    loaded = set(done.stdout.splitlines()[-1].split())
    assert not loaded & {"biip", "sqlite3", "sqlite_utils", "reportlab", "json"}


def test_a_made_date_is_never_padded_to_a_day(capsys: pytest.CaptureFixture[str]) -> None:
    """Given made months and years, when read, then they are told as they were printed."""
    made = _rows(capsys, "MFG 11/2024", "MFG 2024", "MFG 2024-11-30", "MFG 2024-W35")
    assert [row["made_on"] for row in made] == ["2024-11", "2024", "2024-11-30", "2024-W35"]
    (ahead,) = _rows(capsys, "MFG 06/2027")
    assert (ahead["made_on"], ahead["readings"]) == (None, ["2027-06"])
