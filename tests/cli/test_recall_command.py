"""``recall``: what it holds, what it tells, and how receive warns of it afterwards."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]
SEALANT = "tyre sealant, 450 ml bottle"
BOUGHT = ("receive", "--box", "Tyre kit", "--item", SEALANT, "--quantity", "2", "--batch", "ts0931")


def out(run: Run, *words: str) -> str:
    done = run(*words)
    assert done.returncode == 0, done.stderr
    return " ".join(done.stdout.split())


def standing(run: Run, *words: str) -> list[dict[str, Any]]:
    return list(json.loads(run("recall", "list", "--format", "json", *words).stdout)["rows"])


def test_every_matching_lot_goes_on_hold_with_its_cautions(demo: Run) -> None:
    said = out(demo, "recall", SEALANT, "--batch", " ts 0931", "--reason", "valve leaks")
    assert said.startswith("R1 RECALLED: batch ts 0931 of tyre sealant, 450 ml bottle")
    assert "on hold: 1 of tyre sealant, 450 ml bottle (L7) in Tyre kit" in said
    assert "Caution: Pressurised" in said
    held = [r for r in json.loads(demo("expiry", "--format", "json").stdout)["rows"]
            if r["lot"] == "L7"]  # fmt: skip
    assert {row["status"] for row in held} == {"held"}


def test_what_has_no_batch_written_down_must_be_looked_at(demo: Run) -> None:
    demo("receive", "--box", "Cab", "--item", SEALANT, "--quantity", "3")
    assert "LOOK: 3 (L116) in Cab has no batch written down" in out(
        demo, "recall", SEALANT, "--batch", "TS0931"
    )


def test_a_last_resort_is_told_to_be_written_off(demo: Run) -> None:
    """Release would pass it off as ordinary stock, so it is not put on hold."""
    demo("decide", "Fluids", "--lot", "L43", "--as", "last resort", "--reason", "smooth")
    rows = json.loads(demo("expiry", "--format", "json").stdout)["rows"]
    kept = next(row for row in rows if row["status"] == "last resort")
    said = out(demo, "recall", kept["item"], "--every-batch")
    assert (
        f"LAST RESORT: {kept['quantity']} {kept['unit']} of {kept['item']} ({kept['lot']})" in said
    )
    assert "write it off" in said


def test_a_gtin_that_no_item_has_is_remembered(demo: Run) -> None:
    said = out(demo, "recall", "9506000134352", "--batch", "Z9")
    assert "none of it is on hand; it is warned of when it comes in" in said
    demo("item", "add", "salt tablets", "--kind", "chlorine-dioxide-tablets",
         "--gtin", "9506000134352")  # fmt: skip
    done = demo("receive", "--box", "Water", "--item", "salt tablets", "--quantity", "1",
                "--batch", "z9")  # fmt: skip
    assert done.returncode == 1
    assert "RECALLED (R1)" in done.stderr


def test_a_later_receipt_is_refused_until_confirmed_and_then_goes_on_hold(demo: Run) -> None:
    out(demo, "recall", SEALANT, "--batch", "TS0931")
    refused = demo(*BOUGHT)
    assert refused.returncode == 1
    assert "RECALLED (R1): batch TS0931" in refused.stderr
    said = out(demo, *BOUGHT, "--yes")
    assert "into Tyre kit: HELD" in said
    assert "RECALLED: L116 is on hold at once, R1" in said


def test_a_file_of_many_is_taken_in_with_the_recalled_on_hold(demo: Run, tmp_path: Path) -> None:
    out(demo, "recall", SEALANT, "--batch", "TS0931")
    (tmp_path / "in.csv").write_text(
        f'box,item,quantity,batch\nTyre kit,"{SEALANT}",2,TS0931\nTyre kit,"{SEALANT}",1,OTHER\n',
        "utf-8",
    )
    said = out(demo, "receive", "--from", "in.csv")
    assert said.count("RECALLED: L116 is on hold at once") == 1
    assert "L117 is on hold" not in said


def test_a_person_at_a_terminal_is_asked(demo: Run, terminal: Terminal) -> None:
    out(demo, "recall", SEALANT, "--batch", "TS0931")
    words = [*BOUGHT, "--received", "today"]
    code, screen = terminal(*words, answers=[("put on hold at once?", "n")], COLUMNS="200")
    assert code == 1, screen
    code, screen = terminal(*words, answers=[("put on hold at once?", "y")], COLUMNS="200")
    assert code == 0, screen
    assert "is on hold at once" in screen


def test_lifting_keeps_what_is_held_unless_it_is_released(demo: Run) -> None:
    out(demo, "recall", SEALANT, "--batch", "TS0931")
    said = out(demo, "recall", "lift", "R1", "--reason", "other plant", "--yes")
    assert "still on hold: 1 of tyre sealant, 450 ml bottle (L7) in Tyre kit" in said
    assert standing(demo) == []
    assert standing(demo, "--all")[0]["lifted_why"] == "other plant"
    out(demo, "recall", SEALANT, "--batch", "TS0931")
    assert "released: 1 of" in out(
        demo, "recall", "lift", "2", "--reason", "mistake", "--release", "--yes"
    )


def test_the_list_tells_what_is_still_on_hand(demo: Run) -> None:
    out(demo, "recall", SEALANT, "--batch", "TS0931", "--batch", "TS9999")
    rows = standing(demo)
    assert [(row["recall"], row["batch"], row["on_hand"], row["boxes"]) for row in rows] == [
        ("R1", "TS0931", 1, ["Tyre kit"]), ("R2", "TS9999", 0, []),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ([SEALANT], 2, "give --batch as printed on the pack, or --every-batch"),
        ([SEALANT, "--batch", "X", "--every-batch"], 2, "give --batch"),
        ([SEALANT, "--batch", "  "], 3, "--batch is empty"),
        (["tyre sealent", "--batch", "X"], 3, "did you mean 'tyre sealant, 450 ml bottle'"),
        (["lift", "R9", "--reason", "x", "--yes"], 3, "there is no recall 'R9'"),
        (["lift", "R9"], 2, "--reason"),
    ],
)
def test_what_is_wrong_is_told(demo: Run, words: list[str], code: int, said: str) -> None:
    done = demo("recall", *words)
    assert done.returncode == code
    assert said in done.stderr


def test_nothing_is_lifted_where_nobody_can_be_asked(demo: Run) -> None:
    out(demo, "recall", SEALANT, "--batch", "TS0931")
    assert demo("recall", "lift", "R1", "--reason", "x").returncode == 1
    assert len(standing(demo)) == 1
