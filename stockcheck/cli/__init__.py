"""The command line: one module per task of the user; it parses, calls and prints."""

from __future__ import annotations

import gc
import sys
from collections.abc import Sequence
from io import TextIOWrapper


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code; the one place that makes exit codes."""
    gc.disable()  # a command is soon over: looking for cycles only slows it
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a name that the screen lacks letters for
    try:
        from stockcheck.cli.app import run

        code = run(list(sys.argv[1:] if arguments is None else arguments))
    except KeyboardInterrupt:  # before or after the command itself
        code = 130
    sys.exit(code)
