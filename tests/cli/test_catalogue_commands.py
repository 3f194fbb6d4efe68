"""The catalogue by commands: lists that are found through, and options that say what is meant."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]


def test_kinds_are_listed_by_group_in_order_of_what_stands_first(inside: Run) -> None:
    rows = json.loads(inside("kind", "list", "--format", "json").stdout)["rows"]
    order = [(row["group"].lower(), row["kind"]) for row in rows]
    assert order == sorted(order)
    headings = [
        line.strip("- ") for line in inside("kind", "list").stdout.splitlines() if line[:3] == "-- "
    ]
    assert headings == list(dict.fromkeys(row["group"] for row in rows))
    assert inside("kind", "list", "--group", "no such group").returncode == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["item", "add", "Boot"], "stockcheck: --kind is missing. Name a kind that is there\n"),
        (["item", "add", "Boot", "--kind", ""], "--kind is empty. Name a kind that is there"),
        (["par", "add", "--box", "Water", "--quantity", "1"], "give an item or a kind, one of"),
        (["box", "add", "Tin", "--inside", "Watr"], "'Water'? Name a box that is there"),
        (["box", "add", "WATER"], "stockcheck: there is a box 'Water' already; change that one"),
        (["box", "retire", "Water"], "box 'Water' still has 5 holdings; move them"),
        (["supplier", "change", "Village shop", "--rename", ""], "--rename is empty. Write a name"),
        (["offer", "add", "--price", "2"], "--supplier is missing. "),
        (["trip", "add", "T", "--departs", "x", "--returns", "2027-01-01"], "--departs 'x': a day"),
    ],
    ids=" ".join,
)  # fmt: skip
def test_what_is_wrong_with_options_is_told_of_options(
    inside: Run, words: list[str], said: str
) -> None:
    refused = inside(*words)
    assert refused.returncode == 3
    assert said in refused.stderr
    assert "line" not in refused.stderr
    assert "?." not in refused.stderr


def test_a_par_level_takes_over_how_important_its_item_is(inside: Run) -> None:
    """Given a vital item, when a par level is made without a word on it, then it is vital."""
    inside("item", "add", "strap", "--kind", "tool", "--importance", "vital")
    assert (
        inside("par", "add", "--box", "Cab", "--item", "strap", "--quantity", "2").returncode == 0
    )
    rows = json.loads(inside("par", "list", "--format", "json").stdout)["rows"]
    assert [row["importance"] for row in rows if row["item"] == "strap"] == ["vital"]


@pytest.mark.parametrize(
    ("words", "facts"),
    [("harbour", "supplier Harbour chandlery"), ("spring cou", "trip Spring count")],
)
def test_suppliers_and_trips_are_found_too(inside: Run, words: str, facts: str) -> None:
    assert f"\n{facts}\n" in inside("find", *words.split()).stdout


def test_a_supplier_of_the_same_word_does_not_hide_what_is_in_a_box(inside: Run) -> None:
    inside("box", "add", "Quay locker")
    inside("receive", "--box", "Quay locker", "--item", "I70", "--quantity", "5")
    inside("supplier", "add", "Quay stall")
    found = json.loads(inside("find", "quay", "--format", "json").stdout)["rows"]
    assert [row["box"] for row in found] == ["Quay locker"]


@pytest.mark.parametrize(("words", "maps"), [(["box", "add"], False), (["receive"], True)])
def test_a_wrong_heading_is_answered_with_the_options_that_the_command_has(
    inside: Run, tmp_path: Path, words: list[str], maps: bool
) -> None:
    (tmp_path / "in.csv").write_text("place,colour\nTin,red\n", "utf-8")
    refused = inside(*words, "--from", "in.csv")
    assert refused.returncode == 3
    assert "line 1, heading 'colour': no such column is known" in refused.stderr
    assert ("--map" in refused.stderr) == maps
