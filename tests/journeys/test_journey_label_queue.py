"""Labels sent to a printer's queue: what it gets, what is remembered, what is refused."""

from __future__ import annotations

import json
import stat
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., "subprocess.CompletedProcess[str]"]
TUBE = ["receive", "--box", "Kit", "--item", "tube", "--expiry", "EXP 11/2028", "--batch", "7C"]


def said(done: subprocess.CompletedProcess[str]) -> str:
    """What was said on stderr, in one line; the command has to have worked."""
    assert done.returncode == 0, done.stderr
    return " ".join(done.stderr.split())


def refused(done: subprocess.CompletedProcess[str], code: int = 3) -> str:
    assert done.returncode == code, (done.stdout, done.stderr)
    return " ".join(done.stderr.split())


def printed(run: Run, *words: str) -> list[dict[str, Any]]:
    rows = json.loads(run("labels", "--printed", *words, "--format", "json").stdout)["rows"]
    return [dict(row) for row in rows]


@pytest.fixture
def kit(empty: Run) -> Run:
    """A store with the boxes Kit and Lid, which sits in it, and ten tubes of one batch."""
    for words in (
        ["box", "add", "Kit"],
        ["box", "add", "Lid", "--inside", "Kit"],
        ["item", "add", "tube", "--kind", "rtv-silicone"],
        [*TUBE, "--quantity", "10"],
    ):
        assert empty(*words).returncode == 0
    return empty


LP = """#!{python}
import pathlib, sys
here = pathlib.Path({folder!r})
(here / "words").write_text("\\n".join(sys.argv[1:]))
(here / "sent.pdf").write_bytes(sys.stdin.buffer.read())
if "broken" in sys.argv:
    sys.exit("lp: The printer or class does not exist.")
print("request id is office-7 (0 file(s))")
"""


@pytest.fixture
def lp(tmp_path: Path) -> str:
    """A folder with a program ``lp`` that writes down what it was given; the PATH of a system."""
    folder = tmp_path / "bin"
    folder.mkdir()
    program = folder / "lp"
    program.write_text(LP.format(python=sys.executable, folder=str(folder)), "utf-8")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    return str(folder)


def test_a_queue_gets_the_pdf_and_no_file_is_written(kit: Run, tmp_path: Path, lp: str) -> None:
    done = said(kit("labels", "L1", "--queue", "office", PATH=lp))
    assert "sent to queue office: request id is office-7" in done
    words = (tmp_path / "bin/words").read_text().splitlines()
    assert words == ["-d", "office", "-t", "Labels", "-o", "print-scaling=none", "-o", "media=A4"]
    assert (tmp_path / "bin/sent.pdf").read_bytes().startswith(b"%PDF")
    assert not (tmp_path / "labels.pdf").exists()
    assert printed(kit)[0]["to"] == "queue office"


def test_the_paper_of_a_roll_is_told_by_its_measures(kit: Run, tmp_path: Path, lp: str) -> None:
    for stock, paper in (("roll-62x29", ["-o", "media=Custom.62x29mm"]), ("continuous-62", [])):
        said(
            kit("labels", "L1", "--stock", stock, "--queue", "x y", "--output", "also.pdf", PATH=lp)
        )
        assert (tmp_path / "bin/words").read_text().splitlines()[6:] == paper
        assert (tmp_path / "also.pdf").exists()


def test_what_a_queue_refuses_is_not_remembered(kit: Run, lp: str) -> None:
    done = refused(kit("labels", "--new", "--queue", "broken", PATH=lp))
    assert "queue broken: lp refused it: lp: The printer or class does not exist." in done
    assert printed(kit) == []


def test_without_lp_the_way_out_is_told(kit: Run, tmp_path: Path) -> None:
    done = refused(kit("labels", "--new", "--queue", "office", PATH=str(tmp_path)))
    assert "no lp program" in done
    assert printed(kit) == []


@pytest.mark.parametrize("queue", ["-d", "", " ", "; rm -rf /"])
def test_a_queue_is_a_name_and_never_an_option_or_a_command(
    kit: Run, lp: str, tmp_path: Path, queue: str
) -> None:
    done = kit("labels", "--new", f"--queue={queue}", PATH=lp)
    if queue.startswith(";"):
        assert (tmp_path / "bin/words").read_text().splitlines()[1] == queue
    else:
        assert "no name of a queue" in refused(done)
        assert not (tmp_path / "bin/words").exists()
