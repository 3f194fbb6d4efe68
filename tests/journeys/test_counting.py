"""Counting a box: scanned at a terminal, left and taken up, on paper, from a file."""

from __future__ import annotations

import csv
import json
import os
import pty
import subprocess
import sys
from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

from stockcheck.core.actions import Action
from stockcheck.core.codes import make_code
from stockcheck.labels.readback import read_pages

COMMAND = Path(sys.executable).with_name("stockcheck")
JSON = ("--format", "json")
Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]
KIT = "Tyre kit"
ALL_OF_IT = "L1 2\nL2\nL3 10\nL4 6\nL5 13\nL6 30\nL7\nL11\n"


def person(store: Path) -> dict[str, str]:
    """What a command finds in its environment at a terminal."""
    ours = {"STOCKCHECK_STORE": str(store), "STOCKCHECK_TODAY": "2026-11-25", "TERM": "dumb"}
    return dict(os.environ) | ours | {"COLUMNS": "80"}


def rows(done: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)["rows"]
    return found


def findings(done: subprocess.CompletedProcess[str]) -> dict[str, str]:
    return {row["lot"]: row["finding"] for row in rows(done)}


def on_hand(demo: Run, lot: str) -> dict[str, int]:
    found = rows(demo("lot", "show", lot, "--format", "json"))
    return {row["box"].rpartition(" / ")[2]: row["quantity"] for row in found}


def ledger(demo: Run) -> str:
    return demo("history", "--format", "json").stdout


def test_a_count_of_exactly_what_the_books_have_changes_nothing(demo: Run) -> None:
    before = ledger(demo)
    done = demo("count", KIT, "--yes", "--format", "json", stdin=ALL_OF_IT)
    assert set(findings(done).values()) == {"agrees"}
    assert "is closed; nothing to correct" in done.stderr
    assert ledger(demo) == before


def test_differences_are_posted_and_undo_takes_them_back(demo: Run) -> None:
    before = on_hand(demo, "L34")
    lines = ALL_OF_IT.replace("L6 30", "L6 29") + "L34 2\nL8\n"
    done = demo("count", KIT, "--yes", "--format", "json", stdin=lines)
    differ = {lot: found for lot, found in findings(done).items() if found != "agrees"}
    assert differ == {"L6": "short", "L34": "wrong box", "L8": "wrong box"}
    assert on_hand(demo, "L6") == {KIT: 29}
    assert on_hand(demo, "L34") == {KIT: 2, "Electrical": before["Electrical"] - 2}
    assert {row["what"] for row in rows(demo("history", "--last", "3", "--format", "json"))} == {
        "moved", "counted",
    }  # fmt: skip
    demo("undo")
    assert on_hand(demo, "L34") == before
    assert '"undone"' in demo("count", "--list", "--format", "json").stdout


def test_lines_without_yes_leave_the_count_open_and_the_books_alone(demo: Run) -> None:
    before = ledger(demo)
    done = demo("count", KIT, "--format", "json", stdin="L1 2\n")
    assert "C1 stays open, nothing is posted" in done.stderr
    assert ledger(demo) == before
    again = demo("count", KIT, "--format", "json", stdin="L1 -1\n")
    assert next(row for row in rows(again) if row["lot"] == "L1")["counted"] == 1
    assert demo("count", KIT, "--finish").returncode == 1
    assert ledger(demo) == before


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("L1 x", "after L1 comes how many"),
        ("L9999", "there is no lot L9999"),
        ("1000000014", "its check digit is wrong; did you mean"),
        ("=3", "how many of what?"),
        ("L1 -4", "only 0 of it were counted"),
        ("L1 9999999", "more than 999999 is no count"),
        ("L1 5 ml", "is counted in each, not in ml"),
        ("Cab", "Cab is not in this count of Tyre kit"),
        ("write off", "'write off' is no part of a count"),
        ("pain tablets 500 mg", "there are 3 lots, say which: L50, L51 or L52"),
        ("gearbox", "gearbox"),
    ],
)
def test_bad_lines_are_named_with_file_line_and_value_and_nothing_is_kept(
    demo: Run, tmp_path: Path, line: str, said: str
) -> None:
    (tmp_path / "counted.txt").write_text(f"# morning\n{line}\n", "utf-8")
    done = demo("count", KIT, "--from", "counted.txt", "--yes")
    assert done.returncode == 3
    assert f"counted.txt, line 2, line {line!r}" in done.stderr
    assert said in " ".join(done.stderr.split())
    assert "C1" not in demo("count", "--list").stdout


