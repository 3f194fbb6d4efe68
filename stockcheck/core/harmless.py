"""Text from anywhere made harmless where it leaves: for terminals, and for spreadsheets.

What is kept cannot hold control characters (``names.unprintable``), but a store may come from
another hand, and file names and errors are shown too.
"""

from __future__ import annotations

import re
from functools import cache

REPLACEMENT = "\ufffd"
# Marks that turn the direction of writing, break lines or are not seen at all (of width none, soft
# hyphens, tag letters), C1 controls, lone surrogates. A joiner may be spelling and stays.
STEERING = (
    "\x7f-\x9f\xad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u2069\ufeff\ufff9-\ufffb"
    "\ud800-\udfff\U000e0000-\U000e007f"
)
_CONTROLS = "\\0-\\x08\\x0b-\\x1f"  # those of ASCII but line end and tab
_COLOUR = "\x1b\\[(?:[012]|3[0-7]|1;3[0-7])m"  # what our reports use of SGR (ECMA-48, 8.3.117)
# The one list of how a cell begins that a spreadsheet would take for a formula (OWASP, "CSV
# Injection"; full-width signs too), and what keeps it from that.
FORMULA_STARTS = "=+-@\t\r\n＝＋－＠"
MARK = "'"
_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?", re.ASCII)


def harmless(text: str, *, colours: bool = False) -> str:
    """The text with a sign in place of each character that could steer a terminal.

    With ``colours`` the few sequences that our own reports colour with are kept.
    """
    if text.isprintable():
        return text
    return _steering().sub(lambda found: found[1] if colours and found[1] else REPLACEMENT, text)


@cache
def _steering() -> re.Pattern[str]:
    return re.compile(f"({_COLOUR})|[{_CONTROLS}{STEERING}]")


def to_csv_cell(text: str) -> str:
    """The text for a CSV cell: one that a spreadsheet could run as a formula gets an apostrophe.

    A plain number does not. ``from_csv_cell`` gives the text back, whatever it begins with.
    """
    if text.isprintable() and text[:1].isalnum():
        return text  # as nearly all are
    text = harmless(text)
    risky = text.lstrip(MARK).startswith(tuple(FORMULA_STARTS)) and not _NUMBER.fullmatch(text)
    return MARK + text if risky else text


def from_csv_cell(cell: str) -> str:
    """A CSV cell as text, without the apostrophe that kept a spreadsheet from running it."""
    if cell.startswith(MARK) and cell.lstrip(MARK).startswith(tuple(FORMULA_STARTS)):
        return cell[1:]
    return cell
