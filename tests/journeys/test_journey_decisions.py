"""Going through a box item by item: each decision is kept at once, and the round can be left."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]
BOX = "Sealants and adhesives"
REPLACE = [("Which", "1"), ("Why", "dried up")]
WRITE_OFF_GLASS = [("Which", "2"), ("Why", "")]  # the second of the round cannot be inspected


def rows(run: Run, *words: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(run(*words, "--format", "json").stdout)["rows"]
    return found


def plain(text: str) -> str:
    return " ".join(text.split())


def reasons(run: Run, lot: str) -> list[str]:
    return [each["reason"] for each in rows(run, "history", lot)]


def test_a_round_is_left_after_two_and_taken_up_where_it_was(demo: Run, terminal: Terminal) -> None:
    assert demo("box", "list").returncode == 0
    code, screen = terminal("decide", BOX, answers=[*REPLACE, *WRITE_OFF_GLASS, ("Which", "0")])
    assert code == 0
    assert "1 of 9" in screen
    assert f'2 decided and kept, 7 still wait: stockcheck decide "{BOX}"' in plain(screen)
    code, screen = terminal("decide", BOX, answers=[("Which", "0")])
    assert code == 0
    assert "1 of 7" in screen
    asked = terminal("decide", BOX, "--again", answers=[("Which", "0")])[1]
    assert "1 of 8" in asked  # what was written off is no longer there


def test_ctrl_c_keeps_what_was_decided(demo: Run, terminal: Terminal) -> None:
    assert demo("box", "list").returncode == 0
    code, screen = terminal("decide", BOX, answers=REPLACE, interrupt_at="2 of 9")
    assert code == 130
    assert "1 decided and kept, 8 still wait" in plain(screen)
    assert "nothing was changed" not in screen
    assert reasons(demo, "L22")[-1] == "to be replaced: dried up"
    assert "1 of 8" in terminal("decide", BOX, answers=[("Which", "0")])[1]


def test_one_may_be_left_for_later_and_enter_decides_nothing(demo: Run, terminal: Terminal) -> None:
    waiting = [r for r in rows(demo, "expiry", "--box", "Electrical") if r["status"] != "in date"]
    assert waiting == []
    assert "Nothing in Electrical waits for a decision." in demo("decide", "Electrical").stdout
    code, screen = terminal("decide", BOX, answers=[("Which", ""), ("Which", "6"), ("2 of 9", "0")])
    assert code == 0
    assert "0 decided and kept, 9 still wait" in plain(screen)


def test_a_look_in_the_round_asks_the_kinds_questions(demo: Run, terminal: Terminal) -> None:
    assert demo("box", "list").returncode == 0
    look = [("Which", "2"), ("[y/n]", "y"), ("[y/n]", "y"), ("Who", "Nina"), ("Note", "")]
    code, screen = terminal("decide", BOX, answers=[*look, ("2 of 9", "0")])
    assert code == 0
    assert "passed on 25 NOV 2026" in screen
    assert "1 decided and kept" in plain(screen)
    assert next(r for r in rows(demo, "expiry") if r["lot"] == "L22")["status"] == "in date"


def test_after_a_failed_look_it_is_asked_what_then(demo: Run, terminal: Terminal) -> None:
    assert demo("box", "list").returncode == 0
    look = [("Which", "2"), ("[y/n]", "n"), ("[y/n]", "y"), ("Write that down?", "y")]
    then = [("Who", ""), ("Note", ""), ("What then?", "2"), ("Why", "crumbs"), ("2 of 9", "0")]
    code, screen = terminal("decide", BOX, answers=[*look, *then])
    assert code == 0
    _, _, after = screen.partition("What then?")
    offered, _, _ = after.partition("Which")
    assert "inspect it now" not in offered
    assert "last resort" not in offered
    assert "2 written off" in plain(screen)
    assert [r for r in rows(demo, "expiry") if r["lot"] == "L22"] == []


def test_a_danger_is_not_even_offered_as_a_last_resort(demo: Run, terminal: Terminal) -> None:
    """The medicines are eye drops and a cream past their opened lives, salts, a nameless bottle."""
    assert demo("box", "list").returncode == 0
    code, screen = terminal("decide", "Medicines", answers=[("Which", "0")])
    assert code == 0
    assert "last resort" not in screen
    assert "Caution: Medicines" in screen
    for lot in ("L58", "L57", "L32"):
        refused = demo("decide", "Medicines", "--lot", lot, "--as", "last resort")
        assert refused.returncode == 3, lot
        assert refused.stdout == ""


def test_a_last_resort_is_kept_and_never_counted(demo: Run) -> None:
    done = demo("decide", "Fluids", "--lot", "L43", "--as", "last resort", "--reason", "smooth")
    assert done.returncode == 0, done.stderr
    assert "stockcheck labels L43" in plain(done.stdout)
    assert "takes it back" in done.stdout
    assert "Caution: Chemicals" in done.stdout
    assert next(r for r in rows(demo, "expiry") if r["lot"] == "L43")["status"] == "last resort"
    assert demo("labels", "L43", "--output", "last.pdf").returncode == 0
    assert demo("use", "L43").returncode == 3
    assert demo("undo").returncode == 0
    assert next(r for r in rows(demo, "expiry") if r["lot"] == "L43")["status"] == "expired"


def test_to_replace_puts_the_item_on_the_restock_list(demo: Run) -> None:
    """Nothing asks for the epoxy putty of the tray but a new par level."""
    known = next(r["par"] for r in rows(demo, "par", "list") if "epoxy putty" in r["wants"])
    assert demo("par", "retire", known).returncode == 0
    asked = {r["item"] for r in rows(demo, "restock", "--trip", "Spring count")}
    assert "epoxy putty stick, 57 g" not in asked
    done = demo("decide", BOX, "--lot", "L22", "--as", "replace", "--reason", "dried")
    assert done.returncode == 0, done.stderr
    assert "New par level P" in plain(done.stdout)
    need = next(r for r in rows(demo, "restock", "--trip", "Spring count")
                if r["item"] == "epoxy putty stick, 57 g")  # fmt: skip
    assert (need["box"], need["needed"]) == (BOX, 2)
    again = demo("decide", BOX, "--lot", "L22", "--as", "replace")
    assert "so restock lists what is short of that" in plain(again.stdout)


def test_what_is_no_longer_carried_goes_with_its_par_level(demo: Run) -> None:
    known = next(r["par"] for r in rows(demo, "par", "list") if "epoxy putty" in r["wants"])
    done = demo("decide", BOX, "--lot", "L22", "--as", "no longer carried", "--reason", "welded")
    assert done.returncode == 0, done.stderr
    assert f"Par level {known} (essential) is dropped" in plain(done.stdout)
    assert "Disposal:" in done.stdout
    assert known not in {r["par"] for r in rows(demo, "par", "list")}
    assert reasons(demo, "L22")[-1] == "welded"
    assert demo("undo").returncode == 0
    assert next(r for r in rows(demo, "expiry") if r["lot"] == "L22")["quantity"] == 2


def test_a_write_off_says_whether_another_is_asked_for(demo: Run) -> None:
    done = demo("decide", BOX, "--lot", "L22", "--as", "write off")
    assert "asks for another one" in plain(done.stdout)
    assert reasons(demo, "L22")[-1] == "expired"


def test_undone_the_decision_is_asked_for_again(demo: Run, terminal: Terminal) -> None:
    assert demo("decide", BOX, "--lot", "L22", "--as", "replace").returncode == 0
    assert "1 of 8" in terminal("decide", BOX, answers=[("Which", "0")])[1]
    assert demo("undo").returncode == 0
    assert "1 of 9" in terminal("decide", BOX, answers=[("Which", "0")])[1]


def test_what_was_due_when_decided_is_asked_again_once_it_is_past(
    demo: Run, terminal: Terminal
) -> None:
    assert demo("box", "list").returncode == 0
    due = next(r for r in rows(demo, "expiry", "--status", "due") if r["box"] == BOX)
    done = demo("decide", BOX, "--lot", due["lot"], "--as", "replace")
    assert done.returncode == 0, done.stderr
    assert "1 of 8" in terminal("decide", BOX, answers=[("Which", "0")])[1]
    later = terminal("decide", BOX, "--on", "2027-01-20", "--again", answers=[("Which", "0")])[1]
    same = terminal("decide", BOX, "--on", "2027-01-20", answers=[("Which", "0")])[1]
    assert later.partition(" of ")[2].split()[0] == same.partition(" of ")[2].split()[0]


def test_what_ends_on_the_trip_is_asked_about_too(demo: Run, terminal: Terminal) -> None:
    assert demo("box", "list").returncode == 0
    code, screen = terminal("decide", BOX, "--trip", "Spring count", answers=[("Which", "0")])
    assert code == 0
    ends = rows(demo, "expiry", "--trip", "Spring count", "--box", BOX)
    wanted = [r for r in ends if r["status"] in {"expired", "undated", "ends on trip"}]
    assert f"1 of {len(wanted)}" in screen
    assert '--trip "Spring count"' in plain(screen)


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["decide", "Fluids", "--lot", "L43"], 2),
        (["decide", "Fluids", "--as", "replace"], 2),
        (["decide", "Fluids", "--lot", "L43", "--as", "burn it"], 2),
        (["decide", "Nowhere"], 3),
        (["decide", "Fluids", "--lot", "L22", "--as", "replace"], 3),
        (["decide", "Fluids", "--trip", "no such trip"], 3),
        (["decide", "Fluids"], 1),
    ],
)
def test_what_cannot_be_decided_leaves_the_store_alone(
    demo: Run, words: list[str], code: int
) -> None:
    before = rows(demo, "expiry")
    done = demo(*words)
    assert done.returncode == code
    assert done.stderr
    assert rows(demo, "expiry") == before


def test_a_par_level_that_another_good_lot_serves_is_not_dropped(demo: Run) -> None:
    done = demo("decide", "First aid", "--lot", "L73", "--as", "no longer carried")
    assert done.returncode == 0, done.stderr
    assert "stays: L72 of the same item there serves it" in plain(done.stdout)


def test_what_nobody_knows_cannot_be_replaced(demo: Run) -> None:
    done = demo("decide", BOX, "--lot", "L31", "--as", "replace")
    assert done.returncode == 3
    assert "nobody knows what it is" in plain(done.stderr)
