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


def test_a_round_that_is_broken_off_records_nothing_and_tells_how_to_go_on(
    demo: Run, terminal: Terminal
) -> None:
    code, screen = terminal(*DO, answers=[("L66 ", "0")], interrupt_at="L84 ")
    told = " ".join(screen.split())
    assert code == 130, screen
    assert "not recorded" in told
    assert "stockcheck round do 'First aid' --list de-din-13164-2022 --found L66=0" in told
    assert rounds(demo) == []
    done = demo(*DO, "--found", "L66=0", "--by", "Nina", "--as-booked")
    assert done.returncode == 0, done.stderr


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
    assert "wet wipe, skin: Wet wipe" in done.stdout
    assert "kit-lists match LIST LINE ITEM" in done.stderr
