"""Every command that writes movements is taken back by ``undo``: what is on hand is as before."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]


def on_hand(run: Run) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = json.loads(run("expiry", "--format", "json").stdout)["rows"]
    return rows


@pytest.mark.parametrize(
    "words",
    [
        ["receive", "--box", "Water", "--item", "I70", "--quantity", "5", "--batch", "N9"],
        ["receive", "--from", "in.csv"],
        ["use", "pain tablets 500 mg", "-n", "20"],
        ["use", "L54", "--anyway"],
        ["open", "L59"],
        ["open", "L51", "-n", "25"],
        ["move", "AA cells, alkaline", "--to", "Spares"],
        ["move", "L34", "-n", "4", "--to", "Cab"],
        ["hold", "L31", "--reason", "unknown paste"],
        ["release", "L102", "--reason", "cleared"],
        ["correct", "L50", "--count", "9"],
        ["correct", "L50", "--count", "19"],
        ["correct", "L50", "--count", "0"],
        ["write-off", "L4", "--reason", "expired", "--yes"],
        ["write-off", "antiseptic wipe, single", "--reason", "recalled", "--yes"],
    ],
    ids=" ".join,
)  # fmt: skip
def test_undo_brings_back_what_was_on_hand(inside: Run, tmp_path: Path, words: list[str]) -> None:
    lines = "".join(f"Water,I70,{number}\n" for number in range(1, 15))
    (tmp_path / "in.csv").write_text("box,item,quantity\n" + lines, "utf-8")
    before = on_hand(inside)
    done = inside(*words)
    assert done.returncode == 0, done.stderr
    assert "'stockcheck undo' takes it back" in done.stdout
    assert on_hand(inside) != before
    undone = inside("undo", "--reason", "only a test")
    assert undone.returncode == 0, undone.stderr
    assert undone.stdout.startswith("Undone: M118")
    assert on_hand(inside) == before


def test_a_movement_further_back_is_undone_by_its_number_once(inside: Run) -> None:
    inside("use", "L50", "-n", "2")
    inside("use", "L51", "-n", "3")
    assert "L50" in inside("undo", "M118").stdout
    again = inside("undo", "M118")
    assert again.returncode == 3
    assert "undone already" in again.stderr
    quantities = {row["lot"]: row["quantity"] for row in on_hand(inside)}
    assert (quantities["L50"], quantities["L51"]) == (13, 37)


def test_what_was_used_since_cannot_be_undone_out_of_turn(inside: Run) -> None:
    inside("receive", "--box", "Water", "--item", "I70", "--quantity", "5", "--batch", "N9")
    inside("use", "L116", "-n", "5", "--anyway")
    refused = inside("undo", "M118")
    assert refused.returncode == 3
    assert "undo the later movements first" in refused.stderr
    assert inside("undo").returncode == 0
    assert inside("undo").returncode == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["hold", "L31", "--reason", "unknown paste"], "released again: 1 of "),
        (["release", "L102", "--reason", "cleared"], "on hold again: "),
        (["open", "L59"], "sealed again: "),
        (["move", "L34", "-n", "4", "--to", "Cab"], "moved back: 4 of "),
        (["use", "L50", "-n", "2"], "issued: +2 "),
    ],
    ids=" ".join,
)  # fmt: skip
def test_undo_says_how_stock_stands_again(inside: Run, words: list[str], said: str) -> None:
    assert inside(*words).returncode == 0
    undone = inside("undo").stdout
    assert f"\n  {said}" in undone
    assert ("+" in undone) == ("+" in said)


def test_undo_after_a_change_of_a_lot_names_it_and_how_to_put_it_back(inside: Run) -> None:
    """Given a use and a change of a lot, when undone, then neither stands for the other."""
    inside("use", "L50", "-n", "2")
    inside("lot", "change", "L50", "--note", "lid cracked")
    before = on_hand(inside)
    refused = inside("undo")
    assert refused.returncode == 3
    assert "stockcheck lot change L50 --note " in refused.stderr
    assert on_hand(inside) == before
    assert "movements of stock" in inside("undo", "--help").stdout
    assert inside("undo", "M118").returncode == 0


def test_a_last_resort_never_becomes_ordinary_stock_by_hold_and_release(inside: Run) -> None:
    """Given a last resort, when put on hold, then it is refused, and nothing can be released."""
    kept = inside("decide", "Fluids", "--lot", "L43", "--as", "last resort", "--reason", "smooth")
    assert kept.returncode == 0, kept.stderr
    before = on_hand(inside)
    assert [row["lot"] for row in before if row["status"] == "last resort"] == ["L43"]
    refused = inside("hold", "L43", "--reason", "recalled")
    assert refused.returncode == 3
    assert "kept apart already" in refused.stderr
    assert inside("release", "L43", "--reason", "cleared").returncode == 3
    assert on_hand(inside) == before
