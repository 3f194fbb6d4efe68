"""Rows of a report chosen and put in order by their columns: the same way for every list.

Columns are the contract's names, those of CSV and JSON, and what is compared are the values under
them, never the words that text shows instead.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from operator import ge, gt, le, lt
from typing import TypeAlias

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.names import name_key, nearest
from stockcheck.core.words import listed
from stockcheck.output.cells import flat
from stockcheck.output.report import Column, Json, Report, Row, Section, keys_of

Key: TypeAlias = "tuple[int, float, tuple[tuple[int, int, str], ...]]"

_CONDITION = re.compile(r"\s*([^\W\d][\w -]*?)\s*(<=|>=|!=|==|=|<|>)\s*(.*?)\s*", re.DOTALL)
_COMPARED = {"<": lt, "<=": le, ">": gt, ">=": ge}
_TOLD = {"=": "has", "==": "is", "!=": "has not"}
_NUMBER = re.compile(r"-?[0-9]{1,15}(\.[0-9]{1,9})?")
_DAY = re.compile(r"[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?")
_FIGURES = re.compile(r"([0-9]+)")
_TODAY = "today"
_YES = {"yes": True, "true": True, "no": False, "false": False}
_UNDER = "section"  # the key of the column that tells the section of a row that was moved out of it
_SHOWN = 60


@dataclass(frozen=True, slots=True)
class Condition:
    """What ``--only`` asks of one column; ``sign`` is one of = == != < <= > >=."""

    column: str
    sign: str
    text: str

    @property
    def words(self) -> str:
        """As a fact line tells it: ``status has 'exp'``, ``days_left < 30``, ``batch unknown``."""
        if not self.text:
            return f"{self.column} {'known' if self.sign == '!=' else 'unknown'}"
        if self.sign in _COMPARED:
            return f"{self.column} {self.sign} {self.text}"
        return f"{self.column} {_TOLD[self.sign]} {self.text!r}"


@dataclass(frozen=True, slots=True)
class Order:
    """One column of ``--sort``; ``down`` begins with the last."""

    column: str
    down: bool = False


@dataclass(slots=True)
class Choice:
    """The rows that are asked for, and their order. ``keeps`` is asked row by row, and counts.

    ``checked`` and ``done`` are to be called before the first row and after the last.
    """

    only: tuple[Condition, ...] = ()
    sort: tuple[Order, ...] = ()
    on: date = date.min
    seen: int = 0
    kept: int = 0
    _met: set[str] = field(default_factory=set)
    _unlike: set[str] = field(default_factory=set)

    def checked(self, keys: Sequence[str]) -> None:
        """UnknownName, with the nearest and all columns, where one is asked for that is none."""
        for column in [it.column for it in self.only] + [it.column for it in self.sort]:
            if column not in keys:
                more = nearest(column, keys, "take one of these")
                raise UnknownName(
                    f"there is no column {column!r} here{more}", f"Columns: {', '.join(keys)}"
                )

    def keeps(self, row: Row) -> bool:
        """Whether a row is asked for."""
        self.seen += 1
        held = [self._holds(each, row.values.get(each.column)) for each in self.only]  # all asked
        found = all(held)
        self.kept += found
        return found

    def done(self) -> None:
        """BadInput where a number or day was asked of a column that holds words alone."""
        for each in self.only:
            if each.column in self._unlike - self._met and each.sign in _COMPARED:
                raise BadInput(
                    f"--only {each.column}{each.sign}{each.text}: {each.column} holds no number or"
                    " day like that",
                    f"{each.column}={each.text} looks for a part of its text",
                )

    def ordered(self, rows: Iterable[Row]) -> list[Row]:
        """The rows by the columns asked for, the first of them first; unknown values come last."""
        found = list(rows)
        for order in reversed(self.sort):
            keyed = [(sort_key(row.values.get(order.column)), row) for row in found]
            known = [(key, row) for key, row in keyed if key is not None]
            known.sort(key=lambda it: it[0], reverse=order.down)
            found = [row for _, row in known] + [row for key, row in keyed if key is None]
        return found

    @property
    def words(self) -> str:
        """What was asked for, in words; of how many rows how many are so."""
        said = listed([each.words for each in self.only])
        return f"only where {said}: {self.kept} of {self.seen} row{'s' * (self.seen != 1)}"

    @property
    def order_words(self) -> str:
        """How the rows are put in order, in words."""
        return "sorted by " + listed(
            [each.column + (" (last first)" if each.down else "") for each in self.sort]
        )

    def _holds(self, asked: Condition, value: Json) -> bool:
        if not asked.text:
            return (unknown(value)) is (asked.sign != "!=")
        if asked.sign in _COMPARED:
            return self._compares(asked, value)
        text = self.on.isoformat() if asked.text.casefold() == _TODAY else asked.text
        found = _found(asked.column, value, text, whole=asked.sign == "==")
        return not found if asked.sign == "!=" else found

    def _compares(self, asked: Condition, value: Json) -> bool:
        if unknown(value):
            return False
        text = self.on.isoformat() if asked.text.casefold() == _TODAY else asked.text
        compared = _COMPARED[asked.sign]
        if isinstance(value, (int, float)) and not isinstance(value, bool):
            if _NUMBER.fullmatch(text):
                self._met.add(asked.column)
                return bool(compared(value, float(text)))
        elif isinstance(value, (date, str)):
            day = value.isoformat() if isinstance(value, date) else value
            if _DAY.fullmatch(day) and _DAY.fullmatch(text):
                self._met.add(asked.column)
                shorter = min(len(day), len(text))
                return bool(compared(day[:shorter], text[:shorter]))
        self._unlike.add(asked.column)
        return False


def choice(only: Iterable[str], sort: Iterable[str]) -> Choice:
    """What the texts of ``--only`` and ``--sort`` ask for; BadInput says how to write them."""
    columns = [part.strip() for text in sort for part in text.split(",")]
    orders = []
    for column in columns:
        name = _column(column.removeprefix("-"))
        if not name:
            raise BadInput("--sort has an empty column", "Write it as COLUMN or -COLUMN,COLUMN")
        orders.append(Order(name, column.startswith("-")))
    return Choice(tuple(_condition(text) for text in only), tuple(orders))


def _condition(text: str) -> Condition:
    parts = _CONDITION.fullmatch(text)
    if parts is None:
        raise BadInput(
            f"--only {text[:_SHOWN]!r} names no column with what to look for",
            "Write it as COLUMN=TEXT, COLUMN<NUMBER or COLUMN<=DAY, in quotes",
        )
    column, sign, wanted = _column(parts[1]), parts[2], parts[3]
    if sign in _COMPARED and not (
        _NUMBER.fullmatch(wanted) or _DAY.fullmatch(wanted) or wanted.casefold() == _TODAY
    ):
        raise BadInput(
            f"--only {text[:_SHOWN]!r}: {wanted[:_SHOWN]!r} is no number and no day",
            f"Write a number, YYYY-MM-DD, YYYY-MM, YYYY or today after {sign}",
        )
    return Condition(column, sign, wanted)


def _column(name: str) -> str:
    return "_".join(name.casefold().replace("-", " ").replace("_", " ").split())


def unknown(value: Json) -> bool:
    """Whether nothing stands there: null, an empty text, an empty list."""
    return value is None or (isinstance(value, (str, list, tuple, dict)) and not value)


def _found(column: str, value: Json, text: str, *, whole: bool) -> bool:
    """Whether a value is or has a text, whatever its case; numbers are compared as numbers."""
    if isinstance(value, bool):
        return _YES.get(text.casefold()) is value
    if isinstance(value, (int, float)):
        return bool(_NUMBER.fullmatch(text)) and value == float(text)
    if unknown(value):
        return False
    there = name_key(flat(column, value))
    return there == name_key(text) if whole else name_key(text) in there


def sort_key(value: Json) -> Key | None:
    """What a value is sorted by, None for unknown: numbers first, then texts, L9 before L10."""
    if unknown(value):
        return None
    if isinstance(value, (int, float)):
        return 0, float(value), ()
    text = value.isoformat() if isinstance(value, date) else name_key(flat("", value))
    parts = [part for part in _FIGURES.split(text) if part]
    return 1, 0.0, tuple(_part(part) for part in parts)


def _part(text: str) -> tuple[int, int, str]:
    return (0, int(text[:99]), text) if text[0] in "0123456789" else (1, 0, text)


def chosen_rows(rows: Iterable[Row], keys: Sequence[str], asked: Choice, on: date) -> Iterator[Row]:
    """The rows that are asked for, one by one unless they are sorted."""
    asked.on = on
    asked.checked(keys)
    kept = (row for row in rows if asked.keeps(row))
    yield from asked.ordered(kept) if asked.sort else kept
    asked.done()


def chosen(report: Report, asked: Choice) -> Report:
    """The report with the rows that are asked for; what it says of all its rows says so.

    Sections without rows go, and their remarks where they count rows that are left out. Rows that
    are sorted stand in one list, with the heading of their section as the last column.
    """
    asked.on = report.on
    asked.checked(keys_of(report) or [column.key for column in report.columns])
    before = len(report.rows)
    sections = tuple(_thinned(section, asked) for section in report.sections)
    asked.done()
    if asked.only:
        report = _left_out(report, tuple(it for it in sections if it.rows), asked, before)
    return _sorted(report, asked) if asked.sort else report


def _thinned(section: Section, asked: Choice) -> Section:
    rows = tuple(row for row in section.rows if asked.keeps(row))
    if len(rows) == len(section.rows) or not section.sums:
        return section._replace(rows=rows)
    return section._replace(rows=rows, note="")


def _left_out(report: Report, sections: tuple[Section, ...], asked: Choice, before: int) -> Report:
    totals = report.totals
    if totals and asked.kept < before:
        totals = (f"of all {before} rows:", *totals)
    timeline = report.timeline
    if timeline is not None:
        there = {(it.heading, row.values.get("lot")) for it in sections for row in it.rows}
        bars = tuple(bar for bar in timeline.bars if (bar.box, bar.lot) in there)
        timeline = timeline._replace(bars=bars, no_limit=max(0, asked.kept - len(bars)))
    return replace(
        report,
        sections=sections,
        facts=(*report.facts, asked.words),
        totals=totals,
        timeline=timeline,
        keys=tuple(keys_of(report)),
        empty="No row is so." if before else report.empty,
    )


def _sorted(report: Report, asked: Choice) -> Report:
    """In one list where there were several."""
    columns = report.columns
    rows: Iterable[Row] = report.rows
    if len(report.sections) > 1:
        columns = (*columns, Column(_UNDER, report.grouped, weight=3))
        rows = [
            replace(row, shown={**row.shown, _UNDER: section.heading})
            for section in report.sections
            for row in section.rows
        ]
    found = tuple(asked.ordered(rows))
    return replace(
        report,
        columns=columns,
        sections=(Section("", found),) if found else (),
        facts=(*report.facts, asked.order_words),
    )
