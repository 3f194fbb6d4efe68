"""Stops are written down, and the trip is gone through day by day."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

Run = Callable[..., "subprocess.CompletedProcess[str]"]
TRIP, TABLET = "Spring count", "water tablet 8.5 mg NaDCC, for 1 l"


def outlook(demo: Run, *more: str) -> dict[str, Any]:
    done = demo("forecast", TRIP, "--format", "json", *more)
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)["rows"]
    return next(it for it in found if it["item"] == TABLET and it["box"] is None)


def planned(demo: Run) -> None:
    listed = json.loads(demo("par", "list", "--format", "json").stdout)["rows"]
    number = next(it["par"] for it in listed if it["item"] == TABLET)
    assert demo("par", "change", number, "--plan", "water litres=3 tablet=1").returncode == 0


def test_stops_lessen_what_to_start_with_but_for_the_loss_of_one(demo: Run) -> None:
    planned(demo)
    alone = outlook(demo)
    assert alone["short"] > 0
    for day, place in ((20, "Wells"), (45, "Road house")):
        words = ["--day", str(day), "--place", f"{place} (test)", "--has", TABLET]
        assert demo("trip", "stop", "add", TRIP, *words).returncode == 0
    sure, trusting = outlook(demo), outlook(demo, "--trust-stops")
    assert trusting["wanted_at_start"] < sure["wanted_at_start"] < alone["wanted_at_start"]
    assert {"Wells (test)", "Road house (test)"} <= {it["place"] for it in sure["stops"]}
    listed = demo("trip", "stop", "list", TRIP).stdout
    number = next(line.split()[0] for line in listed.splitlines() if "Wells (test)" in line)
    assert demo("trip", "stop", "remove", TRIP, number).returncode == 0
    assert "Wells (test)" not in demo("trip", "stop", "list", TRIP).stdout
    assert demo("trip", "stop", "remove", TRIP, number).returncode == 3


def test_what_cannot_be_a_stop_is_refused(demo: Run) -> None:
    for words in (["--day", "900", "--place", "X"], ["--day", "3", "--place", " "],
                  ["--day", "3", "--place", "X", "--has", "nothing such"],
                  ["--day", "3", "--place", "X", "--has", "I70=0"]):  # fmt: skip
        assert demo("trip", "stop", "add", TRIP, *words).returncode == 3


def test_it_is_a_report_to_print_and_to_fail_on(demo: Run, tmp_path: Path) -> None:
    planned(demo)
    file = tmp_path / "way.pdf"
    assert demo("forecast", TRIP, "--format", "pdf", "--output", str(file)).returncode == 0
    assert file.read_bytes().startswith(b"%PDF")
    assert demo("forecast", TRIP, "--fail-on", "short").returncode == 5
    assert demo("forecast", "nowhere").returncode == 3
