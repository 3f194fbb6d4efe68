"""Texts of a form: wrapped at a fixed size, never cut, with what cannot be printed replaced."""

from __future__ import annotations

from stockcheck.labels import fonts
from stockcheck.labels.elements import Paragraph
from stockcheck.labels.fonts import MM_PER_POINT, width_em

REPLACED = "?"
_HAIR = 1e-6


def printable(text: str) -> str:
    """The text in one line, with a question mark for each character that cannot be printed."""
    tidy = " ".join(text.split())
    return "".join(char if fonts.carries(char) else REPLACED for char in tidy)


def paragraph(text: str, size: float, width: float, *, bold: bool = False) -> Paragraph:
    """The whole text in lines no wider than so many mm; a word that is wider is broken."""
    em = width / (size * MM_PER_POINT) + _HAIR
    return Paragraph(tuple(_lines(printable(text), em, bold)), size, bold)


def _lines(text: str, em: float, bold: bool) -> list[str]:
    lines: list[str] = []
    used = 0.0
    space = width_em(" ", bold)
    for word in text.split(" ") if text else []:
        for piece in _pieces(word, em, bold):
            width = width_em(piece, bold)
            if lines and piece is word and used + space + width <= em:
                lines[-1] += f" {piece}"
                used += space + width
            else:
                lines.append(piece)
                used = width
    return lines


def _pieces(word: str, em: float, bold: bool) -> list[str]:
    """The word itself, or what it must be broken into."""
    if width_em(word, bold) <= em:
        return [word]
    pieces, start, used = [], 0, 0.0
    for at, char in enumerate(word):
        width = width_em(char, bold)
        if used + width > em and at > start:
            pieces.append(word[start:at])
            start, used = at, 0.0
        used += width
    return [*pieces, word[start:]]
