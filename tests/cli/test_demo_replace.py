"""The demo makes room for itself only where a demo was before: a person's own files stay."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from stockcheck.core.errors import BadInput

Run = Callable[..., "subprocess.CompletedProcess[str]"]


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.parametrize("more", [[], ["--replace"]])
@pytest.mark.parametrize(
    ("file", "content", "said"),
    [
        ("stock.db", b"", "own/stock.db is there, and no demo made it"),
        ("stock.db", b"box,item,quantity\n", "own/stock.db is there, and no demo made it"),
        ("expiry.pdf", b"%PDF", "own/expiry.pdf is there, and no demo made it"),
    ],
)
def test_a_file_that_no_demo_made_is_never_replaced(
    inside: Run, tmp_path: Path, more: list[str], file: str, content: bytes, said: str
) -> None:
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / file).write_bytes(content)
    refused = inside("demo", "own", *more)
    assert refused.returncode == BadInput.exit_code
    assert said in refused.stderr
    assert "name another folder" in refused.stderr
    assert files(tmp_path / "own") == {file: content}


@pytest.mark.parametrize("more", [[], ["--replace"]])
def test_a_store_of_a_person_is_named_and_never_replaced(
    inside: Run, tmp_path: Path, more: list[str]
) -> None:
    """Given a person's own store in the folder, when a demo is wanted there, then it is refused."""
    assert inside("--store", "own/stock.db", "init", "--name", "Survey truck").returncode == 0
    (tmp_path / "own" / "audit.txt").write_text("mine", "utf-8")
    before = files(tmp_path / "own")
    refused = inside("demo", "own", *more)
    assert refused.returncode == BadInput.exit_code
    assert "own/stock.db is a store of your own, 'Survey truck'" in refused.stderr
    assert files(tmp_path / "own") == before


def test_a_demo_is_made_anew_when_told_and_what_else_lies_there_stays(
    inside: Run, tmp_path: Path
) -> None:
    assert inside("demo", "practice").returncode == 0
    made = files(tmp_path / "practice").keys()
    (tmp_path / "practice" / "mine.txt").write_text("kept", "utf-8")
    refused = inside("demo", "practice")
    assert refused.returncode == BadInput.exit_code
    assert "practice has a demo already; give --replace to make it anew" in refused.stderr
    assert inside("demo", "practice", "--replace").returncode == 0
    assert files(tmp_path / "practice").keys() == made | {"mine.txt"}
