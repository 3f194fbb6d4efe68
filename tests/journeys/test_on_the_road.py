"""On the road: a thing is found by any of its words, opened, used, and a slip is taken back."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]


def found(done: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    assert done.returncode == 0, done.stderr
    rows: list[dict[str, Any]] = json.loads(done.stdout)["rows"]
    return rows


@pytest.mark.parametrize(
    ("words", "lots"),
    [
        (["tablet", "water"], {"L105", "L106", "L107"}),
        (["WATER", "tabl"], {"L105", "L106", "L107"}),
        (["W6120-4"], {"L102", "L103"}),
        (["1000000595"], {"L59"}),
        (["l59"], {"L59"}),
        (["9520123000233"], {"L105", "L106", "L107"}),
        (["recorder"], {"L34", "L35", "L36"}),
        (["аптечка"], {"L52", "L54", "L61", "L103"}),
        (["tyre", "kit"], {"L1", "L2", "L3", "L4", "L5", "L6", "L7", "L11"}),
    ],
    ids=lambda each: " ".join(each) if isinstance(each, list) else "",
)
def test_anything_is_found_by_words_in_any_order_batch_code_gtin_or_note(
    demo: Run, words: list[str], lots: set[str]
) -> None:
    rows = found(demo("find", *words, "--format", "json"))
    assert {row["lot"] for row in rows} == lots
    assert all(row["box"] for row in rows)


def test_what_is_not_there_is_said_so(demo: Run) -> None:
    done = demo("find", "gearbox")
    assert done.returncode == 0
    assert done.stderr.startswith("Nothing found.")
    demo("write-off", "L4", "--reason", "expired", "--yes")
    assert "lot L4 tyre patch, round, 45 mm, none on hand" in demo("find", "L4").stdout


def test_find_open_use_and_take_a_slip_back(demo: Run) -> None:
    row = found(demo("find", "eye", "drops", "--format", "json"))[-1]
    assert (row["lot"], row["box"]) == ("L59", "Medicines")
    assert "good through 23 DEC 2026" in " ".join(demo("open", row["lot"]).stdout.split())
    assert demo("use", row["lot"]).returncode == 0
    assert "L59" not in {each["lot"] for each in found(demo("expiry", "--format", "json"))}
    undone = demo("undo")
    assert "issued: +1 of eye drops, 10 ml bottle (L59, opened) in Medicines" in undone.stdout
    again = found(demo("lot", "show", "L59", "--format", "json"))
    assert [(each["quantity"], each["last_usable_day"]) for each in again] == [(1, "2026-12-23")]


def test_what_is_past_its_date_is_used_only_on_purpose_and_with_its_caution(demo: Run) -> None:
    refused = demo("use", "L54")
    assert refused.returncode == 3
    assert "last usable day 31 DEC 2025" in refused.stderr
    assert "--anyway takes it, at your own risk" in refused.stderr
    taken = " ".join(demo("use", "L54", "--anyway").stdout.split())
    assert "EXPIRED, was good through 31 DEC 2025" in taken
    assert "a pharmacist or a doctor decides" in taken
    assert demo("use", "L102", "--anyway").returncode == 3  # on hold stays on hold


def test_a_day_can_be_asked_why(demo: Run) -> None:
    why = " ".join(demo("why", "eye drops, 10 ml bottle").stdout.split())
    assert "opened 20 OCT 2026 + 28 days = 17 NOV 2026" in why
    assert "so it is EXPIRED; was good through 17 NOV 2026, 8 days before 25 NOV 2026" in why
    assert "printed 'EXP 06/2027', good through 30 JUN 2027" in why
