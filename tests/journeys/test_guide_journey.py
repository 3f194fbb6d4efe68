"""Somebody on the way has a question: the guide answers, with or without a store, on any screen."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from stockcheck.data.guide import TOPICS, question

COMMAND = Path(sys.executable).with_name("stockcheck")
Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]


def test_without_a_topic_it_lists_them_each_with_its_question(demo: Run) -> None:
    listed = demo("guide").stdout
    begun = [line.split()[0] for line in listed.splitlines() if line.startswith("  ")]
    assert [word for word in begun if word in TOPICS] == list(TOPICS)
    words = " ".join(listed.split())
    assert all(question(topic) in words for topic in TOPICS)
    assert listed.count("\n") < 24


def test_it_needs_no_store_and_makes_none(demo: Run, tmp_path: Path) -> None:
    done = demo("--store", "nowhere/none.db", "guide", "heat")
    assert done.returncode == 0
    assert "can I believe the estimate?" in done.stdout
    assert not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize(("typed", "topic"), [("HEAT", "heat"), ("restock", "buying")])
def test_case_does_not_matter_and_a_command_leads_to_its_topic(
    demo: Run, typed: str, topic: str
) -> None:
    assert demo("guide", typed).stdout == demo("guide", topic).stdout


@pytest.mark.parametrize(
    ("typed", "told"),
    [("dats", "did you mean 'dates'"), ("restok", "'restock'"), ("xyzzy", "lists them")],
)
def test_a_mistyped_topic_tells_the_nearest(demo: Run, typed: str, told: str) -> None:
    done = demo("guide", typed)
    assert done.returncode == 2
    assert f"there is no topic '{typed}'" in done.stderr
    assert told in done.stderr


def test_a_page_that_the_screen_cannot_hold_goes_through_the_pager(terminal: Terminal) -> None:
    code, screen = terminal("guide", "dates", PAGER="cat -n", LINES="24")
    assert code == 0
    assert screen.splitlines()[0].split()[0] == "1"
    assert "When not to believe this" in screen


def test_what_the_screen_can_hold_does_not(terminal: Terminal) -> None:
    for words, lines in ((["guide"], "24"), (["guide", "dates"], "400")):
        code, screen = terminal(*words, PAGER="cat -n", LINES=lines)
        assert code == 0
        assert not screen.lstrip().startswith("1")


def test_headings_are_bold_at_a_terminal_unless_no_colour_is_wanted(terminal: Terminal) -> None:
    bold = "\x1b[1m"
    assert bold in terminal("guide", "dates", LINES="400")[1]
    assert bold not in terminal("guide", "dates", LINES="400", NO_COLOR="1")[1]


def test_a_pipe_that_closes_early_is_no_error() -> None:
    done = subprocess.run(
        ["bash", "-o", "pipefail", "-c", f"{COMMAND} guide views | head -1"],
        capture_output=True, check=False, encoding="utf-8",
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")


def test_a_shell_completes_the_topics_with_their_questions(demo: Run) -> None:
    asked = {"_STOCKCHECK_COMPLETE": "zsh_complete", "COMP_WORDS": "stockcheck guide c"}
    told = demo(COMP_CWORD="2", **asked).stdout
    assert "counting" in told
    assert question("carry") in told.replace("\\", "")
    assert "dates" not in told


def test_all_pages_are_one_file_for_a_phone(demo: Run, tmp_path: Path) -> None:
    assert demo("guide", "--format", "html", "--output", "guide.html").returncode == 0
    text = (tmp_path / "guide.html").read_text("utf-8")
    assert all(f'<a href="#{topic}">' in text and f'id="{topic}"' in text for topic in TOPICS)
    assert "<script" not in text
    assert "default-src 'none'" in text
    assert "&lt;7&gt;" in text  # of USP <7>: words are never markup
    one = demo("guide", "heat", "--format", "html").stdout
    assert "<h1>What does heat do" in one
    assert "<nav" not in one
