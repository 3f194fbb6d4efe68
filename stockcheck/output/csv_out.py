"""Reports as CSV after RFC 4180: a header of the contract's names, then one record for each row."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

from stockcheck.core.harmless import to_csv_cell
from stockcheck.output.cells import flat
from stockcheck.output.report import Json, Report, Row, Stream, keys_of

_AT_ONCE = 500
_PLAIN = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789")


def render_csv(report: Report) -> str:
    """The rows with CRLF line ends, to be written as they are (``newline=""``).

    ISO dates, nothing for unknown, nested lists on one line. A text that a spreadsheet could run as
    a formula gets a leading apostrophe, unless it is a plain number.
    """
    return "".join(_chunks(_keys(report), report.rows))


def csv_chunks(stream: Stream) -> Iterator[str]:
    """The same, some rows at a time."""
    return _chunks(stream.keys, stream.rows)


def _chunks(keys: Sequence[str], rows: Iterable[Row]) -> Iterator[str]:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(keys)
    for number, row in enumerate(rows, 1):
        writer.writerow(_cells(row, keys))
        if number % _AT_ONCE == 0:
            yield out.getvalue()
            out.seek(0)
            out.truncate()
    yield out.getvalue()


def _keys(report: Report) -> list[str]:
    return keys_of(report) or [column.key for column in report.columns]


def _cells(row: Row, keys: Sequence[str]) -> list[object]:
    """The cells of a row; what begins with a letter or figure and prints needs no second look."""
    get = row.values.get
    return [
        value
        if (value := get(key)) is None
        or (type(value) is int)
        or (type(value) is str and value[:1] in _PLAIN and value.isprintable())
        else _cell(row, key, value)
        for key in keys
    ]


def _cell(row: Row, key: str, value: Json) -> str:
    if isinstance(value, (list, tuple, dict)):
        return to_csv_cell(row.shown[key] if key in row.shown else flat(key, value))
    return to_csv_cell(value) if isinstance(value, str) else flat(key, value)
