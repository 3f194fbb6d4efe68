"""Own lists, boxes with usual lists, matches by hand, rounds at the box: as a user does it."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
VEHICLE, WORKPLACE = "de-din-13164-2022", "uk-hse-low-hazard-box"
BOX = "First aid"


def rows(done: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)["rows"]
    return found


def line(done: subprocess.CompletedProcess[str], name: str) -> dict[str, Any]:
    return next(row for row in rows(done) if row["line"] == name)


def good(done: subprocess.CompletedProcess[str]) -> str:
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_a_list_of_ones_own_from_its_beginning_to_the_audit_of_a_box(
    inside: Run, tmp_path: Path
) -> None:
    good(inside("kit-lists", "new", "crew.toml", "--extends", VEHICLE))
    text = (tmp_path / "crew.toml").read_text("utf-8")
    more = '\ndrop = ["Contents list"]\n[[change]]\nname = "Face mask"\nquantity = 6\n'
    (tmp_path / "crew.toml").write_text(text + more, "utf-8")
    assert "no mistake found" in good(inside("kit-lists", "check", "crew.toml"))
    assert "crew kept" in good(inside("kit-lists", "add", "crew.toml"))
    good(inside("kit-lists", "usual", BOX, "crew", "--every", "60"))
    (tmp_path / "crew.toml").unlink()
    audited = inside("audit", BOX, "--format", "json")
    assert line(audited, "Face mask")["short"] == 1
    assert not [row for row in rows(audited) if row["line"] == "Contents list"]
    assert "crew" in {row["list"] for row in rows(inside("kit-lists", "list", "--format", "json"))}
    refused = inside("kit-lists", "remove", "crew", "--yes")
    assert refused.returncode == 3
    assert BOX in refused.stderr
    good(inside("kit-lists", "usual", BOX, "--none"))
    good(inside("kit-lists", "remove", "crew", "--yes"))
    assert inside("audit", BOX, "--list", "crew").returncode == 3


def test_every_mistake_in_a_list_is_told_at_once_and_nothing_is_kept(
    inside: Run, tmp_path: Path
) -> None:
    text = 'id = "crew"\ntitle = "Crew"\nextends = "de-din-13164-2022"\ndrop = ["Nothing"]\n'
    wrong = text + '[[item]]\nname = "Tape"\nquantity = 0\nkinds = ["tapes"]\n'
    (tmp_path / "crew.toml").write_text(wrong, "utf-8")
    for verb in ("check", "add"):
        done = inside("kit-lists", verb, "crew.toml")
        assert done.returncode == 3
    good(inside("kit-lists", "list"))
    assert "'Nothing'" in inside("kit-lists", "check", "crew.toml").stderr


def test_a_box_without_a_usual_list_says_how_to_give_it_one(inside: Run) -> None:
    done = inside("audit", BOX)
    assert done.returncode == 3
    assert "kit-lists usual" in done.stderr


def test_what_was_said_by_hand_counts_in_later_audits_and_can_be_taken_back(inside: Run) -> None:
    wipes = ["audit", BOX, "--list", VEHICLE, "--format", "json"]
    assert line(inside(*wipes), "Wet wipe")["usable"] == 0
    said = inside("kit-lists", "match", VEHICLE, "wet wipe", "antiseptic wipe, single")
    assert "match 1" in good(said)
    matched = line(inside(*wipes), "Wet wipe")
    assert matched["usable"] == 6
    assert {it["by_hand"] for it in matched["holdings"] if it["role"] == "usable"} == {True}
    assert "matched by hand" in good(inside("audit", BOX, "--list", VEHICLE))
    assert [row["item"] for row in rows(inside("kit-lists", "matches", "--format", "json"))] == [
        "antiseptic wipe, single"
    ]
    good(inside("kit-lists", "unmatch", "1"))
    assert line(inside(*wipes), "Wet wipe")["usable"] == 0
    assert inside("kit-lists", "unmatch", "1").returncode == 3


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["match", VEHICLE, "Wet wype", "I1"], "Wet wipe"),
        (["match", VEHICLE, "dressing packet", "I1"], "several lines"),
        (["match", "de-din-1316", "Wet wipe", "I1"], "did you mean"),
        (["match", VEHICLE, "Wet wipe", "wet wype"], "wet wipe, skin"),
        (["match", "own.toml", "Wet wipe", "I1"], "kit-lists add"),
        (["usual", BOX, "own.toml"], "kit-lists add"),
        (["usual", BOX, VEHICLE, "--given", "snow"], "no condition"),
        (["usual", "First aids", VEHICLE], "First aid"),
        (["compare", VEHICLE, "nothing"], "kit-lists list"),
        (["remove", "crew"], "none"),
    ],
)
def test_a_wrong_name_is_told_with_what_may_be_meant(
    inside: Run, words: list[str], told: str
) -> None:
    done = inside("kit-lists", *words)
    assert done.returncode == 3, done.stderr
    assert told in " ".join(done.stderr.split())


def test_every_box_with_a_list_on_one_page(inside: Run) -> None:
    assert "No box has a usual kit list" in " ".join(good(inside("audit", "--all")).split())
    good(inside("kit-lists", "usual", BOX, VEHICLE))
    good(inside("kit-lists", "usual", "Medicines", WORKPLACE, "us-red-cross-family-of-four"))
    found = rows(inside("audit", "--all", "--format", "json"))
    assert {row["box"] for row in found} == {BOX, "Medicines"}
    assert all(row["overdue"] for row in found)
    assert inside("audit", "--all", "--fail-on", "missing").returncode == 5
    assert inside("audit", "--all", "--list", VEHICLE).returncode == 2
    assert inside("audit").returncode == 2
    assert "overdue for an audit" in " ".join(good(inside("expiry")).split())


def test_the_gaps_of_a_list_go_on_the_restock_list(inside: Run) -> None:
    needs = rows(inside("restock", "--list", VEHICLE, "--box", BOX, "--format", "json"))
    assert {row["box"] for row in needs} == {BOX}
    short = {row["item"]: row for row in needs}
    assert short["finger plaster, 12 x 2 cm"]["short"] == 1
    moved = short["conforming bandage, 8 cm x 4 m"]["move_from"]
    assert [move["box"] for move in moved] == ["Home shelf"]
    assert inside("restock", "--list", VEHICLE).returncode == 2
    trip = ["restock", "--list", VEHICLE, "--box", BOX, "--trip", "Spring count"]
    ending = {row["item"] for row in rows(inside(*trip, "--format", "json"))} - set(short)
    assert ending == {"gauze pad, sterile, 10 x 10 cm"}
    assert "certificate" in good(inside(*trip))


def test_two_lists_side_by_side(inside: Run) -> None:
    found = rows(
        inside("kit-lists", "compare", "de-din-13164-2014", VEHICLE, "--differing",
               "--format", "json")
    )  # fmt: skip
    assert [row["finding"] for row in found] == ["only in the first", "fewer", "only in the second"]


def test_an_audit_tells_why_stock_stands_where_it_stands(inside: Run) -> None:
    told = good(inside("audit", BOX, "--list", VEHICLE, "--explain"))
    assert "could take it too" in told
    assert "could take it too" not in good(inside("audit", BOX, "--list", VEHICLE))


def test_a_round_is_kept_as_it_was_and_the_next_tells_what_changed(inside: Run) -> None:
    do = ["round", "do", BOX, "--list", VEHICLE, "--by", "Нина", "--as-booked"]
    first = good(inside(*do, "--found", "L75=4", "--damaged", "L75=1", "--seal", "0417"))
    assert "4 of L75 gauze pad, sterile, 10 x 10 cm found, 6 by the books" in first
    assert "the first round of this box" in first
    again = good(inside(*do, "--seal", "0420", "--on", "2026-12-20"))
    assert "seal 0420, before 0417" in again
    assert "Wound compress" in again
    history = rows(inside("round", "history", BOX, "--format", "json"))
    assert [(row["round"], row["checked_by"], row["seal"]) for row in history] == [
        (2, "Нина", "0420"),
        (1, "Нина", "0417"),
    ]
    seen = {it["lot"]: it for it in history[1]["seen"]}
    assert (seen["L75"]["booked"], seen["L75"]["found"], seen["L75"]["damaged"]) == (6, 4, 1)
    shown = {row["line"]: row for row in rows(inside("round", "show", "1", "--format", "json"))}
    assert (shown["Wound compress"]["usable"], shown["Wound compress"]["short"]) == (3, 3)
    assert line(inside("audit", BOX, "--list", VEHICLE, "--format", "json"), "Wound compress")[
        "usable"
    ] == 6  # fmt: skip


def test_a_round_sets_the_books_where_that_is_wanted(inside: Run) -> None:
    do = ["round", "do", BOX, "--list", VEHICLE, "--by", "Nina", "--as-booked", "--correct"]
    assert "set to what was found" in good(inside(*do, "--found", "L75=4"))
    audited = inside("audit", BOX, "--list", VEHICLE, "--format", "json")
    assert line(audited, "Wound compress")["usable"] == 4


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (["--found", "L75=4"], "nobody can be asked about"),
        (["--as-booked", "--found", "L75"], "write it LOT=N"),
        (["--as-booked", "--found", "L75=-1"], "write it LOT=N"),
        (["--as-booked", "--found", "L75=2", "--damaged", "L75=3"], "only 2 of it"),
        (["--as-booked", "--found", "L9999=2"], "L9999"),
        (["--as-booked", "--last-used", "2030-01-01"], "is after"),
    ],
)
def test_a_round_that_is_not_told_whole_is_not_recorded(
    inside: Run, more: list[str], told: str
) -> None:
    done = inside("round", "do", BOX, "--list", VEHICLE, "--by", "Nina", *more)
    assert done.returncode == 3
    assert told in " ".join(done.stderr.split())
    assert rows(inside("round", "history", "--format", "json")) == []


def test_a_round_needs_somebody_who_looked(inside: Run) -> None:
    done = inside("round", "do", BOX, "--list", VEHICLE, "--as-booked")
    assert done.returncode == 1
    assert "--by" in done.stderr


def test_a_lot_that_lies_there_against_the_books_counts_and_is_told(inside: Run) -> None:
    done = inside(
        "round", "do", BOX, "--list", VEHICLE, "--by", "Nina", "--as-booked", "--found", "L81=2"
    )
    told = " ".join(good(done).split())
    assert "2 of L81 are here and not by the books: stockcheck move L81" in told


def test_when_to_look_again(inside: Run) -> None:
    good(inside("kit-lists", "usual", BOX, VEHICLE, "--every", "30"))
    assert [row["finding"] for row in rows(inside("round", "due", "--format", "json"))] == [
        "never done"
    ]
    good(inside("round", "do", BOX, "--by", "Nina", "--as-booked"))
    [due] = rows(inside("round", "due", "--format", "json"))
    assert (due["finding"], due["due"]) == ("in time", "2026-12-25")
    [late] = rows(inside("round", "due", "--format", "json", "--on", "2026-12-26"))
    assert late["finding"] == "overdue"


def test_the_form_is_drawn_and_every_code_on_it_reads_back(inside: Run, tmp_path: Path) -> None:
    done = inside("round", "form", BOX, "--list", VEHICLE, "--output", "f.pdf")
    assert done.returncode == 0, done.stderr
    assert "every code read back" in " ".join(done.stderr.split())
    assert (tmp_path / "f.pdf").read_bytes().startswith(b"%PDF")


def test_a_list_is_scaled_by_the_people_and_days_of_the_trip(inside: Run, tmp_path: Path) -> None:
    """Three people for the 77 days of the count and a week's margin: 84 days."""
    text = (
        'id = "camp"\ntitle = "Camp"\nsource = "the crew"\nsource_certainty = "own"\n'
        '[[item]]\nname = "Wipe"\nquantity = 1\nkinds = ["antiseptic-wipe"]\nper_person = true\n'
        'per_days = 7\n[[item]]\nname = "Gloves"\nquantity = 1\nunit = "pair"\n'
        'kinds = ["gloves-disposable"]\nsteps = [{ people = 2, quantity = 2 },'
        " { people = 5, quantity = 4 }]\n"
    )
    (tmp_path / "camp.toml").write_text(text, "utf-8")
    audit = ["audit", BOX, "--list", "camp.toml"]
    found = inside(*audit, "--trip", "Spring count", "--format", "json")
    assert (line(found, "Wipe")["required"], line(found, "Gloves")["required"]) == (36, 4)
    assert "scaled for 3 people and 84 days" in good(inside(*audit, "--trip", "Spring count"))
    alone = inside(*audit, "--people", "1", "--days", "8", "--format", "json")
    assert (line(alone, "Wipe")["required"], line(alone, "Gloves")["required"]) == (2, 2)