def test_spreadsheet_lines_with_a_heading_are_taken_too(demo: Run) -> None:
    text = '\ufefflot,quantity\nL1,2\n"tyre patch, round, 45 mm",4\n1000000056;13\nL7\t1\n'
    done = demo("count", KIT, "--format", "json", stdin=text)
    assert done.returncode == 3  # two lots of the patch are in the kit
    assert "there are 2 lots, say which: L3 or L4" in done.stderr
    good = text.replace("tyre patch, round, 45 mm", "penetrating spray, 200 ml can")
    done = demo("count", KIT, "--format", "json", stdin=good)
    found = {row["lot"]: row["counted"] for row in rows(done)}
    assert {lot: found[lot] for lot in ("L1", "L11", "L5", "L7")} == {
        "L1": 2, "L11": 4, "L5": 13, "L7": 1,
    }  # fmt: skip


def test_a_partial_count_leaves_alone_what_nobody_looked_at(demo: Run) -> None:
    done = demo("count", KIT, "--partial", "--yes", "--format", "json", stdin="L6 29\n")
    assert findings(done) == {"L6": "short"}
    assert on_hand(demo, "L5") == {KIT: 13}


def test_nothing_counted_is_no_count(demo: Run) -> None:
    done = demo("count", KIT, "--yes")
    assert done.returncode == 3
    assert "nothing was counted in Tyre kit yet" in done.stderr


def test_an_empty_box_is_counted_by_saying_so(demo: Run) -> None:
    demo("box", "add", "Tin")
    done = demo("count", "Tin", "--yes")
    assert done.returncode == 0
    assert "is closed; nothing to correct" in done.stdout


def test_stock_used_after_it_was_counted_is_no_variance(demo: Run) -> None:
    demo("count", KIT, stdin=ALL_OF_IT)
    assert demo("use", "L6", "-n", "4", "--anyway").returncode == 0
    done = demo("count", KIT, "--finish", "--yes", "--format", "json")
    found = {row["lot"]: row for row in rows(done)}
    assert (found["L6"]["book"], found["L6"]["counted"], found["L6"]["finding"]) == (
        30, 30, "agrees",
    )  # fmt: skip
    assert on_hand(demo, "L6") == {KIT: 26}


def test_stock_that_moved_before_it_was_counted_must_be_counted_again(demo: Run) -> None:
    demo("count", KIT, stdin=ALL_OF_IT.replace("L6 30\n", ""))
    demo("use", "L6", "-n", "4", "--anyway")
    refused = demo("count", KIT, "--finish", "--yes")
    assert refused.returncode == 3
    assert "L6 in Tyre kit: stock of it moved since the count began" in refused.stderr
    assert demo("count", KIT, "--yes", stdin="L6 =26\n").returncode == 0


def test_a_lot_that_was_written_off_and_is_found_again_is_told_so(demo: Run) -> None:
    demo("write-off", "L4", "--reason", "expired", "--yes")
    done = demo("count", KIT, "--yes", stdin=ALL_OF_IT)
    words = " ".join(done.stdout.split())
    assert "found again tyre patch, round, 45 mm L4 0 6 +6" in words
    assert "written off on 25 NOV 2026 (expired), none on hand since" in words


def test_what_the_books_do_not_have_is_written_down_to_be_received(demo: Run) -> None:
    note = "? half a tube of something grey\n4006381333931\n"
    done = demo("count", KIT, "--yes", stdin=ALL_OF_IT + note)
    assert "Still to be received into Tyre kit: half a tube of something grey" in done.stdout
    assert "GTIN 04006381333931" in done.stdout
    assert 'stockcheck receive --box "Tyre kit"' in done.stdout


def test_a_box_with_those_inside_it_is_one_count_where_asked_for(demo: Run) -> None:
    alone = rows(demo("count", "First aid", "--format", "json", stdin="L93 1\n"))
    demo("count", "First aid", "--abandon", "--yes")
    demo("count", "First aid", "--inner", stdin="L93 1\nBurns pouch\nL98 1\n")
    both = rows(demo("count", "First aid", "--show", "--format", "json"))
    assert {row["box"] for row in both} == {"First aid", "Burns pouch"}
    assert len(both) > len(alone) > 0


def test_a_paper_sheet_scans_and_is_entered_by_line_number(demo: Run, tmp_path: Path) -> None:
    done = demo("count", "Medicines", "--sheet", "med.pdf", "--blind")
    assert done.returncode == 0, done.stderr
    pdf = (tmp_path / "med.pdf").read_bytes()
    for dpi in (203, 300):
        codes = [code for page in read_pages(pdf, dpi) for code in page]
        assert len(codes) == 13  # the box and its 12 lots
    entered = "line,quantity\n1,1\n2,30\n3,1\n4,1\n5,1\n6,1\n7,12\n8,40\n9,6\n10,10\n11,1\n12,2\n"
    done = demo("count", "Medicines", "--enter", "--yes", "--format", "csv", stdin=entered)
    assert done.returncode == 0, done.stderr
    found = {row["lot"]: row["finding"] for row in csv.DictReader(StringIO(done.stdout))}
    assert [lot for lot, finding in found.items() if finding != "agrees"] == ["L50"]


