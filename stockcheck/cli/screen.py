"""What a terminal is given: words and our own colours, never what could steer it.

Stored text cannot hold escape sequences (``core.names``), but a store may come from another hand,
and file names and errors are shown too. So everything printed goes through here.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, TextIO, cast

REPLACEMENT = "\ufffd"
# All controls but line end, tab and bell, marks that turn the direction of writing, surrogates.
# A colour of ours (SGR: ECMA-48, 8.3.117) is let through and ends by itself at the next reset.
_COLOUR = "\x1b\\[(?:[012]|3[0-7]|1;3[0-7])m"
_STEERING = re.compile(
    f"({_COLOUR})|[\0-\x06\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069"
    "\ufeff\ud800-\udfff]"
)


def harmless(text: str, *, colours: bool = False) -> str:
    """The text with a sign in place of each character that steers a terminal.

    With ``colours`` the few sequences that our own reports colour with are kept.
    """
    if text.isprintable():
        return text
    return _STEERING.sub(lambda found: (found[1] if colours and found[1] else REPLACEMENT), text)


class _Screen:
    """A text stream that prints only what is harmless; all else as the stream itself."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """As a text stream does."""
        return self._stream.write(harmless(text, colours=True))

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
