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
    assert "Nothing to label" in demo("labels", "--unlabelled").stderr


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
        ],
    )
    assert code == 0, screen
    assert "L116  2 of bleach" in screen
    assert "received 25 NOV 2026" in card(demo, "L116")


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
    assert done.stdout.startswith("Received 400 lines as 400 new lots into 1 box:")
    assert done.stderr == ""
    labels = demo("labels", "--unlabelled", "--stock", "a4-4x10", "--output", "many.pdf")
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
