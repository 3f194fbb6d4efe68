"""The contract for scripts: JSON keys and types, CSV headers, files whole or not at all, colour."""

from __future__ import annotations

import csv
import io
import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]

EXPIRY = (
    "box item kind lot code batch quantity unit last_usable_day governed_by days_left status"
    " date_meaning advice"
)
RESTOCK = (
    "box item importance needed usable short reason move_from on_order buy packs offer supplier"
    " price use_by_not_before order_by basis late uncovered substitutes purchases"
)
AUDIT = "list line required unit usable expired undated ends_on_trip short finding holdings"
REPORTS = {
    EXPIRY: ["expiry", "--trip", "Spring count"],
    RESTOCK: ["restock", "--trip", "Spring count"],
    AUDIT: ["audit", "First aid", "--list", "de-din-13164-2022", "--trip", "Spring count"],
}
DAY = re.compile(r"\d{4}-\d\d-\d\d")


def rows_of(done: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    """The rows of a report in JSON, whose outside is the contract's."""
    assert done.returncode == 0
    whole = json.loads(done.stdout)
    assert list(whole) == ["on", "store", "rows", "cautions"]
    assert whole["on"] == "2026-11-25"
    assert whole["store"] == "Demo truck (invented)"
    assert all(isinstance(caution, str) for caution in whole["cautions"])
    rows: list[dict[str, Any]] = whole["rows"]
    return rows


@pytest.mark.parametrize(("keys", "words"), REPORTS.items(), ids=["expiry", "restock", "audit"])
def test_json_rows_have_the_contracts_keys_in_its_order(
    inside: Run, keys: str, words: list[str]
) -> None:
    rows = rows_of(inside(*words, "--format", "json"))
    assert len(rows) > 20
    assert {tuple(row) for row in rows} == {tuple(keys.split())}


@pytest.mark.parametrize(("keys", "words"), REPORTS.items(), ids=["expiry", "restock", "audit"])
def test_the_csv_header_is_the_contract_with_and_without_rows(
    inside: Run, keys: str, words: list[str]
) -> None:
    full = list(csv.reader(io.StringIO(inside(*words, "--format", "csv").stdout, newline="")))
    assert full[0] == keys.split()
    assert {len(line) for line in full} == {len(full[0])}
    assert inside("--store", "new.db", "init").returncode == 0
    assert inside("--store", "new.db", "box", "add", "First aid").returncode == 0
    if "--trip" in words:
        inside(
            "--store", "new.db", "trip", "add", "Spring count",
            "--departs", "2027-02-08", "--returns", "2027-04-25",
        )  # fmt: skip
    bare = inside("--store", "new.db", *words, "--format", "csv").stdout
    assert bare.splitlines()[0].split(",") == keys.split()


def test_expiry_values_are_numbers_iso_days_and_null_for_unknown(inside: Run) -> None:
    by_lot = {row["lot"]: row for row in rows_of(inside(*REPORTS[EXPIRY], "--format", "json"))}
    assert by_lot["L50"] == {
        "box": "Medicines",
        "item": "pain tablets 500 mg",
        "kind": "tablets-blister",
        "lot": "L50",
        "code": "1000000503",
        "batch": "K71120",
        "quantity": 13,
        "unit": "tablet",
        "last_usable_day": "2027-02-05",
        "governed_by": "printed",
        "days_left": 72,
        "status": "ends on trip",
        "date_meaning": "safety",
        "advice": "replace before leaving",
    }
    undated = by_lot["L6"]
    unknown = {name for name, value in undated.items() if value is None}
    assert unknown == {"batch", "last_usable_day", "governed_by", "days_left"}
    assert {row["status"] for row in by_lot.values()} == {
        "in date", "ends on trip", "expired", "undated", "held",
    }  # fmt: skip
    assert all(DAY.fullmatch(row["last_usable_day"] or "2026-11-25") for row in by_lot.values())


def test_restock_values_are_numbers_iso_days_and_moves_with_their_lot(inside: Run) -> None:
    rows = rows_of(inside(*REPORTS[RESTOCK], "--format", "json"))
    for row in rows:
        assert row["short"] > 0
        assert row["needed"] >= row["usable"] + row["short"]
        assert {type(row[name]) for name in ("needed", "usable", "buy", "packs")} == {int}
        assert DAY.fullmatch(row["use_by_not_before"] or "2027-05-02")
        assert row["price"] is None or isinstance(row["price"], int | float)
        assert row["importance"] in {"vital", "essential", "desirable"}
    moved = next(row for row in rows if row["item"].startswith("tyre sealant"))
    assert moved["move_from"] == [{"box": "Home shelf", "lot": "L8", "quantity": 1}]
    nobody = next(row for row in rows if row["item"].startswith("adrenaline"))
    assert (nobody["supplier"], nobody["offer"], nobody["price"]) == (None, None, None)


def test_audit_findings_are_the_contracts_and_what_is_not_on_the_list_has_no_line(
    inside: Run,
) -> None:
    rows = rows_of(inside(*REPORTS[AUDIT], "--format", "json"))
    findings = {row["finding"] for row in rows}
    assert findings <= {
        "ok", "short", "missing", "expired", "undated", "ends on trip", "wrong size", "surplus",
        "not on list",
    }  # fmt: skip
    assert {"short", "missing", "surplus", "not on list"} <= findings
    assert {row["line"] is None for row in rows if row["finding"] == "not on list"} == {True}
    assert {row["list"] for row in rows} == {"de-din-13164-2022"}
    held = [holding for row in rows for holding in row["holdings"]]
    assert {"lot", "item", "box", "quantity", "last_usable_day"} <= set(held[0])


@pytest.mark.parametrize(
    "words",
    [
        ["box", "list"], ["item", "list"], ["par", "list"], ["supplier", "list"],
        ["offer", "list"], ["trip", "list"], ["kind", "list"], ["lot", "list", "--all"],
        ["history"], ["find", "tablet"], ["box", "show", "Water"], ["item", "show", "I27"],
        ["par", "show", "P3"], ["offer", "show", "O4"], ["trip", "show", "Spring count"],
        ["supplier", "show", "Village shop"], ["lot", "show", "L59"],
    ],
    ids=" ".join,
)  # fmt: skip
def test_every_list_and_card_gives_its_rows_to_scripts(inside: Run, words: list[str]) -> None:
    rows = rows_of(inside(*words, "--format", "json"))
    assert rows
    lines = list(csv.DictReader(io.StringIO(inside(*words, "--format", "csv").stdout, newline="")))
    assert len(lines) == len(rows)
    assert list(lines[0]) == list(rows[0])


@pytest.mark.parametrize("what", ["box", "item", "par", "supplier", "offer", "trip", "lot"])
def test_a_list_has_the_same_csv_header_empty_or_not(inside: Run, what: str) -> None:
    inside("--store", "new.db", "init")
    full = inside(what, "list", "--format", "csv").stdout.splitlines()[0]
    bare = inside("--store", "new.db", what, "list", "--format", "csv").stdout.splitlines()
    assert bare == [full]


def test_lists_that_need_no_store_give_rows_too(inside: Run) -> None:
    for words in (["kit-lists", "list"], ["kit-lists", "show", "de-din-13164-2022"],
                  ["label-stock", "list"]):  # fmt: skip
        text = inside("--store", "nothing.db", *words)
        assert text.stdout.splitlines()[1] == "as of 25 NOV 2026"
        assert json.loads(inside(*words, "--format", "json").stdout)["rows"]


def test_a_cell_that_a_spreadsheet_would_run_is_made_harmless(inside: Run) -> None:
    for name in ("=HYPERLINK(1)", "@sum", "+1-1"):
        assert inside("item", "add", name, "--kind", "bleach", "--unit", "each").returncode == 0
        assert inside(
            "receive", "--box", "Water", "--item", name, "--quantity", "1", "--note", "=1+1"
        ).returncode == 0  # fmt: skip
    cells = {
        cell
        for line in csv.reader(io.StringIO(inside("expiry", "--format", "csv").stdout, newline=""))
        for cell in line
    }
    assert {"'=HYPERLINK(1)", "'@sum", "'+1-1"} <= cells
    numbers = re.compile(r"-?\d+")
    assert not [cell for cell in cells if cell[:1] in set("=+-@") and not numbers.fullmatch(cell)]


def test_a_report_goes_whole_into_its_file_or_not_at_all(inside: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("kept", "utf-8")
    for words in (["expiry"], ["restock", "--by", "2027-01-01"], ["labels", "L3"],
                  ["expiry", "--format", "pdf"], ["find", "x"]):  # fmt: skip
        for where in ("no/such/folder/out", "file/out"):
            done = inside(*words, "--output", where)
            assert done.returncode == 3
            assert f"cannot write {where}" in done.stderr
            assert "Traceback" not in done.stderr
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "stock.db"]
    done = inside("expiry", "--format", "json", "--output", "out.json")
    assert (done.stdout, done.stderr) == ("", "wrote out.json\n")
    assert json.loads((tmp_path / "out.json").read_text("utf-8"))["rows"]
    inside("expiry", "--format", "csv", "--output", "out.csv")
    assert (tmp_path / "out.csv").read_bytes().count(b"\r\n") > 100
    assert not list(tmp_path.glob("*.part"))


def test_labels_that_could_not_be_written_are_not_remembered(inside: Run, tmp_path: Path) -> None:
    inside("receive", "--box", "Water", "--item", "I70", "--quantity", "1")
    assert inside("labels", "--new", "--output", "no/folder.pdf").returncode == 3
    assert "1 label on 1 page" in inside("labels", "--new", "--output", "l.pdf").stderr
    assert "Nothing to label" in inside("labels", "--new", "--output", "m.pdf").stderr
    assert not (tmp_path / "m.pdf").exists()


def test_no_report_replaces_a_store(inside: Run, tmp_path: Path) -> None:
    before = (tmp_path / "stock.db").read_bytes()
    (tmp_path / "link").symlink_to("stock.db")
    for name in ("stock.db", "link"):
        done = inside("expiry", "--output", name)
        assert done.returncode == 3
        assert "which no report may replace" in done.stderr
    assert (tmp_path / "stock.db").read_bytes() == before


def test_a_report_can_go_where_no_file_is(inside: Run) -> None:
    assert inside("expiry", "--output", "/dev/null").returncode == 0
    assert Path("/dev/null").is_char_device()


def test_pdf_on_a_pipe_is_the_pdf_alone(demo: Run) -> None:
    done = demo("expiry", "--format", "pdf", "--output", "-")
    assert done.returncode == 0
    assert done.stdout.startswith("%PDF-1.")


def test_colour_only_at_a_terminal_and_not_with_no_color(demo: Run, terminal: Terminal) -> None:
    assert "\x1b[" not in demo("expiry", "--box", "Water").stdout
    code, screen = terminal("expiry", "--box", "Water")
    assert code == 0
    assert "\x1b[1;31mEXPIRED" in screen
    _, plain = terminal("expiry", "--box", "Water", NO_COLOR="1")
    assert "\x1b[" not in plain
    assert plain == demo("expiry", "--box", "Water").stdout


@pytest.mark.parametrize("width", [40, 80, 120])
def test_no_line_is_wider_than_the_screen(
    inside: Run, width: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    for words in (
        ["expiry", "--trip", "Spring count"], ["restock", "--trip", "Spring count"],
        ["audit", "B12", "--list", "de-din-13164-2022"], ["history"], ["box", "list"],
        ["box", "show", "First aid"], ["item", "list"], ["kind", "list"], ["lot", "list"],
        ["offer", "list"], ["par", "list"], ["trip", "list"], ["why", "L58"],
        ["kind", "show", "threadlocker"], ["label-stock", "list"],
        ["label-stock", "show", "a4-3x7"], ["use", "I27", "-n", "15"], ["undo"],
        ["open", "L7"], ["move", "L12", "--to", "First aid"], ["correct", "L34", "--count", "3"],
        ["hold", "L31", "--reason", "what is it"], ["write-off", "L4", "--reason", "x", "--yes"],
        ["lot", "change", "L59", "--expiry", "EXP 04/2027"],
        ["receive", "--box", "Water", "--item", "I70", "--quantity", "9"],
    ):  # fmt: skip
        done = inside(*words)
        assert done.returncode == 0, done.stderr
        wide = [line for line in done.stdout.splitlines() if len(line) > width]
        assert not wide, words
