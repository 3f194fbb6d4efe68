"""Text from anywhere made harmless where it leaves: for terminals, and for spreadsheets.

What is kept cannot hold control characters (``names.unprintable``), but a store may come from
another hand, and file names and errors are shown too.
"""

from __future__ import annotations

import re
from functools import cache

REPLACEMENT = "\ufffd"
# Marks that turn the direction of writing or break lines, C1 controls, lone surrogates.
STEERING = "\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff"
_CONTROLS = "\\0-\\x08\\x0b-\\x1f"  # those of ASCII but line end and tab
_COLOUR = "\x1b\\[(?:[012]|3[0-7]|1;3[0-7])m"  # what our reports use of SGR (ECMA-48, 8.3.117)
_FORMULA = tuple("=+-@\t\r\n＝＋－＠")  # a spreadsheet would take what follows for a formula
_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?", re.ASCII)
_MARK = "'"


def harmless(text: str, *, colours: bool = False) -> str:
    """The text with a sign in place of each character that could steer a terminal.

    With ``colours`` the bell and the few sequences that our own reports colour with are kept.
    """
    if text.isprintable():
        return text
    return _steering().sub(lambda found: found[1] if colours and found[1] else REPLACEMENT, text)


@cache
def _steering() -> re.Pattern[str]:
    return re.compile(f"({_COLOUR}|\x07)|[{_CONTROLS}{STEERING}]")


def to_csv_cell(text: str) -> str:
    """The text for a CSV cell: one that a spreadsheet could run as a formula gets an apostrophe.

    A plain number does not. ``from_csv_cell`` gives the text back, whatever it begins with.
    """
    if text.isprintable() and text[:1].isalnum():
        return text  # as nearly all are
    text = harmless(text)
    risky = text.lstrip(_MARK).startswith(_FORMULA) and not _NUMBER.fullmatch(text)
    return _MARK + text if risky else text


def from_csv_cell(cell: str) -> str:
    """A CSV cell as text, without the apostrophe that kept a spreadsheet from running it."""
    if cell.startswith(_MARK) and cell.lstrip(_MARK).startswith(_FORMULA):
        return cell[1:]
    return cell
