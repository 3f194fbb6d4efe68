"""Looking at old stock: the kind's own questions, what a pass gives, and what a fail ends."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]
PUTTY = [("[y/n]", "y"), ("[y/n]", "y"), ("Who looked", "Nina"), ("Note", "hard as new")]


def row(run: Run, lot: str) -> dict[str, Any]:
    rows: list[dict[str, Any]] = json.loads(run("expiry", "--format", "json").stdout)["rows"]
    return next(each for each in rows if each["lot"] == lot)


def plain(text: str) -> str:
    return " ".join(text.split())


def test_the_questions_of_the_kind_are_asked_and_a_pass_extends(
    demo: Run, terminal: Terminal
) -> None:
    assert row(demo, "L22")["status"] == "expired"
    code, screen = terminal("inspect", "L22", answers=PUTTY)
    assert code == 0
    assert "a pass on 25 NOV 2026 makes it good through 25 NOV 2027" in plain(screen)
    assert "Does the stick knead soft, without a hard core, skin or crumbs? [y/n]" in screen
    assert "good through 25 NOV 2027" in screen
    assert "1 more extension by inspection" in screen
    assert "Caution: Chemicals" in screen
    found = row(demo, "L22")
    assert (found["status"], found["governed_by"]) == ("in date", "inspected")
    why = plain(demo("why", "L22").stdout)
    assert "inspected 25 NOV 2026 by Nina, passed: good 12 months more" in why
    assert "shelf limit (superseded by an inspection)" in why
    assert demo("undo").returncode == 0
    assert row(demo, "L22")["status"] == "expired"
    assert "Nina" not in demo("why", "L22").stdout


def test_one_no_is_a_fail_which_ends_the_lot(demo: Run, terminal: Terminal) -> None:
    answers = [("[y/n]", "y"), ("[y/n]", "n"), ("Write that down?", "y"), *PUTTY[2:]]
    code, screen = terminal("inspect", "L22", answers=answers)
    assert code == 0
    assert "FAILED on 25 NOV 2026" in screen
    assert 'stockcheck write-off L22 --reason "failed inspection"' in screen
    history = json.loads(demo("history", "L22", "--format", "json").stdout)["rows"]
    assert history[-1]["reason"] == (
        "FAILED: no to: Did a kneaded pea of it set hard on a scrap in its stated time? hard as new"
    )
    assert row(demo, "L22")["advice"] == "failed inspection; do not use, write off"
    again = demo("inspect", "L22", "--pass")
    assert again.returncode == 3
    assert "one fail ends the lot" in again.stderr
    refused = demo(
        "decide", "Sealants and adhesives", "--lot", "L22", "--as", "last resort"
    )  # fmt: skip
    assert refused.returncode == 3
    assert "it failed inspection" in refused.stderr


def test_a_fail_may_be_taken_back_before_it_is_written(demo: Run, terminal: Terminal) -> None:
    assert row(demo, "L22")["status"] == "expired"
    answers = [("[y/n]", "n"), ("[y/n]", "y"), ("Write that down?", "n")]
    code, screen = terminal("inspect", "L22", answers=answers)
    assert code == 1
    assert "left as it was" in screen
    assert "inspected" not in demo("history", "L22").stdout


def test_enter_alone_answers_no_question(demo: Run, terminal: Terminal) -> None:
    assert row(demo, "L22")["status"] == "expired"
    answers = [("[y/n]", ""), ("Error", "y"), ("[y/n]", "y"), *PUTTY[2:]]
    assert terminal("inspect", "L22", answers=answers)[0] == 0


def test_ctrl_c_at_a_question_writes_nothing(demo: Run, terminal: Terminal) -> None:
    assert row(demo, "L22")["status"] == "expired"
    code, screen = terminal("inspect", "L22", interrupt_at="[y/n]")
    assert code == 130
    assert "nothing was changed" in screen
    assert "inspected" not in demo("history", "L22").stdout


@pytest.mark.parametrize(
    ("lot", "said"),
    [
        ("L58", "a safety date is never extended: discard it by its date"),
        ("L24", "discard it by its date"),
        ("L9999", "there is no lot 'L9999'"),
    ],
)
def test_what_is_never_inspected_is_refused_before_anything_is_asked(
    demo: Run, terminal: Terminal, lot: str, said: str
) -> None:
    done = demo("inspect", lot, "--pass")
    assert (done.returncode, done.stdout) == (3, "")
    assert said in plain(done.stderr)
    code, screen = terminal("inspect", lot)
    assert code == 3
    assert "[y/n]" not in screen


def test_a_look_that_extends_nothing_says_so(demo: Run) -> None:
    done = demo("inspect", "L34", "--pass", "--by", "Ana", "--note", "dry")
    assert done.returncode == 0
    assert "a pass says that it looked right that day, and no more" in plain(done.stdout)
    assert row(demo, "L34")["governed_by"] == "printed"


def test_extensions_are_counted_and_run_out(demo: Run) -> None:
    days = ("2026-11-25", "2027-11-20")
    for day in days:
        assert demo("inspect", "L22", "--pass", "--on", day).returncode == 0
    why = plain(demo("why", "L22", "--on", "2027-11-20").stdout)
    assert "2 of 2 extensions used" in why
    third = demo("inspect", "L22", "--pass", "--on", "2028-11-01")
    assert third.returncode == 3
    assert "2 of 2 extensions used" in plain(third.stderr)
    assert demo("inspect", "L22", "--fail", "--on", "2028-11-01").returncode == 0


def test_a_kind_without_questions_is_asked_the_plain_one(demo: Run, terminal: Terminal) -> None:
    demo("item", "add", "silver tablet", "--kind", "silver-tablets", "--unit", "tablet")
    taken = demo("receive", "--box", "Water", "--item", "silver tablet", "--quantity", "9",
                 "--expiry", "EXP 01/2026", "--yes")  # fmt: skip
    assert taken.returncode == 0, taken.stderr
    answers = [("Does silver tablet look and work as it should?", "y"), *PUTTY[2:]]
    code, screen = terminal("inspect", "L116", answers=answers)
    assert code == 0, screen


def test_nobody_can_be_asked_without_a_terminal(demo: Run) -> None:
    done = demo("inspect", "L22")
    assert done.returncode == 1
    assert "give --pass or --fail" in done.stderr


def test_what_is_used_up_cannot_be_inspected(demo: Run) -> None:
    demo("correct", "L22", "--count", "0")
    done = demo("inspect", "L22", "--pass")
    assert done.returncode == 3
    assert "none on hand to inspect" in done.stderr
