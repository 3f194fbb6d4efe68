"""After a trip: what was used is said, a half packet opened, and the ledger tells it all."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable

Run = Callable[..., "subprocess.CompletedProcess[str]"]


def flat(text: str) -> str:
    """A text without the line ends of the screen."""
    return " ".join(text.split())


def test_use_takes_what_ends_first_from_whichever_box_and_says_which(demo: Run) -> None:
    done = demo("use", "pain tablets 500 mg", "--quantity", "15", "--reason", "back pain")
    assert done.returncode == 0
    first, second, *_ = done.stdout.split("Take ")[1:]
    assert "13 tablets of pain tablets 500 mg (L50, good through 05 FEB 2027)" in flat(first)
    assert flat(first).endswith("from Medicines; none left there")
    assert "2 tablets of pain tablets 500 mg (L52, good through 31 OCT 2027)" in flat(second)
    assert "from Аптечка Нины; 6 tablets left there" in flat(second)


def test_an_opened_pack_has_its_own_life_from_that_day(demo: Run) -> None:
    opened = demo("open", "L59")
    assert "good through 23 DEC 2026" in flat(opened.stdout)
    why = demo("why", "L59").stdout
    assert "opened limit (governs): opened 25 NOV 2026 + 28 days = 23 DEC 2026" in flat(why)
    assert "printed limit (later)" in why


def test_a_half_used_packet_is_opened_and_sealed_stock_side_by_side(demo: Run) -> None:
    assert demo("open", "L51", "-n", "20").returncode == 0
    assert demo("use", "L51", "-n", "7").returncode == 0
    rows = json.loads(demo("lot", "show", "L51", "--format", "json").stdout)["rows"]
    assert sorted(row["quantity"] for row in rows) == [13, 20]
    shown = demo("lot", "show", "L51").stdout
    assert shown.count("pain tablets 500 mg (opened)") == 1


def test_history_tells_what_happened_to_a_lot_an_item_and_a_box(demo: Run) -> None:
    demo("use", "L50", "-n", "3", "--reason", "headache", "--on", "2026-11-26")
    demo("move", "L50", "-n", "4", "--to", "Cab", "--on", "2026-11-27")
    lot = json.loads(demo("history", "L50", "--format", "json").stdout)["rows"]
    assert [(row["what"], row["quantity"], row["box"]) for row in lot] == [
        ("received", 13, "Medicines"),
        ("issued", -3, "Medicines"),
        ("moved", -4, "Medicines"),
        ("moved", 4, "Cab"),
    ]
    assert lot[1]["reason"] == "headache"
    assert lot[1]["on_day"] == "2026-11-26"
    assert "L51" in demo("history", "pain tablets 500 mg").stdout
    cab = json.loads(demo("history", "Cab", "--last", "1", "--format", "json").stdout)["rows"]
    assert [(row["lot"], row["quantity"]) for row in cab] == [("L50", 4)]


def test_more_than_there_is_cannot_be_used(demo: Run) -> None:
    done = demo("use", "pain tablets 500 mg", "-n", "62")
    assert done.returncode == 3
    assert "only 61 can be used" in done.stderr
    assert demo("use", "pain tablets 500 mg", "-n", "61").returncode == 0
    gone = demo("use", "pain tablets 500 mg")
    assert gone.returncode == 3
    assert "there is none of pain tablets 500 mg on hand to use" in gone.stderr
