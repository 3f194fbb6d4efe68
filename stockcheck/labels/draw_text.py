"""A typeface's characters as a PDF encodes them: subsets of 256, each character escaped once.

The drawing library works this out anew for every string; over thousands of labels that is most of
the time that drawing takes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from stockcheck.labels import fonts

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas


class Typeface:
    """The regular or the bold typeface within one document."""

    def __init__(self, canvas: Canvas, *, bold: bool) -> None:
        self._font = fonts.typeface(bold)
        self._document: Any = canvas._doc  # type: ignore[attr-defined]
        self._first: dict[int, str] = {}  # characters of the first subset: code point, escaped
        self._others: dict[str, tuple[int, str]] = {}
        self._known: set[str] = set()
        self._names = [self._name(0)]

    def shown(self, text: str, size: float) -> str:
        """The operators that show a text at a size, within BT and ET."""
        if not self._known.issuperset(text):
            for char in text:  # in order, so that the same input gives the same bytes
                self._learn(char)
        if not self._others or self._others.keys().isdisjoint(text):
            return f"{self._names[0]} {size:g} Tf ({text.translate(self._first)}) Tj"
        return " ".join(
            f"{self._names[subset]} {size:g} Tf ({shown}) Tj"
            for subset, shown in map(self._of, text)
        )

    def _of(self, char: str) -> tuple[int, str]:
        return self._others.get(char) or (0, self._first[ord(char)])

    def _learn(self, char: str) -> None:
        if char in self._known:
            return
        self._known.add(char)
        ((subset, code),) = self._font.splitString(char, self._document)
        escaped = _escaped(code[0])
        if subset == 0:
            self._first[ord(char)] = escaped
            return
        self._others[char] = subset, escaped
        while len(self._names) <= subset:
            self._names.append(self._name(len(self._names)))

    def _name(self, subset: int) -> str:
        return str(self._font.getSubsetInternalName(subset, self._document))


def _escaped(code: int) -> str:
    char = chr(code)
    if char in "()\\":
        return "\\" + char
    return char if 32 <= code < 127 else f"\\{code:03o}"
