"""Several boxes against their lists on one page: a line each, then what is worst in them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core.audit_result import AuditResult, Finding
from stockcheck.core.calendar import spoken
from stockcheck.core.kit_list import MEMORY
from stockcheck.output.audit_report import NOT_A_CERTIFICATE
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

COLUMNS = (
    Column("finding", "Met", fixed=True),
    Column("box", "Box", weight=3),
    Column("list", "List", weight=4),
    Column("lines", "Lines", right=True, fixed=True),
    Column("verdict", "How it stands", weight=6),
    Column("next_due", "Look again", fixed=True),
)
KEYS = (
    "box", "list", "lines", "met", "met_through", "verdict", "findings", "not_on_list",
    "next_due", "overdue",
)  # fmt: skip
_SAID = "meets the list on that day: "


@dataclass(frozen=True, slots=True)
class BoxAudit:
    """A box's audit, when to look at it again, and whether that day is past."""

    box: str
    result: AuditResult
    next_due: date | None
    overdue: bool


def summary_report(
    boxes: Sequence[BoxAudit],
    *,
    on: date,
    store: str,
    facts: tuple[str, ...],
) -> Report:
    """Lay the boxes out, those that do not meet their list first."""
    ordered = sorted(boxes, key=lambda it: (_standing(it), it.box.casefold()))
    met = sum(_standing(it) > 0 for it in boxes)
    late = sum(it.overdue for it in boxes)
    totals = [f"{met} of {len(boxes)} boxes meet their list on that day"] if boxes else []
    totals += [f"{late} to be looked at: 'stockcheck round do BOX'"] if late else []
    if any(it.result.kit_list.certainty == MEMORY for it in boxes):
        totals.append("* this list is from memory, not read in the source")
    return Report(
        title="Audit of every box with a kit list",
        on=on,
        store=store,
        columns=COLUMNS,
        keys=KEYS,
        sections=(Section("", tuple(_row(it) for it in ordered)),) if boxes else (),
        facts=facts,
        totals=tuple(totals),
        cautions=(NOT_A_CERTIFICATE,),
        empty="No box has a usual kit list; 'stockcheck kit-lists usual BOX ID' remembers one.",
    )


def _standing(it: BoxAudit) -> int:
    """0 where the list is not met, 1 where it is on the day only, 2 where it is throughout."""
    lines = len(it.result.lines)
    return (it.result.met == lines) + (it.result.met == it.result.met_through == lines)


def _row(it: BoxAudit) -> Row:
    result = it.result
    counts = Counter(word for line in result.lines for word in {line.finding, *line.also})
    starred = " *" if result.kit_list.certainty == MEMORY else ""
    standing = _standing(it)
    findings: dict[str, Json] = {word.value: counts[word] for word in Finding if counts[word]}
    values: dict[str, Json] = {
        "box": it.box,
        "list": result.kit_list.id,
        "lines": len(result.lines),
        "met": result.met,
        "met_through": result.met_through,
        "verdict": result.verdict,
        "findings": findings,
        "not_on_list": len(result.not_on_list),
        "next_due": it.next_due,
        "overdue": it.overdue,
    }
    shown = {
        "finding": ("NO", "not through", "yes")[standing],
        "list": result.kit_list.id + starred,
        "lines": f"{result.met} of {len(result.lines)}",
        "verdict": _how(result),
        "next_due": _again(it),
    }
    return Row(values, shown, (Tone.BAD, Tone.WARN, Tone.GOOD)[standing])


def _how(result: AuditResult) -> str:
    words = result.verdict.removeprefix(_SAID)
    return words.removeprefix("no; ").removeprefix("yes, ").replace("yes", "every line met", 1)


def _again(it: BoxAudit) -> str:
    if it.next_due is None:
        return "never done"
    return spoken(it.next_due) + (" LATE" if it.overdue else "")