def test_stock_used_between_sheet_and_entry_is_to_be_counted_again(demo: Run) -> None:
    demo("count", "Medicines", "--sheet", "med.pdf")
    assert demo("use", "L51", "-n", "2").returncode == 0
    done = demo("count", "Medicines", "--enter", "--format", "json", stdin="7 13\n8 40\n")
    assert {row["lot"]: row["finding"] for row in rows(done) if row["counted"]} == {
        "L50": "agrees", "L51": "count again",
    }  # fmt: skip


def test_a_line_that_the_sheet_does_not_have_is_refused(demo: Run) -> None:
    demo("count", "Medicines", "--sheet", "med.pdf")
    done = demo("count", "Medicines", "--enter", stdin="99 3\n")
    assert done.returncode == 3
    assert "the sheet has no line 99; it has 1 to 12" in done.stderr


def test_the_interval_of_a_box_is_its_own_and_expiry_tells_what_is_overdue(demo: Run) -> None:
    assert "every 30 days" in demo("count", KIT, "--every", "30").stdout
    late = ("--on", "2026-12-27")
    assert "Tyre kit" in demo("count", "--overdue", *late).stdout
    assert "overdue for a count" in " ".join(demo("expiry", *late).stdout.split())
    demo("count", KIT, "--every", "never")
    assert "No box is overdue" in demo("count", "--overdue", *late).stdout
    assert "overdue for a count" not in " ".join(demo("expiry", *late).stdout.split())


@pytest.mark.usefixtures("demo")
def test_a_box_is_worked_with_a_scanner_alone(terminal: Terminal) -> None:
    """Each code as the scanner types it, our action codes among them; a slip is taken back."""
    scans = [f"100000{n}" for n in ("0013", "0013", "0021")]
    answers = [(f"{KIT}> ", scan) for scan in scans]
    answers += [
        (f"{KIT}> ", Action.UNDO.code),
        (f"{KIT}> ", "left"),
        (f"{KIT}> ", Action.DONE.code),
    ]
    code, screen = terminal("count", KIT, answers=[*answers, ("Count the", "n"), ("Post", "n")])
    assert code == 1
    assert "L1 rubber solution, 20 ml tube: 2, books 2" in screen
    assert "Taken back: L2 1" in screen
    assert "7 to find" in screen
    assert "nothing is posted and the count stays open" in " ".join(screen.split())
    code, screen = terminal("count", KIT, answers=[(f"{KIT}> ", "stop")])
    assert code == 0
    assert "1 counted, 7 to find" in screen


def test_a_symbol_that_is_read_twice_in_a_moment_is_counted_once(
    demo: Run, terminal: Terminal
) -> None:
    twice = f"{make_code('lot', 7)}\n{make_code('lot', 7)}"
    code, screen = terminal("count", KIT, answers=[(f"{KIT}> ", twice), ("taken once", "stop")])
    assert code == 0
    assert "Read twice in a moment, and taken once" in screen
    shown = {row["lot"]: row["counted"] for row in rows(demo("count", KIT, "--show", *JSON))}
    assert shown["L7"] == 1


@pytest.mark.usefixtures("demo")
def test_bytes_that_are_no_text_are_told_and_the_count_goes_on(terminal: Terminal) -> None:
    code, screen = terminal("count", KIT, answers=[(f"{KIT}> ", "\udcff"), ("\\xff", "stop")])
    assert (code, "kept" in screen) == (0, True), screen


@pytest.mark.usefixtures("demo")
def test_an_interrupted_count_goes_on_where_it_was_left(terminal: Terminal) -> None:
    code, screen = terminal(
        "count", KIT, answers=[(f"{KIT}> ", "L1 2"), (f"{KIT}> ", "L3")], interrupt_at="books 10"
    )
    assert code == 130
    assert "2 lines are kept" in screen
    code, screen = terminal("count", KIT, answers=[(f"{KIT}> ", "9"), (f"{KIT}> ", "stop")])
    assert "2 counted, 6 to find" in screen
    assert "how many of what?" in screen


@pytest.mark.usefixtures("demo")
def test_what_differs_is_counted_again_before_it_is_posted(terminal: Terminal) -> None:
    lines = ALL_OF_IT.replace("L6 30", "L6 20").split("\n")[:-1]
    answers = [(f"{KIT}> ", line) for line in [*lines, "done"]]
    again = [("Count the line that differs", "y"), ("counted 20. Now", "30")]
    code, screen = terminal("count", KIT, answers=[*answers, *again])
    assert code == 0
    assert "is closed; nothing to correct" in screen


