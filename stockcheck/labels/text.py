"""What one label says, before any of it is laid out."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Self

from stockcheck.core.codes import read_code
from stockcheck.core.errors import BadInput


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
    ``date_word`` says what governs it. ``opened`` is None for no line, "" for a line to write on,
    or a day that is printed.
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

    def checked(self) -> Self:
        """The same with runs of white space made single; BadInput for a code that is not ours."""
        if len(self.code) != 10 or read_code(self.code) is None:
            raise BadInput(
                f"label of {self.title or self.short!r}: code {self.code!r} is not one of our"
                " ten-digit codes. Look it up in the store and type it again"
            )
        if not _tidy(self.title):
            raise BadInput(f"label {self.code}: it has no name to print. Name the thing first")
        return replace(
            self,
            short=_tidy(self.short),
            title=_tidy(self.title),
            date=_tidy(self.date),
            date_word=_tidy(self.date_word),
            place=_tidy(self.place),
            batch=_tidy(self.batch),
            lines=tuple(tidy for line in self.lines if (tidy := _tidy(line))),
            caution=_tidy(self.caution),
            opened=None if self.opened is None else _tidy(self.opened),
        )

    def strings(self) -> tuple[str, ...]:
        """Every text of the label that is to be printed."""
        single = (self.title, self.short, self.date, self.date_word, self.place, self.batch)
        return (*single, *self.lines, self.caution, self.opened or "")


def _tidy(text: str) -> str:
    return " ".join(text.split())
