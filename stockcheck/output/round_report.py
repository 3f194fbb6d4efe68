"""Rounds in print: one as it was recorded, all of them, and what is due."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from stockcheck.core.audit_due import Overdue
from stockcheck.core.audit_round import Round, RoundLine, changed_since, seal_words
from stockcheck.core.calendar import spoken
from stockcheck.core.words import counted
from stockcheck.output.audit_report import NOT_A_CERTIFICATE
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

_LINES = (
    Column("finding", "Finding", fixed=True),
    Column("line", "Line of the list", weight=3),
    Column("required", "Asked", right=True, fixed=True),
    Column("usable", "Usable", right=True, fixed=True),
    Column("why", "Why", weight=5),
)
_KEYS = ("round", "line", "required", "unit", "usable", "short", "finding", "why")
_HISTORY = (
    Column("round", "No.", right=True, fixed=True),
    Column("on", "Day", fixed=True),
    Column("box", "Box", weight=3),
    Column("checked_by", "By", weight=2),
    Column("met", "Met", right=True, fixed=True),
    Column("seal", "Seal", weight=2),
    Column("next_due", "Look again", fixed=True),
)
_HISTORY_KEYS = (
    "round", "on", "box", "lists", "checked_by", "seal", "last_used", "met", "lines", "verdict",
    "next_due", "due_why", "note", "changed", "seen",
)  # fmt: skip
_DUE = (
    Column("finding", "", fixed=True),
    Column("box", "Box", weight=4),
    Column("due", "Look again", fixed=True),
    Column("last", "Last looked at", fixed=True),
)
_SHOWN = 12


def round_report(
    found: Round, before: Round | None, *, on: date, store: str, kit_cautions: Mapping[str, str]
) -> Report:
    """A round: how the box stood, what the books had otherwise, what changed since the last."""
    bad = any(it.damaged for it in found.seen) or any("expired" in it.why for it in found.lines)
    number = found.id
    ordered = sorted(found.lines, key=lambda it: (it.short == 0, it.finding == "ok"))
    return Report(
        title=f"Round {number}: audit of {found.box}",
        on=on,
        store=store,
        columns=_LINES,
        keys=_KEYS,
        sections=(Section(found.title, tuple(_line(number, it) for it in ordered)),),
        facts=(
            found.verdict,
            seal_words(found),
            *([f"note: {found.note}"] if found.note else []),
            f"look again by {spoken(found.next_due)} ({found.due_why})",
            *_books(found),
            *_since(found, before),
        ),
        totals=(f"{found.met} of {len(found.lines)} lines met, as found at the box",),
        cautions=(NOT_A_CERTIFICATE, *([kit_cautions["expired-dressings"]] if bad else [])),
    )


def _line(number: int, it: RoundLine) -> Row:
    values: dict[str, Json] = {
        "round": number,
        "line": it.line,
        "required": it.required,
        "unit": it.unit,
        "usable": it.usable,
        "short": it.short,
        "finding": it.finding,
        "why": it.why,
    }
    shown = {
        "finding": it.finding.upper() if it.short else it.finding,
        "required": "named" if it.required is None else counted(it.required, it.unit),
        "why": _beside_figures(it),
    }
    tone = Tone.BAD if it.short else Tone.GOOD if it.finding in {"ok", "surplus"} else Tone.WARN
    return Row(values, shown, tone)


def _beside_figures(it: RoundLine) -> str:
    """The reason without the figures that stand in columns beside it."""
    said = ("asks ", "usable ")
    return "; ".join(part for part in it.why.split("; ") if not part.startswith(said))


def _books(found: Round) -> list[str]:
    """What lay there otherwise than the books had it."""
    said = [
        f"{it.found} of {it.lot} {it.item} found, {it.booked} by the books"
        for it in found.seen
        if it.found != it.booked
    ]
    said += [f"{it.damaged} of {it.lot} {it.item} damaged" for it in found.seen if it.damaged]
    return said


def _since(found: Round, before: Round | None) -> list[str]:
    if before is None:
        return ["the first round of this box"]
    changes = changed_since(before, found)
    head = f"since round {before.id} on {spoken(before.on)}"
    if not changes:
        return [f"{head}: nothing changed"]
    more = len(changes) - _SHOWN
    rest = [f"and {more} changes more"] if more > 0 else []
    return [f"{head}:", *(f"- {it}" for it in changes[:_SHOWN]), *rest]


def history_report(found: Sequence[Round], *, on: date, store: str) -> Report:
    """All rounds, the last one first; under each what changed since the one before."""
    rows = []
    for at, each in enumerate(found):
        before = next((it for it in found[at + 1 :] if it.box_id == each.box_id), None)
        rows.append(_history_row(each, before))
    return Report(
        title="Rounds",
        on=on,
        store=store,
        columns=_HISTORY,
        keys=_HISTORY_KEYS,
        sections=(Section("", tuple(rows)),) if rows else (),
        cautions=(NOT_A_CERTIFICATE,) if rows else (),
        empty="No round was done yet; 'stockcheck round do BOX' does one.",
    )


def _history_row(found: Round, before: Round | None) -> Row:
    changes = changed_since(before, found) if before else ()
    values: dict[str, Json] = {
        "round": found.id,
        "on": found.on,
        "box": found.box,
        "lists": list(found.lists),
        "checked_by": found.checked_by,
        "seal": found.seal,
        "last_used": found.last_used,
        "met": found.met,
        "lines": len(found.lines),
        "verdict": found.verdict,
        "next_due": found.next_due,
        "due_why": found.due_why,
        "note": found.note,
        "changed": list(changes),
        "seen": [
            {
                "lot": it.lot,
                "item": it.item,
                "box": it.box,
                "booked": it.booked,
                "found": it.found,
                "damaged": it.damaged,
            }
            for it in found.seen
        ],
    }
    shown = {
        "on": spoken(found.on),
        "met": f"{found.met} of {len(found.lines)}",
        "next_due": spoken(found.next_due),
    }
    details = [*changes[:_SHOWN], *([found.note] if found.note else [])]
    tone = Tone.GOOD if found.met == len(found.lines) else Tone.WARN
    return Row(values, shown, tone, tuple(details))


def due_report(found: Sequence[Overdue], *, on: date, store: str) -> Report:
    """The boxes with a list or a round, and when to look at each again."""
    rows = [_due_row(it, on) for it in sorted(found, key=lambda it: (it.due or date.min, it.box))]
    late = sum(row.values["finding"] != "in time" for row in rows)
    return Report(
        title="When to look at kits again",
        on=on,
        store=store,
        columns=_DUE,
        keys=("finding", "box", "due", "last"),
        sections=(Section("", tuple(rows)),) if rows else (),
        totals=(f"{late} of {len(rows)} to be looked at now",) if rows else (),
        empty="No box has a usual kit list; 'stockcheck kit-lists usual BOX ID' remembers one.",
    )


def _due_row(it: Overdue, on: date) -> Row:
    finding = "never done" if it.due is None else "overdue" if it.due < on else "in time"
    values: dict[str, Json] = {"finding": finding, "box": it.box, "due": it.due, "last": it.last}
    shown = {
        "due": spoken(it.due) if it.due else "",
        "last": spoken(it.last) if it.last else "never",
        "finding": finding if finding == "in time" else finding.upper(),
    }
    return Row(values, shown, Tone.PLAIN if finding == "in time" else Tone.WARN)
