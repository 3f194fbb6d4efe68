"""From the restock list to an order, and from there to a delivery: short, over, wrong."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
TABLET, BLEACH = "water tablet 8.5 mg NaDCC, for 1 l", "bleach, plain, 1 l bottle"
SHOP, HARBOUR = "Village shop", "Harbour chandlery"


def rows(done: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)["rows"]
    return found


def need(demo: Run, item: str) -> dict[str, Any]:
    listed = rows(demo("restock", "--trip", "Spring count", "--format", "json"))
    return next(it for it in listed if it["item"] == item)


@pytest.fixture
def ordered(demo: Run) -> str:
    """The number of the purchase from the chandlery, which sells the water tablets."""
    done = demo("order", "Spring count", "--supplier", HARBOUR, "--yes", "--format", "json")
    return str(rows(done)[0]["purchase"])


def came(number: str, quantity: int, *more: str) -> list[str]:
    return ["receive", "--box", "Water", "--item", TABLET, "--quantity", str(quantity),
            "--batch", "W9", "--order", number, *more]  # fmt: skip


def test_what_was_ordered_counts_and_is_not_bought_twice(demo: Run) -> None:
    before = need(demo, TABLET)
    tried = demo("order", "Spring count", "--supplier", HARBOUR, "--dry-run")
    assert tried.returncode == 0
    assert need(demo, TABLET) == before
    refused = demo("order", "Spring count", "--supplier", HARBOUR)
    assert (refused.returncode, "give --yes" in refused.stderr) == (1, True)
    assert demo("order", "Spring count", "--supplier", HARBOUR, "--yes").returncode == 0
    after = need(demo, TABLET)
    assert after["on_order"] == before["on_order"] + before["buy"]
    assert after["buy"] == 0
    again = demo("order", "Spring count", "--supplier", HARBOUR, "--yes")
    assert "Nothing to order" in again.stdout


def test_a_short_delivery_leaves_the_rest_on_order_and_undo_brings_it_back(
    demo: Run, ordered: str
) -> None:
    waiting = need(demo, TABLET)["on_order"]
    part = demo(*came(ordered, 50, "--expiry", "EXP 11/2029"))
    assert part.returncode == 0, part.stderr
    assert f"Purchase {ordered} from {HARBOUR}: partly delivered" in part.stdout
    assert need(demo, TABLET)["on_order"] == waiting - 50
    assert demo("undo").returncode == 0
    assert need(demo, TABLET)["on_order"] == waiting


def test_more_than_ordered_is_taken_and_told(demo: Run, ordered: str) -> None:
    lines = rows(demo("purchase", "show", ordered, "--format", "json"))
    line = next(it for it in lines if it["item"] == TABLET)
    over = demo(*came(ordered, line["units"] + 10, "--expiry", "EXP 11/2029"))
    assert "10 tablets of" in over.stdout
    assert "more than ordered" in over.stdout


@pytest.mark.parametrize("date", [["--expiry", "EXP 03/2027"], []])
def test_what_does_not_reach_the_horizon_is_pointed_out_at_once(
    demo: Run, ordered: str, date: list[str]
) -> None:
    done = demo(*came(ordered, 50, *date))
    assert "TOO SHORT: L" in done.stdout
    assert "was ordered to last through 02 MAY 2027" in " ".join(done.stdout.split())


def test_another_item_is_refused_unless_it_came_instead(demo: Run, ordered: str) -> None:
    other = ["receive", "--box", "Water", "--item", BLEACH, "--quantity", "50",
             "--expiry", "EXP 11/2029", "--order", ordered]  # fmt: skip
    before = demo("find", "bleach").stdout
    refused = demo(*other)
    assert (refused.returncode, "was not ordered" in refused.stderr) == (3, True)
    assert demo("find", "bleach").stdout == before
    assert demo(*other, "--instead-of", TABLET).returncode == 0
    assert need(demo, TABLET)["on_order"] == 300  # seven packs of 50 were ordered


def test_a_cancelled_purchase_no_longer_counts(demo: Run, ordered: str) -> None:
    assert demo("purchase", "cancel", ordered, "--reason", "shut").returncode == 0
    assert need(demo, TABLET)["buy"] > 0
    for words in (["purchase", "cancel", ordered], came(ordered, 5, "--expiry", "EXP 11/2029")):
        done = demo(*words)
        assert (done.returncode, "cancelled" in done.stderr) == (3, True)
    missing = demo("purchase", "show", "99")
    assert (missing.returncode, "there is no purchase" in missing.stderr) == (3, True)
    states = {it["purchase"]: it["status"] for it in rows(
        demo("purchase", "list", "--all", "--format", "json"))}  # fmt: skip
    assert states[int(ordered)] == "cancelled"


def test_a_retired_supplier_keeps_its_purchases_and_gets_no_more(demo: Run, ordered: str) -> None:
    assert demo("supplier", "retire", HARBOUR).returncode == 0
    assert HARBOUR in demo("purchase", "list").stdout
    assert demo(*came(ordered, 50, "--expiry", "EXP 11/2029")).returncode == 0
    left = rows(demo("order", "Spring count", "--dry-run", "--format", "json"))
    assert HARBOUR not in {it["supplier"] for it in left}


def test_the_order_is_a_list_to_print(demo: Run, tmp_path: Path) -> None:
    file = tmp_path / "order.pdf"
    words = ["order", "Spring count", "--dry-run", "--format", "pdf", "--output", str(file)]
    assert demo(*words).returncode == 0
    assert file.read_bytes().startswith(b"%PDF")


def test_a_substitute_is_allowed_one_way_and_taken_back(demo: Run) -> None:
    wide, narrow = "conforming bandage, 8 cm x 4 m", "conforming bandage, 6 cm x 4 m"
    allowed = demo("item", "substitute", narrow, "--by", wide, "--ratio", "2:3")
    assert allowed.stdout == f"1  2 of {wide} for 3 of {narrow}\n"
    for words in (["--by", narrow], ["--by", wide], ["--by", "I70", "--ratio", "0:1"]):
        assert demo("item", "substitute", narrow, *words).returncode == 3
    assert "Nothing stands in" in demo("item", "substitute", "--take-back", "1").stdout
    assert demo("item", "substitute", "--take-back", "1").returncode == 3
