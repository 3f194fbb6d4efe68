"""The one table model: every report is a title, facts, sections of rows, totals and cautions.

``values`` of a row are what JSON and CSV give, under the contract's names; ``shown`` are the words
that text and PDF print instead. Everything is made before anything is printed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING, NamedTuple, TypeAlias

if TYPE_CHECKING:
    from stockcheck.output.timeline import Timeline

Json: TypeAlias = (
    "str | int | float | bool | date | Sequence[Json] | Mapping[str, Json] | None"  # dates as ISO
)


class Tone(StrEnum):
    """How a row is coloured at a terminal; the words always say the same."""

    BAD = "bad"
    WARN = "warn"
    GOOD = "good"
    QUIET = "quiet"
    PLAIN = ""


class Column(NamedTuple):
    """One column of text and PDF: the key of its value, heading, share of the width, alignment.

    ``fixed`` columns are as wide as their longest word needs; the rest share what remains by
    ``weight`` and wrap.
    """

    key: str
    heading: str
    weight: int = 1
    right: bool = False
    fixed: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a report; ``details`` are further lines printed under it, indented."""

    values: Mapping[str, Json]
    shown: Mapping[str, str] = field(default_factory=dict)
    tone: Tone = Tone.PLAIN
    details: tuple[str, ...] = ()


class Section(NamedTuple):
    """Rows under one heading, such as a box or a supplier; ``note`` stands beside the heading.

    ``sums``: the note counts the rows, and is no longer true when some of them are left out.
    """

    heading: str
    rows: tuple[Row, ...]
    note: str = ""
    sums: bool = False


@dataclass(frozen=True, slots=True)
class Report:
    """A whole report. ``empty`` is said when it has no rows; ``ticks`` asks for tick boxes.

    ``keys`` are the contract's names in their order: the CSV header of a report without rows.
    ``timeline`` is a picture that PDF and HTML show, after everything else. ``grouped`` says what
    the headings of sections are, for a list of rows from several.
    """

    title: str
    on: date
    store: str
    columns: tuple[Column, ...]
    sections: tuple[Section, ...]
    facts: tuple[str, ...] = ()
    totals: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    empty: str = "nothing to report"
    ticks: bool = False
    keys: tuple[str, ...] = ()
    timeline: Timeline | None = None
    grouped: str = "Under"

    @property
    def verdict(self) -> str:
        """The key of the column that the tone emphasises: status or finding, else the first."""
        keys = [column.key for column in self.columns]
        return next((key for key in ("status", "finding") if key in keys), keys[0] if keys else "")

    @property
    def rows(self) -> tuple[Row, ...]:
        """All rows in order, whichever section they stand in."""
        return tuple(row for section in self.sections for row in section.rows)


def keys_of(report: Report) -> list[str]:
    """The contract's names in order: the report's own list, then whatever else the rows carry."""
    found = dict.fromkeys(report.keys)
    for row in report.rows:
        if not row.values.keys() <= found.keys():
            found |= dict.fromkeys(row.values)
    return list(found)


@dataclass(frozen=True, slots=True)
class Stream:
    """A report for other programs whose rows come one by one, so that none are all in memory.

    ``rows`` are read once; ``cautions`` are asked for after the last. Only CSV and JSON, which
    need nothing but the rows.
    """

    on: date
    store: str
    keys: tuple[str, ...]
    rows: Iterable[Row]
    cautions: Callable[[], tuple[str, ...]]
