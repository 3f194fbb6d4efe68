"""A trip comes back: what is missing was used, what was used says how many to carry next time."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

Run = Callable[..., "subprocess.CompletedProcess[str]"]
BACK = ["--on", "2027-04-27"]
PUTTY = "epoxy putty stick, 57 g"


def rows(done: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout)["rows"]
    return found


def on_hand(demo: Run, lot: str) -> int:
    found = rows(demo("expiry", "--format", "json", *BACK))
    return sum(it["quantity"] for it in found if it["lot"] == lot)


def test_what_did_not_come_back_is_used_and_counts_next_time(demo: Run) -> None:
    """Given a trip over, when lines say what came back, then the rest is used, all at once."""
    before = on_hand(demo, "L50")
    done = demo("trip", "close", "Spring count", "--lines", "--yes", *BACK, stdin="L50 3\n")
    assert done.returncode == 0, done.stderr
    assert f"used: {before - 3} tablets of pain tablets 500 mg (L50)" in done.stdout
    assert on_hand(demo, "L50") == 3
    moved = demo("history", "L50", *BACK).stdout
    assert "25 APR 2027" in moved
    carry = demo("carry", "pain tablets 500 mg", "--trip", "Spring count", *BACK).stdout
    assert f"{before - 3} tablets in all" in carry
    again = demo("trip", "close", "Spring count", "--nothing-more", *BACK)
    assert (again.returncode, "closed on 27 APR 2027 already" in again.stderr) == (3, True)


def test_a_file_is_taken_whole_or_not_at_all(demo: Run, tmp_path: Path) -> None:
    file = tmp_path / "back.csv"
    file.write_text("lot,quantity\nL50,3\nL9999,1\nL51,many\n", "utf-8")
    before = on_hand(demo, "L50")
    refused = demo("trip", "close", "Spring count", "--from", str(file), "--yes", *BACK)
    assert refused.returncode == 3
    assert "line 3" in refused.stderr
    assert "line 4" in refused.stderr
    assert on_hand(demo, "L50") == before
    file.write_text("item,box,quantity\npain tablets 500 mg,Medicines,4\n", "utf-8")
    assert (
        demo("trip", "close", "Spring count", "--from", str(file), "--yes", *BACK).returncode == 0
    )


def test_more_back_than_booked_and_a_trip_still_away_are_refused(demo: Run) -> None:
    more = demo("trip", "close", "Spring count", "--lines", "--yes", *BACK, stdin="L50 9999\n")
    assert (more.returncode, "came back, and the books have" in more.stderr) == (3, True)
    away = demo("trip", "close", "Spring count", "--nothing-more", "--on", "2027-04-01")
    assert (away.returncode, "yet to come" in away.stderr) == (3, True)
    early = demo("trip", "close", "Spring count", "--nothing-more", "--came-back", "2027-04-01",
                 "--on", "2027-04-01")  # fmt: skip
    assert early.returncode == 0


def test_nothing_used_is_data_and_what_was_wanted_in_vain_counts(demo: Run) -> None:
    thing = "tweezers, fine"
    words = ["carry", thing, "--trip", "Spring count", "--format", "json", *BACK]
    assert rows(demo(*words)) == []
    assert demo("wanted", thing, "--on", "2027-03-01", "--note", "thorn").returncode == 0
    assert demo("trip", "close", "Spring count", "--nothing-more", *BACK).returncode == 0
    after = rows(demo(*words))
    best = next(it for it in after if it["recommended"])
    assert best["carry"] > 0
    assert [it["carry"] for it in after] == sorted({it["carry"] for it in after})
    assert demo("wanted", "--take-back", "W1").returncode == 0
    fewer = next(it for it in rows(demo(*words)) if it["recommended"])
    assert fewer["carry"] < best["carry"]


def test_memory_comes_before_the_books_and_can_be_withdrawn(demo: Run, tmp_path: Path) -> None:
    """0 in 60 days against 84 days at 95 %: ln(.05) / ln(84/144) - 1, rounded up, is 5."""
    file = tmp_path / "memory.csv"
    file.write_text(f'item,used,days,year\n"{PUTTY}",0,60,2024\n', "utf-8")
    assert demo("remember", "--from", str(file)).returncode == 0
    words = ["carry", PUTTY, "--trip", "Spring count", "--format", "json"]
    assert next(it["carry"] for it in rows(demo(*words)) if it["recommended"]) == 5
    listed = demo("remember", "--list").stdout
    number = next(line.split()[0] for line in listed.splitlines() if PUTTY in line)
    assert demo("remember", "--take-back", number).returncode == 0
    assert rows(demo(*words)) == []
    file.write_text(f'item,used,days,times\n"{PUTTY}",1,60,2\nnobody,1,1,1\n', "utf-8")
    refused = demo("remember", "--from", str(file))
    assert (refused.returncode, refused.stderr.count("line ")) == (3, 2)


def test_at_a_terminal_it_asks_box_by_box(demo: Run, terminal: Callable[..., Any]) -> None:
    assert demo("box", "list").returncode == 0
    code, screen = terminal(
        "trip", "close", "Spring count", *BACK,
        answers=[("Was Cab along", "y"), ("came back", "0")],
        interrupt_at="came back",
    )  # fmt: skip
    assert code == 130
    assert "nothing was changed" in screen


def test_a_closing_is_taken_back_with_its_uses_and_may_be_made_anew(demo: Run) -> None:
    """Given a trip closed by mistake, when that is undone, then stock and log are as before."""
    before = on_hand(demo, "L50")
    close = ("trip", "close", "Spring count")
    assert demo(*close, "--lines", "--yes", *BACK, stdin="L50 3\n").returncode == 0
    done = demo(*close, "--undo", *BACK)
    assert done.returncode == 0, done.stderr
    assert f"in the books again: {before - 3} tablets of pain tablets 500 mg (L50)" in done.stdout
    assert on_hand(demo, "L50") == before
    twice = demo(*close, "--undo", *BACK)
    assert (twice.returncode, "is not closed" in twice.stderr) == (3, True)
    assert demo(*close, "--lines", "--yes", *BACK, stdin="L50 5\n").returncode == 0
    assert on_hand(demo, "L50") == 5


def test_undo_after_a_closing_without_use_does_not_reverse_what_came_before(demo: Run) -> None:
    before = on_hand(demo, "L50")
    assert demo("trip", "close", "Spring count", "--nothing-more", *BACK).returncode == 0
    refused = demo("undo", *BACK)
    assert (refused.returncode, 'trip close "Spring count" --undo' in " ".join(
        refused.stderr.split())) == (3, True)  # fmt: skip
    assert on_hand(demo, "L50") == before
    assert demo("trip", "close", "Spring count", "--undo", *BACK).returncode == 0
    assert demo("undo", *BACK).returncode == 0


def test_undoing_the_uses_alone_tells_that_the_trip_stays_closed(demo: Run) -> None:
    close = ("trip", "close", "Spring count")
    assert demo(*close, "--lines", "--yes", *BACK, stdin="L50 3\n").returncode == 0
    told = demo("undo", *BACK).stdout
    assert "Spring count stays closed" in told
    assert demo(*close, "--undo", *BACK).returncode == 0
    assert demo(*close, "--nothing-more", *BACK).returncode == 0
