"""A second reader of Code 128, independent of the encoder and of zxing-cpp.

Written from the description in ISO/IEC 15417: a line of light and dark is cut into characters of
three bars and three spaces, each normalised to eleven modules; start, check value modulo 103 and
stop must be right. The table of patterns is reportlab's, the one that no label is made with.
"""

from __future__ import annotations

from itertools import groupby

from PIL.Image import Image
from reportlab.graphics.barcode.code128 import _patterns  # type: ignore[attr-defined] # the table, not in its stubs

START_A, START_C, STOP = 103, 105, 106
_CODE_C, _CODE_B, _CODE_A, _FNC1, _SHIFT = 99, 100, 101, 102, 98
_BY_WIDTHS: dict[tuple[int, ...], int] = {
    tuple("abcd".index(char.lower()) + 1 for char in pattern): value
    for value, pattern in _patterns.items()
}
SEPARATOR = "\x1d"


class Unreadable(Exception):
    """Not a symbol that the standard allows."""


def read_bars(image: Image, row: int | None = None) -> str:
    """The text of the one Code 128 across a grey image, along a row of pixels."""
    at = image.height // 2 if row is None else row
    line = image.crop((0, at, image.width, at + 1)).tobytes()
    runs = [(dark, len(list(run))) for dark, run in groupby(line, lambda value: value < 128)]
    while runs and not runs[0][0]:
        runs.pop(0)
    while runs and not runs[-1][0]:
        runs.pop()
    return text_of(values_of([width for _, width in runs]))


def values_of(widths: list[int]) -> list[int]:
    """The symbol characters of bars and spaces in turn, from the start to the check value."""
    values = []
    rest = list(widths)
    while len(rest) > 7:
        values.append(_value(rest[:6], 11))
        rest = rest[6:]
    if _value(rest, 13) != STOP:
        raise Unreadable("it does not end with the stop character")
    if not values or not START_A <= values[0] <= START_C:
        raise Unreadable("it does not begin with a start character")
    if len(values) < 3 or checked(values[:-1]) != values[-1]:
        raise Unreadable("its check value is wrong")
    return values


def checked(values: list[int]) -> int:
    """The check value: the start and every value times its place, modulo 103."""
    return (values[0] + sum(at * value for at, value in enumerate(values))) % 103


def _value(widths: list[int], modules: int) -> int:
    module = sum(widths) / modules
    found = _BY_WIDTHS.get(tuple(round(width / module) for width in widths))
    if found is None:
        raise Unreadable(f"bars and spaces of {widths} are no character")
    return found


def text_of(values: list[int]) -> str:
    """The text of the characters between start and check value; FNC1 is a separator."""
    code_set = "ABC"[values[0] - START_A]
    text = ""
    shifted = False
    for value in values[1:-1]:
        here = {"A": "B", "B": "A"}[code_set] if shifted else code_set
        shifted = False
        if value == _FNC1:
            text += SEPARATOR
        elif here == "C":
            text, code_set = _in_c(text, value)
        elif value == _SHIFT:
            shifted = True
        elif value in {_CODE_C, _CODE_B, _CODE_A}:
            code_set = {_CODE_C: "C", _CODE_B: "B", _CODE_A: "A"}[value]
        elif value > 95:
            raise Unreadable(f"function character {value}")
        else:
            text += chr(value + 32 if here == "B" or value < 64 else value - 64)
    return text


def _in_c(text: str, value: int) -> tuple[str, str]:
    """Two digits, or a change to another code set."""
    if value < 100:
        return f"{text}{value:02d}", "C"
    return text, {_CODE_B: "B", _CODE_A: "A"}[value]
