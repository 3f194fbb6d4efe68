"""Why a holding is good until its day: every limit with its sum and source, in lines to be told."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from stockcheck.core import shelf_life
from stockcheck.core.calendar import spoken
from stockcheck.core.heat import HEAT, HeatLimit, NoEstimate
from stockcheck.core.model import Holding, Kind, Limit, Lot, Status
from stockcheck.core.words import counted

Told = tuple[int, str]
"""How far a line is set in, and what it says."""


def reasons(
    holding: Holding, on: date, estimates: Sequence[HeatLimit | NoEstimate] = ()
) -> list[Told]:
    """Every limit, how the holding stands, what to do, and what would change its day."""
    lot = holding.lot
    opened = f", opened {spoken(holding.opened_on)}" if holding.opened_on else ""
    amount = counted(holding.quantity, lot.item.unit)
    told: list[Told] = [
        (0, f"{lot.short}  {lot.item.name}: {amount} in {holding.box.name}{opened}")
    ]
    found = shelf_life.limits(lot, holding.opened_on)
    heat = next((limit for each in estimates if (limit := _limit(each)) is not None), None)
    for limit in _in_order(found, heat):
        told.append((2, f"{limit.name} limit ({_mark(limit, holding)}): {limit.why}"))
        told.append((4, f"source: {limit.source} ({limit.certainty.value})"))
    if heat is None:
        told += [(2, each.summary) for each in estimates if _worth_telling(each)]
    if lot.expiry and lot.expiry.assumed:
        told.append((2, f"its printed date: {lot.expiry.assumed}"))
    if not found:
        told.append((2, _no_limit(lot, lot.item.kind)))
    return told + _standing(holding, on) + [(2, f"it would change: {words}") for words in
                                           _would_change(holding, found, estimates)]  # fmt: skip


def _limit(each: HeatLimit | NoEstimate) -> Limit | None:
    return each.limit() if isinstance(each, HeatLimit) else None


def _in_order(found: Sequence[Limit], heat: Limit | None) -> list[Limit]:
    """Those that stand by their day, then those that an inspection superseded."""
    every = [*found, heat] if heat is not None else list(found)
    return sorted(every, key=lambda it: (it.superseded, it.last_usable_day))


def _mark(limit: Limit, holding: Holding) -> str:
    if limit.superseded:
        return "superseded by an inspection"
    if limit.name == holding.governed_by:
        return "governs"
    return "estimate, later" if limit.name == HEAT else "later"


def _worth_telling(each: HeatLimit | NoEstimate) -> bool:
    """A warning, or why there is no estimate; not that heat changes nothing."""
    return isinstance(each, NoEstimate) or (each.is_warning and each.shortens)


def _standing(holding: Holding, on: date) -> list[Told]:
    standing = shelf_life.status(holding, on)
    told = [(2, f"so it is {standing.value.upper()}{days_words(holding.last_usable_day, on)}")]
    if words := shelf_life.advice(holding, standing):
        told.append((2, f"advice: {words}"))
    if holding.kind.past_note and standing in {Status.EXPIRED, Status.UNDATED}:
        told.append((2, f"in the trade: {holding.kind.past_note}"))
    return told


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
    holding: Holding, found: Sequence[Limit], estimates: Sequence[HeatLimit | NoEstimate]
) -> list[str]:
    """What would make the governing day another one, where the figures say it."""
    said = []
    first = next((each for each in estimates if isinstance(each, HeatLimit)), None)
    if holding.governed_by == HEAT and first is not None:
        said.append(
            f"kept at {first.model.reference_c:g} °C or cooler it is good through"
            f" {spoken(first.unheated)}"
        )
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
        f"no date: {kind.name} has a life, but {wants} is not known. Found it on the pack?"
        f" 'stockcheck lot change {lot.short}' takes it with --expiry, --made or --received"
    )
