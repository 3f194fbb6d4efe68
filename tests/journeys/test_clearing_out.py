"""Clearing out: what goes where, a sheet to take along, the books in one step, undone in one."""

from __future__ import annotations

import csv
import io
import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from stockcheck.labels.readback import read_pages

Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]
ROUTES = [
    "household-waste", "hazardous-point", "used-fluids", "pharmacy", "oxidiser",
]  # fmt: skip


def rows(demo: Run, *words: str) -> list[dict[str, object]]:
    done = demo("clear-out", *words, "--format", "json")
    assert done.returncode == 0, done.stderr
    found: list[dict[str, object]] = json.loads(done.stdout)["rows"]
    return found


def test_the_expired_are_listed_by_route_with_the_cautions_of_each(demo: Run) -> None:
    found = rows(demo)
    assert len(found) == 18
    assert list(dict.fromkeys(row["route"] for row in found)) == ROUTES
    fluid = next(row for row in found if row["lot"] == "L38")
    assert fluid["cautions"] == ["chemicals", "brake-safety"]
    assert (fluid["disposal"], fluid["why"]) == ("used-fluids point", "expired")
    text = " ".join(demo("clear-out").stdout.split())
    for words in (
        "18 holdings on 5 routes",
        "8 holdings undated, left out: --undated adds them",
        "2 holdings on hold, left out",
        "! Controlled medicines",
        "Back to a pharmacy or its take-back scheme",
    ):
        assert words in text


def test_it_comes_as_csv_too(demo: Run) -> None:
    done = demo("clear-out", "--box", "Cab", "--undated", "--format", "csv")
    read = list(csv.DictReader(io.StringIO(done.stdout)))
    assert {row["why"] for row in read} == {"expired", "undated"}
    assert {row["box"] for row in read} >= {"Cab", "Medicines"}


def test_all_of_a_box_is_written_off_in_one_step_and_taken_back_in_one(demo: Run) -> None:
    before = rows(demo, "--box", "First aid")
    done = demo("clear-out", "--box", "First aid", "--yes")
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("Written off:") == len(before) == 3
    assert "Caution: Controlled medicines" in done.stdout
    assert rows(demo, "--box", "First aid") == []
    last = json.loads(demo("history", "L101", "--format", "json").stdout)["rows"][-1]
    assert last["reason"] == "cleared out: expired, pharmacy"
    assert demo("undo").returncode == 0
    assert rows(demo, "--box", "First aid") == before


def test_what_failed_goes_and_a_last_resort_only_when_asked(demo: Run) -> None:
    demo("inspect", "L22", "--fail", "--note", "cracked")
    assert [row["why"] for row in rows(demo, "--lot", "L22")] == ["failed inspection"]
    kept = demo("decide", "First aid", "--lot", "L87", "--as", "last resort")
    assert kept.returncode == 0, kept.stderr
    assert rows(demo, "--lot", "L87") == []
    assert [row["why"] for row in rows(demo, "--lot", "L87", "--last-resorts")] == ["last resort"]


def test_line_by_line_at_a_terminal(demo: Run, terminal: Terminal) -> None:
    code, screen = terminal(
        "clear-out", "--box", "Fluids", "--write-off",
        answers=[("Gone", "y"), ("Gone", "n"), ("Gone", "skip"), ("Write off", "y")],
    )  # fmt: skip
    assert code == 0, screen
    assert "USED-FLUIDS POINT" in screen
    assert screen.count("Written off:") == 1
    assert len(rows(demo, "--box", "Fluids")) == 2


@pytest.mark.parametrize("answers", [[("Gone", "stop")], [("Gone", "all"), ("Write off", "n")]])
def test_nothing_is_written_before_the_last_question(
    demo: Run, terminal: Terminal, answers: list[tuple[str, str]]
) -> None:
    before = rows(demo)
    terminal("clear-out", "--box", "Fluids", "--write-off", answers=answers)
    assert rows(demo) == before


def test_an_interrupt_leaves_the_books_as_they_were(demo: Run, terminal: Terminal) -> None:
    before = rows(demo)
    code, screen = terminal(
        "clear-out", "--write-off", answers=[("Gone", "all")], interrupt_at="HAZARDOUS"
    )
    assert (code, "interrupted" in screen) == (130, True)
    assert rows(demo) == before


def test_the_sheet_has_a_code_for_each_line(demo: Run, tmp_path: Path) -> None:
    for page in ("A4", "Letter"):
        done = demo("clear-out", "--sheet", "out.pdf", "--page", page)
        assert done.returncode == 0, done.stderr
        read = read_pages((tmp_path / "out.pdf").read_bytes(), 300)
        found = [code for codes in read for code in codes]
        assert sorted(found) == sorted(str(row["code"]) for row in rows(demo))


def test_without_a_terminal_nobody_is_asked_and_formats_do_not_write(demo: Run) -> None:
    asked = demo("clear-out", "--write-off")
    assert (asked.returncode, "--yes" in asked.stderr) == (1, True)
    assert demo("clear-out", "--yes", "--format", "json").returncode == 2
    wrong = demo("clear-out", "--route", "pharmasy")
    assert (wrong.returncode, "'pharmacy'" in wrong.stderr) == (3, True)
    assert len(rows(demo)) == 18


def test_a_store_without_anything(empty: Run, tmp_path: Path) -> None:
    assert "Nothing is to be got rid of." in empty("clear-out", "--sheet", "out.pdf").stdout
    assert (tmp_path / "out.pdf").read_bytes().startswith(b"%PDF")
    assert "Nothing is to be got rid of." in empty("clear-out", "--yes").stdout
