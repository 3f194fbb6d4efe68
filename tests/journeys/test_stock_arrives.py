"""Stock arrives: the date is typed as printed, a lot is made, its label is printed."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]
BLEACH = "bleach, plain, 1 l bottle"


def card(run: Run, lot: str) -> str:
    return " ".join(run("lot", "show", lot).stdout.split())


def row_of(run: Run, lot: str) -> dict[str, Any]:
    rows = json.loads(run("expiry", "--format", "json").stdout)["rows"]
    return dict(next(row for row in rows if row["lot"] == lot))


def test_one_lot_by_options_and_its_label(demo: Run, tmp_path: Path) -> None:
    done = demo(
        "receive", "--box", "Water", "--item", "9520123000233", "--quantity", "100",
        "--expiry", "EXP 09/2029", "--batch", "N7731", "--received", "today", "--cost", "13.80",
        "--supplier", "harbour chandlery",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("L116  100 tablets of water tablet")
    assert "printed 'EXP 09/2029', read as 2029-09, good through 30 SEP 2029" in card(demo, "L116")
    label = demo("labels", "L116", "--stock", "roll-62x29", "--output", "new.pdf")
    assert label.returncode == 0
    assert "1 label on 1 page of roll-62x29, all read back" in label.stderr
    assert (tmp_path / "new.pdf").read_bytes().startswith(b"%PDF")
    assert "Nothing to label" in demo("labels", "--new").stderr


def test_the_same_batch_again_is_more_of_that_lot(demo: Run) -> None:
    words = ["receive", "--box", "Water", "--item", BLEACH, "--quantity", "2",
             "--expiry", "EXP 11/2027", "--batch", "B5"]  # fmt: skip
    demo(*words)
    assert "more of that lot, now 4 there" in " ".join(demo(*words).stdout.split())
    assert row_of(demo, "L116")["quantity"] == 4


@pytest.mark.parametrize(
    ("answer", "day"), [("", "2027-03-04"), ("1", "2027-03-04"), ("2", "2027-04-03")]
)
def test_an_unsure_date_is_asked_at_a_terminal_the_earliest_reading_first(
    demo: Run, terminal: Terminal, answer: str, day: str
) -> None:
    assert demo("find", "x").returncode == 0
    code, screen = terminal(
        "receive", "--box", "Water", "--item", BLEACH, "--quantity", "1", "--expiry", "03/04/27",
        answers=[("Which", answer)],
    )  # fmt: skip
    assert code == 0, screen
    assert screen.index("04 MAR 2027") < screen.index("03 APR 2027")
    assert "[1]" in screen
    assert row_of(demo, "L116")["last_usable_day"] == day
    shown = card(demo, "L116")
    assert "printed '03/04/27'" in shown
    assert "asked, and" in shown


def test_the_printed_precision_is_kept_when_a_reading_is_chosen(
    demo: Run, terminal: Terminal
) -> None:
    assert demo("find", "x").returncode == 0
    code, screen = terminal(
        "receive", "--box", "Water", "--item", BLEACH, "--quantity", "1",
        "--expiry", "USE BY 11/2027", answers=[("Which", "2")],
    )  # fmt: skip
    assert code == 0, screen
    assert "read as 2027-11, good through 30 NOV 2027" in card(demo, "L116")


def test_what_is_missing_is_asked_at_a_terminal(demo: Run, terminal: Terminal) -> None:
    assert demo("find", "x").returncode == 0
    code, screen = terminal(
        "receive",
        answers=[
            ("box it goes into", "water"),
            ("item, by name", BLEACH),
            ("How many", "2"),
            ("date as printed", "EXP 11/2027"),
            ("Bought on", "today"),
            ("batch as printed", "W113"),
        ],
    )
    assert code == 0, screen
    assert "L116  2 of bleach" in screen
    shown = card(demo, "L116")
    assert "received 25 NOV 2026" in shown
    assert "batch W113" in shown


def test_each_answer_is_checked_at_once_and_asked_again(demo: Run, terminal: Terminal) -> None:
    """Given wrong answers, when they are typed, then each is told and asked anew, none is lost."""
    assert demo("find", "x").returncode == 0
    code, screen = terminal(
        "receive",
        answers=[
            ("box it goes into", "Watr"),
            ("box it goes into", "Water"),
            ("item, by name", "I70"),
            ("How many", "many"),
            ("How many units", "20"),
            ("date as printed", "soon"),
            ("date as printed", ""),
            ("made date as printed", "EXP 11/2027"),
            ("made date as printed", "2026-10"),
            ("Opened on", "2026-11-26"),
            ("Opened on", ""),
            ("Bought on", "2026-09-30"),
            ("Bought on", "2026-11-01"),
            ("batch as printed", ""),
        ],
    )
    assert code == 0, screen
    said = " ".join(screen.split())
    for words in (
        "box 'Watr': there is no such box. Did you mean 'Water'?",
        "quantity 'many': a quantity is a whole number",
        "leave it empty and put the words into the note",
        "that is an expiry text, not a made date. Put it into the expiry",
        "opened '2026-11-26' is after today, 2026-11-25",
        "made '2026-10' is after the day it was received 30 SEP 2026",
    ):
        assert words in said
    shown = card(demo, "L116")
    assert "made 2026-10" in shown
    assert "received 01 NOV 2026" in shown


def test_a_wrong_option_is_told_before_anything_is_asked(demo: Run, terminal: Terminal) -> None:
    assert demo("find", "x").returncode == 0
    code, screen = terminal("receive", "--box", "Watr", "--quantity", "0")
    said = " ".join(screen.split())
    assert code == 3
    assert "--box 'Watr': there is no such box. Did you mean 'Water'?" in said
    assert "--quantity '0': a quantity is a whole number" in said
    assert "item, by name" not in said


@pytest.mark.parametrize(
    ("answers", "read"),
    [
        ([("good through 30 JUN 2027?", "")], "read as 2027-06, good through 30 JUN 2027"),
        (
            [("good through 30 JUN 2027?", "n"), ("write it out", "2027-06-27")],
            "read as 2027-06-27, good through 27 JUN 2027",
        ),
    ],
    ids=["yes", "no"],
)
def test_a_reading_that_wants_confirming_is_shown_with_the_other_one(
    demo: Run, terminal: Terminal, answers: list[tuple[str, str]], read: str
) -> None:
    """Given 06/27, when it is typed, then its reading is asked, and the answer kept with it."""
    assert demo("find", "x").returncode == 0
    words = ["receive", "--box", "Water", "--item", BLEACH, "--quantity", "1"]
    code, screen = terminal(*words, "--expiry", "EXP 06/27", answers=answers)
    assert code == 0, screen
    assert "as month and day it would be 2027-06-27" in " ".join(screen.split())
    shown = card(demo, "L116")
    assert f"printed 'EXP 06/27', {read}" in shown
    assert "asked, and" in shown


def test_an_unsure_made_date_is_asked_too(demo: Run, terminal: Terminal) -> None:
    assert demo("find", "x").returncode == 0
    code, screen = terminal(
        "receive", "--box", "Water", "--item", BLEACH, "--quantity", "1",
        "--made", "03/04/26", answers=[("Which", "3")],
    )  # fmt: skip
    assert code == 0, screen
    assert "made 03 APR 2026" in screen
    assert "made 2026-04-03 ('03/04/26 (asked, and 03 APR 2026 chosen" in card(demo, "L116")


def test_where_nobody_can_be_asked_the_reading_is_taken_and_told(demo: Run) -> None:
    """Given dates that want confirming, when a script brings them, then a note says and stays."""
    done = demo(
        "receive", "--box", "Water", "--item", BLEACH, "--quantity", "1", "--expiry", "EXP 06/27",
        "--made", "3/24",
    )  # fmt: skip
    said = " ".join(done.stdout.split())
    assert done.returncode == 0
    assert "plain, 1 l bottle: taken as JUN 2027; as month and day it would be 2027-06-27" in said
    assert "made date taken as MAR 2024; on rubber parts such a figure is a quarter" in said
    shown = card(demo, "L116")
    assert "taken as JUN 2027; as month and day it would be 2027-06-27" in shown
    assert "('3/24 (taken as MAR 2024; on rubber parts" in shown


def test_very_many_notes_are_counted(demo: Run, tmp_path: Path) -> None:
    lines = "".join(f"Water,I70,1,EXP 06/27,Q{number}\n" for number in range(50))
    (tmp_path / "many.csv").write_text("box,item,quantity,expiry,batch\n" + lines, "utf-8")
    done = demo("receive", "--from", "many.csv")
    assert done.stdout.count("taken as JUN 2027") == 40
    assert "and 10 more such notes; 'stockcheck lot show' has each" in done.stdout


def test_days_that_cannot_all_be_true_are_refused(demo: Run) -> None:
    done = demo(
        "receive", "--box", "Water", "--item", BLEACH, "--quantity", "1", "--made", "2026-09",
        "--received", "2026-08-01",
    )  # fmt: skip
    assert done.returncode == 3
    assert done.stderr.strip() == (
        "stockcheck: --made '2026-09' is after the day it was received 01 AUG 2026. Look at both"
        " again"
    )


def test_a_last_resort_that_is_past_was_good(demo: Run) -> None:
    assert demo("decide", "Fluids", "--lot", "L43", "--as", "last resort").returncode == 0
    said = demo("find", "L43").stdout + demo("lot", "change", "L43", "--note", "smooth").stdout
    assert "LAST RESORT, was good through" in " ".join(said.split())


def test_what_is_expired_already_comes_in_only_on_purpose(demo: Run, terminal: Terminal) -> None:
    words = ["receive", "--box", "Water", "--item", BLEACH, "--quantity", "1",
             "--expiry", "EXP 05/2020"]  # fmt: skip
    assert demo(*words).returncode == 1
    code, _ = terminal(*words, answers=[("Take it in all the same?", "n")])
    assert code == 1
    taken = demo(*words, "--yes")
    assert "EXPIRED, was good through 31 MAY 2020" in " ".join(taken.stdout.split())


def test_a_misread_date_is_corrected_at_a_terminal_and_the_limits_follow(
    demo: Run, terminal: Terminal
) -> None:
    assert demo("find", "x").returncode == 0
    code, screen = terminal(
        "lot", "change", "L59", "--expiry", "05/06/27", answers=[("Which", "2")]
    )
    assert code == 0, screen
    assert "now good through 05 JUN 2027" in screen
    assert "the date as printed was 03/04/27, is 05/06/27" in card(demo, "L59")


def test_a_recalled_batch_is_warned_about_when_more_of_it_comes(demo: Run) -> None:
    done = demo(
        "receive", "--box", "First aid", "--item", "antiseptic wipe, single", "--quantity", "5",
        "--batch", "W6120-4", "--expiry", "EXP 05/2028",
    )  # fmt: skip
    assert "WARNING: batch W6120-4 of" in done.stdout
    assert "is on hold" in done.stdout


def test_400_lots_from_a_file_and_400_labels(demo: Run, tmp_path: Path) -> None:
    lines = [f"Water,I70,{number % 9 + 1},EXP 11/2028,Q{number}" for number in range(400)]
    (tmp_path / "many.csv").write_text(
        "\n".join(["box,item,quantity,expiry,batch", *lines]), "utf-8"
    )
    done = demo("receive", "--from", "many.csv")
    assert "Received 400 lines as 400 new lots into 1 box:" in done.stdout
    assert done.stderr == ""
    labels = demo("labels", "--new", "--stock", "a4-4x10", "--output", "many.pdf")
    assert labels.returncode == 0, labels.stderr
    assert "400 labels on 10 pages of a4-4x10, all read back at 203 dpi" in labels.stderr
    assert demo("undo").returncode == 0
    assert "none on hand" in demo("why", "L300").stdout


def test_a_long_file_shows_its_progress_at_a_terminal(
    demo: Run, terminal: Terminal, tmp_path: Path
) -> None:
    assert demo("find", "x").returncode == 0
    lines = "".join(f"Water,I70,1,,Q{number}\n" for number in range(400))
    (tmp_path / "many.csv").write_text("box,item,quantity,expiry,batch\n" + lines, "utf-8")
    code, screen = terminal("receive", "--from", "many.csv")
    assert code == 0
    assert "Receiving" in screen
