"""A store that another hand has damaged: said at 80 columns, every remedy a command that is there.

The damage is made through a plain connection with every guard taken off and put back.
"""

from __future__ import annotations

import json
import re
import sqlite3
import subprocess
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import click
import pytest

from stockcheck.cli.app import COMMANDS, root

Run = Callable[..., "subprocess.CompletedProcess[str]"]

# What is done, the step that finds it, and whether --mend sets it right.
DAMAGES = {
    "a lot of an item that is not there": (
        "UPDATE lot SET item_id = 9999 WHERE lot_id = 12", "references", False),
    "a holding's movement altered": (
        "UPDATE movement_line SET quantity = quantity + 5 WHERE movement_id = 3", "on hand", True),
    "on hand altered": (
        "UPDATE holding SET quantity = quantity + 1 WHERE lot_id = 12", "on hand", True),
    "a movement without its line": (
        "DELETE FROM movement_line WHERE movement_id = 3", "records", False),
    "a limit that is stale": (
        "UPDATE lot SET printed_last_day = '2026-12-31', expiry = '2026-12' WHERE lot_id = 12",
        "limits", True),
    "a wrong code": ("UPDATE box SET code = '2000000019' WHERE box_id = 3", "codes", False),
    "a date far out": (
        "UPDATE lot SET expiry = '2207-11', printed_last_day = '2207-11-30' WHERE lot_id = 12",
        "dates", False),
    "a match of a list that is gone": (
        """INSERT INTO kit_match (list_id, line, item_id, serves, on_day)
        VALUES ('no-such-list', 'x', 1, 1, '2026-11-25')""", "records", False),
    "a kind that cannot be read": (
        "UPDATE kind SET rule = '{}' WHERE kind_id = 1", "records", False),
    "a trigger lost": ("SELECT 1", "schema", True),
    "the search out of date": ("DELETE FROM search", "search", True),
}  # fmt: skip


def harmed(path: Path, sql: str, *, lose: str = "") -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as conn:
        conn.execute("PRAGMA synchronous = OFF")
        conn.execute("BEGIN")
        guards = conn.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        kept = dict(guards.fetchall())
        for name in kept:
            conn.execute(f'DROP TRIGGER "{name}"')
        conn.execute(sql)
        for name, made in kept.items():
            if name != lose:
                conn.execute(made)
        conn.execute("COMMIT")


@pytest.fixture
def damaged(inside: Run, tmp_path: Path, request: pytest.FixtureRequest) -> Run:
    """The demo with one of the damages."""
    what = request.getfixturevalue("what")
    lose = "movement_line_stay" if what == "a trigger lost" else ""
    if lose:
        with closing(sqlite3.connect(tmp_path / "stock.db")) as conn:
            [lose] = conn.execute(
                "SELECT name FROM sqlite_master WHERE type = 'trigger'"
                " AND tbl_name = 'movement_line' ORDER BY name LIMIT 1"
            ).fetchone()
    harmed(tmp_path / "stock.db", DAMAGES[what][0], lose=lose)
    return inside


@pytest.mark.parametrize("what", DAMAGES)
def test_each_damage_is_found_where_it_is_and_said_within_80_columns(
    damaged: Run, what: str
) -> None:
    _, part, _ = DAMAGES[what]
    done = damaged("check")
    assert done.returncode in {0, 4}, done.stderr
    assert "please report it" not in done.stderr
    assert max(map(len, done.stdout.splitlines())) <= 80
    rows = json.loads(damaged("check", "--format", "json").stdout)["rows"]
    assert part in {row["part"] for row in rows}
    assert all(row["remedy"] for row in rows)


@pytest.mark.parametrize("what", DAMAGES)
def test_a_mend_sets_right_what_is_derived_and_keeps_the_rest_told(
    damaged: Run, tmp_path: Path, what: str
) -> None:
    _, part, mends = DAMAGES[what]
    done = damaged("check", "--mend", "--format", "json")
    assert "please report it" not in done.stderr
    left = [row for row in json.loads(damaged("check", "--format", "json").stdout)["rows"]
            if row["part"] == part]  # fmt: skip
    assert bool(left) != mends
    if mends:
        assert len(list((tmp_path / "stock-backups").iterdir())) == 1
        assert damaged("check").returncode == 0


@pytest.mark.parametrize("what", DAMAGES)
def test_every_other_command_works_or_says_what_to_do(damaged: Run, what: str) -> None:
    for words in (["expiry"], ["status"], ["why", "L12"], ["backup", "mine.db"], ["export", "out"],
                  ["import", "out", "--to", "copy.db"],
                  ["salvage", "stock.db", "--to", "saved.db"]):  # fmt: skip
        done = damaged(*words)
        assert done.returncode in {0, 3, 4}, (words, done.stderr)
        assert "please report it" not in done.stderr, words
    if what == "a lot of an item that is not there":
        assert "'stockcheck check' tells which" in damaged("expiry").stderr


def named_commands() -> set[str]:
    """Every ``stockcheck ...`` that the look through a store names as a remedy."""
    package = Path(__file__).parents[2] / "stockcheck"
    files = [*(package / "store").glob("checking*.py"), package / "store" / "sense.py",
             package / "core" / "store_findings.py"]  # fmt: skip
    found: set[str] = set()
    for file in files:
        found |= set(re.findall(r"stockcheck ([a-z][a-z-]+(?: [a-z][a-z-]+)?)", file.read_text()))
    return {each for each in found if each.split()[0] in COMMANDS}


@pytest.mark.parametrize("words", sorted(named_commands()))
def test_a_remedy_names_a_command_that_is_there(words: str) -> None:
    ctx = click.Context(root)
    command = root.get_command(ctx, words.split(maxsplit=1)[0])
    assert command is not None
    if isinstance(command, click.Group) and len(words.split()) > 1:
        assert words.split()[1] in command.commands


def test_going_back_to_a_backup_that_is_not_there_says_where_they_are(inside: Run) -> None:
    done = inside("restore", "nothing.db")
    assert done.returncode == 4
    assert "there is no file nothing.db; 'stockcheck backup --list' shows backups" in done.stderr
