"""Answers at questions, and lines of sessions, are held to what options are held to.

Where somebody is there to answer, what cannot be kept is said and asked again. For the sources of
the texts see test_hostile_text.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from hostile import KEPT, REFUSED, steers

Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]
TURNED, HIDDEN, LONG = "gauze \u202egnp.exe", "gau\u200bze", "gauze " * 400


def test_who_looked_and_the_note_of_a_look_are_asked_again(demo: Run, terminal: Terminal) -> None:
    answers = [
        *(("[y/n]", "y"), ("[y/n]", "y"), ("Who", TURNED), ("Who", "Nina")),
        *(("Note", HIDDEN), ("Note", LONG), ("Note", "still soft")),
    ]
    code, screen = terminal("inspect", "L22", answers=answers)
    assert code == 0, screen
    told = " ".join(screen.split())
    for bad in ("U+202E", "U+200B", "Keep to 2000 characters"):
        assert bad in told
    assert "still soft" in demo("why", "L22").stdout + demo("history", "L22").stdout


def test_the_reason_of_a_decision_is_asked_again(demo: Run, terminal: Terminal) -> None:
    answers = [("Which", "1"), ("Why", TURNED), ("Why", "dried up"), ("Which", "0")]
    code, screen = terminal("decide", "Electrical", "--again", "--on", "2028-11-25",
                            answers=answers)  # fmt: skip
    assert code == 0, screen
    assert "U+202E" in screen
    assert demo("history").returncode == 0


def test_who_did_a_round_its_seal_and_note_are_asked_again(demo: Run, terminal: Terminal) -> None:
    who = [("Who looked", TURNED), ("Who looked", "x" * 130), ("Who looked", "Нина")]
    more = [("Seal", HIDDEN), ("Seal", "0417"), ("Last used", ""), ("Note", LONG), ("Note", "")]
    words = ["round", "do", "Medicines", "--list", "us-red-cross-family-of-four", "--as-booked"]
    code, screen = terminal(*words, answers=[*who, *more])
    assert code == 0, screen
    rows = json.loads(demo("round", "history", "--format", "json").stdout)["rows"]
    assert "Нина" in json.dumps(rows, ensure_ascii=False)


def test_a_batch_at_the_form_of_an_arrival_is_asked_again(demo: Run, terminal: Terminal) -> None:
    answers = [
        *(("The box", TURNED), ("The box", "Water"), ("The item", "I70"), ("How many", "2")),
        *(("date as printed", "EXP 11/2028"), ("Bought on", ""), ("batch", TURNED)),
        ("batch", "B7"),
    ]
    code, screen = terminal("receive", answers=answers)
    assert code == 0, screen
    assert "U+202E" in screen
    assert demo("find", "B7").stdout.count("B7")


LINES = [
    text.replace("\r\n\t", " ").encode("utf-8", "surrogatepass")
    for text in (*REFUSED.values(), *KEPT.values(), LONG * 5, "L50 " + "9" * 400)
] + [b"\xff\xfe\x00", b"\x00", b"L50\x00", b"note \x1b[2J", b"(10)\x1d\x1d(17)"]


@pytest.mark.parametrize(
    "words",
    [["scan"], ["scan", "--session", "--box", "Water"], ["count", "Water", "--by", "Ana"],
     ["count", "Water", "--from", "-"], ["scan", "--format", "csv"], ["scan", "--format", "json"]],
    ids=" ".join,
)  # fmt: skip
def test_no_line_of_a_session_steers_a_terminal_or_is_kept(
    demo: Run, tmp_path: Path, words: list[str]
) -> None:
    before = (tmp_path / "stock.db").read_bytes()
    done = demo(*words, stdin=b"\n".join(LINES) + b"\n")
    assert done.returncode in {0, 3}, done.stderr
    assert "please report" not in done.stdout + done.stderr
    shown = done.stdout.replace("\r\n", "\n")
    assert not steers(shown), sorted(set(steers(shown)))
    assert not steers(done.stderr)
    if words[0] == "scan" or done.returncode == 3:
        assert (tmp_path / "stock.db").read_bytes() == before


@pytest.mark.parametrize("line", [b"note gauze \xe2\x80\xae", b"note " + b"gauze " * 1700])
def test_a_note_of_a_count_is_words_like_any_other(demo: Run, tmp_path: Path, line: bytes) -> None:
    before = (tmp_path / "stock.db").read_bytes()
    done = demo("count", "Water", "--from", "-", stdin=line + b"\n")
    assert done.returncode == 3, (done.stdout, done.stderr)
    assert (tmp_path / "stock.db").read_bytes() == before
