"""A round from lines: what a scanner that stores, or a script, says of the lots of a box."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from stockcheck.core.errors import BadFile, BadInput, Problem

if TYPE_CHECKING:
    from stockcheck.cli.round_asking import Asking

_REMEDY = "Write the lot's code, then how many, such as L75 4 d1"


def take_lines(asking: Asking) -> None:
    """Take every line of standard input, or none; BadFile names each that means nothing."""
    from stockcheck.cli.scan_session import piped_lines

    if sys.stdin.isatty():
        return
    problems: list[Problem] = []
    for number, line in enumerate(piped_lines(), 1):
        text = line.removeprefix("\ufeff")
        if not text.strip() or text.lstrip().startswith("#"):
            continue
        try:
            asking.line(text)
        except BadInput as error:
            what, remedy = error.what, error.remedy or _REMEDY
            problems.append(Problem("standard input", number, "line", text, what, remedy))
    if problems:
        raise BadFile(problems)
