"""Several reports as one document: a cover, then parts, each a report with its own columns.

PDF and HTML are made of the same values. A part whose report has no rows is told on the cover only,
in the words that its report has for that.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple, TypeAlias

from stockcheck.output.report import Report, Tone

Paint: TypeAlias = Callable[[Any], None]
"""Draws a whole page onto a PDF canvas; what it draws comes from outside of this layer."""


class Drawn(NamedTuple):
    """Pages that are drawn elsewhere, with the bookmark at the first of them."""

    heading: str
    pages: tuple[Paint, ...]


@dataclass(frozen=True, slots=True)
class Cover:
    """The first page: what the document is about, and the verdict.

    ``facts`` pair a word with what there is to say of it. ``foot`` are sentences below everything.
    """

    title: str
    subtitle: str
    facts: tuple[tuple[str, str], ...]
    verdict: str
    tone: Tone
    reasons: tuple[str, ...]
    foot: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """One part. ``key`` is its anchor; ``drawn`` are the pages that PDF has in its report's place.

    ``about`` stands behind its name on the cover, such as how many there are.
    """

    key: str
    report: Report
    about: str = ""
    drawn: tuple[Drawn, ...] = ()

    @property
    def title(self) -> str:
        """Its heading."""
        return self.report.title

    @property
    def empty(self) -> bool:
        """Whether there is nothing but the words for nothing."""
        pictured = self.report.timeline is not None and self.report.timeline.bars
        return not (self.report.rows or self.drawn or pictured)


@dataclass(frozen=True, slots=True)
class Bundle:
    """A whole document. ``lots_in`` is the key of the part that lots are looked up in."""

    on: date
    store: str
    cover: Cover
    parts: tuple[Part, ...]
    lots_in: str = ""

    @property
    def title(self) -> str:
        """What it is and of what, as each page has it at its foot."""
        return f"{self.cover.subtitle}: {self.cover.title}"
