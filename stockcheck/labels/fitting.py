"""Fitting a text into a width: shrunk to a stated minimum size, then wrapped, then cut.

Widths are reckoned in em, because a text's width in em does not depend on its size.
"""

from __future__ import annotations

from dataclasses import dataclass

from stockcheck.labels.fonts import MM_PER_POINT, width_em

ELLIPSIS = "…"
_STEP = 0.5  # points between the sizes that are tried when wrapping
_HAIR = 1e-6  # em: sums of the same widths in another order differ by less


@dataclass(frozen=True, slots=True)
class Fitted:
    """The lines of a text, their size in points, and whether something had to be cut off."""

    lines: tuple[str, ...]
    size: float
    cut: bool = False


@dataclass(frozen=True, slots=True)
class Room:
    """What a text may take: width in mm, its best and its smallest size in points, lines."""

    width: float
    size: float
    minimum: float
    lines: int = 1
    bold: bool = False

    def em(self, size: float) -> float:
        """How many em of that size the width holds."""
        return self.width / (size * MM_PER_POINT) + _HAIR


def fit(text: str, room: Room, *, keep_end: bool = False) -> Fitted:
    """The text fitted into the room, at the worst cut with an ellipsis.

    ``keep_end`` cuts at the start instead, for a place whose last part says most.
    """
    whole = fit_whole(text, room)
    if whole is not None:
        return whole
    return _cut_at_start(text, room) if keep_end else _cut(text, room)


def fit_whole(text: str, room: Room) -> Fitted | None:
    """The whole text with no word broken, or None.

    One line is shrunk first; if the smallest size is still too wide it is wrapped, as large as the
    lines allow.
    """
    if not text:
        return Fitted((), room.size)
    if room.width <= 0:
        return None
    em = width_em(text, room.bold)
    widest = (room.width / MM_PER_POINT + _HAIR) / em
    if widest >= room.minimum:
        return Fitted((text,), room.size if widest >= room.size else int(widest * 10) / 10)
    if room.lines == 1 or em > room.lines * room.em(room.minimum):
        return None
    return _wrapped(text, room, min(room.size, widest * room.lines))


def _wrapped(text: str, room: Room, size: float) -> Fitted | None:
    words = text.split(" ")
    widths = [width_em(word, room.bold) for word in words]
    space = width_em(" ", room.bold)
    size = int(size / _STEP) * _STEP
    while True:
        size = max(size, room.minimum)
        lines = _wrap(words, widths, space, room.em(size))
        if lines is not None and len(lines) <= room.lines:
            return Fitted(tuple(lines), size)
        if size <= room.minimum:
            return None
        size -= _STEP


def _wrap(words: list[str], widths: list[float], space: float, em: float) -> list[str] | None:
    """The words in as few lines of so many em as they need; None when one word is too wide."""
    lines: list[str] = []
    used = em
    for word, width in zip(words, widths, strict=True):
        if width > em:
            return None
        if lines and used + space + width <= em:
            lines[-1] += " " + word
            used += space + width
        else:
            lines.append(word)
            used = width
    return lines


def balanced(text: str) -> tuple[str, ...]:
    """The text in two lines as even as its words let them be; one line for a single word.

    Neither is wider than the wider of any two lines that hold the text.
    """
    words = text.split(" ")
    halves = [(" ".join(words[:at]), " ".join(words[at:])) for at in range(1, len(words))]
    return min(
        halves, key=lambda it: max(width_em(half, bold=True) for half in it), default=(text,)
    )


def _cut_at_start(text: str, room: Room) -> Fitted:
    em = room.em(room.minimum)
    for start in range(1, len(text)):
        kept = ELLIPSIS + text[start:].lstrip()
        if width_em(kept, room.bold) <= em:
            return Fitted((kept,), room.minimum, cut=True)
    return Fitted((ELLIPSIS,), room.minimum, cut=True)


def _cut(text: str, room: Room) -> Fitted:
    """Lines filled at the smallest size, words broken where they must be, the last one cut."""
    em = room.em(room.minimum)
    lines: list[str] = []
    rest = text
    while rest and len(lines) < room.lines - 1:
        most = _longest(rest, em, room.bold)
        space = rest.rfind(" ", 0, most + 1) if most < len(rest) else most
        lines.append(rest[: space if space > 0 else most].rstrip())
        rest = rest[len(lines[-1]) :].lstrip()
    if width_em(rest, room.bold) <= em:
        return Fitted((*lines, rest) if rest else tuple(lines), room.minimum)
    kept = rest[: _longest(rest, em - width_em(ELLIPSIS, room.bold), room.bold)]
    return Fitted((*lines, kept.rstrip(" ,;·/-(") + ELLIPSIS), room.minimum, cut=True)


def _longest(text: str, em: float, bold: bool) -> int:
    """How many characters from the start fit into so many em; at least one."""
    for count, char in enumerate(text):
        em -= width_em(char, bold)
        if em < 0:
            return max(count, 1)
    return len(text)
