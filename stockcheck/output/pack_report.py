"""The departure pack's parts as reports: the cover, what goes off by date, what was decided."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING, NamedTuple

from stockcheck.core.calendar import Precision, spoken
from stockcheck.core.expiry import Standing
from stockcheck.core.model import Holding, Status
from stockcheck.core.pack import Readiness, Risk, Said, Verdict, by_day, key_of
from stockcheck.core.planning import Trip
from stockcheck.core.shelf_life import HEAT, failure
from stockcheck.core.words import counted
from stockcheck.output.bundle import Cover
from stockcheck.output.expiry_report import TONES, marks_words, until
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

if TYPE_CHECKING:
    from stockcheck.core.pack import Key
    from stockcheck.output.timeline import Timeline

LOT = Column("lot", "Lot", fixed=True)
QUANTITY = Column("quantity", "Qty", right=True, fixed=True)
UNTIL = Column("last_usable_day", "Good through", fixed=True)
ITEM, BOX = Column("item", "Item", weight=4), Column("box", "Box", weight=3)
WAY = (UNTIL, ITEM, LOT, QUANTITY, BOX, Column("why", "Why", weight=3))
RISKS = (
    Column("status", "Stands", fixed=True),
    ITEM, LOT, QUANTITY, BOX,
    Column("decided", "Decided, and why", weight=4),
)  # fmt: skip
_REASONS = {
    "printed": "the date printed on it",
    "shelf": "its shelf life",
    "opened": "it was opened",
    "inspected": "its inspection",
    HEAT: "heat, an estimate",
}
_TONES = {
    Readiness.READY: Tone.GOOD,
    Readiness.UNMEASURED: Tone.WARN,
    Readiness.ON_PURPOSE: Tone.WARN,
    Readiness.NOT_READY: Tone.BAD,
    Readiness.OVER: Tone.WARN,
}
_GOOD = (
    "Good through a day means through its end. Every caution here defers to label and leaflet,"
    " pharmacist or doctor, qualified fitter and local rules."
)
_MADE = "What was used, opened or moved after this was made is not in it."


class Where(NamedTuple):
    """What all parts have in common: the day, the store's name, where each box is."""

    on: date
    store: str
    places: Mapping[int, str]


def pack_cover(trip: Trip, found: Verdict) -> Cover:
    """The trip in words and the verdict."""
    days = (trip.returns - trip.departs).days + 1
    margin = f", {counted(trip.margin_days, 'day')} more than planned" if trip.margin_days else ""
    crew = "1 person" if trip.people == 1 else f"{trip.people} people"
    facts = [
        ("Leaves", spoken(trip.departs)),
        ("Returns", f"{spoken(trip.returns)}, {counted(days, 'day')} away"),
        ("Must last", f"through {spoken(trip.horizon)}{margin}"),
        ("Crew", crew),
    ]
    facts += [("Distance", f"{trip.distance_km} km")] if trip.distance_km else []
    facts += [("Climate", trip.climate)] if trip.climate else []
    facts += [("Note", trip.note)] if trip.note else []
    word = found.readiness.value
    return Cover(
        title=trip.name,
        subtitle="Departure pack",
        facts=tuple(facts),
        verdict=word[0].upper() + word[1:],
        tone=_TONES[found.readiness],
        reasons=found.reasons,
        foot=(_GOOD, _MADE),
    )


def way_report(
    found: Sequence[Standing], trip: Trip, where: Where, said: Mapping[Key, Said]
) -> Report:
    """What goes off on the way, month by month; what ends before leaving, and in the margin."""
    ending = by_day(found)
    rows = [(_when(each, trip), _way_row(each, where, said)) for each in ending]
    return Report(
        title="What goes off on the way",
        on=where.on,
        store=where.store,
        columns=WAY,
        sections=tuple(
            Section(heading, tuple(row for _, row in group))
            for heading, group in groupby(rows, lambda it: it[0])
        ),
        facts=marks_words(ending),
        empty=_nothing(trip, where.on),
    )


def _nothing(trip: Trip, on: date) -> str:
    if on > trip.horizon:
        return "The trip is over."
    more = " more" if on > trip.departs else ""
    return f"Nothing{more} goes off before {spoken(trip.horizon)}."


