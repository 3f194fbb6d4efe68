"""The departure pack's later parts: stops, disposal on return, cautions, what is in each box."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from stockcheck.core.calendar import spoken
from stockcheck.core.expiry import Standing
from stockcheck.core.model import Status
from stockcheck.core.pack import Buy, StopCheck
from stockcheck.core.planning import Trip
from stockcheck.core.words import listed
from stockcheck.output.pack_report import (
    BOX,
    ITEM,
    LOT,
    QUANTITY,
    UNTIL,
    Where,
    shown_of,
    values_of,
)
from stockcheck.output.report import Column, Report, Row, Section, Tone

if TYPE_CHECKING:
    from stockcheck.data.kinds import KeepApart, Route

DISPOSAL = (ITEM, LOT, QUANTITY, BOX, Column("why", "Why", weight=2))
STOPS = (
    Column("status", "Look at", fixed=True),
    ITEM, LOT, QUANTITY, BOX, UNTIL,
    Column("there", "To be had there", weight=2),
)  # fmt: skip
CONTENTS = (
    LOT, ITEM, QUANTITY,
    Column("par", "Should be", right=True, fixed=True),
    UNTIL,
    Column("status", "Mark", weight=2),
)  # fmt: skip
_GOING = {
    Status.EXPIRED: "expired",
    Status.UNDATED: "undated",
    Status.LAST_RESORT: "last resort",
    Status.HELD: "on hold: ask first",
    Status.ENDS_ON_TRIP: "goes off on the way",
}
_CLEAR_OUT = "'stockcheck clear-out' lists it again and writes it off."
_DEFER = "They defer to label, leaflet, pharmacist, doctor, qualified fitter and local rules."
_REPLACE = "replace here"
_NOTHING = dict.fromkeys(("lot", "quantity", "par", "last_usable_day", "status"), "")


class Apart(NamedTuple):
    """A rule of what must not ride together, the kinds aboard, and boxes that hold both."""

    rule: KeepApart
    these: str
    those: str
    together: tuple[int, ...]


class BoxLine(NamedTuple):
    """One line of what a box holds or should hold, in words.

    ``state`` is what keeps it from being used, ``lacks`` how much of it is short.
    """

    lot: str
    code: str
    item: str
    quantity: str
    par: str
    until: str
    state: str
    lacks: str


@dataclass(frozen=True, slots=True)
class BoxSheet:
    """What one box holds, with where it is; ``facts`` in words."""

    place: str
    note: str
    lines: tuple[BoxLine, ...]


def stops_report(checks: Sequence[StopCheck], trip: Trip, where: Where) -> Report:
    """What to look at in each stop on the way."""
    return Report(
        title="What to check at each stop",
        on=where.on,
        store=where.store,
        columns=STOPS,
        sections=tuple(_stop(each, trip, where) for each in checks),
        empty="No stop on the way is known, or none asks for a look.",
        ticks=True,
    )


def _stop(check: StopCheck, trip: Trip, where: Where) -> Section:
    stop = check.stop
    day = (stop.on - trip.departs).days + 1
    rows = [_buy_row(each) for each in stop.buy]
    rows += [_stop_row(each, "gone off", check, where) for each in check.gone]
    rows += [_stop_row(each, _REPLACE, check, where) for each in check.ends]
    note = f"What is taken along from here must last through {spoken(check.until)}"
    if stop.items:
        names = [f"{it.name} ({it.amount})" if it.amount else it.name for it in stop.items]
        note += f"; to be had: {', '.join(names)}"
    else:
        note += "; everything can be had here, as far as is known"
    if not rows:
        rows = [Row({"item": "nothing goes off"}, _NOTHING | {"box": "", "there": ""})]
    return Section(f"Day {day}, {spoken(stop.on)}: {stop.place}", tuple(rows), note)


def _buy_row(each: Buy) -> Row:
    values = {"status": "buy here", "item": each.name, "quantity": each.amount, "there": "yes"}
    return Row(values, _NOTHING | {"status": "buy here", "quantity": each.amount, "box": ""})


def _stop_row(each: Standing, word: str, check: StopCheck, where: Where) -> Row:
    found = check.stop.has(each.holding.item.id)
    there = (found.amount or "yes") if found else ("no" if check.stop.items else "yes")
    if word == _REPLACE and there == "no":
        word = "ends next"
    return Row(
        {**values_of(each.holding), "status": word, "there": there},
        shown_of(each.holding, where),
        Tone.BAD if word == "gone off" else Tone.WARN,
    )


def disposal_report(
    found: Iterable[Standing],
    trip: Trip,
    where: Where,
    routes: Mapping[str, Route],
    leads: Mapping[str, str],
) -> Report:
    """What will have to be got rid of on return, by route; ``leads`` name cautions in a word."""
    groups: dict[str, list[Row]] = {}
    for each in found:
        if each.status in _GOING:
            row = _gone_row(each, _GOING[each.status], where, leads)
            groups.setdefault(each.holding.kind.disposal, []).append(row)
    return Report(
        title="Getting rid of it on return",
        on=where.on,
        store=where.store,
        columns=DISPOSAL,
        sections=tuple(
            Section(route.name.capitalize(), tuple(groups[key]), route.text)
            for key, route in routes.items()
            if key in groups
        ),
        facts=(f"As far as it is still there after {spoken(trip.returns)}. {_CLEAR_OUT}",),
        empty="Nothing will have to be got rid of.",
        ticks=True,
    )


def _gone_row(each: Standing, why: str, where: Where, leads: Mapping[str, str]) -> Row:
    words = [leads[key] for key in each.holding.kind.cautions if key in leads]
    return Row(
        {**values_of(each.holding), "why": why},
        shown_of(each.holding, where),
        details=(f"Caution: {listed(words)}, see Cautions",) if words else (),
    )


def cautions_report(texts: Sequence[str], apart: Sequence[Apart], where: Where) -> Report:
    """The cautions of all that is aboard, and what must not ride together."""
    cautions = tuple(_caution(text) for text in texts)
    kept = tuple(_apart(each, where) for each in apart)
    sections = [Section("", cautions)] if cautions else []
    sections += [Section("Keep apart", kept)] if kept else []
    return Report(
        title="Cautions",
        on=where.on,
        store=where.store,
        columns=(Column("what", "What", weight=2), Column("text", "Caution", weight=5)),
        sections=tuple(sections),
        facts=(_DEFER,),
        empty="Nothing aboard asks for one.",
    )


def _apart(each: Apart, where: Where) -> Row:
    rule, places = each.rule, [where.places[number] for number in each.together]
    why = rule.why[:1].upper() + rule.why[1:]
    source = f"source: {rule.source} ({rule.certainty.value})"
    return Row(
        {"what": why, "text": f"Keep {each.these} away from {each.those}."},
        tone=Tone.WARN if places else Tone.PLAIN,
        details=(*([f"both are now in {listed(places)}"] if places else []), source),
    )


def _caution(text: str) -> Row:
    lead, _, rest = text.partition(": ")
    return Row({"what": lead, "text": rest[:1].upper() + rest[1:]})


def contents_report(boxes: Sequence[BoxSheet], where: Where) -> Report:
    """What lies in each box, as its lid sheet says it."""
    return Report(
        title="What is in each box",
        on=where.on,
        store=where.store,
        columns=CONTENTS,
        sections=tuple(_box(each) for each in boxes),
        empty="There is no box yet.",
    )


def _box(sheet: BoxSheet) -> Section:
    rows = tuple(
        Row(
            {
                "lot": it.lot or None, "code": it.code or None, "item": it.item,
                "quantity": it.quantity, "par": it.par or None, "last_usable_day": it.until,
                "status": _mark(it) or None,
            },
            {"par": it.par, "status": _mark(it), "lot": it.lot},
            Tone.BAD if it.state else Tone.WARN if it.lacks else Tone.PLAIN,
        )
        for it in sheet.lines
    )  # fmt: skip
    return Section(sheet.place, rows or (Row({"item": "nothing"}, _NOTHING),), sheet.note)


def _mark(line: BoxLine) -> str:
    return ", ".join(word for word in (line.state, line.lacks) if word)
