"""A temperature logger's file as somebody names it: its columns, its clock, its readings."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import click

from stockcheck.core.errors import BadFile, BadInput, Problem

if TYPE_CHECKING:
    from datetime import date
    from pathlib import Path

    from stockcheck.core.log_reading import LogRead

_LONG = 20_000
_MOST_ROWS = 2_000_000
_OPTIONS = {"Name the scale": "--scale", "Name the order": "--date-order"}
_Row = tuple[int, dict[str, str]]


def named(maps: Sequence[str]) -> dict[str, str]:
    """The headings named by ``OURS=THEIRS``, by our words."""
    pairs = [text.partition("=") for text in maps]
    for text, (_, sign, theirs) in zip(maps, pairs, strict=True):
        if not sign or not theirs:
            raise click.UsageError(f"--map {text!r} is not OURS=THEIRS")
    return {ours.strip(): theirs.strip() for ours, _, theirs in pairs}


def offset(zone: str | None) -> timedelta | None:
    """How far a clock is from UTC, as ``+02:00`` says it."""
    if zone is None:
        return None
    if not re.fullmatch(r"[+-](?:0\d|1[0-4]):[0-5]\d", zone, re.ASCII):
        raise click.UsageError(f"--zone {zone!r} is not an offset such as +02:00")
    found = timedelta(hours=int(zone[1:3]), minutes=int(zone[4:]))
    return -found if zone.startswith("-") else found


def read(
    file: Path,
    names: dict[str, str],
    scale: str | None,
    date_order: str | None,
    clock: timedelta | None,
) -> LogRead:
    """All the readings of a file; BadInput or BadFile when any of it cannot be read."""
    from stockcheck.cli.files import read_table
    from stockcheck.core.log_reading import Scale, find_columns, read_log
    from stockcheck.core.log_time import DateOrder

    headings, rows = read_table(file, _MOST_ROWS)
    if not rows:
        raise BadInput(f"{file.name} has no rows; is it the logger's CSV export?")
    try:
        columns = find_columns(headings, names, Scale(scale) if scale else None)
    except BadInput as error:
        raise BadInput(f"{file.name}: {error}. Here that is --map OURS=HEADING") from error
    order = DateOrder(date_order) if date_order else None
    found = read_log(_watched(rows), columns, file=file.name, order=order, offset=clock)
    if found.problems:
        raise BadFile([_with_option(each) for each in found.problems])
    if not found.readings:
        raise BadInput(f"{file.name} has no temperature in its column {columns.temperature!r}")
    return found


def refuse_days_to_come(found: LogRead, on: date, file: str) -> None:
    """BadInput when a reading is of a day after ``on``: no logger has been there yet."""
    early = next((each for each in found.readings if each.at.date() > on), None)
    if early is None:
        return
    from stockcheck.core.box_heat import moment
    from stockcheck.core.calendar import spoken

    raise BadInput(
        f"{file}: a reading is of {moment(early.at)}, and it is only {spoken(on)}; nothing was"
        " taken in. If the days and months are the other way round, give --date-order; if the"
        " logger's clock was wrong, put its times right in the file; --on tells another day"
    )


def _with_option(problem: Problem) -> Problem:
    """A problem whose remedy names the option that does it."""
    for words, option in _OPTIONS.items():
        if words in problem.remedy:
            return replace(problem, remedy=f"{problem.remedy.rstrip('.')}, with {option}")
    return problem


def is_long(rows: int) -> bool:
    """Whether so many rows take long enough that somebody at a terminal wants to be told."""
    return rows >= _LONG and sys.stderr.isatty()


def _watched(rows: list[_Row]) -> Iterable[_Row]:
    return _with_bar(rows) if is_long(len(rows)) else rows


def _with_bar(rows: list[_Row]) -> Iterator[_Row]:
    with click.progressbar(rows, label="Reading", file=sys.stderr, update_min_steps=5000) as bar:
        yield from bar
