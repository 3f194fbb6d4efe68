"""Why a holding is good until its day: every limit with its sum and source, in lines to be told."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core import shelf_life
from stockcheck.core.calendar import Precision, spoken
from stockcheck.core.model import Holding, Kind, Limit, Lot, Status
from stockcheck.core.shelf_life import HEAT
from stockcheck.core.words import Told, counted

if TYPE_CHECKING:
    from stockcheck.core.ageing import Ageing


def reasons(holding: Holding, on: date, aged: Sequence[Ageing] = ()) -> list[Told]:
    """Every limit, how the holding stands, what to do, and what would change its day.

    ``aged`` is what heat makes of it, the harshest first.
    """
    lot = holding.lot
    opened = f", opened {spoken(holding.opened_on)}" if holding.opened_on else ""
    amount = counted(holding.quantity, lot.item.unit)
    told: list[Told] = [
        (0, f"{lot.short}  {lot.item.name}: {amount} in {holding.box.name}{opened}")
    ]
    found = shelf_life.limits(lot, holding.opened_on)
    heat = next((each for each in aged if each.limit is not None), None)
    every = [(it.superseded, it.last_usable_day, _of_limit(it, holding)) for it in found]
    warned: list[Told] = []
    if aged:  # late: most boxes have no climate, and heat is much to load
        from stockcheck.core.heat_words import of_heat, warnings

        warned = warnings(aged, on)
        if heat is not None:
            every.append((False, heat.ends, of_heat(heat, _mark(HEAT, holding))))
    for _, _, lines in sorted(every, key=lambda it: it[:2]):
        told += lines
    told += warned
    if not found:
        told.append((2, _no_limit(lot, lot.item.kind)))
    changes = [
        (2, f"it would change: {words}") for words in _would_change(holding, found, heat, on)
    ]
    measured = heat is not None and heat.is_measured
    return told + _standing(holding, on, measured=measured) + changes


def _of_limit(limit: Limit, holding: Holding) -> list[Told]:
    mark = "superseded by an inspection" if limit.superseded else _mark(limit.name, holding)
    return [
        (2, f"{limit.name} limit ({mark}): {limit.why}"),
        (4, f"source: {limit.source} ({limit.certainty.value})"),
    ]


def _mark(name: str, holding: Holding) -> str:
    return "governs" if name == holding.governed_by else "later"


def _standing(holding: Holding, on: date, *, measured: bool = False) -> list[Told]:
    standing = shelf_life.status(holding, on)
    last = holding.last_usable_day
    estimated = holding.governed_by == HEAT and not measured
    until = _about(last, on) if estimated else days_words(last, on)
    told = [(2, f"so it is {standing.value.upper()}{until}")]
    if shelf_life.age_unknown(holding):
        told.append((2, "nobody knows how old it was when it was opened, so it never counts"))
    if words := shelf_life.advice(holding, standing):
        told.append((2, f"advice: {words}"))
    if holding.kind.past_note and standing in {Status.EXPIRED, Status.UNDATED}:
        told.append((2, f"in the trade: {holding.kind.past_note}"))
    return told


def _about(last: date | None, on: date) -> str:
    """Through which month by an estimate: its day says more than anybody knows."""
    if last is None:
        return ""
    verb = "was good" if last < on else "good"
    return f"; by estimate {verb} through about {spoken(last, Precision.MONTH)}"


def days_words(last: date | None, on: date) -> str:
    """Through which day, and how far that is away."""
    if last is None:
        return ""
    days = abs((last - on).days)
    words = "1 day" if days == 1 else f"{days} days"
    if last < on:
        return f"; was good through {spoken(last)}, {words} before {spoken(on)}"
    return f"; good through {spoken(last)}, {words} from {spoken(on)}"


def _would_change(
    holding: Holding, found: Sequence[Limit], heat: Ageing | None, on: date
) -> list[str]:
    """What would make the governing day another one, where the figures say it."""
    said = []
    if holding.governed_by == HEAT and heat is not None:
        from stockcheck.core.heat_words import kept_cooler

        said.append(kept_cooler(heat, on))
    if holding.governed_by == shelf_life.OPENED:
        sealed = shelf_life.governing(shelf_life.limits(holding.lot, None))
        if sealed is not None:
            said.append(f"sealed it would be good through {spoken(sealed.last_usable_day)}")
    assumed = any("taken as made" in limit.why for limit in found)
    if holding.governed_by == shelf_life.SHELF and assumed:
        said.append("a made or printed date would take the place of the assumption")
    return said


def _no_limit(lot: Lot, kind: Kind) -> str:
    if not kind.has_life:
        return f"no limit: {kind.name} keeps ({kind.source}, {kind.certainty.value})"
    wants = "a printed date" if kind.sealed is None else "a printed, made or received date"
    if kind.sealed and kind.sealed.counts_from.value == "received":
        wants = "a printed date, or the day it was bought"
    return (
        f"no date: its kind ({kind.name}) has a life, but {wants} is not known. Found one?"
        f" 'stockcheck lot change {lot.short}' takes it with --expiry, --made or --received"
    )
