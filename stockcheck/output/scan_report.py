"""What was scanned, and what a session came to, as tables."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.recognising import Sort
from stockcheck.core.scanning import SPOKEN
from stockcheck.core.words import counted
from stockcheck.output.expiry_report import TONES, cautions_of
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

if TYPE_CHECKING:
    from stockcheck.core.expiry import Standing
    from stockcheck.core.recognising import Recognised
    from stockcheck.core.scanning import Deed, Given

KEYS = (
    "text", "type", "box", "item", "lot", "code", "gtin", "batch", "quantity", "unit",
    "last_usable_day", "status", "spoken", "advice", "match", "problem",
)  # fmt: skip
_COLUMNS = (
    Column("spoken", "Word", fixed=True),
    Column("item", "What", weight=4),
    Column("lot", "Lot", fixed=True),
    Column("quantity", "Qty", right=True, fixed=True),
    Column("box", "Box", weight=2),
    Column("last_usable_day", "Good through", fixed=True),
    Column("problem", "Remark", weight=4),
)
SUMMARY_KEYS = (
    "outcome", "box", "to_box", "item", "lot", "quantity", "unit", "last_usable_day", "status",
)  # fmt: skip
_SUMMARY_COLUMNS = (
    Column("outcome", "Outcome", fixed=True),
    Column("item", "Item", weight=4),
    Column("lot", "Lot", fixed=True),
    Column("quantity", "Qty", right=True, fixed=True),
    Column("box", "Box", weight=2),
    Column("status", "Status", fixed=True),
    Column("last_usable_day", "Good through", fixed=True),
)


def scan_rows(given: Given, found: Sequence[Standing]) -> list[Row]:
    """The rows of one text: one for each holding that it is about, else one for itself."""
    recognised = given.recognised
    if recognised is None:
        return []
    if not found:
        return [Row(_plain(recognised), tone=Tone.PLAIN if recognised.known else Tone.BAD)]
    return [_stock_row(recognised, each) for each in found]


def _plain(found: Recognised) -> dict[str, Json]:
    maker = found.maker
    day = found.meaning.last_usable_day if found.meaning else None
    values: dict[str, Json] = dict.fromkeys(KEYS)
    remarks = [*(maker.warnings if maker else ()), found.complaint]
    return values | {
        "text": found.text,
        "type": found.sort.value,
        "box": found.name if found.sort is Sort.BOX else None,
        "item": found.name or None if found.sort is not Sort.BOX else None,
        "lot": found.short if found.sort is Sort.LOT else None,
        "gtin": maker.gtin or None if maker else None,
        "batch": maker.meaning.batch if maker else None,
        "quantity": maker.units if maker and maker.item else None,
        "unit": maker.item.unit if maker and maker.item else None,
        "last_usable_day": day,
        "spoken": None if found.known else "UNKNOWN",
        "match": maker.match.value if maker else None,
        "problem": "; ".join(filter(None, remarks)) or None,
    }


def _stock_row(found: Recognised, standing: Standing) -> Row:
    held = standing.holding
    values = _plain(found) | {
        "box": held.box.name,
        "item": held.item.name,
        "lot": held.lot.short,
        "code": held.lot.code,
        "batch": held.lot.batch or None,
        "quantity": held.quantity,
        "unit": held.item.unit,
        "last_usable_day": held.last_usable_day,
        "status": standing.status.value,
        "spoken": SPOKEN[standing.status],
        "advice": standing.advice,
    }
    shown = {"quantity": counted(held.quantity, held.item.unit)}
    return Row(values, shown, TONES[standing.status])


def scan_report(
    rows: Sequence[Row], held: Iterable[Standing], *, on: date, store: str,
    cautions: Mapping[str, str],
) -> Report:  # fmt: skip
    """What a number of texts are."""
    bad = (each.holding for each in held if TONES[each.status] is Tone.BAD)
    return Report(
        title="Scanned",
        on=on,
        store=store,
        columns=_COLUMNS,
        keys=KEYS,
        sections=(Section("", tuple(rows)),) if rows else (),
        cautions=cautions_of(bad, cautions),
        empty="Nothing was scanned.",
    )


def summary_report(
    found: Sequence[tuple[Standing, bool]],
    deeds: Sequence[Deed],
    *,
    on: date,
    store: str,
    cautions: Mapping[str, str],
) -> Report:
    """A session's end: each holding of its boxes, seen or not, and what was done."""
    rows = [_holding_row(standing, seen=seen) for standing, seen in found]
    rows += [_deed_row(deed) for deed in deeds]
    bad = (each.holding for each, _ in found if TONES[each.status] is Tone.BAD)
    return Report(
        title="Scanning session",
        on=on,
        store=store,
        columns=_SUMMARY_COLUMNS,
        keys=SUMMARY_KEYS,
        sections=(Section("", tuple(rows)),) if rows else (),
        cautions=cautions_of(bad, cautions),
        empty="No box was scanned and nothing was done.",
    )


def _holding_row(standing: Standing, *, seen: bool) -> Row:
    held = standing.holding
    values: dict[str, Json] = dict.fromkeys(SUMMARY_KEYS)
    values |= {
        "outcome": "seen" if seen else "not seen",
        "box": held.box.name,
        "item": held.item.name,
        "lot": held.lot.short,
        "quantity": held.quantity,
        "unit": held.item.unit,
        "last_usable_day": held.last_usable_day,
        "status": standing.status.value,
    }
    shown = {"quantity": counted(held.quantity, held.item.unit)}
    return Row(values, shown, TONES[standing.status])


def _deed_row(deed: Deed) -> Row:
    values: dict[str, Json] = dict.fromkeys(SUMMARY_KEYS)
    values |= {
        "outcome": deed.what,
        "box": deed.box,
        "to_box": deed.to_box or None,
        "item": deed.item,
        "lot": deed.lot,
        "quantity": deed.quantity,
        "unit": deed.unit,
    }
    return Row(values, {"quantity": counted(deed.quantity, deed.unit)})
