"""Reading the export of a temperature logger, row by row, without touching a file.

Nothing is guessed that could move a reading: the scale is named by a heading, a column, the value
or the person; day and month are told apart only as the person says; a zone is an offset or none.
What cannot be read is a problem with its line, and what is missing is a gap.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from enum import StrEnum

from stockcheck.core.errors import BadInput, Problem
from stockcheck.core.log_time import DateOrder, Trouble, read_time
from stockcheck.core.temperature_log import (
    LONGEST_STEP,
    Gap,
    Reading,
    TemperatureLog,
    merge_readings,
)

MOST_PROBLEMS = 50
"""A file with more is not read on: it was probably taken for something that it is not."""
COLDEST_C, HOTTEST_C = -90.0, 120.0
"""Beyond these a logger tells of its own trouble (-127, 999), not of a box."""
FIRST_YEAR, LAST_YEAR = 1990, 2099


class Scale(StrEnum):
    """The scale of a temperature."""

    CELSIUS = "C"
    FAHRENHEIT = "F"


@dataclass(frozen=True, slots=True)
class LogColumns:
    """Which columns hold what. ``date`` is used where the day stands apart from the time, ``unit``
    where the scale stands in a column; ``scale`` is that of a value that names none.
    """

    time: str
    temperature: str
    date: str = ""
    unit: str = ""
    scale: Scale | None = None


@dataclass(frozen=True, slots=True)
class LogRead:
    """What came of a file: readings in order of time, and all that was not simply read.

    ``blanks`` are rows without a temperature; ``conflicts`` those of the ``duplicates`` that
    disagreed, where the warmer reading was kept; ``offset`` is where the clock stood, None for
    times without a zone.
    """

    readings: tuple[Reading, ...]
    problems: tuple[Problem, ...]
    gaps: tuple[Gap, ...]
    duplicates: int
    conflicts: int
    blanks: int
    offset: timedelta | None


_TIME_HEADINGS = {
    "timestamp",
    "time stamp",
    "datetime",
    "date time",
    "date and time",
    "logged at",
    "recorded at",
    "time",
}
_DATE_HEADINGS = {"date", "day"}
_UNIT_HEADINGS = {"unit", "units", "scale"}
_TEMPERATURE = re.compile(r"\btemp(?:erature)?s?\b|\bcelsius\b|\bfahrenheit\b|^°?[cf]$")
_NOT_THE_BOX = re.compile(r"\b(?:dew|alarm|limit|set|humidity|min|max|high|low)\b")
_SCALE = re.compile(
    r"°\s*([cf])\b|\b([cf])(?:elsius|ahrenheit)\b|\bdeg(?:rees?)?\.?\s*([cf])\b"
    r"|[(\[]\s*([cf])\s*[)\]]|[\s_]([cf])$|^([cf])$"
)
_VALUE = re.compile(r"([-+−]?\d+(?:[.,]\d*)?|[-+−]?[.,]\d+)\s*(?:°\s*|deg\.?\s*)?([CFcf])?")


def find_columns(
    headings: Sequence[str], told: Mapping[str, str] | None = None, scale: Scale | None = None
) -> LogColumns:
    """Which columns of a logger's export hold what; ``told`` names some by our words.

    Those are ``time``, ``date``, ``temperature`` and ``unit``. BadInput when a named column is
    missing, or when none or several could be meant. The scale may also stand in each value.
    """
    told = dict(told or {})
    _refuse_unknown(told, headings)
    time, day = told.get("time", ""), told.get("date", "")
    if not time:
        time = _only(headings, "time", [it for it in headings if _plain(it) in _TIME_HEADINGS])
        apart = [it for it in headings if _plain(it) in _DATE_HEADINGS]
        day = day or (apart[0] if _plain(time) == "time" and apart else "")
    temperature = told.get("temperature") or _only(
        headings, "temperature", [it for it in headings if _is_temperature(it)]
    )
    units = [it for it in headings if _plain(it) in _UNIT_HEADINGS]
    unit = told.get("unit", units[0] if units else "")
    return LogColumns(time, temperature, day, unit, scale or scale_in(temperature))


def scale_in(heading: str) -> Scale | None:
    """The scale that a heading names; None when it names none."""
    found = _SCALE.search(heading.strip().lower())
    letter = next((it for it in found.groups() if it), "") if found else ""
    return Scale(letter.upper()) if letter else None


def _plain(heading: str) -> str:
    words = re.sub(r"[(\[].*?[)\]]", " ", heading.lower())
    return " ".join(re.split(r"[\s_/\-]+", words)).strip(" .:")


def _is_temperature(heading: str) -> bool:
    words = heading.lower().replace("_", " ")
    return bool(_TEMPERATURE.search(words)) and not _NOT_THE_BOX.search(words)


def _only(headings: Sequence[str], ours: str, found: list[str]) -> str:
    if len(found) == 1:
        return found[0]
    what = f"several could be it: {', '.join(found)}" if found else "no heading says so"
    raise BadInput(
        f"the column of the {ours}: {what}. Name it, as {ours}=HEADING; "
        f"the file has {', '.join(headings)}"
    )


def _refuse_unknown(told: Mapping[str, str], headings: Sequence[str]) -> None:
    ours = ("time", "date", "temperature", "unit")
    for word, heading in told.items():
        if word not in ours:
            raise BadInput(f"{word!r} is nothing that a log holds. Use {', '.join(ours)}")
        if heading not in headings:
            raise BadInput(
                f"the column of the {word}: there is no heading {heading!r}. "
                f"The file has {', '.join(headings)}"
            )


def read_log(
    rows: Iterable[tuple[int, Mapping[str, str | None]]],
    columns: LogColumns,
    *,
    file: str,
    order: DateOrder | None = None,
    offset: timedelta | None = None,
    longest_step: timedelta = LONGEST_STEP,
) -> LogRead:
    """Read (line, row) pairs of a logger's export.

    Times with a zone are shown at ``offset`` from UTC, else at that of the first row; times
    without one are wall-clock times as they stand. Problems are returned, not raised; reading
    stops at one that every row would have, or at ``MOST_PROBLEMS``.
    """
    reader = _Reader(file, columns, order, offset)
    merged = merge_readings(reader.readings(rows))
    log = TemperatureLog(merged.readings, longest_step)
    return LogRead(
        readings=merged.readings,
        problems=tuple(reader.problems),
        gaps=log.gaps(),
        duplicates=merged.duplicates,
        conflicts=merged.conflicts,
        blanks=reader.blanks,
        offset=reader.offset if reader.zoned else None,
    )


class _Reader:
    """Reads rows one by one, remembering what the first one told."""

    def __init__(
        self, file: str, columns: LogColumns, order: DateOrder | None, offset: timedelta | None
    ) -> None:
        self.file = file
        self.columns = columns
        self.order = order
        self.offset = offset
        self.zoned: bool | None = None
        self.blanks = 0
        self.problems: list[Problem] = []
        self.gives_up = False

    def readings(self, rows: Iterable[tuple[int, Mapping[str, str | None]]]) -> Iterator[Reading]:
        """The readings of the rows; problems and blanks are noted."""
        for line, row in rows:
            cell = (row.get(self.columns.temperature) or "").strip()
            if not cell:
                self.blanks += 1
                continue
            written = self._time_cell(row)
            at = self._time(written)
            celsius = self._celsius(cell, row)
            if isinstance(at, Trouble):
                self._note(line, self.columns.time, written, at)
            if isinstance(celsius, Trouble):
                self._note(line, self.columns.temperature, cell, celsius)
            if self.gives_up:
                return
            if isinstance(at, datetime) and isinstance(celsius, float):
                yield Reading(at, celsius)

    def _note(self, line: int, field: str, value: str, trouble: Trouble) -> None:
        problem = Problem(self.file, line, field, value, trouble.what, trouble.remedy)
        self.problems.append(problem)
        self.gives_up |= trouble.of_whole_file or len(self.problems) >= MOST_PROBLEMS

    def _time_cell(self, row: Mapping[str, str | None]) -> str:
        clock = (row.get(self.columns.time) or "").strip()
        if not self.columns.date:
            return clock
        return f"{(row.get(self.columns.date) or '').strip()} {clock}"

    def _time(self, written: str) -> datetime | Trouble:
        found = read_time(written, self.order)
        if isinstance(found, Trouble):
            return found
        zoned = found.tzinfo is not None
        if self.zoned is None:
            self.zoned = zoned
        if zoned is not self.zoned:
            return Trouble(
                f"it has {'a' if zoned else 'no'} zone, unlike the rows before it",
                "Give every time its zone, or none.",
            )
        if not FIRST_YEAR <= found.year <= LAST_YEAR:
            return Trouble(f"the year {found.year} is not one of a logger", "Set its clock right.")
        return self._at_our_offset(found) if zoned else found

    def _at_our_offset(self, found: datetime) -> datetime:
        if self.offset is None:
            self.offset = found.utcoffset() or timedelta(0)
        return found.astimezone(timezone(self.offset)).replace(tzinfo=None)

    def _celsius(self, cell: str, row: Mapping[str, str | None]) -> float | Trouble:
        scale = self._scale_of(row)
        if isinstance(scale, Trouble):
            return scale
        try:
            value = float(cell)
        except ValueError:
            found = _VALUE.fullmatch(cell)
            if found is None:
                return Trouble("it is no temperature", "Write it as 31.5, or leave it empty.")
            value = float(found[1].replace(",", ".").replace("−", "-"))
            scale = Scale(found[2].upper()) if found[2] else scale
        return _in_celsius(value, scale)

    def _scale_of(self, row: Mapping[str, str | None]) -> Scale | Trouble | None:
        if not self.columns.unit:
            return self.columns.scale
        cell = (row.get(self.columns.unit) or "").strip()
        if not cell:
            return self.columns.scale
        return scale_in(cell) or Trouble(f"its unit {cell!r} is neither C nor F", "Use C or F.")


def _in_celsius(value: float, scale: Scale | None) -> float | Trouble:
    if scale is None:
        return Trouble(
            "nothing says whether it is in °C or °F",
            "Name the scale, C or F, for the whole file.",
            of_whole_file=True,
        )
    celsius = (value - 32) / 1.8 if scale is Scale.FAHRENHEIT else value
    if not COLDEST_C <= celsius <= HOTTEST_C:
        return Trouble(
            f"no box is at {value:g} °{scale}", "Leave out the row, and look after the logger."
        )
    return celsius
