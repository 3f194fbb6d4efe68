"""Getting rid: what leaves the stock leaves it for a reason, with where it may go."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]


@pytest.mark.parametrize(
    ("lot", "route", "caution"),
    [
        ("L54", "Disposal: pharmacy.", "Caution: Medicines:"),
        ("L24", "Disposal: hazardous-waste point.", "Caution: Chemicals:"),
        ("L4", "Disposal: household waste.", "Caution: Tyres:"),
    ],
)
def test_a_write_off_tells_the_disposal_route_with_its_cautions(
    demo: Run, lot: str, route: str, caution: str
) -> None:
    done = demo("write-off", lot, "--reason", "expired", "--yes")
    assert done.returncode == 0
    text = " ".join(done.stdout.split())
    assert "none left there" in text
    assert route in text
    assert caution in text


def test_all_the_expired_of_a_box_goes_and_the_ledger_keeps_why(demo: Run) -> None:
    words = ["expiry", "--status", "expired", "--box", "First aid", "--format", "json"]
    expired = [row["lot"] for row in json.loads(demo(*words).stdout)["rows"]]
    assert expired == ["L73", "L101", "L87"]
    for lot in expired:
        done = demo("write-off", lot, "--reason", "past its date", "--yes")
        assert done.returncode == 0, done.stderr
    assert json.loads(demo(*words).stdout)["rows"] == []
    last = json.loads(demo("history", expired[0], "--format", "json").stdout)["rows"][-1]
    assert (last["what"], last["reason"]) == ("written off", "past its date")


def test_a_part_of_a_lot_in_one_of_its_boxes(demo: Run) -> None:
    demo("move", "L34", "-n", "6", "--to", "Cab")
    asked = demo("write-off", "L34", "-n", "2", "--reason", "leaking", "--yes")
    assert asked.returncode == 3
    assert "--from BOX" in asked.stderr
    done = demo("write-off", "L34", "-n", "2", "--from", "Cab", "--reason", "leaking", "--yes")
    assert "from Cab; 4 left there" in " ".join(done.stdout.split())
    whole = demo("write-off", "L34", "--reason", "leaking", "--yes")
    assert whole.returncode == 0
    assert demo("use", "L34").returncode == 3
