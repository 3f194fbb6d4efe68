"""The command line: one module per task of the user; it parses, calls and prints."""

from __future__ import annotations

import sys
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code; the one place that makes exit codes."""
    from stockcheck.cli.app import run

    sys.exit(run(list(sys.argv[1:] if arguments is None else arguments)))
