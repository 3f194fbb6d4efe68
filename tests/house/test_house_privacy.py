"""What a person writes down stays theirs: no socket is ever opened, and files are their own.

The interpreter itself tells of every socket (docs.python.org/3/library/audit_events.html): a child
that runs commands of every task leaves at once when one is made, bound or connected.
"""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path
from shutil import copyfile

import pytest

from stockcheck.cli.app import COMMANDS

WATCHED = """
import contextlib, io, json, os, sys
def watch(event, arguments):
    if event.startswith("socket."):
        sys.__stderr__.write(f"SOCKET: {event} {arguments!r}\\n")
        os._exit(99)
sys.addaudithook(watch)
os.umask(int(sys.argv[1]))
from stockcheck.cli.app import run
for words in json.loads(sys.argv[2]):
    with contextlib.redirect_stdout(io.TextIOWrapper(io.BytesIO(), "utf-8")):
        code = run(words)
    if code not in (0, 1, 2, 3, 5):
        sys.exit(f"{words}: {code}")
"""
EAN = "(01)09520123000233(17)290200(10)7C21-B"
# One or more of every command; what is a talk with a person, or needs a file, is refused and runs
# as far as that.
RUNS: list[list[str]] = [
    ["init"], ["scan", "1000000013"], ["scan", EAN], ["read", "EXP 11/2027", EAN],
    ["receive", "--box", "Water", "--item", "I70", "--quantity", "5", "--batch", "N1"],
    ["use", "L50"], ["open", "L7"], ["move", "L8", "--to", "Water"], ["undo"],
    ["hold", "L31", "--reason", "x"], ["release", "L31", "--reason", "x"],
    ["correct", "L50", "--count", "3"], ["write-off", "L4", "--reason", "lost", "--yes"],
    ["recall", "I7", "--batch", "Q"], ["wanted", "I1"], ["find", "tablet"], ["why", "L58"],
    ["history", "L50"], ["decide", "Fluids", "--lot", "L43", "--as", "last resort"],
    ["inspect", "L12", "--pass", "--by", "Ana"], ["count", "--list"],
    ["round", "due"], ["heat", "show", "Water"], ["whatif", "Water", "--climate", "house shelf"],
    ["expiry"], ["expiry", "--format", "pdf", "--output", "expiry.pdf"], ["carry", "I70"],
    ["forecast"], ["order"], ["purchase", "list"],
    ["restock"], ["audit", "First aid", "--list", "de-din-13164-2022"],
    ["labels", "L50", "--output", "labels.pdf"], ["action-card", "--output", "card.pdf"],
    ["clear-out"], ["pack", "--output", "pack.pdf"], ["calendar"], ["status"],
    ["completion", "bash"], ["guide"], ["guide", "heat"],
    ["manual", "man"],
    ["check"], ["backup"], ["backup", "mine.db"], ["restore", "mine.db", "--yes"],
    ["export", "out"], ["import", "out", "--to", "new.db"], ["salvage", "mine.db", "--to", "s.db"],
    ["box", "list"], ["item", "list"], ["kind", "list"], ["lot", "list"], ["par", "list"],
    ["supplier", "list"], ["offer", "list"], ["trip", "list"], ["remember", "--list"],
    ["climate", "list"], ["kit-lists", "list"], ["label-stock", "list"], ["demo", "demo"],
]  # fmt: skip


@pytest.mark.parametrize("umask", [0, 0o022])
def test_no_command_opens_a_socket_and_every_store_is_its_owner_s_alone(
    made_stores: Path, tmp_path: Path, umask: int
) -> None:
    import json

    copyfile(made_stores / "demo" / "stock.db", tmp_path / "stock.db")
    (tmp_path / "stock.db").chmod(0o600)
    runs = [["--store", "fresh.db" if words == ["init"] else "stock.db", *words] for words in RUNS]
    done = subprocess.run(
        [sys.executable, "-c", WATCHED, str(umask), json.dumps(runs)],
        cwd=tmp_path,
        env={**os.environ, "STOCKCHECK_TODAY": "2026-11-25"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert "SOCKET" not in done.stderr, done.stderr
    assert done.returncode == 0, done.stderr[-2000:]
    ours = [path for path in tmp_path.rglob("*") if path.suffix in {".db", ".csv"}]
    ours += list((tmp_path / "out").iterdir())
    assert len(ours) > 40
    loose = [path for path in ours if stat.S_IMODE(path.stat().st_mode) & 0o077]
    assert loose == []
    assert not list(tmp_path.rglob("*.part"))


def test_every_command_is_watched() -> None:
    assert {words[0] for words in RUNS} >= set(COMMANDS)


def test_a_socket_would_be_seen() -> None:
    code = WATCHED.partition("os.umask")[0] + "import socket; socket.socket()"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert done.returncode == 99
