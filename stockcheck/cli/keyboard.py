"""A line at a terminal, typed or sent by a scanner that types, and how long it was waited for."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from time import monotonic

import click


@dataclass(frozen=True, slots=True)
class Typed:
    """A line, and the seconds from its prompt until it came; None where no prompt was shown."""

    text: str
    waited: float | None = None


def typed_line(prompt: str) -> Typed | None:
    """The next line; None when there are no more. What is not UTF-8 stays visible as ``\\xff``."""
    click.echo(prompt, nl=False)
    shown = monotonic()
    line = sys.stdin.buffer.readline()
    if not line:
        click.echo()
        return None
    return Typed(line.decode("utf-8", "backslashreplace"), monotonic() - shown)