def _when(each: Standing, trip: Trip) -> str:
    last = each.holding.last_usable_day or date.max
    if last < trip.departs:
        return f"Before leaving on {spoken(trip.departs)}"
    if last >= trip.returns:
        return f"If the return is late: {spoken(trip.returns)} to {spoken(trip.horizon)}"
    return spoken(last, Precision.MONTH)


def _way_row(each: Standing, where: Where, said: Mapping[Key, Said]) -> Row:
    holding = each.holding
    why = _REASONS.get(holding.governed_by, holding.governed_by)
    decided = said.get(key_of(holding))
    details = (_decided(decided),) if decided else ()
    return Row(
        {**values_of(holding), "why": why, "status": each.status.value},
        shown_of(holding, where),
        TONES[each.status],
        details,
    )


def values_of(holding: Holding) -> dict[str, Json]:
    """What every row about a holding gives."""
    return {
        "box": holding.box.name,
        "item": holding.item.name,
        "lot": holding.lot.short,
        "code": holding.lot.code,
        "quantity": holding.quantity,
        "unit": holding.item.unit,
        "last_usable_day": holding.last_usable_day,
    }


def shown_of(holding: Holding, where: Where) -> dict[str, str]:
    """The same as a cell shows it."""
    opened = " (opened)" if holding.opened_on else ""
    return {
        "item": holding.item.name + opened,
        "box": where.places[holding.box.id],
        "quantity": counted(holding.quantity, holding.item.unit),
        "last_usable_day": until(holding),
    }


def timeline_report(picture: Timeline, where: Where) -> Report:
    """The picture alone."""
    return Report(
        title="Timeline",
        on=where.on,
        store=where.store,
        columns=(),
        sections=(),
        timeline=picture,
        empty="Nothing with a date is in the boxes.",
    )


def risks_report(found: Sequence[Risk], where: Where) -> Report:
    """What is aboard and not to be counted on: what nobody decided about first."""
    groups = (
        ("Not decided yet", [each for each in found if not each.settled]),
        ("Decided on purpose", [each for each in found if each.settled]),
    )
    return Report(
        title="Left at risk, and what was decided",
        on=where.on,
        store=where.store,
        columns=RISKS,
        sections=tuple(
            Section(heading, tuple(_risk_row(each, where) for each in group))
            for heading, group in groups
            if group
        ),
        facts=("None of this counts as stock. 'stockcheck decide BOX' takes the decisions.",),
        empty="Nothing expired, undated, on hold or kept as a last resort is aboard.",
    )


def _risk_row(risk: Risk, where: Where) -> Row:
    each = risk.standing
    words = _decided(risk.said) if risk.said else "nothing decided"
    if risk.said is None and each.status in {Status.HELD, Status.LAST_RESORT}:
        words = "set aside by hand"
    status = each.status.value.upper() if TONES[each.status] is Tone.BAD else each.status.value
    details = (*_looks(each.holding), *([f"{each.advice}"] if each.advice else []))
    return Row(
        {**values_of(each.holding), "status": each.status.value, "decided": words},
        {**shown_of(each.holding, where), "status": status},
        TONES[each.status],
        ("; ".join(details),) if details else (),
    )


def _decided(said: Said) -> str:
    words = f"{said.decided}, {spoken(said.on)}"
    if said.standing not in {Status.EXPIRED, Status.UNDATED}:
        words += f", when it was {said.standing.value}"
    return f"decided: {words}" + (f": {said.reason}" if said.reason else "")


def _looks(holding: Holding) -> list[str]:
    """The last inspection of its lot in words."""
    looks = sorted(holding.lot.inspections, key=lambda it: it.on)
    if not looks:
        return []
    last = failure(holding.lot) or looks[-1]
    word = "passed" if last.passed else "FAILED"
    by = f" by {last.by}" if last.by else ""
    note = f": {last.note}" if last.note else ""
    return [f"inspected {spoken(last.on)}{by}, {word}{note}"]


def no_audit(where: Where) -> Report:
    """In the place of audits where no box has a usual kit list."""
    return Report(
        title="Audits against kit lists",
        on=where.on,
        store=where.store,
        columns=(),
        sections=(),
        empty="No box has a usual kit list; 'stockcheck kit-lists usual BOX ID' remembers one.",
    )
