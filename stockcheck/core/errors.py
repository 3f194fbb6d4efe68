"""The one tree of errors; each class knows its exit code.

    StockcheckError            1   anything else
      BadInput                 3   something typed or read is wrong; the store is unchanged
        UnknownName            3   no such box, item, lot ...
        UnsureDate             3   a printed date with more than one reading
      StoreTrouble             4   locked, damaged, made by a newer version, read-only, disk full
      Declined                 1   the person said no
      Findings                 5   done, with findings, where --fail-on asked for it

A message names the thing, the place and the remedy.
"""

from __future__ import annotations

from dataclasses import dataclass


class StockcheckError(Exception):
    """Anything that ends a command; the class decides the exit code."""

    exit_code = 1


class BadInput(StockcheckError):
    """Something typed, scanned or read from a file is wrong; nothing was changed.

    ``what`` is wrong and, where whoever finds it knows one, the ``remedy``; as a text both.
    """

    exit_code = 3

    def __init__(self, what: str = "", remedy: str = "") -> None:
        super().__init__(what, remedy)
        self.what, self.remedy = what, remedy

    def __str__(self) -> str:
        return with_remedy(self.what, self.remedy)


class UnknownName(BadInput):
    """A box, item, lot, kind, trip, supplier or list that is not there."""


class UnsureDate(BadInput):
    """A printed date that has more than one reading, and nothing to decide between them."""


class StoreTrouble(StockcheckError):
    """The store file cannot be used as it is."""

    exit_code = 4


class Declined(StockcheckError):
    """The person answered no; nothing was changed."""


class BrokenOff(StockcheckError):
    """The person left in the middle; what was answered so far is kept."""

    exit_code = 130


class Findings(StockcheckError):
    """The report is done and has findings of the sort that ``--fail-on`` names."""

    exit_code = 5


def with_remedy(what: str, remedy: str) -> str:
    """What is wrong and what to do about it as two sentences, however the first one ends."""
    if not remedy:
        return what
    return f"{what}{'' if what.endswith(('.', '?', '!')) else '.'} {remedy}"


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a file or among options: where, what stands there, and the remedy.

    ``what`` may begin with "is": ``is empty``, ``is missing``.
    """

    file: str
    line: int
    field: str
    value: str
    what: str
    remedy: str

    def __str__(self) -> str:
        said = with_remedy(self.what, self.remedy)
        return f"{self.file}, line {self.line}, {self.field} {self._value()!r}: {said}"

    @property
    def by_option(self) -> str:
        """The same to somebody who gave options: ``--kind is missing. Name a kind``."""
        option = f"--{self.field.replace('_', '-')}" + (f" {self._value()!r}" if self.value else "")
        joint = " " if self.what.startswith("is ") else ": "
        return f"{option}{joint}{with_remedy(self.what, self.remedy)}"

    def _value(self) -> str:
        return self.value if len(self.value) <= 60 else self.value[:57] + "..."


class BadFile(BadInput):
    """A file with problems; all of them are told at once."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in problems))
