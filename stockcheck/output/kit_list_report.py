"""Kit lists as tables: all that ship, or one with its lines, source and certainty."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from stockcheck.core.kit_list import MEMORY, KitList, Line
from stockcheck.core.words import counted
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

_LISTS = (
    Column("list", "List", weight=3),
    Column("title", "What it is", weight=5),
    Column("lines", "Lines", right=True, fixed=True),
    Column("certainty", "Known", fixed=True),
)
_LINES = (
    Column("line", "Line", weight=4),
    Column("quantity", "Asked", right=True, fixed=True),
    Column("spec", "Size and kind", weight=4),
    Column("condition", "Remarks", weight=3),
)


def lists_report(found: Sequence[KitList], *, on: date) -> Report:
    """Every list with its title and how sure it is."""
    return Report(
        title="Kit lists",
        on=on,
        store="",
        columns=_LISTS,
        sections=(Section("", tuple(_list_row(each) for each in found)),),
        totals=(f"{len(found)} lists; seen: read in a copy of the source; memory: not read",),
        cautions=("The law of the place decides which list applies; none here is a certificate.",),
    )


def _list_row(each: KitList) -> Row:
    values: dict[str, Json] = {
        "list": each.id,
        "title": each.title,
        "source": each.source,
        "edition": each.edition,
        "jurisdiction": each.jurisdiction,
        "certainty": each.certainty,
        "lines": len(each.lines),
    }
    return Row(values, {}, Tone.WARN if each.certainty == MEMORY else Tone.PLAIN)


def lines_report(kit_list: KitList, *, on: date) -> Report:
    """One list with all its lines."""
    memory = " (FROM MEMORY, not read in the source)" if kit_list.certainty == MEMORY else ""
    facts = [
        f"{kit_list.id}: {kit_list.source}{memory}",
        f"edition {kit_list.edition}; {kit_list.jurisdiction}",
    ]
    facts += [kit_list.notes] if kit_list.notes else []
    facts += [f"seen at {place}" for place in kit_list.seen_at]
    return Report(
        title=kit_list.title,
        on=on,
        store="",
        columns=_LINES,
        sections=(Section("", tuple(_line_row(kit_list, line) for line in kit_list.lines)),),
        facts=tuple(facts),
        totals=(f"{len(kit_list.lines)} lines; 'named' stands where no number is given",),
        cautions=("The law of the place decides which list applies; none here is a certificate.",),
    )


def _line_row(kit_list: KitList, line: Line) -> Row:
    values: dict[str, Json] = {
        "list": kit_list.id,
        "line": line.name,
        "quantity": line.quantity,
        "unit": line.unit,
        "spec": line.spec,
        "kinds": sorted(line.serving_kinds),
        "dated": line.dated,
        "sterile": line.sterile,
        "alternative": line.alternative,
        "condition": line.condition,
        "certainty": line.certainty,
    }
    asked = "named" if line.quantity is None else counted(line.quantity, line.unit)
    remarks = [
        line.condition,
        f"or: {line.alternative}" if line.alternative else "",
        line.scale.words,
        "from memory" if line.certainty == MEMORY and kit_list.certainty != MEMORY else "",
    ]
    shown = {"quantity": asked, "condition": "; ".join(part for part in remarks if part)}
    return Row(values, shown)
