"""Sessions through a pipe, as the same lines at a terminal: undo, words, awkward stock."""

from __future__ import annotations

import json
import sqlite3
import subprocess
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

Run = Callable[..., "subprocess.CompletedProcess[str]"]
SEALANT = "(01)09520123000127"


def session(run: Run, *lines: str, options: tuple[str, ...] = ()) -> str:
    done = run("scan", "--session", *options, stdin="\n".join(lines))
    assert done.returncode == 0, done.stderr
    return " ".join(done.stdout.split())


def held(run: Run, short: str) -> list[tuple[str, int, str | None]]:
    """Where a lot is: box, quantity, status."""
    rows = json.loads(run("scan", short, "--format", "json").stdout)["rows"]
    return [(row["box"], row["quantity"], row["status"]) for row in rows if row["status"]]


def test_undo_takes_back_the_writes_of_the_session_one_by_one_and_no_others(demo: Run) -> None:
    demo("use", "L105")
    out = session(demo, "B8", "L105", "use 2", "L3", "L3", "undo", "undo", "undo")
    assert "Undone: moved 10 of tyre patch, round, 45 mm (L3) from Tyre kit to Water" in out
    assert "Undone: used 2 tablets" in out
    assert "Nothing was written in this session yet" in out
    assert held(demo, "L105")[0][1] == 49
    assert held(demo, "L3") == [("Tyre kit", 10, "in date")]
    assert "nothing was written" not in out.partition("SUMMARY")[2]


def test_what_cannot_be_undone_any_more_is_told_and_the_session_goes_on(demo: Run) -> None:
    out = session(demo, "B8", "L105", "use one", "undo", "L105", "done")
    assert "Undone" in out
    assert "SUMMARY" in out


def test_typed_words_work_as_well_as_scans(demo: Run) -> None:
    out = session(demo, "water", "bleach, plain, 1 l bottle", "write off 1 leaked", "yes", "help")
    assert "Write off 1 of bleach, plain, 1 l bottle (L108) in Water (leaked)?" in out
    assert held(demo, "L108") == []
    assert "The same scan again answers yes" in out
    assert "leaked" in demo("history", "L108").stdout


def test_move_with_the_box_typed_behind_it(demo: Run) -> None:
    session(demo, "Water", "L105", "move 20 to Tyre kit")
    assert sorted(held(demo, "L105")) == [("Tyre kit", 20, "in date"), ("Water", 30, "in date")]


def test_an_action_before_its_thing(demo: Run) -> None:
    session(demo, "B8", "count", "L105", "41", "done", "L106", "use one")
    assert held(demo, "L105") == [("Water", 41, "in date")]
    assert held(demo, "L106") == [("Water", 27, "in date")], "done ended it"


def test_sealed_and_opened_of_a_lot_are_both_told(demo: Run) -> None:
    session(demo, "B3", "L1", "open")
    out = session(demo, "B3", "L1")
    assert out.count("rubber solution, 20 ml tube L1") == 2
    assert "opened 25 NOV 2026" in out


def test_a_recalled_pack_goes_on_hold_as_it_is_taken_in(demo: Run) -> None:
    demo("recall", "09520123000127", "--batch", "BAD")
    code = f"{SEALANT}(17)290531(10)bad"
    out = session(demo, "B3", code, code, code)
    assert "RECALLED: batch BAD of tyre sealant, 450 ml bottle" in out
    assert "put ON HOLD at once: its batch is recalled" in out
    assert held(demo, "L116") == [("Tyre kit", 1, "held")]
    again = session(demo, "B3", "L116", "use one", "undo")
    assert "ON HOLD" in again
    assert "must not be used until it is released" in again


def test_a_receipt_of_a_recalled_pack_is_undone_whole(demo: Run) -> None:
    demo("recall", "09520123000127", "--batch", "BAD")
    code = f"{SEALANT}(17)290531(10)BAD"
    session(demo, "B3", code, code, code, "undo")
    assert held(demo, "L116") == []


def test_more_of_a_lot_with_none_left_is_more_of_that_lot(demo: Run) -> None:
    code = f"{SEALANT}(17)290531(10)N1"
    out = session(demo, "B3", code, code, "use one", "yes", code, code)
    assert "NONE LEFT" in out
    assert held(demo, "L116") == [("Tyre kit", 1, "in date")]


def test_a_pack_of_ten_is_ten(demo: Run) -> None:
    added = demo("item", "add", "salve", "--kind", "eye-drops", "--gtin", "09506000134352 x10")
    assert added.returncode == 0, added.stderr
    code = "(01)09506000134352(17)290531(10)P1"
    out = session(demo, "First aid", code, code, "receive 2")
    assert "Receive 10 into First aid?" in out
    assert held(demo, "L116") == [("First aid", 30, "in date")]


