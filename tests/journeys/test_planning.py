"""Planning: a trip is written down, what goes off on the way is found, and what to get."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from typing import Any

Run = Callable[..., "subprocess.CompletedProcess[str]"]


def rows(done: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)["rows"]
    return found


def test_a_trip_is_held_against_the_stock_through_its_margin(demo: Run) -> None:
    made = demo(
        "trip", "add", "Winter loop", "--departs", "2027-01-10", "--returns", "2027-01-28",
        "--people", "2", "--margin-days", "7",
    )  # fmt: skip
    assert made.returncode == 0
    standing = {
        row["lot"]: row["status"]
        for row in rows(demo("expiry", "--trip", "winter loop", "--format", "json"))
    }
    # good through 31 JAN 2027 and 05 FEB 2027; the horizon is 04 FEB 2027
    assert (standing["L60"], standing["L50"]) == ("ends on trip", "in date")
    assert demo("trip", "change", "Winter loop", "--margin-days", "8").returncode == 0
    later = rows(demo("expiry", "--trip", "Winter loop", "--format", "json"))
    assert {row["lot"]: row["status"] for row in later}["L50"] == "in date"
    demo("trip", "change", "Winter loop", "--margin-days", "9")
    later = rows(demo("expiry", "--trip", "Winter loop", "--format", "json"))
    assert {row["lot"]: row["status"] for row in later}["L50"] == "ends on trip"
    assert demo("trip", "change", "Winter loop", "--returns", "2027-01-01").returncode == 3


def test_surplus_is_moved_before_anything_is_bought_in_whole_packs(demo: Run) -> None:
    needs = {
        (row["box"], row["item"]): row
        for row in rows(demo("restock", "--trip", "Spring count", "--format", "json"))
    }
    sealant = needs["Tyre kit", "tyre sealant, 450 ml bottle"]
    assert sealant["move_from"] == [{"box": "Home shelf", "lot": "L8", "quantity": 1}]
    assert (sealant["short"], sealant["buy"]) == (2, 1)
    # 3 people, 3 l a day, half of it treated is 4.5 l, so 5 tablets a day for 84 days: 420
    tablets = needs["Water", "water tablet 8.5 mg NaDCC, for 1 l"]
    assert (tablets["short"], tablets["buy"], tablets["packs"]) == (343, 343, 7)
    assert tablets["use_by_not_before"] == "2027-05-02"
    assert "27 end 31 MAR 2027" in tablets["reason"]
    assert demo("move", "L8", "--to", "Tyre kit").returncode == 0
    after = rows(demo("restock", "--trip", "Spring count", "--box", "Tyre kit", "--format", "json"))
    assert [(r["short"], r["buy"], r["move_from"]) for r in after if "sealant" in r["item"]] == [
        (1, 1, [])
    ]


def test_the_list_is_by_supplier_with_nobody_last_and_reasons_in_words(demo: Run) -> None:
    text = demo("restock", "--trip", "Spring count").stdout
    headings = [line for line in text.splitlines() if line.startswith("-- ")]
    assert headings[-1].startswith("-- No supplier known --")
    assert text.count("[ ]") >= 40
    assert "of which 10 expired" in text
    assert "63 par levels: " in text


def test_par_levels_and_offers_change_what_is_bought(demo: Run) -> None:
    assert demo("par", "add", "--box", "Spares", "--item", "I70", "--quantity", "5").returncode == 0
    assert demo("par", "add", "--box", "Spares", "--item", "I70", "--quantity", "6").returncode == 3
    words = ["restock", "--by", "2027-01-31", "--box", "Spares", "--format", "json"]
    need = next(row for row in rows(demo(*words)) if row["item"].startswith("water tablet"))
    assert (need["needed"], need["short"]) == (5, 5)
    assert demo("par", "retire", "P64").returncode == 0
    assert not [row for row in rows(demo(*words)) if row["item"].startswith("water tablet")]
    assert demo("offer", "change", "O4", "--price", "0.10").returncode == 0
    kit = rows(demo("restock", "--trip", "Spring count", "--box", "Tyre kit", "--format", "json"))
    assert "O4" in {row["offer"] for row in kit}


def test_a_box_without_par_levels_is_told_apart_from_a_store_without_any(empty: Run) -> None:
    """Given par levels in one box, when another is asked about, then it alone has none."""
    for name in ("Shelf", "Pouch"):
        assert empty("box", "add", name).returncode == 0
    assert empty("item", "add", "tape", "--kind", "duct tape").returncode == 0
    made = empty("par", "add", "--box", "Shelf", "--item", "tape", "--quantity", "1")
    assert made.returncode == 0, made.stderr
    said = empty("restock", "--by", "2027-01-31", "--box", "Pouch").stdout
    assert "there are no par levels for Pouch: 'stockcheck par add' sets one" in said
    assert "yet" not in said


def test_a_day_to_order_by_tells_its_sum(demo: Run) -> None:
    said = " ".join(demo("restock", "--trip", "Spring count").stdout.replace("-", " ").split())
    assert (
        "order by 01 FEB 2027 = departure 08 FEB 2027 − 5 days' delivery − 2 days to stow" in said
    )


def test_what_nothing_is_known_to_come_in_has_no_number_of_packs(empty: Run) -> None:
    """Given a par level by kind without item or offer, then packs is unknown, not none."""
    assert empty("box", "add", "Shelf").returncode == 0
    made = empty("par", "add", "--box", "Shelf", "--kind", "duct tape", "--quantity", "3")
    assert made.returncode == 0, made.stderr
    (need,) = rows(empty("restock", "--by", "2027-01-31", "--format", "json"))
    assert (need["buy"], need["packs"], need["offer"], need["price"]) == (3, None, None, None)


def test_an_empty_store_says_that_there_is_nothing_yet(inside: Run) -> None:
    def empty(*words: str) -> subprocess.CompletedProcess[str]:
        return inside("--store", "empty.db", *words)

    assert empty("init").returncode == 0
    restock = empty("restock", "--by", "2027-01-31").stdout
    assert "no par levels yet" in restock
    assert "Every par level is met" not in restock
    assert "Nothing on hand" in empty("expiry").stdout
    for fmt in ("text", "csv", "json", "pdf"):
        for words in (["expiry"], ["restock", "--by", "2027-01-31"]):
            done = empty(*words, "--format", fmt, "--output", f"{words[0]}.{fmt}")
            assert done.returncode == 0, done.stderr
    for words in (
        ["box", "list"], ["item", "list"], ["par", "list"], ["offer", "list"], ["trip", "list"],
        ["supplier", "list"], ["lot", "list"], ["history"], ["find", "anything"],
        ["labels", "--new"], ["labels", "--boxes"],
    ):  # fmt: skip
        assert empty(*words).returncode == 0
    assert "'stockcheck receive' takes stock in" in empty("lot", "list").stdout
    nothing = empty("undo")
    assert nothing.returncode == 3
    assert "nothing to undo" in nothing.stderr


def test_an_empty_box_is_audited_with_every_line_missing(empty: Run) -> None:
    assert empty("box", "add", "Pouch").returncode == 0
    for fmt in ("text", "csv", "json", "pdf"):
        audit = empty(
            "audit", "Pouch", "--list", "uk-hse-low-hazard-box", "--format", fmt,
            "--output", f"audit.{fmt}",
        )  # fmt: skip
        assert audit.returncode == 0, audit.stderr
    assert "0 of 8 lines met" in empty("audit", "B1", "--list", "uk-hse-low-hazard-box").stdout


def test_the_work_of_a_new_store_from_nothing_to_a_restock_list(empty: Run) -> None:
    for words in (
        ["box", "add", "Kit"],
        ["box", "add", "Tin", "--inside", "Kit"],
        ["supplier", "add", "Corner shop", "--lead-days", "2"],
        ["item", "add", "patch", "--kind", "tyre-patch", "--pack", "6"],
        ["offer", "add", "--supplier", "Corner shop", "--item", "patch", "--pack", "6",
         "--price", "3.20"],
        ["par", "add", "--box", "Tin", "--item", "patch", "--quantity", "10"],
        ["receive", "--box", "Tin", "--item", "patch", "--quantity", "3", "--expiry", "NOV 2028"],
    ):  # fmt: skip
        done = empty(*words)
        assert done.returncode == 0, (words, done.stderr)
    need = rows(empty("restock", "--by", "2027-06-30", "--format", "json"))[0]
    assert (need["usable"], need["short"], need["packs"], need["price"]) == (3, 7, 2, 6.4)
