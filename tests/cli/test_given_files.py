"""Files that are given by name: bounded in size, in depth and in time, and never waited for."""

from __future__ import annotations

import os
import subprocess
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from stockcheck.core.errors import BadInput
from stockcheck.data.given_files import (
    MOST_DOTS,
    MOST_TABLE_BYTES,
    MOST_TOML_BYTES,
    read_bytes,
    read_text,
    read_toml,
)

Run = Callable[..., "subprocess.CompletedProcess[str]"]

READERS = {
    "intake": ["receive", "--from", "{}"],
    "catalogue": ["box", "add", "--from", "{}"],
    "a logger": ["heat", "log", "Cab", "{}"],
    "a count": ["count", "Water", "--from", "{}"],
    "a kit list": ["kit-lists", "check", "{}"],
    "a label stock": ["label-stock", "check", "{}"],
    "a climate": ["climate", "add", "--from", "{}"],
}
DEEP = {
    "lists in lists": "a = " + "[" * 50_000,
    "tables in tables": "a = " + "{ a = " * 30_000,
    "a dotted key": "a." * 20_000 + "a = 1",
    "a figure of 100,000 digits": "a = " + "1" * 100_000,
    "a day that is none": "a = 2026-02-30",
    "a quote never closed": 'a = """' + "x" * 100_000,
    "nothing of TOML": "box,item,quantity\n",
}


def _given(words: list[str], file: Path) -> list[str]:
    return [str(file) if word == "{}" else word for word in words]


def _refused(run: Run, words: list[str], file: Path) -> str:
    done = run(*_given(words, file))
    assert done.returncode in {2, 3}, (words, done)
    assert "please report it" not in done.stderr
    assert len(done.stderr) < 3000
    return done.stderr


@pytest.mark.parametrize("words", READERS.values(), ids=READERS)
def test_a_pipe_that_nobody_writes_to_is_not_waited_for(
    inside: Run, tmp_path: Path, words: list[str]
) -> None:
    file = tmp_path / "pipe.toml"
    os.mkfifo(file)
    watch = threading.Timer(60, _open_other_end, [file])
    watch.start()
    said = _refused(inside, words, file)
    watch.cancel()
    assert "pipe" in said


def _open_other_end(file: Path) -> None:
    """So that a reader that does wait ends, and its test fails instead of standing still."""
    os.close(os.open(file, os.O_RDWR | os.O_NONBLOCK))


@pytest.mark.parametrize("words", READERS.values(), ids=READERS)
def test_a_device_without_end_is_refused(inside: Run, tmp_path: Path, words: list[str]) -> None:
    link = tmp_path / "zero.toml"
    link.symlink_to("/dev/zero")
    assert "device" in _refused(inside, words, link)


@pytest.mark.parametrize("words", READERS.values(), ids=READERS)
def test_a_folder_and_what_is_not_there_are_told(
    inside: Run, tmp_path: Path, words: list[str]
) -> None:
    folder = tmp_path / "folder.toml"
    folder.mkdir()
    loop = tmp_path / "loop.toml"
    loop.symlink_to(loop)
    for file in (folder, loop, tmp_path / "none.toml", tmp_path / ("n" * 300 + ".toml")):
        _refused(inside, words, file)


@pytest.mark.parametrize("words", READERS.values(), ids=READERS)
def test_a_file_beyond_the_limit_is_refused_unread(
    inside: Run, tmp_path: Path, words: list[str]
) -> None:
    file = tmp_path / "huge.toml"
    with file.open("wb") as huge:
        huge.truncate(MOST_TABLE_BYTES + 100_000_000)  # sparse: takes no room
    said = _refused(inside, words, file)
    assert "MB" in said or "kB" in said


@pytest.mark.parametrize("text", DEEP.values(), ids=DEEP)
@pytest.mark.parametrize("sort", ["a kit list", "a label stock", "a climate"])
def test_a_toml_file_nested_beyond_reason_is_refused(
    inside: Run, tmp_path: Path, sort: str, text: str
) -> None:
    file = tmp_path / "deep.toml"
    file.write_text(text, "utf-8")
    _refused(inside, READERS[sort], file)


def test_the_limits_are_exact(tmp_path: Path) -> None:
    file = tmp_path / "some.txt"
    file.write_bytes(b"x" * 1000)
    assert read_bytes(file, 1000) == b"x" * 1000
    with pytest.raises(BadInput, match="larger than 0 kB"):
        read_bytes(file, 999)
    file.write_text("a = '" + "." * MOST_DOTS + "'", "utf-8")
    assert read_toml(file)
    file.write_text("a = '" + "." * (MOST_DOTS + 1) + "'", "utf-8")
    with pytest.raises(BadInput, match="line 1: more than 500 dots"):
        read_toml(file)
    file.write_bytes(b"#" * (MOST_TOML_BYTES + 1))
    with pytest.raises(BadInput, match="larger than 256 kB"):
        read_toml(file)


@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_a_byte_order_mark_is_no_text(tmp_path: Path, mark: str) -> None:
    file = tmp_path / "some.txt"
    file.write_text(f"{mark}Йод", "utf-8")
    assert read_text(file) == "Йод"


@pytest.mark.parametrize(
    "name", ["../stock", "../../etc/passwd", "/etc/passwd", "a/../../b", "..", ".", "~", "x\0y"]
)
def test_a_name_is_never_taken_for_a_place_elsewhere(
    inside: Run, tmp_path: Path, name: str
) -> None:
    before = {path.name for path in tmp_path.parent.iterdir()}
    for words in (
        ["kit-lists", "show", name],
        ["kit-lists", "usual", "Water", name],
        ["label-stock", "show", name],
        ["labels", "L12", "--stock", name, "--output", "l.pdf"],
        ["whatif", "Cab", "--climate", name],
        ["label-stock", "align", "a4-3x7", "--printer", name, "--output", "a.pdf"],
    ):
        done = inside(*words)
        assert done.returncode in {2, 3}, (words, done)
        assert "root:" not in done.stderr + done.stdout
    assert {path.name for path in tmp_path.parent.iterdir()} == before
