"""The expiry report as a table: grouped by box, worst first, cautions once at the foot."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.calendar import Precision, spoken
from stockcheck.core.expiry import Standing, by_box, tally
from stockcheck.core.model import Box, DateMeaning, Holding, Status
from stockcheck.core.shelf_life import HEAT, INSPECTED, NO_LIMIT, OPENED, SHELF, age_unknown
from stockcheck.core.words import counted
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

if TYPE_CHECKING:
    from stockcheck.core.planning import Trip
    from stockcheck.output.timeline import Bar, Timeline

COLUMNS = (
    Column("status", "Status", fixed=True),
    Column("item", "Item", weight=4),
    Column("lot", "Lot", fixed=True),
    Column("quantity", "Qty", right=True, fixed=True),
    Column("last_usable_day", "Good through", fixed=True),
    Column("advice", "Advice", weight=3),
)
_MEANINGS = {
    SHELF: "shelf limit",
    OPENED: "opened limit",
    INSPECTED: "inspected",
    HEAT: "estimate by heat",
}
MARKS = {SHELF: "s", OPENED: "o", INSPECTED: "i", HEAT: "e"}
KEYS = (
    "box", "item", "kind", "lot", "code", "batch", "quantity", "unit", "last_usable_day",
    "governed_by", "days_left", "status", "date_meaning", "advice",
)  # fmt: skip
TONES = {
    Status.EXPIRED: Tone.BAD,
    Status.UNDATED: Tone.BAD,
    Status.HELD: Tone.BAD,
    Status.LAST_RESORT: Tone.WARN,
    Status.ENDS_ON_TRIP: Tone.WARN,
    Status.DUE: Tone.WARN,
    Status.IN_DATE: Tone.PLAIN,
}
# Looked up, as a report may have a million rows.
_WORDS = {status: status.value for status in Status}
_MEANING = {meaning: meaning.value for meaning in DateMeaning}


def expiry_report(
    found: Sequence[Standing],
    boxes: Sequence[Box],
    places: Mapping[int, str],
    *,
    on: date,
    store: str,
    facts: tuple[str, ...],
    cautions: Mapping[str, str],
    timeline: Timeline | None = None,
) -> Report:
    """Lay standings out as a report. ``places`` tells where each box is, by its number."""
    frame = expiry_frame(
        tally(found),
        {key for each in found for key in caution_keys(each)},
        on=on,
        store=store,
        facts=facts,
        cautions=cautions,
    )
    sections = tuple(box_section(places[box.id], box, group) for box, group in by_box(found, boxes))
    return replace(frame, sections=sections, timeline=timeline)


def expiry_frame(
    counts: Mapping[Status, int],
    warned: Collection[str],
    *,
    on: date,
    store: str,
    facts: tuple[str, ...],
    cautions: Mapping[str, str],
) -> Report:
    """The report without its rows: how many stand in each way, and the cautions' keys are known."""
    total = sum(counts.values())
    told = ", ".join(f"{count} {status.value}" for status, count in counts.items())
    return Report(
        title="Expiry report",
        on=on,
        store=store,
        columns=COLUMNS,
        keys=KEYS,
        sections=(),
        facts=facts,
        totals=(f"{total} holding{'s' * (total > 1)}: {told}",) if total else (),
        cautions=kept_cautions(warned, cautions),
        empty="Nothing on hand that this report asks for.",
        grouped="Box",
    )


def box_section(place: str, box: Box, group: Iterable[Standing]) -> Section:
    """One box's standings, in the order given."""
    return Section(place, tuple(_row(each) for each in group), note=box.short)


def expiry_timeline(
    found: Sequence[Standing],
    boxes: Sequence[Box],
    places: Mapping[int, str],
    *,
    on: date,
    trip: Trip | None,
) -> Timeline:
    """The picture of the same standings: by box and, within each, the expired, the undated, the
    rest by their days. What has no limit is counted only; a trip that is over is not shown.
    """
    from stockcheck.output.timeline import Timeline, Window

    shown = [each for each in found if each.holding.governed_by != NO_LIMIT]
    bars = tuple(
        _bar(places[box.id], each)
        for box, group in by_box(shown, boxes)
        for each in sorted(group, key=lambda it: _soonest_first(it.holding, on))
    )
    ahead = trip is not None and trip.horizon >= on
    window = Window(trip.departs, trip.returns, trip.horizon) if trip and ahead else None
    return Timeline(on, bars, window, no_limit=len(found) - len(shown))


