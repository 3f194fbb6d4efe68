"""A printer that prints beside its labels: measured, set, looked at, and taken out of use."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp

Run = Callable[..., "subprocess.CompletedProcess[str]"]


def test_a_printer_is_measured_listed_set_anew_and_retired(empty: Run) -> None:
    none = empty("label-stock", "printer")
    assert "'label-stock align' prints a page" in " ".join(none.stdout.split())
    done = empty("label-stock", "printer", "office", "--mark-x", "11.2", "--ruler-x", "99.6")
    assert "moved 1.24 mm left" in done.stdout
    assert "scaled by 1.0040 across" in done.stdout
    empty("label-stock", "printer", "Office", "--offset-y", "0.5", "--note", "tray 2")
    (row,) = json.loads(empty("label-stock", "printer", "--format", "json").stdout)["rows"]
    assert (row["printer"], row["offset_y"], row["note"]) == ("office", 0.5, "tray 2")
    assert row["scale_x"] == pytest.approx(1 / 0.996)
    assert empty("label-stock", "align", "a4-3x7", "--printer", "office").returncode == 0
    assert (
        "Retired printer 'office'" in empty("label-stock", "printer", "office", "--retire").stdout
    )
    assert "out of use" in empty("label-stock", "align", "a4-3x7", "--printer", "office").stderr
    assert json.loads(empty("label-stock", "printer", "--format", "json").stdout)["rows"] == []


@pytest.mark.parametrize(
    ("words", "code", "message"),
    [
        (["x", "--ruler-x", "80"], 3, "come out between 97.1 and 103.1 mm"),
        (["x", "--scale-x", "1.2"], 3, "must lie between 0.97 and 1.03"),
        (["x", "--offset-x", "-30"], 3, "at most 20 mm"),
        (["x", "--offset-x", "nan"], 3, "at most 20 mm"),
        (["x", "--scale-y", "1", "--mark-y", "10"], 3, "worked out from mark and ruler"),
        (["x", "--retire", "--mark-y", "10"], 2, "--retire goes without measures"),
        (["x", "--retire"], 3, "there is no printer 'x'"),
        (["x"], 3, "there is no printer 'x'"),
        (["--mark-x", "11"], 2, "name the printer first"),
        (["L42", "--mark-x", "11"], 3, "would be read as a code"),
    ],
)
def test_what_no_printer_does_is_refused_and_nothing_is_set(
    empty: Run, words: list[str], code: int, message: str
) -> None:
    done = empty("label-stock", "printer", *words)
    assert done.returncode == code
    assert message in " ".join(done.stderr.split())
    assert json.loads(empty("label-stock", "printer", "--format", "json").stdout)["rows"] == []


@pytest.mark.parametrize("columns", ["40", "80"])
def test_nothing_said_about_stock_is_wider_than_the_screen(empty: Run, columns: str) -> None:
    for words in (["check", "a4-3x8-edge"], ["check", "tape-18"], ["show", "continuous-62"],
                  ["align", "a4-3x7"], ["printer"], ["printer", "o", "--mark-x", "9"]):  # fmt: skip
        done = empty("label-stock", *words, COLUMNS=columns)
        assert done.returncode == 0, done.stderr
        assert max(map(len, done.stdout.splitlines()), default=0) <= int(columns)


def test_the_makers_data_goes_into_the_code_when_asked(empty: Run, tmp_path: Path) -> None:
    """AI 01, 17 with the last day of a month, 10: GS1 General Specifications, 3.2 and 3.4.7."""
    for words in (
        ["box", "add", "Kit"],
        ["item", "add", "tube", "--kind", "rtv-silicone", "--gtin", "9520123000103"],
        ["item", "add", "rag", "--kind", "rtv-silicone"],
        ["receive", "--box", "Kit", "--item", "tube", "--quantity", "1", "--batch", "7C/1",
         "--expiry", "EXP 11/2028"],
        ["receive", "--box", "Kit", "--item", "rag", "--quantity", "1"],
    ):  # fmt: skip
        assert empty(*words).returncode == 0
    done = empty("labels", "--new", "--code", "gs1")
    assert done.returncode == 0, done.stderr
    with pypdfium2.PdfDocument(tmp_path / "labels.pdf") as document:
        image = document[0].render(scale=300 / 72).to_pil()
    texts = {bytes(code.bytes).decode() for code in zxingcpp.read_barcodes(image)}
    assert texts == {"0109520123000103" + "17281130" + "107C/1", "1000000021"}
