"""The movements of the ledger as a table, oldest first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.words import counted
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

COLUMNS = (
    Column("movement", "No.", fixed=True),
    Column("on_day", "Day", fixed=True),
    Column("what", "What", fixed=True),
    Column("quantity", "Qty", right=True, fixed=True),
    Column("lot", "Lot", fixed=True),
    Column("item", "Item", weight=3),
    Column("box", "Box", weight=2),
    Column("reason", "Why", weight=2),
)
KEYS = (
    "movement", "on_day", "what", "lot", "item", "box", "quantity", "unit", "opened_on", "state",
    "reason", "reverses", "reversed_by",
)  # fmt: skip


def ledger_report(
    lines: Sequence[Mapping[str, Json]], *, title: str, on: date, store: str
) -> Report:
    """The ledger's lines, each with what it added to or took from a box."""
    rows = tuple(_row(line) for line in lines)
    return Report(
        title=title,
        on=on,
        store=store,
        columns=COLUMNS,
        sections=(Section("", rows),) if rows else (),
        empty="No movements.",
        keys=KEYS,
    )


def _row(line: Mapping[str, Json]) -> Row:
    quantity, day = line["quantity"], line["on_day"]
    shown = {"reason": _why(line)}
    if isinstance(quantity, int):
        sign = "+" if quantity > 0 else ""
        shown["quantity"] = sign + counted(quantity, str(line["unit"]))
    if isinstance(day, date):
        shown["on_day"] = spoken(day)
    return Row(line, shown, Tone.QUIET if line["reversed_by"] else Tone.PLAIN)


def _why(line: Mapping[str, Json]) -> str:
    parts = [
        f"undone by {line['reversed_by']}" if line["reversed_by"] else "",
        f"undoes {line['reverses']}" if line["reverses"] else "",
        "on hold" if line["state"] == "held" else "",
        "opened" if line["opened_on"] else "",
        str(line["reason"] or ""),
    ]
    return "; ".join(part for part in parts if part)
