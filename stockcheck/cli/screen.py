"""What a terminal is given: words and our own colours, never what could steer it.

Everything that is printed goes through here (``core.harmless``).
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, TextIO, cast

from stockcheck.core.harmless import harmless

BELL = "\a"  # ours comes alone; one inside of what is shown is taken out


class _Screen:
    """A text stream that prints only what is harmless; all else as the stream itself."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """As a text stream does."""
        return self._stream.write(text if text == BELL else harmless(text, colours=True))

    def writelines(self, lines: list[str]) -> None:
        """As a text stream does."""
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@contextmanager
def guarded() -> Iterator[None]:
    """Standard output and errors as harmless streams."""
    before = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = (cast("TextIO", _Screen(each)) for each in before)
    try:
        yield
    finally:
        sys.stdout, sys.stderr = before
