"""A round and a match at a terminal: what is asked, what may be answered, and breaking off."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from typing import Any

Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]
VEHICLE, BOX = "de-din-13164-2022", "First aid"
DO = ["round", "do", BOX, "--list", VEHICLE]
LABEL_OF_L66, LABEL_OF_L84, LABEL_OF_L1 = "1000000667", "1000000843", "1000000013"
WHO = [("Who looked", "Nina"), ("Seal", "0417"), ("Last used", ""), ("Note", "")]


def rounds(run: Run) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(run("round", "history", "--format", "json").stdout)[
        "rows"
    ]
    return found


def test_a_round_by_scanner_and_keyboard(demo: Run, terminal: Terminal) -> None:
    """A scanned label or Enter is as booked, a number so many, dN damaged; all takes the rest."""
    answers = [
        ("L66 ", LABEL_OF_L66),
        ("L84 ", ""),
        ("L67 ", "seven"),
        ("L67 ", "7 d1"),
        ("L68 ", LABEL_OF_L1),
        ("how many of L1", "2"),
        ("L68 ", "?"),
        ("L68 ", "all"),
        ("Who looked", "Нина"),
        ("Seal", "0417"),
        ("Last used", "2026-13-01"),
        ("Last used", "2026-11-01"),
        ("Note", "torn strap"),
        ("Set the books", "y"),
    ]
    code, screen = terminal(*DO, answers=answers)
    assert code == 0, screen
    assert "'seven' is no lot of this store" in screen
    [done] = rounds(demo)
    assert (done["checked_by"], done["seal"], done["last_used"], done["note"]) == (
        "Нина",
        "0417",
        "2026-11-01",
        "torn strap",
    )
    seen = {it["lot"]: (it["booked"], it["found"], it["damaged"]) for it in done["seen"]}
    assert (seen["L66"], seen["L67"], seen["L1"]) == ((1, 1, 0), (8, 7, 1), (0, 2, 0))
    audited = json.loads(demo("audit", BOX, "--list", VEHICLE, "--format", "json").stdout)["rows"]
    assert next(row for row in audited if row["line"] == "Wound plaster")["usable"] == 7


def seen_of(done: dict[str, Any]) -> dict[str, tuple[int, int, int]]:
    """Of each lot how many by the books, how many found and how many damaged."""
    return {it["lot"]: (it["booked"], it["found"], it["damaged"]) for it in done["seen"]}


def test_a_round_that_is_broken_off_keeps_its_answers_and_goes_on(
    demo: Run, terminal: Terminal
) -> None:
    code, screen = terminal(
        *DO, answers=[("L66 ", "0"), ("L84 ", f"{LABEL_OF_L1} 2")], interrupt_at="L84 "
    )
    assert code == 130, screen
    told = " ".join(screen.split())
    assert "not recorded yet, 2 answers are kept: 'stockcheck round do B12'" in told
    assert "nothing was changed" not in told
    assert rounds(demo) == []
    code, screen = terminal(
        *DO, answers=[("Go on with it?", ""), ("L84 ", "all"), *WHO, ("Set the books", "n")]
    )
    assert code == 0, screen
    assert "broken off on 25 NOV 2026; 2 answers are kept" in " ".join(screen.split())
    assert "L66 adhesive" not in screen
    [done] = rounds(demo)
    assert (seen_of(done)["L66"], seen_of(done)["L1"]) == ((1, 0, 0), (0, 2, 0))
    code, screen = terminal(*DO, interrupt_at="L66 ")
    assert (code, "Go on with it" in screen) == (130, False)


def test_an_answer_that_the_books_have_overtaken_is_asked_again(
    demo: Run, terminal: Terminal
) -> None:
    terminal(*DO, answers=[("L66 ", ""), ("L84 ", "1"), ("L67 ", "8")], interrupt_at="L68 ")
    assert demo("use", "L67", "-n", "2").returncode == 0
    code, screen = terminal(
        *DO, answers=[("Go on with it?", "y"), ("L67 ", "6"), ("L68 ", "all"), *WHO]
    )
    assert code == 0, screen
    assert "changed since for 1 of them: asked again" in " ".join(screen.split())
    assert seen_of(rounds(demo)[0])["L67"] == (6, 6, 0)


def test_answers_of_another_day_count_only_where_the_person_says_so(
    demo: Run, terminal: Terminal
) -> None:
    """A record of a day is not to hold what was looked at weeks before."""
    later = ("--on", "2026-12-20", "--by", "Nina", "--as-booked")
    terminal(*DO, answers=[("L66 ", "0")], interrupt_at="L84 ")
    done = demo(*DO, *later)
    assert done.returncode == 0, done.stderr
    assert "1 answer is kept, and no longer count" in " ".join(done.stderr.split())
    assert seen_of(rounds(demo)[0])["L66"] == (1, 1, 0)


def test_the_last_answer_can_be_taken_back(demo: Run, terminal: Terminal) -> None:
    answers = [
        ("L66 ", "undo"),
        ("L66 ", "0"),
        ("L84 ", "undo"),
        ("L66 ", ""),
        ("L84 ", "L67 7 d1"),
        ("L84 ", "all"),
    ]
    code, screen = terminal(*DO, answers=[*answers, *WHO, ("Set the books", "n")])
    assert code == 0, screen
    assert "nothing was answered yet" in screen
    seen = seen_of(rounds(demo)[0])
    assert (seen["L66"], seen["L67"]) == ((1, 1, 0), (8, 7, 1))


def test_labels_scanned_in_any_order_never_become_a_count(demo: Run, terminal: Terminal) -> None:
    answers = [
        ("L66 ", LABEL_OF_L84),
        ("L66 ", LABEL_OF_L1),
        ("how many of L1", LABEL_OF_L66),
        ("how many of L1", "3"),
        ("L66 ", "all"),
    ]
    code, screen = terminal(*DO, answers=[*answers, *WHO])
    assert code == 0, screen
    seen = seen_of(rounds(demo)[0])
    assert (seen["L84"], seen["L1"], seen["L66"]) == ((1, 1, 0), (0, 3, 0), (1, 1, 0))


def test_a_round_from_piped_lines_is_taken_whole_or_not_at_all(demo: Run) -> None:
    wrong = demo(*DO, "--by", "Nina", stdin="L66 0\nL999 1\nL67 3 d4\nall\n")
    assert wrong.returncode == 3
    told = " ".join(wrong.stderr.split())
    assert "standard input, line 2" in told
    assert "standard input, line 3" in told
    assert rounds(demo) == []
    lines = f"# at the box\nL66 0\n{LABEL_OF_L84}\nL67; 7 d1\n{LABEL_OF_L1}, 2\nall\n"
    done = demo(*DO, "--by", "Nina", stdin=lines)
    assert done.returncode == 0, done.stderr
    seen = seen_of(rounds(demo)[0])
    assert (seen["L66"], seen["L84"], seen["L67"]) == ((1, 0, 0), (1, 1, 0), (8, 7, 1))
    assert seen["L1"] == (0, 2, 0)


def test_leaving_at_the_last_question_leaves_the_record(demo: Run, terminal: Terminal) -> None:
    code, screen = terminal(
        *DO, answers=[("L66 ", "0"), ("L84 ", "all"), *WHO], interrupt_at="Set the books"
    )
    assert code == 0, screen
    assert "Round 1: audit of First aid" in screen
    assert len(rounds(demo)) == 1


def test_the_books_stay_where_they_are_not_to_be_set(demo: Run, terminal: Terminal) -> None:
    answers = [("L66 ", "0"), ("L84 ", "all"), *WHO, ("Set the books", "n")]
    code, screen = terminal(*DO, answers=answers)
    assert code == 0
    assert "stockcheck correct L66 --box B12 --count 0" in " ".join(screen.split())
    assert len(rounds(demo)) == 1


def test_matching_by_hand_shows_what_serves_what_and_asks(demo: Run, terminal: Terminal) -> None:
    code, screen = terminal(
        "audit", BOX, "--list", VEHICLE, "--match",
        answers=[
            ("Number of the item", "99"),
            ("Number of the item", "1"),
            ("Line for", "19"),
            ("Does ", "y"),
            ("Why", "will do"),
            ("Number of the item", ""),
        ],
    )  # fmt: skip
    assert code == 0, screen
    assert "there is no item 99 above" in screen
    [said] = json.loads(demo("kit-lists", "matches", "--format", "json").stdout)["rows"]
    assert (said["line"], said["serves"], said["note"]) == ("Wet wipe", True, "will do")


def test_without_a_terminal_matching_only_shows(demo: Run) -> None:
    done = demo("audit", BOX, "--list", VEHICLE, "--match")
    assert done.returncode == 0, done.stderr
    told = " ".join(done.stdout.split())
    assert "wet wipe, skin: Wet wipe (undated)" in told
    assert "dressing cloth, 40 x 60 cm: Dressing cloth 60 x 80 cm (wrong size)" in told
    assert "first-aid scissors: First aid scissors (" not in told
    assert "kit-lists match LIST LINE ITEM" in done.stderr
