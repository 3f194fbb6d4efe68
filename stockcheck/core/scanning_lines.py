"""Lines as scanners that type like a keyboard send them: what stands around and in place of data.

Light on purpose: every scan comes this way.
"""

from __future__ import annotations

import re

from stockcheck.core.codes import looks_like_code, read_code
from stockcheck.core.scanned import SEPARATOR, split_identifier

_AROUND = "\x00\x02\x03\x04\t\r\n \ufeff"  # STX, ETX, EOT and blanks that scanners are set to add
_OUR_SYMBOLS = {"C0", "d1", "Q1"}  # Code 128, Data Matrix and QR without the flag of GS1
_DECORATED = re.compile(r"[A-Za-z]?[^0-9A-Za-z]{0,3}([1239][0-9]{9})[^0-9A-Za-z]{0,3}", re.ASCII)

TOO_SOON = 0.5
"""Seconds in which nobody sees an answer and scans again. From experience, no source."""
READ_TWICE = "read twice in a moment, and taken once; scan it again if that was meant"
_SHORTEST_SCAN = 8  # a GTIN-8; what is shorter was typed

# What the keys of digits and of our letters give where the scanner types as on a US keyboard and
# the computer listens as to another one. The layouts are from memory.
_LAYOUTS = {
    "French": str.maketrans("&é\"'(-è_çà", "1234567890"),
    "Czech": str.maketrans("+ěščřžýáíé", "1234567890"),
    "Russian": str.maketrans("ДдИиШш", "LLBBII"),
}


def tidy_line(line: str) -> str:
    """A line without what scanners put around it; separators inside stay."""
    return line.strip(_AROUND).lstrip(SEPARATOR)


def read_twice(line: str, before: str, waited: float | None) -> bool:
    """Whether a scanner read one symbol twice: the same line again before anybody could mean it.

    ``waited`` is how many seconds after the answer to ``before`` it came, None where nobody knows,
    as through a pipe.
    """
    same = tidy_line(line) == tidy_line(before)
    return same and waited is not None and waited < TOO_SOON and len(line) >= _SHORTEST_SCAN


def own_code(text: str) -> tuple[str, int] | None:
    """Type and serial of one of our codes, as it comes from a scanner or from a person; else None.

    Under a symbology identifier only the ten digits count that our symbols hold. A full code may
    have a letter and signs around it, such as the asterisks of Code 39: its check digit tells.
    """
    identifier, data = split_identifier(text)
    if identifier:
        ours = identifier in _OUR_SYMBOLS and looks_like_code(data)
        return read_code(data) if ours else None
    if found := read_code(data):
        return found
    decorated = _DECORATED.fullmatch(data)
    return read_code(decorated[1]) if decorated else None


def from_other_layout(text: str) -> tuple[str, str] | None:
    """One of our codes typed through a keyboard of another language, and that language; else None.

    Only our codes are understood so, by their check digit: of a maker's code letters would be wrong
    unnoticed.
    """
    for language, table in _LAYOUTS.items():
        meant = text.translate(table)
        if meant != text and read_code(meant):
            return meant, language
    return None


def looks_mistyped(text: str) -> str:
    """The language whose keyboard gives such signs where digits were sent; "" where none does."""
    for language in ("French", "Czech"):
        table = _LAYOUTS[language]
        signs = sum(ord(char) in table for char in text)
        if len(text) >= 8 and signs >= len(text) * 3 // 4:
            return language
    return ""
