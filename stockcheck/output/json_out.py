"""Reports as JSON: one object with ``on``, ``store``, ``rows`` and ``cautions``, nothing else."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import date

from stockcheck.core.harmless import STEERING
from stockcheck.output.report import Json, Report, Row, Stream

# What JSON itself leaves raw but a terminal or an encoder would choke on. Written as escapes they
# come back as they were.
_RAW = re.compile(f"[{STEERING}]")
_ROW, _VALUE = " " * 4, " " * 6


def render_json(report: Report) -> str:
    """The contract's object, final newline included: ISO dates, null for unknown, real letters."""
    return "".join(_chunks(report.on, report.store, report.rows, lambda: report.cautions))


def json_chunks(stream: Stream) -> Iterator[str]:
    """The same object, some rows at a time."""
    return _chunks(stream.on, stream.store, stream.rows, stream.cautions)


def _chunks(
    on: date, store: str, rows: Iterable[Row], cautions: Callable[[], Iterable[str]]
) -> Iterator[str]:
    yield _safe(f'{{\n  "on": {_plain(on)},\n  "store": {_plain(store or None)},\n  "rows": [')
    before, after = "\n", "]"
    for row in rows:
        values = ",\n".join([f"{_VALUE}{_plain(k)}: {_plain(v)}" for k, v in row.values.items()])
        yield _safe(f"{before}{_ROW}{{\n{values}\n{_ROW}}}" if values else f"{before}{_ROW}{{}}")
        before, after = ",\n", "\n  ]"
    told = _nested(list(cautions()), "  ")
    yield _safe(f'{after},\n  "cautions": {told}\n}}\n')


def _safe(text: str) -> str:
    if text.isascii() and "\x7f" not in text:
        return text
    return _RAW.sub(lambda found: json.dumps(found[0])[1:-1], text)


def _plain(value: Json) -> str:
    """A value as JSON text; the usual sorts first, since a large report has many of them."""
    if value is None:
        return "null"
    if type(value) is int:
        return str(value)
    if isinstance(value, (list, tuple, Mapping)):
        return _nested(value, _VALUE)
    return _encode(value)


def _nested(value: Json, indent: str) -> str:
    text = json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False, default=_known)
    return text.replace("\n", "\n" + indent)


def _known(value: object) -> object:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return dict(value)
    raise TypeError(f"a report cannot hold a {type(value).__name__}: {value!r}")


_encode = json.JSONEncoder(ensure_ascii=False, allow_nan=False, default=_known).encode
