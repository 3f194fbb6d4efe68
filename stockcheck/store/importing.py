"""An exported folder made into a store again, equal to the one it came from in all its facts.

All or nothing: whatever is wrong is told with its file, line and field, and no store is made. An
export of an older schema is read into a store of that schema, which is then brought up to date.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from io import TextIOWrapper
from pathlib import Path
from typing import IO, Any

from stockcheck.core.errors import BadFile, BadInput, Problem, StoreTrouble
from stockcheck.core.plain_cells import Cell, from_cell, of_json
from stockcheck.data.given_files import open_ordinary
from stockcheck.store.exporting import FORMAT, FORMS, MANIFEST, sum_of
from stockcheck.store.files import SCHEMA_VERSION, Store, connect, trouble
from stockcheck.store.limits import note_heat, refresh_limits
from stockcheck.store.migrate import blank, migrate
from stockcheck.store.tables import Table, loading, putting, quoted, tables

_MOST_PROBLEMS = 20
_MOST_LINE = 4_000_000  # bytes of a manifest, characters of a line: no export comes near
_AGAIN = "Export anew, or put the file back as it was written"


@dataclass(frozen=True, slots=True)
class Manifest:
    """What an exported folder says of itself."""

    schema: int
    form: str
    tables: Mapping[str, Mapping[str, Any]]


def read_manifest(folder: Path) -> Manifest:
    """BadInput where there is none, or one that no export wrote; StoreTrouble for a newer one."""
    import json

    path = folder / MANIFEST
    try:
        with open_ordinary(path) as file:
            told = json.loads(file.read(_MOST_LINE))
    except OSError as error:
        raise BadInput(
            f"{folder} is no exported folder, or was not written to its end: cannot read"
            f" {MANIFEST} ({error.strerror})"
        ) from error
    except (ValueError, RecursionError) as error:
        raise BadInput(f"{path} is damaged: {error}. {_AGAIN}") from error
    if not isinstance(told, dict) or told.get("format") != FORMAT:
        raise BadInput(f"{path} says no {FORMAT!r}; name a folder that 'export' wrote")
    schema, form, about = told.get("schema"), told.get("form"), told.get("tables")
    if (
        not isinstance(schema, int)
        or schema < 1
        or form not in FORMS
        or not isinstance(about, dict)
    ):
        raise BadInput(f"{path} is damaged: schema, form or tables are missing. {_AGAIN}")
    whole = [
        isinstance(each, dict) and isinstance(each.get("rows"), int) for each in about.values()
    ]
    if not all(whole):
        raise BadInput(f"{path} is damaged: a table has no count of its rows. {_AGAIN}")
    if schema > SCHEMA_VERSION:
        raise StoreTrouble(
            f"{folder} has schema {schema}, exported by a newer stockcheck;"
            f" this one knows schema {SCHEMA_VERSION}: update stockcheck"
        )
    return Manifest(schema, form, about)


def import_folder(folder: Path, new: Path, *, edited: bool = False) -> dict[str, int]:
    """Make a store of an exported folder; returns the rows of each table.

    ``edited``: files may differ from what was exported. BadInput or BadFile for what is wrong in
    the folder, StoreTrouble when ``new`` is there already.
    """
    manifest = read_manifest(folder)
    if new.exists():
        raise StoreTrouble(f"{new} is there already; name a new file")
    part = new.with_name(new.name + ".part")
    part.unlink(missing_ok=True)
    try:
        blank(part, manifest.schema)
        try:
            counts = _fill(part, folder, manifest, edited=edited)
        except sqlite3.Error as error:
            raise trouble(error, part) from error
        part.rename(new)
    finally:
        part.unlink(missing_ok=True)
    return counts


def _fill(part: Path, folder: Path, manifest: Manifest, *, edited: bool) -> dict[str, int]:
    conn = connect(part)
    try:
        store = Store(conn, part)
        with store.writing():
            known = tables(conn)
            _refuse_other_tables(manifest, {table.name for table in known})
            counts = {}
            with loading(conn):
                for table in known:
                    path = folder / f"{table.name}.{manifest.form}"
                    counts[table.name] = _put(conn, table, path)
            _refuse_orphans(conn, known, folder, manifest)
            if not edited:
                _refuse_changed(folder, manifest, counts)
        if manifest.schema < SCHEMA_VERSION:
            migrate(store)
        with store.writing():
            note_heat(conn)
            refresh_limits(conn)
        return counts
    finally:
        conn.close()


def _refuse_other_tables(manifest: Manifest, known: set[str]) -> None:
    more, less = sorted(manifest.tables.keys() - known), sorted(known - manifest.tables.keys())
    for wrong, words in ((more, "names a table that schema {0} has not"), (less, "lacks a table")):
        if wrong:
            said = words.format(manifest.schema)
            raise BadInput(f"{MANIFEST} {said}: {', '.join(wrong)}. {_AGAIN}")


def _refuse_changed(folder: Path, manifest: Manifest, counts: Mapping[str, int]) -> None:
    """BadInput for a file that is no longer as it was exported."""
    for name, count in counts.items():
        told, path = manifest.tables[name], folder / f"{name}.{manifest.form}"
        if count != told["rows"]:
            said = f"{path.name} has {count} rows where {MANIFEST} tells {told['rows']}"
        elif sum_of(path) != told.get("sha256"):
            said = f"{path.name} was changed after it was exported (its SHA-256 is another)"
        else:
            continue
        raise BadInput(f"{said}. {_AGAIN}; --edited takes the files as they are")


def _put(conn: sqlite3.Connection, table: Table, path: Path) -> int:
    """Read one file into its table; what is derived is only held against it."""
    statement, count, problems = putting(table), 0, list[Problem]()
    for line, row in _rows(path, table):
        count += 1
        found = row if isinstance(row, Problem) else None
        if found is None and not isinstance(row, Problem):
            found = _put_row(conn, table, statement, (path.name, line), row)
        if found is not None:
            problems.append(found)
        if len(problems) >= _MOST_PROBLEMS:
            break
    if problems:
        raise BadFile(problems)
    return count


def _put_row(
    conn: sqlite3.Connection,
    table: Table,
    statement: str,
    place: tuple[str, int],
    row: tuple[Cell, ...],
) -> Problem | None:
    if table.derived:
        return _compare(conn, table, place, row)
    try:
        conn.execute(statement, row)
    except (sqlite3.IntegrityError, sqlite3.DataError) as error:
        field = _field(table, str(error))
        value = row[table.names.index(field)] if field in table.names else row[0]
        what = f"the store refuses it ({error})"
        return Problem(*place, field, _shown(value), what, "Put back what stood there")
    return None


def _field(table: Table, said: str) -> str:
    """The column that SQLite's words name, else the key: the one place to read its text."""
    named = [name for name in table.names if re.search(rf"\b{re.escape(name)}\b", said)]
    return named[0] if named else table.key[0]


