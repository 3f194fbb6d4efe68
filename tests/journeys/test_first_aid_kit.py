"""The first-aid kit is held against published lists, and against the trip."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

Run = Callable[..., "subprocess.CompletedProcess[str]"]
VEHICLE = "de-din-13164-2022"
WORKPLACE = "uk-hse-low-hazard-box"
NO_NUMBERS = "us-red-cross-family-of-four"


def lines(done: subprocess.CompletedProcess[str]) -> dict[str, dict[str, Any]]:
    assert done.returncode == 0, done.stderr
    return {row["line"]: row for row in json.loads(done.stdout)["rows"] if row["line"]}


def test_a_vehicle_kit_is_audited_by_kind_and_size_through_the_trip(demo: Run) -> None:
    words = ["audit", "First aid", "--list", VEHICLE, "--format", "json"]
    found = lines(demo(*words, "--trip", "Spring count"))
    assert found["Dressing packet G (large)"]["finding"] == "missing"
    assert found["Finger plaster"]["short"] == 1
    assert found["Dressing cloth 60 x 80 cm"]["finding"] == "wrong size"
    assert found["Wet wipe"]["finding"] == "undated"
    assert found["Wound compress"]["finding"] == "ends on trip"
    today = lines(demo(*words))["Wound compress"]
    assert (today["usable"], today["ends_on_trip"], today["short"]) == (6, 0, 0)
    demo("write-off", "L75", "--reason", "wet", "--yes")
    assert lines(demo(*words))["Wound compress"]["finding"] in {"missing", "wrong size"}


def test_lists_of_other_shapes_and_two_lists_together(demo: Run) -> None:
    text = demo("audit", "First aid", "--list", WORKPLACE).stdout
    assert "4 of 8 lines met" in text
    assert "It is no" in text
    assert "certificate" in text
    bare = lines(demo("audit", "First aid", "--list", NO_NUMBERS, "--format", "json"))
    assert bare
    both = lines(
        demo("audit", "First aid", "--list", VEHICLE, "--list", WORKPLACE, "--format", "json")
    )
    assert len(both) > len(bare) / 2


def test_the_lists_tell_their_source_and_certainty(demo: Run) -> None:
    listed = demo("kit-lists", "list").stdout
    for name in (VEHICLE, WORKPLACE, NO_NUMBERS):
        shown = demo("kit-lists", "show", name).stdout
        assert name.split("-")[0] in listed
        assert f"{name}:" in shown.replace("\n", " ")
        assert "edition" in shown


def test_a_kit_list_of_ones_own(demo: Run, tmp_path: Path) -> None:
    shipped = Path(__file__).parents[2] / "stockcheck" / "data" / "kit_lists" / f"{WORKPLACE}.toml"
    own = shipped.read_text("utf-8").replace(WORKPLACE, "own-kit")
    (tmp_path / "own-kit.toml").write_text(own, "utf-8")
    done = demo("audit", "First aid", "--list", "own-kit.toml", "--format", "json")
    assert {row["list"] for row in json.loads(done.stdout)["rows"]} == {"own-kit"}
    (tmp_path / "own-kit.toml").write_text("id = 3\n", "utf-8")
    bad = demo("audit", "First aid", "--list", "own-kit.toml")
    assert bad.returncode == 3
    assert "own-kit.toml" in bad.stderr
