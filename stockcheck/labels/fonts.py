"""The two typefaces of a label: how wide a text is, and which characters they carry.

The fonts ship with the package (their licence beside them) and are embedded in every PDF.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from stockcheck.core.errors import BadInput
from stockcheck.data import typefaces

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont

MM_PER_POINT = 25.4 / 72
ASCENT, DESCENT = (
    0.93,
    0.24,
)  # em, the typeface's own
CAPITAL, DIGIT_DROP = 0.745, 0.02  # em: reach of capitals and digits, J and Q apart
LINE_PITCH = 1.2  # em: Reg. (EU) 2024/2865 asks 120 % of chemical labels
_RIGHT_TO_LEFT = {"R", "AL", "AN"}
_ABOVE = 230  # Unicode's combining class of marks above
_HIGH = frozenset("bdfhijkltßðþбђіјћфβδζθλξφψ")  # small letters that reach above their body


def typeface(bold: bool) -> TTFont:
    """The regular or the bold typeface, made known to the drawing library."""
    return typefaces.typeface(bold)


def name(bold: bool) -> str:
    """The name under which the drawing library knows the typeface."""
    return typefaces.NAMES[bold]


@lru_cache(maxsize=8192)
def width_em(text: str, bold: bool) -> float:
    """How wide the text is, in em (multiply by the size in points for points)."""
    if len(text) > 1:
        return sum(width_em(char, bold) for char in text)
    face = typeface(bold).face
    return float(face.charWidths.get(ord(text), face.defaultWidth)) / 1000 if text else 0.0


def width_mm(text: str, size: float, bold: bool) -> float:
    """How wide the text is in mm at a size in points."""
    return width_em(text, bold) * size * MM_PER_POINT


def check_carried(texts: Iterable[str], whose: str) -> None:
    """BadInput naming every character that cannot be printed rightly.

    Writing from right to left is refused: the typeface has the letters, but setting them in order
    and joined is more than this drawing does, and a wrong name is worse than none. The same holds
    for a mark on a letter that is too high for it: it would lie across the letter.
    """
    texts = tuple(texts)
    bad = sorted(char for char in set().union(*texts) if not _printable(char))
    bad += sorted({pair for text in texts for pair in _crossed(text) if pair[1] not in bad})
    if bad:
        named = ", ".join(f"{it!r} ({' '.join(f'U+{ord(char):04X}' for char in it)})" for it in bad)
        raise BadInput(
            f"label of {whose!r}: the label typeface cannot print {named}."
            " Spell it with other characters"
        )


def _crossed(text: str) -> Iterator[str]:
    """Letters with marks above that would lie across them, as the typeface sets both.

    A mark above stands rightly over a small letter without anything above its body, once.
    """
    if text.isascii():
        return
    for base, mark in pairwise(unicodedata.normalize("NFC", text)):
        if unicodedata.combining(mark) != _ABOVE:
            continue
        plain = len(unicodedata.normalize("NFD", base)) == 1
        if not (plain and base.islower() and base not in _HIGH):
            yield base + mark


def carries(char: str) -> bool:
    """Whether the character can be printed rightly."""
    return _printable(char)


@lru_cache(maxsize=1024)
def _printable(char: str) -> bool:
    if unicodedata.category(char).startswith("C"):
        return False
    carried = all(ord(char) in typeface(bold).face.charToGlyph for bold in (False, True))
    return carried and unicodedata.bidirectional(char) not in _RIGHT_TO_LEFT