def test_two_editions_of_one_standard_are_not_added_up(inside: Run) -> None:
    done = inside("audit", BOX, "--list", VEHICLE, "--list", "de-din-13164-2014")
    assert done.returncode == 3
    assert "newer edition" in done.stderr


def test_a_list_that_asks_for_a_medicine_says_so_where_none_is_held(demo: Run) -> None:
    words = "no list is leave to give one"
    family, vehicle = "us-red-cross-family-of-four", "de-din-13164-2022"
    for asked in (
        ("kit-lists", "show", family),
        ("audit", "Water", "--list", family),
        ("restock", "--box", "Water", "--list", family),
    ):
        assert words in " ".join(demo(*asked).stdout.split()), asked
    assert words not in " ".join(demo("kit-lists", "show", vehicle).stdout.split())
    assert words not in " ".join(demo("audit", "Water", "--list", vehicle).stdout.split())


def test_a_list_for_fewer_people_than_there_are_is_said_to_be_so(demo: Run) -> None:
    few = ("audit", "First aid", "--list", "us-osha-1910-266-logging")
    words = "the list is for up to 3 people, and here are 4 people"
    assert words in " ".join(demo(*few, "--people", "4").stdout.split())
    assert "the list is for" not in demo(*few, "--people", "3").stdout
    assert "the list is for" not in demo(*few).stdout
    shown = demo("kit-lists", "show", "ca-cohsr-type-b").stdout
    assert "for 6 people or more" in shown


def test_what_rests_on_memory_says_so_in_rounds_and_in_lists_that_extend_it(demo: Run) -> None:
    base, words = "de-din-13157-2021", "from memory, not read in the source"
    done = demo("round", "do", "Water", "--list", base, "--by", "Nina", "--as-booked")
    assert words in " ".join(done.stdout.split())
    assert words in " ".join(demo("round", "show", "1").stdout.split())
    demo("kit-lists", "new", "ours.toml", "--extends", base)
    assert demo("kit-lists", "show", "ours.toml").stdout.count("from memory") == 25
    demo("kit-lists", "add", "ours.toml")
    compared = demo("kit-lists", "compare", "ours", "de-din-13164-2022").stdout
    assert f"partly {words}" in " ".join(compared.split())