def _compare(
    conn: sqlite3.Connection, table: Table, place: tuple[str, int], row: tuple[Cell, ...]
) -> Problem | None:
    """On hand as written against what the movements, which came in before, add up to."""
    told = dict(zip(table.names, row, strict=True))
    there = conn.execute(
        f"SELECT quantity FROM {quoted(table.name)} WHERE lot_id IS ? AND box_id IS ?"
        " AND opened_on IS ? AND state IS ?",
        [told[name] for name in ("lot_id", "box_id", "opened_on", "state")],
    ).fetchone()
    if there is not None and there[0] == told["quantity"]:
        return None
    what = f"the movements add up to {there[0] if there else 0}"
    return Problem(*place, "quantity", _shown(told["quantity"]), what, "Write what they add up to")


def _shown(value: Cell) -> str:
    return "" if value is None else str(value)


def _rows(path: Path, table: Table) -> Iterator[tuple[int, tuple[Cell, ...] | Problem]]:
    """The rows of a file with their lines; BadInput for a file that cannot be read as one."""
    try:
        with TextIOWrapper(open_ordinary(path), encoding="utf-8", newline="") as file:
            yield from (_csv_rows if path.suffix == ".csv" else _json_rows)(file, path.name, table)
    except OSError as error:
        raise BadInput(f"cannot read {path}: {error.strerror}. {_AGAIN}") from error
    except UnicodeDecodeError as error:
        raise BadInput(f"{path.name} is not UTF-8 text ({error.reason}). {_AGAIN}") from error


