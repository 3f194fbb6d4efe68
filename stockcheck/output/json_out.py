"""Reports as JSON: one object with ``on``, ``store``, ``rows`` and ``cautions``, nothing else."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date

from stockcheck.output.report import Report

# What JSON itself leaves raw but a terminal or an encoder would choke on: C1 controls, direction
# marks, line separators, lone surrogates. Written as escapes they come back as they were.
_RAW = re.compile("[\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff]")


def render_json(report: Report) -> str:
    """The contract's object, final newline included: ISO dates, null for unknown, real letters."""
    whole = {
        "on": report.on,
        "store": report.store or None,
        "rows": [row.values for row in report.rows],
        "cautions": report.cautions,
    }
    text = json.dumps(whole, ensure_ascii=False, indent=2, allow_nan=False, default=_plain)
    return _RAW.sub(lambda found: f"\\u{ord(found[0]):04x}", text) + "\n"


def _plain(value: object) -> object:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return dict(value)
    raise TypeError(f"a report cannot hold a {type(value).__name__}: {value!r}")