def test_another_packing_level_needs_somebody_who_can_type(demo: Run) -> None:
    code = "(01)19520123000124"
    out = session(demo, "B3", code, code)
    assert "It looks like another pack of tyre sealant, 450 ml bottle" in out
    assert "an item is made at a terminal" in out


def test_the_rows_of_a_session_for_scripts(demo: Run, tmp_path: Path) -> None:
    done = demo(
        "scan", "--session", "--format", "json", "--output", "out.json",
        stdin="B8\nL105\nuse one\nL3\nL3\n",
    )  # fmt: skip
    assert done.returncode == 0
    rows: list[dict[str, Any]] = json.loads((tmp_path / "out.json").read_text("utf-8"))["rows"]
    outcomes = [(row["outcome"], row["lot"]) for row in rows]
    assert ("seen", "L105") in outcomes
    assert ("not seen", "L107") in outcomes
    assert outcomes[-2:] == [("used", "L105"), ("moved", "L3")]
    assert rows[-1] == {
        "outcome": "moved", "box": "Tyre kit", "to_box": "Water",
        "item": "tyre patch, round, 45 mm", "lot": "L3", "quantity": 10, "unit": "each",
        "last_usable_day": None, "status": None,
    }  # fmt: skip


def test_each_write_is_durable_before_the_next_line(demo: Run) -> None:
    """Given a line that only another program's lock could stop, the lines before it stand."""
    out = session(demo, "B8", "L105", "use one", "use 9999", "use one")
    assert "asked 9999 tablets" in out
    assert held(demo, "L105")[0][1] == 48


def test_a_retired_box_is_told_and_not_entered(demo: Run) -> None:
    demo("box", "add", "Old crate")
    number = next(
        row["box"]
        for row in json.loads(demo("box", "list", "--format", "json").stdout)["rows"]
        if row["name"] == "Old crate"
    )
    assert demo("box", "retire", "Old crate").returncode == 0
    out = session(demo, number)
    assert "out of use since 2026-11-25" in out
    assert demo("scan", "L1", "--box", "Old crate").returncode == 3


def test_labels_noted_end_as_a_command(demo: Run) -> None:
    out = session(demo, "B8", "L105", "label", "L107", "label", "label")
    assert "labels: stockcheck labels L105 L107 --output labels.pdf" in out


def test_boxes_inside_the_one_scanned_are_named(demo: Run) -> None:
    assert demo("box", "add", "Filter pouch", "--inside", "Water").returncode == 0
    assert "boxes inside it, to be scanned by themselves: Filter pouch" in session(demo, "B8")


def test_rows_for_scripts_need_a_file_of_their_own(demo: Run) -> None:
    done = demo("scan", "--session", "--format", "json", stdin="B8\n")
    assert done.returncode == 2
    assert "--output" in done.stderr


def test_findings_of_a_session_decide_its_exit_code(demo: Run) -> None:
    for finding, lines, code in (
        ("not seen", "B8\n", 5), ("unknown", "zzz\n", 5), ("unknown", "B8\n", 0),
        ("expired", "B8\n", 5),
    ):  # fmt: skip
        done = demo("scan", "--session", "--fail-on", finding, stdin=lines)
        assert done.returncode == code, (finding, lines)


def test_a_store_in_use_by_another_program_stops_one_line_and_not_the_session(
    demo: Run, tmp_path: Path
) -> None:
    """Given a lock that outlasts one write, then it is told, and the next line works again."""
    from contextlib import closing

    from stockcheck.cli.scan_looking import Looking
    from stockcheck.cli.scan_session import Worked
    from stockcheck.core.scanning import Setting
    from stockcheck.store.files import opened

    assert demo("find", "x").returncode == 0
    on = date(2026, 11, 25)
    with opened(tmp_path / "stock.db") as store:
        store.conn.execute("PRAGMA busy_timeout = 50")
        worked = Worked(Looking(store, on), Setting(on))
        worked.line("B8")
        worked.line("L105")
        with closing(sqlite3.connect(tmp_path / "stock.db", isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            worked.line("use one")
            other.execute("ROLLBACK")
        assert worked.deeds == []
        worked.line("use one")
        assert [deed.what for deed in worked.deeds] == ["used"]
    assert held(demo, "L105")[0][1] == 49


def test_stock_that_moved_since_it_was_scanned_is_not_written_from_old_figures(
    demo: Run, tmp_path: Path
) -> None:
    """Given a count that is asked for, when others use some, then it must be scanned anew."""
    from stockcheck.cli.scan_looking import Looking
    from stockcheck.cli.scan_session import Worked
    from stockcheck.core.scanning import Setting
    from stockcheck.store.files import opened

    day = date(2026, 11, 25)
    assert demo("find", "x").returncode == 0
    with opened(tmp_path / "stock.db") as store:
        worked = Worked(Looking(store, day), Setting(day))
        for line in ("B8", "L105", "count"):
            worked.line(line)
        demo("use", "L105", "-n", "10")
        worked.line("50")
    assert held(demo, "L105") == [("Water", 40, "in date")]