def _csv_rows(
    file: IO[str], name: str, table: Table
) -> Iterator[tuple[int, tuple[Cell, ...] | Problem]]:
    import csv

    csv.field_size_limit(_MOST_LINE)
    reader = csv.reader(_lines(file, name), strict=True)
    try:
        header = next(reader, [])
        if tuple(header) != table.names:
            raise BadFile([_wrong_header(name, header, table)])
        line = reader.line_num + 1
        for cells in reader:
            yield line, _csv_row(name, line, cells, table)
            line = reader.line_num + 1
    except csv.Error as error:
        raise BadInput(f"{name}, line {reader.line_num}: {error}. {_AGAIN}") from error


def _lines(file: IO[str], name: str) -> Iterator[str]:
    """The lines of a file, each of bounded length; BadInput for a longer one."""
    number = 0
    while line := file.readline(_MOST_LINE + 1):
        number += 1
        if len(line) > _MOST_LINE:
            raise BadInput(f"{name}, line {number}: longer than any that is exported. {_AGAIN}")
        yield line


def _wrong_header(name: str, header: list[str], table: Table) -> Problem:
    wrong = next((each for each in header if each not in table.names), ",".join(header))
    what = f"the columns are not {', '.join(table.names)}"
    return Problem(name, 1, "heading", wrong, what, _AGAIN)


def _csv_row(name: str, line: int, cells: list[str], table: Table) -> tuple[Cell, ...] | Problem:
    if len(cells) != len(table.columns):
        what = f"{len(cells)} cells instead of {len(table.columns)}"
        return Problem(name, line, "line", ",".join(cells), what, _AGAIN)
    row = []
    for column, cell in zip(table.columns, cells, strict=True):
        try:
            row.append(from_cell(cell, column.sort, empty=column.empty))
        except ValueError as error:
            return Problem(name, line, column.name, cell, str(error), _AGAIN)
    return tuple(row)


def _json_rows(
    file: IO[str], name: str, table: Table
) -> Iterator[tuple[int, tuple[Cell, ...] | Problem]]:
    for line, text in enumerate(_lines(file, name), 1):
        yield line, _json_row(name, line, text, table)


def _json_row(name: str, line: int, text: str, table: Table) -> tuple[Cell, ...] | Problem:
    import json

    try:
        told = json.loads(text)
    except (ValueError, RecursionError) as error:
        return Problem(name, line, "line", text.strip(), f"no JSON ({error})", _AGAIN)
    if not isinstance(told, dict) or told.keys() != set(table.names):
        what = f"no object with {', '.join(table.names)}"
        return Problem(name, line, "line", text.strip(), what, _AGAIN)
    row = []
    for column in table.columns:
        try:
            row.append(of_json(told[column.name], column.sort, empty=column.empty))
        except ValueError as error:
            return Problem(name, line, column.name, str(told[column.name]), str(error), _AGAIN)
    return tuple(row)


def _refuse_orphans(
    conn: sqlite3.Connection, known: list[Table], folder: Path, manifest: Manifest
) -> None:
    """BadFile for rows that refer to rows that are not there; their lines are looked up anew."""
    problems = []
    for table in known:
        wrong = conn.execute(f"PRAGMA foreign_key_check({quoted(table.name)})").fetchall()
        if not wrong:
            continue
        problems += _orphans(conn, table, folder / f"{table.name}.{manifest.form}", wrong)
    if problems:
        raise BadFile(problems[:_MOST_PROBLEMS])


def _orphans(
    conn: sqlite3.Connection, table: Table, path: Path, wrong: list[tuple[Any, ...]]
) -> list[Problem]:
    links: dict[int, tuple[str, str]] = {
        row[0]: (row[3], row[2])
        for row in conn.execute(f"PRAGMA foreign_key_list({quoted(table.name)})").fetchall()
    }
    there = {
        number: {row[0] for row in conn.execute(f"SELECT rowid FROM {quoted(parent)}")}
        for number, (_, parent) in links.items()
        if number in {row[3] for row in wrong}
    }
    problems = []
    for line, row in _rows(path, table):
        if isinstance(row, Problem):
            continue
        told = dict(zip(table.names, row, strict=True))
        for number, ids in there.items():
            field, parent = links[number]
            if told[field] is not None and told[field] not in ids:
                what = f"there is no such {parent}"
                remedy = f"Put the row back into {parent}{path.suffix}"
                problems.append(Problem(path.name, line, field, _shown(told[field]), what, remedy))
    return problems
