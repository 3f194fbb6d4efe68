"""What chance and other hands make of an exported folder: a whole store comes of it, or none."""

from __future__ import annotations

import json
import os
import subprocess
from collections.abc import Callable
from pathlib import Path
from shutil import copytree, rmtree

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hostile import steers, tries

Run = Callable[..., "subprocess.CompletedProcess[str]"]
SMALL = settings(
    max_examples=tries(25),
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
BITS = [b"", b"\x00", b"\xff", b"'", b'"', b",", b"\r\n", b"-1", b"9" * 30, b"NULL", b"1e999",
        "\u202e\x1b[2J".encode(), b"=1+1", b"{}", b"[" * 9000, b"true", b'{"a":']  # fmt: skip


@pytest.fixture
def out(inside: Run, tmp_path: Path) -> Path:
    """The demo exported, in both forms."""
    for form in ("csv", "jsonl"):
        assert inside("export", f"whole.{form}", "--format", form).returncode == 0
    return tmp_path


def imported(run: Run, folder: Path) -> str:
    """Try it; what was said. A store is there only where it worked, and then it opens."""
    new = folder / "new.db"
    new.unlink(missing_ok=True)
    done = run("import", "tried", "--to", "new.db", "--edited")
    assert done.returncode in {0, 3, 4}, done.stderr
    assert "please report it" not in done.stderr, done.stderr
    assert not steers(done.stdout + done.stderr)
    assert new.exists() == (done.returncode == 0)
    assert not list(folder.glob("*.part"))
    if new.exists():
        seen = run("--store", "new.db", "expiry")
        assert seen.returncode == 0, seen.stderr
    return done.stderr


@SMALL
@given(form=st.sampled_from(["csv", "jsonl"]), name=st.integers(0, 60), at=st.integers(0, 4000),
       length=st.integers(0, 20), put=st.sampled_from(BITS))  # fmt: skip
def test_what_chance_makes_of_a_file(
    inside: Run, out: Path, form: str, name: int, at: int, length: int, put: bytes
) -> None:
    rmtree(out / "tried", ignore_errors=True)
    copytree(out / f"whole.{form}", out / "tried")
    files = sorted((out / "tried").iterdir(), key=lambda file: -file.stat().st_size)
    file = files[name % len(files)]
    data = file.read_bytes()
    at %= len(data) + 1
    file.write_bytes(data[:at] + put + data[at + length :])
    imported(inside, out)


def _pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


def _folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def _endless(path: Path) -> None:
    path.unlink()
    path.symlink_to("/dev/zero")


def _long_line(path: Path) -> None:
    path.write_bytes(path.read_bytes() + b"x" * 5_000_000)


def _nested(path: Path) -> None:
    path.write_bytes(b"[" * 100_000)


def _gone(path: Path) -> None:
    path.unlink()


@pytest.mark.parametrize("harm", [_pipe, _folder, _endless, _long_line, _nested, _gone])
@pytest.mark.parametrize("name", ["manifest.json", "box.csv", "movement.jsonl", "setting.csv"])
def test_what_is_no_file_of_an_export_is_refused_at_once(
    inside: Run, out: Path, harm: Callable[[Path], None], name: str
) -> None:
    form = "jsonl" if name.endswith("jsonl") else "csv"
    copytree(out / f"whole.{form}", out / "tried")
    harm(out / "tried" / name)
    assert name in imported(inside, out)
    assert not (out / "new.db").exists()


@pytest.mark.parametrize("name", ["../../etc/passwd", "/etc/passwd", "box\0", "sqlite_master"])
def test_a_manifest_cannot_name_a_file_elsewhere(inside: Run, out: Path, name: str) -> None:
    copytree(out / "whole.csv", out / "tried")
    path = out / "tried" / "manifest.json"
    told = json.loads(path.read_text("utf-8"))
    told["tables"][name] = {"rows": 1}
    path.write_text(json.dumps(told), "utf-8")
    assert "names a table that schema" in imported(inside, out)
