"""Invented labels: a store with tubes to label, and what the command says and remembers."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from typing import Any

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


def with_tubes(empty: Run) -> Run:
    """A store with the boxes Kit and Lid, which sits in it, and ten tubes of one batch."""
    for words in (
        ["box", "add", "Kit"],
        ["box", "add", "Lid", "--inside", "Kit"],
        ["item", "add", "tube", "--kind", "rtv-silicone"],
        [*TUBE, "--quantity", "10"],
    ):
        assert empty(*words).returncode == 0
    return empty
