"""Labels sent to a printer's queue: what it gets, what is remembered, what is refused."""

from __future__ import annotations

import stat
import sys
from pathlib import Path

import pytest

from given_labels import Run, printed, refused, said, with_tubes


@pytest.fixture
def kit(empty: Run) -> Run:
    return with_tubes(empty)


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