def _soonest_first(holding: Holding, on: date) -> tuple[date, date]:
    last = holding.last_usable_day
    return (min(last, on), last) if last else (on, date.min)


def _bar(place: str, standing: Standing) -> Bar:
    from stockcheck.output.timeline import Bar

    holding = standing.holding
    return Bar(
        box=place,
        label=_name(holding),
        lot=holding.lot.short,
        last_usable_day=None if standing.status is Status.UNDATED else holding.last_usable_day,
        reason=holding.governed_by,
        status=standing.status.value,
        tone=TONES[standing.status],
    )


def _name(holding: Holding) -> str:
    return holding.item.name + (" (opened)" if holding.opened_on else "")


def _matters(standing: Standing) -> bool:
    return standing.status is not Status.IN_DATE


def cautions_of(holdings: Iterable[Holding], texts: Mapping[str, str]) -> tuple[str, ...]:
    """The cautions of these holdings' kinds, each once, in the order of the shipped texts."""
    return kept_cautions({key for holding in holdings for key in holding.kind.cautions}, texts)


def caution_keys(standing: Standing) -> tuple[str, ...]:
    """The keys of the cautions that a row of the report brings along."""
    return standing.holding.kind.cautions if _matters(standing) else ()


def kept_cautions(keys: Collection[str], texts: Mapping[str, str]) -> tuple[str, ...]:
    """The texts of these keys, in the order of the shipped texts."""
    return tuple(text for key, text in texts.items() if key in keys)


def row_values(standing: Standing) -> dict[str, Json]:
    """The contract's values of one holding."""
    holding, lot = standing.holding, standing.holding.lot
    item = lot.item
    return {
        "box": holding.box.name,
        "item": item.name,
        "kind": item.kind.key,
        "lot": lot.short,
        "code": lot.code,
        "batch": lot.batch or None,
        "quantity": holding.quantity,
        "unit": item.unit,
        "last_usable_day": holding.last_usable_day,
        "governed_by": holding.governed_by or None,
        "days_left": standing.days_left,
        "status": _WORDS[standing.status],
        "date_meaning": _MEANING[item.kind.meaning],
        "advice": standing.advice or None,
    }


def _row(standing: Standing) -> Row:
    holding, tone = standing.holding, TONES[standing.status]
    word = _WORDS[standing.status]
    shown = {
        "status": word.upper() if tone is Tone.BAD else word,
        "item": _name(holding),
        "quantity": counted(holding.quantity, holding.item.unit),
        "last_usable_day": until(holding),
        "advice": standing.advice,
    }
    return Row(row_values(standing), shown, tone)


def until(holding: Holding) -> str:
    """The last usable day as a cell shows it, with the mark of its limit."""
    if holding.last_usable_day is None:
        return "no limit" if holding.governed_by else "no date"
    if age_unknown(holding):
        return f"no date, {MARKS[OPENED]}"
    if holding.governed_by == HEAT:
        return f"~ {spoken(holding.last_usable_day, Precision.MONTH)} {MARKS[HEAT]}"
    mark = MARKS.get(holding.governed_by)
    return spoken(holding.last_usable_day) + (f" {mark}" if mark else "")


def marks_words(found: Iterable[Standing]) -> tuple[str, ...]:
    """What the marks after the days mean, as far as any is used; printed dates have none."""
    return marks_of(standing.holding for standing in found)


def marks_of(holdings: Iterable[Holding]) -> tuple[str, ...]:
    """The same for holdings."""
    return marks_used({holding.governed_by for holding in holdings})


def marks_used(used: Collection[str]) -> tuple[str, ...]:
    """The same where what governs is known."""
    said = [f"{mark} {_MEANINGS[name]}" for name, mark in MARKS.items() if name in used]
    return (f"after a day: {', '.join(said)}",) if said else ()
