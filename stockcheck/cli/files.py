"""Reading the CSV files that people write: encodings, separators, headings, limits on size."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING

from stockcheck.core.errors import BadFile, BadInput, Problem
from stockcheck.core.harmless import from_csv_cell
from stockcheck.core.names import name_key
from stockcheck.data.given_files import read_text

if TYPE_CHECKING:
    import _csv


def read_csv(
    path: Path,
    columns: Sequence[str],
    required: Sequence[str],
    renamed: Mapping[str, str] | None = None,
) -> list[tuple[int, dict[str, str]]]:
    """The lines of a CSV file as (line number, fields by our column names), blank lines left out.

    ``renamed`` maps our column to the file's heading, None where the command has no --map. BadFile
    lists unknown and missing columns, and lines with more cells than headings.
    """
    text = read_text(path)
    if "\0" in text:
        raise BadInput(f"{path} holds NUL characters and is no CSV text; save it as CSV UTF-8")
    reader = csv.reader(StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    try:
        header = next((cells for cells in reader if any(cell.strip() for cell in cells)), [])
        places = _places(path.name, header, columns, required, renamed)
        return _lines(path.name, reader, places, header)
    except csv.Error as error:
        raise BadInput(
            f"{path.name}, line {reader.line_num}: {error}; look at the quotes on that line"
        ) from error


def read_table(path: Path, most_rows: int) -> tuple[list[str], list[tuple[int, dict[str, str]]]]:
    """A CSV file of any columns: its headings, and its rows by heading with their line numbers."""
    text = read_text(path)
    reader = csv.reader(StringIO(text), delimiter=_delimiter(text))
    try:
        headings = [name.strip() for name in next(reader, [])]
        rows: list[tuple[int, dict[str, str]]] = []
        for cells in reader:
            if cells:
                rows.append((reader.line_num, dict(zip(headings, cells, strict=False))))
            if len(rows) > most_rows:
                raise BadInput(f"{path} has more than {most_rows} rows; split it")
    except csv.Error as error:
        raise BadInput(f"{path.name}, line {reader.line_num}: {error}") from error
    return headings, rows


def _delimiter(text: str) -> str:
    """Semicolon or tab where the heading has more of them than commas, as spreadsheets write."""
    heading = next((line for line in text.splitlines() if line.strip()), "")
    return max(",;\t", key=heading.count)


def _places(
    file: str,
    header: Sequence[str],
    columns: Sequence[str],
    required: Sequence[str],
    mapped: Mapping[str, str] | None,
) -> dict[str, int]:
    renamed = mapped or {}
    keys = [_heading_key(name) for name in header]
    wanted = {column: _heading_key(renamed.get(column, column)) for column in columns}
    places = {column: keys.index(key) for column, key in wanted.items() if key in keys}
    problems = [
        Problem(
            file, 1, column, renamed.get(column, column), "this column is missing",
            "Add it" if mapped is None else
            f"Add it, or give its other name with --map {column}=HEADING",
        )
        for column in dict.fromkeys((*required, *renamed))
        if column not in places
    ]  # fmt: skip
    remedy = "rename it or take it out" if mapped is None else "rename it, --map it, or take it out"
    problems += _headings(file, header, keys, wanted, remedy)
    if problems:
        raise BadFile(problems)
    return places


def _headings(
    file: str, header: Sequence[str], keys: Sequence[str], wanted: Mapping[str, str], remedy: str
) -> list[Problem]:
    """Headings that nobody knows, and those that stand twice."""
    known = set(wanted.values())
    unknown = [name for name, key in zip(header, keys, strict=True) if key and key not in known]
    twice = [
        name
        for at, (name, key) in enumerate(zip(header, keys, strict=True))
        if key in known and key in keys[:at]
    ]
    return [
        Problem(
            file, 1, "heading", name, "no such column is known",
            f"Known are {', '.join(wanted)}; {remedy}",
        )
        for name in unknown
    ] + [
        Problem(file, 1, "heading", name, "it stands twice", "Take one of the two columns out")
        for name in twice
    ]  # fmt: skip


def _heading_key(name: str) -> str:
    """Headings are compared without case, and a blank, _ or - counts the same."""
    return name_key(name.replace("_", " ").replace("-", " "))


def _lines(
    file: str, reader: _csv.Reader, places: Mapping[str, int], header: Sequence[str]
) -> list[tuple[int, dict[str, str]]]:
    lines: list[tuple[int, dict[str, str]]] = []
    problems: list[Problem] = []
    for cells in reader:
        if not any(cell.strip() for cell in cells):
            continue
        extra = next((cell for cell in _nameless(cells, header) if cell.strip()), None)
        if extra is not None:
            problems.append(
                Problem(
                    file, reader.line_num, "line", extra,
                    f"{len(cells)} cells, and this one is under no heading",
                    "Put text with a comma into quotes",
                )
            )  # fmt: skip
        fields = {
            name: from_csv_cell(cells[at]) if at < len(cells) else "" for name, at in places.items()
        }
        lines.append((reader.line_num, fields))
    if problems:
        raise BadFile(problems)
    return lines


def _nameless(cells: Sequence[str], header: Sequence[str]) -> Iterator[str]:
    """The cells that no heading names: past the last one, or under an empty one."""
    for at, cell in enumerate(cells):
        if at >= len(header) or not header[at].strip():
            yield cell
