"""Codes in photographs: what each is in this store."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.cli.shell import Shell


def scan_photos(
    shell: Shell,
    files: tuple[Path, ...],
    on: date,
    *,
    box: str | None,
    marked: Path | None,
    fmt: str,
    output: Path | None,
) -> None:
    """Read every code in the pictures and tell what each is."""
    del shell, files, on, box, marked, fmt, output
    raise BadInput("pictures are not read yet; scan the codes")
