"""Recalled batches as a table, with what of each is still on hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.model import Holding
from stockcheck.core.words import counted, listed
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

if TYPE_CHECKING:
    from stockcheck.core.recalls import Recall

_COLUMNS = (
    Column("recall", "Recall", fixed=True),
    Column("item", "Item", weight=4),
    Column("batch", "Batch", fixed=True),
    Column("on_day", "Since", fixed=True),
    Column("on_hand", "On hand", weight=3),
    Column("reason", "Reason", weight=3),
)
_KEYS = (
    "recall", "item", "gtin", "batch", "on_day", "reason", "lifted_on", "lifted_why", "on_hand",
    "unit", "lots", "boxes",
)  # fmt: skip


def recall_report(
    found: Sequence[Recall], held: Mapping[int, Sequence[Holding]], *, on: date, store: str
) -> Report:
    """A row for each recall; ``held`` is what it concerns, by its number."""
    rows = tuple(_row(each, held.get(each.id, ())) for each in found)
    return Report(
        title="Recalls",
        on=on,
        store=store,
        columns=_COLUMNS,
        keys=_KEYS,
        sections=(Section("", rows),) if rows else (),
        totals=(f"{len(rows)} in all",) if rows else (),
        empty="No recall stands; 'stockcheck recall --help' tells how to enter one.",
    )


def _row(recall: Recall, held: Sequence[Holding]) -> Row:
    number = sum(each.quantity for each in held)
    lots = sorted({each.lot.short for each in held})
    boxes = sorted({each.box.name for each in held})
    values: dict[str, Json] = {
        "recall": recall.short,
        "item": recall.item or None,
        "gtin": recall.gtin or None,
        "batch": recall.batch or None,
        "on_day": recall.on,
        "reason": recall.reason,
        "lifted_on": recall.lifted_on,
        "lifted_why": recall.lifted_why,
        "on_hand": number,
        "unit": held[0].item.unit if held else None,
        "lots": lots,
        "boxes": boxes,
    }
    there = f"{counted(number, held[0].item.unit)} in {listed(boxes)}" if held else "none"
    lifted = f"lifted {recall.lifted_on}: {recall.lifted_why}" if recall.lifted_on else ""
    shown = {
        "item": recall.item or f"GTIN {recall.gtin}",
        "batch": recall.batch or "every",
        "on_hand": there,
        "reason": "; ".join(filter(None, [recall.reason, lifted])),
    }
    tone = Tone.QUIET if recall.lifted_on else Tone.BAD if held else Tone.PLAIN
    return Row(values, shown, tone)
