"""Reports as CSV after RFC 4180: a header of the contract's names, then one record for each row."""

from __future__ import annotations

import csv
import io
import re

from stockcheck.output.cells import flat
from stockcheck.output.report import Json, Report, Row

_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?", re.ASCII)
_RISKY = "=+-@\t\r\n＝＋－＠"  # a spreadsheet would take what follows for a formula


def render_csv(report: Report) -> str:
    """The rows with CRLF line ends, to be written as they are (``newline=""``).

    ISO dates, nothing for unknown, nested lists on one line. A text that a spreadsheet could run as
    a formula gets a leading apostrophe, unless it is a plain number.
    """
    keys = _keys(report)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(keys)
    writer.writerows([_cell(row, key) for key in keys] for row in report.rows)
    return out.getvalue()


def _keys(report: Report) -> list[str]:
    """The contract's names in order: the report's own list, then whatever else the rows carry."""
    found = dict.fromkeys((*report.keys, *(key for row in report.rows for key in row.values)))
    return list(found) or [column.key for column in report.columns]


def _cell(row: Row, key: str) -> str:
    value = row.values.get(key)
    if _nested(value) and key in row.shown:
        return _harmless(row.shown[key])
    text = flat(key, value)
    return _harmless(text) if isinstance(value, str) or _nested(value) else text


def _nested(value: Json) -> bool:
    return isinstance(value, (list, tuple, dict))


def _harmless(text: str) -> str:
    return f"'{text}" if text.startswith(tuple(_RISKY)) and not _NUMBER.fullmatch(text) else text
