"""What a scanner puts around and between the data: symbology identifiers and separators.

Light on purpose: it decides whether the library for makers' codes has to be loaded at all.
"""

from __future__ import annotations

import re

from stockcheck.core.codes import read_gtin

SEPARATOR = "\x1d"  # FNC1 is transmitted as ASCII 29 (GS1 General Specifications, section 7.8)

# Symbology identifiers after ISO/IEC 15424; element strings stand under these alone.
ELEMENT_SYMBOLS = {
    "C1": "GS1-128",
    "e0": "GS1 DataBar or composite",
    "d2": "GS1 DataMatrix",
    "Q3": "GS1 QR",
    "J1": "GS1 DotCode",
}

# What scanners that type like a keyboard send instead of ASCII 29. Each has a character outside
# the set of 82 that GS1 data is made of (brackets and braces, caret, bar, backslash, a symbol for
# the control character), so that none can be part of a batch. <GS> can, and is not among them.
_STAND_INS = re.compile(
    r"\u241d|[{\[](?:GS|FNC1)[}\]]|\^\]|\||\\x1d|\\u001d|\\035", re.IGNORECASE | re.ASCII
)
_IDENTIFIER = re.compile(r"\]([A-Za-z][0-9A-Za-z])", re.ASCII)
_BRACKETED = re.compile(r"\([0-9]{2,4}\)")
_STARTS_WITH_A_NUMBER = re.compile(r"0[0-2][0-9]{10}.{4}", re.DOTALL)
_A_DATE_ALONE = re.compile(r"1[13567][0-9]{6}")
_FIRST_SOMETHING_ELSE = re.compile(r"[0-9]{2}[!-~]*?0[12]([0-9]{14})")


def split_identifier(text: str) -> tuple[str, str]:
    """The symbology identifier without its bracket (``C1``), empty for none, and the data."""
    found = _IDENTIFIER.match(text)
    return (found[1], text[found.end() :]) if found else ("", text)


def with_separators(data: str) -> str:
    """The data with every stand-in turned into ASCII 29."""
    return _STAND_INS.sub(SEPARATOR, data)


def is_web_address(data: str) -> bool:
    """Whether the data can be a GS1 Digital Link."""
    return data[:8].lower().startswith(("http://", "https://"))


def is_bracketed(data: str) -> bool:
    """Whether the data has its application identifiers in brackets, as printed below a symbol."""
    return _BRACKETED.match(data) is not None


def is_surely_gs1(data: str) -> bool:
    """Whether the data, without identifier, can be nothing but an element string or a link."""
    if is_web_address(data) or is_bracketed(data) or SEPARATOR in data:
        return True
    return _STARTS_WITH_A_NUMBER.match(data) is not None


def may_be_gs1(data: str) -> bool:
    """Whether it is worth trying to take the data apart as element strings."""
    marked = with_separators(data)
    if is_surely_gs1(marked):
        return not marked.startswith(SEPARATOR) or marked.strip(SEPARATOR) != ""
    if _A_DATE_ALONE.fullmatch(data):
        return True
    found = _FIRST_SOMETHING_ELSE.match(data)
    return found is not None and read_gtin(found[1]) is not None