def test_a_blind_count_hides_what_the_books_expect_until_the_end(
    demo: Run, terminal: Terminal
) -> None:
    answers = [(f"{KIT}> ", line) for line in ("L6 29", "left", "list", "stop")]
    code, screen = terminal("count", KIT, "--blind", answers=answers)
    assert code == 0
    assert "L6 plug strings, brown, 100 mm: 29\n" in screen
    assert "books" not in screen.replace("that the books have", "")
    assert "L5 plug strings, brown, 100 mm\n" in screen
    shown = rows(demo("count", KIT, "--show", "--format", "json"))
    assert {row["book"] for row in shown} == {None}
    assert {row["finding"] for row in shown} == {"counted", "to count"}


def test_two_people_count_one_box_and_the_list_names_both(demo: Run) -> None:
    demo("count", KIT, "--by", "Nina", stdin="L6 20\n")
    done = demo("count", KIT, "--by", "Omar", "--partial", stdin="L6 10\n")
    assert "counted by Nina, Omar" in done.stdout
    assert "Everything agrees" in done.stdout


def test_a_closed_count_is_shown_as_it_closed(demo: Run) -> None:
    demo("count", KIT, "--yes", stdin=ALL_OF_IT.replace("L6 30", "L6 29"))
    demo("use", "L5", "-n", "2")
    shown = demo("count", KIT, "--show").stdout
    assert "closed 25 NOV 2026" in shown
    assert "short" in shown
    assert demo("count", KIT, "--abandon", "--yes").returncode == 3


def test_a_killed_count_keeps_every_line_that_was_answered(demo: Run, tmp_path: Path) -> None:
    """The process is killed at once after a line is answered, as by an empty battery."""
    ours, theirs = pty.openpty()
    child = subprocess.Popen(
        [COMMAND, "count", KIT], cwd=tmp_path, env=person(tmp_path / "stock.db"),
        stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True,
    )  # fmt: skip
    os.close(theirs)
    seen = b""
    for line, answer in (("L1 2", b"books 2"), ("L3 9", b"books 10")):
        os.write(ours, f"{line}\n".encode())
        while answer not in seen:
            seen += os.read(ours, 4096)
    child.kill()
    child.wait(timeout=30)
    os.close(ours)
    counted = {row["lot"]: row["counted"] for row in rows(demo("count", KIT, "--show", *JSON))}
    assert (counted["L1"], counted["L3"], counted["L5"]) == (2, 9, None)


def test_a_blind_count_asks_again_before_it_shows_the_books(demo: Run, terminal: Terminal) -> None:
    demo("count", KIT, "--blind", stdin=ALL_OF_IT.replace("L6 30", "L6 29"))
    answers = [("> ", "done"), ("again?", "y"), ("counted 29. Now", "30")]
    code, screen = terminal("count", KIT, answers=answers)
    assert code == 0
    before, _, after = screen.partition("counted 29. Now")
    assert "short" not in before
    assert "nothing to correct" in after


def test_a_scanner_alone_ends_a_count_with_done(demo: Run, terminal: Terminal) -> None:
    demo("count", KIT, stdin=ALL_OF_IT.replace("L6 30", "L6 29"))
    done = Action.DONE.code
    code, screen = terminal("count", KIT, answers=[("> ", done), ("again?", done), ("Post", done)])
    assert code == 0
    assert "corrected by M" in screen
    assert on_hand(demo, "L6") == {KIT: 29}
    assert "last counted 25 NOV 2026" in demo("box", "show", KIT).stdout


def test_the_variance_list_prints_as_pdf(demo: Run, tmp_path: Path) -> None:
    assert demo("count", KIT, "--format", "pdf", stdin="L6 29\n").returncode == 2
    assert "C1" not in demo("count", "--list").stdout
    done = demo("count", KIT, "--format", "pdf", "--output", "v.pdf", stdin="L6 29\n")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "v.pdf").read_bytes().startswith(b"%PDF")


def test_a_sheet_is_entered_line_by_line_at_a_terminal(demo: Run, terminal: Terminal) -> None:
    demo("count", "Water", "--sheet", "water.pdf")
    lines = [("   1  L108", "1"), ("   2  L109", "x"), ("   2  L109", "1"), ("   3  L105", "")]
    answers = [*lines, ("   4  L106", "stop")]
    code, screen = terminal("count", "Water", "--enter", answers=answers)
    assert code == 0
    assert "2 lines are kept" in screen
    shown = rows(demo("count", "Water", "--show", *JSON))
    assert {row["lot"]: row["counted"] for row in shown if row["counted"] is not None} == {
        "L108": 1, "L109": 1,
    }  # fmt: skip
