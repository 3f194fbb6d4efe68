"""Everything in a store as a folder of plain files: one CSV or JSON Lines file for each table.

The manifest is written last, so that a folder that has one is whole. Tables and views of another
tool's making stay out of it. What every file means is told in the manifest itself.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from stockcheck.core.errors import BadInput
from stockcheck.core.plain_cells import to_cell
from stockcheck.store.files import SCHEMA_VERSION, Store, new_file
from stockcheck.store.migrate import as_made
from stockcheck.store.tables import Table, rows_of, tables

MANIFEST = "manifest.json"
FORMAT = "stockcheck export 1"
FORMS = ("csv", "jsonl")
_HOW = {
    "csv": "UTF-8, comma, CRLF (RFC 4180), first line the columns. Empty is NULL, where a column"
    " may be NULL. A leading apostrophe is no part of a text: it keeps spreadsheets from taking it"
    " for a formula, and tells an empty text from NULL.",
    "jsonl": "UTF-8, one JSON object a line, its keys the columns.",
}


@dataclass(frozen=True, slots=True)
class Exported:
    """What was written: rows by table, and tables of other tools that were left out."""

    rows: dict[str, int]
    left_out: tuple[str, ...]


def export(store: Store, folder: Path, form: str) -> Exported:
    """Write every table into a new or empty folder that only its owner can read.

    All files show the store at one moment. BadInput when the folder has something in it or cannot
    be written; what was written of it is then taken away again.
    """
    there = folder.exists()
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if any(folder.iterdir()):
            raise BadInput(f"{folder} is not empty; name a new folder")
        folder.chmod(0o700)
        with _whole_or_none(folder, there=there):
            return _export(store, folder, form)
    except OSError as error:
        raise BadInput(f"cannot write {folder}: {error.strerror}; name another folder") from error


@contextmanager
def _whole_or_none(folder: Path, *, there: bool) -> Iterator[None]:
    """A folder that was empty before is so again after a failure; a new one is gone."""
    try:
        yield
    except BaseException:
        with suppress(OSError):
            for each in folder.iterdir():
                each.unlink()
            if not there:
                folder.rmdir()
        raise


def _export(store: Store, folder: Path, form: str) -> Exported:
    import json

    ours = {name for sort, name in as_made(SCHEMA_VERSION) if sort == "table"}
    conn, told = store.conn, {}
    conn.execute("BEGIN")
    try:
        found = tables(conn)
        for table in found:
            if table.name in ours:
                told[table.name] = _write(conn, table, folder / f"{table.name}.{form}", form)
        manifest = {
            "format": FORMAT,
            "schema": SCHEMA_VERSION,
            "store": store.name,
            "form": form,
            "how": _HOW[form],
            "tables": told,
        }
    finally:
        conn.execute("ROLLBACK")
    with _own_file(folder / MANIFEST) as file:
        json.dump(manifest, file, ensure_ascii=False, indent=2)
        file.write("\n")
    rows = {name: int(each["rows"]) for name, each in told.items()}
    return Exported(rows, tuple(each.name for each in found if each.name not in ours))


def _write(conn: sqlite3.Connection, table: Table, path: Path, form: str) -> dict[str, Any]:
    with _own_file(path) as file:
        count = (_csv if form == "csv" else _json_lines)(conn, table, file)
    about: dict[str, Any] = {"rows": count, "sha256": sum_of(path)}
    if table.derived:
        about["derived"] = True
    return about


@contextmanager
def _own_file(path: Path) -> Iterator[IO[str]]:
    new_file(path)
    with path.open("w", encoding="utf-8", newline="") as file:
        yield file


def _csv(conn: sqlite3.Connection, table: Table, file: IO[str]) -> int:
    import csv

    write, count = csv.writer(file, lineterminator="\r\n").writerow, 0
    write(table.names)
    may_be_empty = [column.empty for column in table.columns]
    for row in rows_of(conn, table):
        count += 1
        write([to_cell(value, empty=e) for value, e in zip(row, may_be_empty, strict=True)])
    return count


def _json_lines(conn: sqlite3.Connection, table: Table, file: IO[str]) -> int:
    import json

    encode, count = json.JSONEncoder(ensure_ascii=False).encode, 0
    for row in rows_of(conn, table):
        count += 1
        file.write(encode(dict(zip(table.names, row, strict=True))) + "\n")
    return count


def sum_of(path: Path) -> str:
    """The SHA-256 of a file."""
    from hashlib import file_digest

    with path.open("rb") as file:
        return file_digest(file, "sha256").hexdigest()
