"""What another climate would do to a box's dates, as a table: the largest shifts first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.shifting import Shift
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

COLUMNS = (
    Column("item", "Item", weight=4),
    Column("lot", "Lot", fixed=True),
    Column("now", "Now", fixed=True),
    Column("then", "There", fixed=True),
    Column("days", "Days", right=True, fixed=True),
    Column("why", "Remark", weight=4),
)
KEYS = ("box", "item", "kind", "lot", "now", "then", "days", "why")
ESTIMATE = (
    "Heat estimates are rules of thumb, not measurements; they only bring dates forward. 'why LOT'"
    " shows what each one assumes. For a medicine only the maker or a pharmacist can say."
)


def whatif_report(
    found: Sequence[Shift], *, box: str, climate: str, on: date, store: str
) -> Report:
    """Lay the shifts out, those that come forward most on top."""
    ordered = sorted(
        found, key=lambda it: (it.days, not it.doubtful, it.holding.item.name.casefold())
    )
    return Report(
        title=f"{box} in another climate",
        on=on,
        store=store,
        columns=COLUMNS,
        keys=KEYS,
        sections=(Section("", tuple(_row(each) for each in ordered)),) if found else (),
        facts=(f"if everything in {box} were kept in {climate!r} from {spoken(on)} on",),
        totals=(_totals(found),) if found else (),
        cautions=(ESTIMATE,),
        empty="Nothing with a date in it.",
    )


def _totals(found: Sequence[Shift]) -> str:
    counts = (
        (sum(1 for each in found if each.days), "would shift"),
        (sum(each.spoilt for each in found), "would be spoilt"),
        (sum(each.doubtful for each in found), "could not be relied on"),
    )
    words = [f"{count} {what}" for at, (count, what) in enumerate(counts) if count or not at]
    return f"{len(found)} dated holdings: {', '.join(words)}"


def _row(shift: Shift) -> Row:
    holding = shift.holding
    values: dict[str, Json] = {
        "box": holding.box.name,
        "item": holding.item.name,
        "kind": holding.kind.key,
        "lot": holding.lot.short,
        "now": shift.now,
        "then": shift.then,
        "days": shift.days,
        "why": shift.why or None,
    }
    shown = {
        "now": spoken(shift.now),
        "then": "ask" if shift.doubtful else spoken(shift.then),
        "days": f"{shift.days:+d}" if shift.days else "",
        "why": shift.why,
    }
    tone = Tone.WARN if shift.days < 0 or shift.doubtful else Tone.PLAIN
    return Row(values, shown, tone)
