"""Reading the CSV files that people write: encodings, separators, headings, limits on size."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING

from stockcheck.core.errors import BadFile, BadInput, Problem
from stockcheck.core.names import name_key

if TYPE_CHECKING:
    import _csv

MOST_BYTES = 64_000_000


def read_text(path: Path) -> str:
    """A text file as UTF-8 (with or without a byte order mark). BadInput names what is wrong."""
    try:
        if path.stat().st_size > MOST_BYTES:
            raise BadInput(f"{path} is larger than {MOST_BYTES // 1_000_000} MB; split it")
        return path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise BadInput(f"cannot read {path}: {error.strerror}; look at the path") from error
    except UnicodeDecodeError as error:
        raise BadInput(
            f"{path} is not UTF-8 text (byte {error.start}); save it as CSV UTF-8"
        ) from error


def read_csv(
    path: Path,
    columns: Sequence[str],
    required: Sequence[str],
    renamed: Mapping[str, str] | None = None,
) -> list[tuple[int, dict[str, str]]]:
    """The lines of a CSV file as (line number, fields by our column names), blank lines left out.

    ``renamed`` maps our column to the file's heading. BadFile lists unknown and missing columns,
    and lines with more cells than headings.
    """
    text = read_text(path)
    if "\0" in text:
        raise BadInput(f"{path} holds NUL characters and is no CSV text; save it as CSV UTF-8")
    reader = csv.reader(StringIO(text), delimiter=_delimiter(text), strict=True)
    try:
        header = next(reader, [])
        places = _places(path.name, header, columns, required, renamed or {})
        return _lines(path.name, reader, places, len(header))
    except csv.Error as error:
        raise BadInput(
            f"{path.name}, line {reader.line_num}: {error}; look at the quotes on that line"
        ) from error


def _delimiter(text: str) -> str:
    """Semicolon or tab where the heading has more of them than commas, as spreadsheets write."""
    heading = text.partition("\n")[0]
    return max(",;\t", key=heading.count)


def _places(
    file: str,
    header: Sequence[str],
    columns: Sequence[str],
    required: Sequence[str],
    renamed: Mapping[str, str],
) -> dict[str, int]:
    headings = {name_key(name): at for at, name in reversed(list(enumerate(header)))}
    wanted = {column: name_key(renamed.get(column, column)) for column in columns}
    places = {column: headings[key] for column, key in wanted.items() if key in headings}
    problems = [
        Problem(file, 1, column, "", "this column is missing", f"Add it, or --map {column}=HEADING")
        for column in (*required, *renamed)
        if column not in places
    ]
    known = set(wanted.values())
    problems += [
        Problem(
            file, 1, name, name, "no such column is known",
            f"Known are {', '.join(columns)}; rename it, --map it, or take it out",
        )
        for name in header
        if name.strip() and name_key(name) not in known
    ]  # fmt: skip
    if problems:
        raise BadFile(problems)
    return places


def _lines(
    file: str, reader: _csv.Reader, places: Mapping[str, int], width: int
) -> list[tuple[int, dict[str, str]]]:
    lines: list[tuple[int, dict[str, str]]] = []
    problems: list[Problem] = []
    for cells in reader:
        if not any(cell.strip() for cell in cells):
            continue
        extra = [cell for cell in cells[width:] if cell.strip()]
        if extra:
            problems.append(
                Problem(
                    file, reader.line_num, "line", extra[0],
                    f"{len(cells)} cells under {width} headings",
                    "Put text with a comma into quotes",
                )
            )  # fmt: skip
        fields = {name: cells[at] if at < len(cells) else "" for name, at in places.items()}
        lines.append((reader.line_num, fields))
    if problems:
        raise BadFile(problems)
    return lines
