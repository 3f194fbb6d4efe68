"""What stands in one cell: values turned into words, and text made safe to show."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.harmless import REPLACEMENT
from stockcheck.output.report import Json, Row

NBSP = "\u00a0"
_JOINERS = "\u200c\u200d"  # a spelling matter in Persian and the Indic scripts, harmless elsewhere
_UNSAFE = {"Cc", "Cf", "Cs", "Co"}  # controls, format marks (bidi among them), surrogates, private
_SPACES = {"Zs", "Zl", "Zp"}


def clean(text: str, instead: str = REPLACEMENT) -> str:
    """The text on one line, composed, with ``instead`` for each control or direction mark.

    Line ends and tabs become spaces, runs of spaces one; a no-break space stays one.
    """
    if text.isascii() and text.isprintable():  # most are, and need only their blanks looked at
        return text if "  " not in text and text == text.strip(" ") else _single_spaced(text)
    text = unicodedata.normalize("NFC", text)
    if not text.isprintable():
        text = "".join(_safe(char, instead) for char in text)
    return _single_spaced(text)


def _single_spaced(text: str) -> str:
    return " ".join(part for part in text.split(" ") if part)


def _safe(char: str, instead: str) -> str:
    category = unicodedata.category(char)
    if char in "\u00a0\u202f":
        return NBSP
    if char in "\t\n\v\f\r\x85" or category in _SPACES:
        return " "
    return instead if category in _UNSAFE and char not in _JOINERS else char


def shown(row: Row, key: str) -> str:
    """The words that text and PDF print for a value: those the report chose, else plain ones."""
    if key in row.shown:
        return row.shown[key]
    value = row.values.get(key)
    if isinstance(value, date):
        return spoken(value)
    return "-" if value is None else flat(key, value)


def flat(key: str, value: Json) -> str:
    """A value on one line for CSV: ISO dates, nothing for unknown, lists joined by semicolons."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return _holding(key, value)
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "; ".join(flat(key, each) for each in value)
    return str(value)


def _holding(key: str, value: Mapping[str, Json]) -> str:
    """``3 from Tyre kit (L4)`` where a lot in a box is meant; otherwise the values in order."""
    if value.keys() >= {"box", "lot", "quantity"}:
        word = "from" if key == "move_from" else "in"
        rest = [flat(name, value[name]) for name in value if name not in {"box", "lot", "quantity"}]
        lot = ", ".join(part for part in (flat("lot", value["lot"]), *rest) if part)
        return f"{value['quantity']} {word} {value['box']} ({lot})"
    return " ".join(part for name in value if (part := flat(name, value[name])))
