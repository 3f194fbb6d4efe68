"""What one label says, before any of it is laid out."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass, replace
from typing import Any, Self

from stockcheck.core.codes import read_code
from stockcheck.core.errors import BadInput
from stockcheck.labels.marks import Mark
from stockcheck.labels.measure import Symbology


@dataclass(frozen=True, slots=True)
class LabelSize:
    """A label's size and what stays blank along its edges, in mm."""

    width: float
    height: float
    inset_x: float
    inset_y: float

    @property
    def inner(self) -> float:
        """The width that may be printed."""
        return self.width - 2 * self.inset_x

    @property
    def inner_height(self) -> float:
        """The height that may be printed."""
        return self.height - 2 * self.inset_y


@dataclass(frozen=True, slots=True)
class LabelText:
    """Everything that one label says; empty fields are not printed.

    ``code`` is one of our ten-digit codes, ``short`` its short form (L42). ``date`` is printed as
    given and largest of all, so the caller keeps the precision of the pack (``NOV 2027``);
    ``date_word`` says what governs it, ``date_mark`` names a symbol before it. ``opened`` is None
    for no line, "" for a line to write on, or a day that is printed; ``write`` names further lines
    to write on. ``banner`` is a state that nobody may overlook, white on black above everything;
    ``about`` what is in a box, or why something is on hold; ``sign`` names the first-aid sign.
    ``gs1`` is the element string that a GS1 symbol carries, in brackets, where one is asked for;
    the digits are ours all the same.
    """

    code: str
    short: str
    title: str
    date: str = ""
    date_word: str = ""
    place: str = ""
    batch: str = ""
    lines: tuple[str, ...] = ()
    caution: str = ""
    opened: str | None = None
    banner: str = ""
    date_mark: str = ""
    made: str = ""
    about: str = ""
    marks: tuple[Mark, ...] = ()
    write: tuple[str, ...] = ()
    sign: str = ""
    gs1: str = ""

    def checked(self) -> Self:
        """The same with runs of white space made single; BadInput for a code that is not ours."""
        if len(self.code) != 10 or read_code(self.code) is None:
            raise BadInput(
                f"label of {self.title or self.short!r}: code {self.code!r} is not one of our"
                " ten-digit codes. Look it up in the store and type it again"
            )
        if not _tidy(self.title):
            raise BadInput(f"label {self.code}: it has no name to print. Name the thing first")
        single: dict[str, Any] = {name: _tidy(getattr(self, name)) for name in _SINGLE}
        return replace(
            self,
            lines=tuple(tidy for line in self.lines if (tidy := _tidy(line))),
            opened=None if self.opened is None else _tidy(self.opened),
            write=tuple(tidy for name in self.write if (tidy := _tidy(name))),
            **single,
        )

    @property
    def write_ins(self) -> tuple[str, ...]:
        """What each line to write on is for."""
        return ("opened", *self.write) if self.opened == "" else self.write

    def encoded(self, symbology: Symbology) -> str:
        """What its symbol carries: our code, or the element string in a GS1 symbol."""
        return self.gs1 if symbology is Symbology.GS1_DATA_MATRIX else self.code

    def in_zeros(self) -> Self:
        """The same with every digit a zero: as wide in every line, and so laid out alike."""
        single: dict[str, Any] = {name: getattr(self, name).translate(_ZEROS) for name in _SINGLE}
        return replace(
            self,
            code=self.code.translate(_ZEROS),
            gs1="",
            lines=tuple(line.translate(_ZEROS) for line in self.lines),
            opened=None if self.opened is None else self.opened.translate(_ZEROS),
            write=tuple(name.translate(_ZEROS) for name in self.write),
            **single,
        )

    def strings(self) -> tuple[str, ...]:
        """Every text of the label that is to be printed."""
        single = tuple(getattr(self, name) for name in _SINGLE)
        beside = tuple(mark.words for mark in self.marks)
        return (*single, *self.lines, *self.write, *beside, self.opened or "")


_SINGLE = (
    "title", "short", "date", "date_word", "place", "batch", "caution", "banner", "made", "about"
)  # fmt: skip


_ZEROS = str.maketrans("123456789", "0" * 9)


def _tidy(text: str) -> str:
    """White space made single, marks joined with their letters where a letter has them."""
    return " ".join(unicodedata.normalize("NFC", text).split())
