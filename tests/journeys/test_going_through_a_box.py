"""Box by box: what is bad is seen, boxes inside included, and decided on purpose."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from typing import Any

Run = Callable[..., "subprocess.CompletedProcess[str]"]
Terminal = Callable[..., tuple[int, str]]


def rows(done: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(done.stdout)["rows"]
    return found


def test_a_box_is_shown_with_the_boxes_inside_it_worst_first(demo: Run) -> None:
    found = rows(demo("expiry", "--box", "first aid", "--format", "json"))
    assert {row["box"] for row in found} == {"First aid", "Burns pouch"}
    order = ["expired", "undated", "held", "due", "in date"]
    first_aid = [order.index(row["status"]) for row in found if row["box"] == "First aid"]
    assert first_aid == sorted(first_aid)
    text = demo("expiry", "--box", "first aid").stdout
    assert "-- Cab / First aid / Burns pouch (B13) --" in text
    assert text.count("! Sterile goods:") == 1


def test_only_some_ways_of_standing_are_shown_when_asked(demo: Run) -> None:
    found = rows(demo("expiry", "--status", "undated", "--status", "held", "--format", "json"))
    assert {row["status"] for row in found} == {"undated", "held"}


def test_what_never_had_a_date_is_listed_with_the_bad_and_is_not_used(demo: Run) -> None:
    tube = next(r for r in rows(demo("expiry", "--format", "json")) if r["lot"] == "L23")
    assert (tube["status"], tube["last_usable_day"]) == ("undated", None)
    why = " ".join(demo("why", "L23").stdout.split())
    assert "no date: " in why
    assert "'stockcheck lot change L23' takes it" in why
    assert demo("use", "L23").returncode == 3
    dated = demo("lot", "change", "L23", "--made", "2026-05", "--reason", "found in the fold")
    assert "now good through" in dated.stdout
    assert demo("use", "L23").returncode == 0
    assert "the made date was unknown, is 2026-05 (found in the fold)" in " ".join(
        demo("lot", "show", "L23").stdout.split()
    )


def test_a_decision_is_asked_for_at_a_terminal_and_kept(demo: Run, terminal: Terminal) -> None:
    assert demo("find", "x").returncode == 0
    code, screen = terminal("write-off", "L4", "--reason", "expired", answers=[("[y/N]", "y")])
    assert code == 0
    assert "Write off 6 of tyre patch, round, 45 mm (L4, EXPIRED" in screen
    assert not [r for r in rows(demo("expiry", "--format", "json")) if r["lot"] == "L4"]
    assert demo("hold", "L31", "--reason", "nobody knows").returncode == 0
    assert demo("use", "L31", "--anyway").returncode == 3
    held = rows(demo("expiry", "--status", "held", "--format", "json"))
    assert "L31" in {row["lot"] for row in held}
    assert demo("release", "L31", "--reason", "it is grease").returncode == 0


def test_the_books_are_set_to_what_was_counted(demo: Run) -> None:
    done = demo("correct", "L34", "--count", "14", "--reason", "two in the torch")
    assert "Electrical: 16 became 14" in " ".join(done.stdout.split())
    over = demo("correct", "L34", "--count", "15")
    assert "14 became 15" in " ".join(over.stdout.split())
    assert demo("correct", "AA cells, alkaline", "--count", "3").returncode == 3
    assert demo("correct", "L34", "--count", "0").returncode == 0
    assert "none on hand" in demo("why", "L34").stdout


def test_two_lots_of_an_item_in_one_box_are_told_apart(demo: Run) -> None:
    first, second = (
        row
        for row in rows(demo("expiry", "--box", "Tyre kit", "--format", "json"))
        if row["item"].startswith("tyre patch")
    )
    assert {first["lot"], second["lot"]} == {"L3", "L4"}
    done = demo("write-off", "tyre patch, round, 45 mm", "-n", "2", "--reason", "dull", "--yes")
    assert done.returncode == 3
    assert "name the lot to write off" in done.stderr


def test_a_box_inside_a_box_inside_a_box_with_names_in_cyrillic(demo: Run) -> None:
    for name, inside in (("Ящик", "Cab"), ("Коробка", "Ящик"), ("Пакет", "Коробка")):
        assert demo("box", "add", name, "--inside", inside).returncode == 0
    assert demo("item", "add", "йод, 10 мл", "--kind", "antiseptic-solution").returncode == 0
    done = demo(
        "receive", "--box", "пакет", "--item", "ЙОД, 10 МЛ", "--quantity", "2",
        "--expiry", "EXP 29.02.2028",
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    for box in ("Cab", "Ящик", "Коробка", "Пакет"):
        found = rows(demo("expiry", "--box", box, "--format", "json"))
        assert "йод, 10 мл" in {row["item"] for row in found}
    assert "-- Cab / Ящик / Коробка / Пакет (B17) --" in demo("expiry", "--box", "ящик").stdout
    assert "йод, 10 мл" in demo("find", "йод").stdout
    circle = demo("box", "change", "Ящик", "--inside", "Пакет")
    assert circle.returncode == 3


def test_good_through_the_end_of_29_february(demo: Run) -> None:
    demo("receive", "--box", "Water", "--item", "I70", "--quantity", "1", "--expiry", "EXP 02/2028")
    for day, status in (("2028-02-29", "due"), ("2028-03-01", "expired")):
        found = rows(demo("expiry", "--on", day, "--format", "json"))
        assert next(row for row in found if row["lot"] == "L116")["status"] == status
    assert demo("use", "L116", "--on", "2028-02-29").returncode == 0


def test_what_has_a_history_is_retired_and_never_lost(demo: Run) -> None:
    refused = demo("box", "retire", "Spares")
    assert refused.returncode == 3
    for lot in ("L46", "L47"):
        assert demo("move", lot, "--to", "Home shelf").returncode == 0
    assert demo("box", "retire", "Spares").returncode == 0
    assert "Spares" not in demo("box", "list").stdout
    assert "Spares" in demo("box", "list", "--retired").stdout
    assert "moved" in demo("history", "Spares").stdout
    back = demo("receive", "--box", "Spares", "--item", "I70", "--quantity", "1")
    assert back.returncode == 3
    assert "Spares" in back.stderr
    assert demo("box", "retire", "Spares", "--undo").returncode == 0
    assert "Spares" in demo("box", "list").stdout
