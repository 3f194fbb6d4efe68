"""Going through a box with a scanner in one hand: every line is a code, none is typed.

The demo's boxes: Water (B8) holds L105 to L109, the Tyre kit (B3) L3; all of it is invented.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from typing import Any

from stockcheck.core.actions import Action
from stockcheck.core.codes import make_code

Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]
WATER, TYRES = make_code("box", 8), make_code("box", 3)
SEALANT = "]d20109520123000127" + "17280531" + "10NEW1"


def lot(number: int) -> str:
    return make_code("lot", number)


def rows(run: Run, *words: str) -> list[dict[str, Any]]:
    return list(json.loads(run("expiry", "--format", "json", *words).stdout)["rows"])


def quantity(run: Run, short: str, box: str) -> int:
    return sum(row["quantity"] for row in rows(run) if (row["lot"], row["box"]) == (short, box))


def test_a_whole_box_is_worked_by_scanner_lines_alone(demo: Run, terminal: Terminal) -> None:
    """Given the action card and a scanner, when the box is worked, then the books follow."""
    assert quantity(demo, "L105", "Water") == 50
    code, screen = terminal(
        "scan", "--trip", "Spring count",
        answers=[
            ("scan> ", WATER),
            ("Water> ", lot(105)),
            ("Water> ", Action.USE_ONE.code),
            ("Water> ", lot(107)),
            ("Water> ", Action.WRITE_OFF.code),
            ("Scan it again for yes", Action.WRITE_OFF.code),
            ("Water> ", lot(108)),
            ("Water> ", Action.WRITE_OFF.code),
            ("Scan it again for yes", lot(109)),
            ("Left as it was", lot(3)),
            ("Move it here?", lot(3)),
            ("Moved:", lot(106)),
            ("Water> ", Action.MOVE.code),
            ("go into? Scan it", TYRES),
            ("Moved:", SEALANT),
            ("Receive 1 into Water?", SEALANT),
            ("Received:", Action.LABEL.code),
            ("Water> ", Action.COUNT.code),
            ("How many", SEALANT),
            ("1 so far", SEALANT),
            ("2 so far", Action.COUNT.code),
            ("Counted 2", Action.OPEN.code),
            ("Opened:", Action.UNDO.code),
            ("Undone: opened", Action.DONE.code),
        ],
        COLUMNS="160",
    )  # fmt: skip
    assert code == 0, screen
    assert quantity(demo, "L105", "Water") == 49
    assert quantity(demo, "L107", "Water") == 0
    assert quantity(demo, "L108", "Water") == 1
    assert quantity(demo, "L3", "Water") == 10
    assert quantity(demo, "L106", "Water") == 0
    assert quantity(demo, "L106", "Tyre kit") == 27
    assert quantity(demo, "L116", "Water") == 2
    held = [row for row in rows(demo) if row["lot"] == "L116"]
    assert [(row["last_usable_day"], row["batch"]) for row in held] == [("2028-05-31", "NEW1")]


def test_a_symbol_that_is_read_twice_in_a_moment_does_not_answer_its_own_question(
    demo: Run, terminal: Terminal
) -> None:
    code, screen = terminal(
        "scan",
        answers=[
            ("scan> ", WATER),
            ("Water> ", f"{lot(3)}\n{lot(3)}"),
            ("taken once", Action.DONE.code),
        ],
    )
    assert code == 0, screen
    assert "Move it here?" in screen
    assert quantity(demo, "L3", "Water") == 0


def test_the_screen_speaks_in_one_word_colours_it_and_rings(demo: Run, terminal: Terminal) -> None:
    assert demo("find", "x").returncode == 0
    answers = [("scan> ", WATER), ("Water> ", lot(105)), ("Water> ", lot(107)),
               ("Water> ", Action.DONE.code)]  # fmt: skip
    code, screen = terminal("scan", answers=answers)
    assert code == 0, screen
    good, bad = screen.index("\x1b[32m\x1b[1mGOOD"), screen.rindex("\x1b[31m\x1b[1mEXPIRED")
    assert good < bad
    assert "\a" not in screen[screen.index("Water> ") : good]
    assert "\a" in screen[good:bad]
    plain = terminal("scan", answers=answers, NO_COLOR="1")[1]
    assert "\x1b[" not in plain
    assert "GOOD  water tablet" in plain


def test_the_summary_tells_seen_not_seen_expired_and_what_was_done(
    demo: Run, terminal: Terminal
) -> None:
    assert demo("find", "x").returncode == 0
    code, screen = terminal(
        "scan", "--box", "Water",
        answers=[
            ("Water> ", lot(107)),
            ("Water> ", lot(3)),
            ("Move it here?", lot(3)),
            ("Moved:", "1000000031"),
            ("UNKNOWN", Action.DONE.code),
        ],
        NO_COLOR="1",
    )  # fmt: skip
    assert code == 0, screen
    summary = " ".join(screen.partition("SUMMARY")[2].split())
    assert "seen: 2 of 6 holdings" in summary
    assert "not seen: L108 bleach, plain, 1 l bottle, 1;" in summary
    assert "expired: L107" in summary
    assert "moved: 10 of tyre patch, round, 45 mm (L3) to Water" in summary
    assert "not known: 1000000031" in summary


def test_an_interrupted_session_still_tells_what_it_came_to(demo: Run, terminal: Terminal) -> None:
    assert quantity(demo, "L105", "Water") == 50
    code, screen = terminal(
        "scan",
        answers=[("scan> ", WATER), ("Water> ", lot(105)), ("Water> ", Action.USE_ONE.code)],
        interrupt_at="Water> ",
    )
    assert code == 130
    assert "used: 1 tablet of water tablet" in " ".join(screen.split())
    assert quantity(demo, "L105", "Water") == 49


def test_the_end_of_the_input_ends_the_session_with_its_summary(
    demo: Run, terminal: Terminal
) -> None:
    assert demo("find", "x").returncode == 0
    code, screen = terminal("scan", answers=[("scan> ", WATER), ("Water> ", "\x04")])
    assert code == 0
    assert "SUMMARY" in screen


def test_a_pack_nobody_knew_becomes_an_item_and_is_received(demo: Run, terminal: Terminal) -> None:
    """Only what the code does not say is asked: name, kind, unit, how many a pack holds."""
    assert demo("find", "x").returncode == 0
    code, screen = terminal(
        "scan", "--box", "Water",
        answers=[
            ("Water> ", "(01)09506000134352(17)290200(10)7C21-B"),
            ("Make an item of it?", "(01)09506000134352(17)290200(10)7C21-B"),
            ("Its name", "salt tablets"),
            ("Its kind", "zzz"),
            ("Its kind", "chlorine-dioxide-tablets"),
            ("counted in", "tablet"),
            ("does one pack", "20"),
            ("Receive 20 tablets into Water?", "yes"),
            ("Received:", "done"),
        ],
    )  # fmt: skip
    assert code == 0, screen
    assert "there is no kind 'zzz'" in screen
    made = next(row for row in rows(demo) if row["item"] == "salt tablets")
    assert (made["quantity"], made["last_usable_day"], made["batch"]) == (
        20, "2029-02-28", "7C21-B",
    )  # fmt: skip
    why = demo("why", made["lot"]).stdout
    assert "from the maker's code" in " ".join(why.split())


def test_a_pack_whose_code_says_no_date_is_asked_for_it(demo: Run, terminal: Terminal) -> None:
    assert demo("find", "x").returncode == 0
    code, screen = terminal(
        "scan", "--box", "Water",
        answers=[
            ("Water> ", "(01)09520123000127(10)NEW2"),
            ("Receive 1 into Water?", "(01)09520123000127(10)NEW2"),
            ("date as printed", "EXP 11/2028"),
            ("Bought on", "today"),
            ("Received:", "done"),
        ],
    )  # fmt: skip
    assert code == 0, screen
    made = next(row for row in rows(demo) if row["batch"] == "NEW2")
    assert made["last_usable_day"] == "2028-11-30"


def test_an_expired_pack_is_taken_in_only_when_said_twice(demo: Run, terminal: Terminal) -> None:
    assert demo("find", "x").returncode == 0
    old = "(01)09520123000127(17)250531(10)OLD"
    code, screen = terminal(
        "scan", "--box", "Water",
        answers=[
            ("Water> ", old),
            ("Receive 1 into Water?", old),
            ("Scan it once more for yes", lot(105)),
            ("Left as it was", Action.DONE.code),
        ],
    )  # fmt: skip
    assert code == 0, screen
    assert not [row for row in rows(demo) if row["batch"] == "OLD"]


def test_a_scan_where_a_name_is_asked_leaves_the_form_and_names_nothing(
    demo: Run, terminal: Terminal
) -> None:
    code, screen = terminal(
        "scan", "--box", "Water",
        answers=[
            ("Water> ", "(01)09506000134352(17)290200(10)7C21-B"),
            ("Make an item of it?", "yes"),
            ("Its name", lot(105)),
            ("Left as it was", "done"),
        ],
    )  # fmt: skip
    assert code == 0, screen
    assert "there is no item" in demo(
        "item", "show", lot(105)
    ).stderr or "is the code of a lot" in (demo("item", "show", lot(105)).stderr)


def test_a_form_that_is_left_leaves_the_session_going(demo: Run, terminal: Terminal) -> None:
    """Given Ctrl-C at a question of the form, then nothing is made and the next scan is taken."""
    assert demo("find", "x").returncode == 0
    code, screen = terminal(
        "scan", "--box", "Water",
        answers=[
            ("Water> ", "(01)09506000134352(17)290200(10)7C21-B"),
            ("Make an item of it?", "yes"),
            ("Its name", "\x04"),
            ("Left as it was", "done"),
        ],
    )  # fmt: skip
    assert code == 0, screen
    assert "there is no item" in demo("item", "show", "9506000134352").stderr


def test_a_pack_of_ten_of_a_known_item_asks_only_how_many_it_holds(
    demo: Run, terminal: Terminal
) -> None:
    assert demo("find", "x").returncode == 0
    ten = "(01)19520123000124(17)290531(10)T10"
    code, screen = terminal(
        "scan", "--box", "B3",
        answers=[
            ("kit> ", ten),
            ("Take it for one?", ten),
            ("does one pack", "10"),
            ("Receive 10 into Tyre kit?", ten),
            ("Received: 10", Action.DONE.code),
        ],
    )  # fmt: skip
    assert code == 0, screen
    assert quantity(demo, "L116", "Tyre kit") == 10
