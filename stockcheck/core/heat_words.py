"""What heat does to a holding in words for people: estimates in months, never a day to rely on."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from stockcheck.core.ageing import Ageing
from stockcheck.core.calendar import Precision, spoken
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import HeatLimit, NoEstimate, OutOfRange
from stockcheck.core.heat_models import heat_model
from stockcheck.core.words import Told

_PLACES = 3


def of_heat(found: Ageing, mark: str) -> list[Told]:
    """A heat limit in three lines: the estimate, what it assumes, its source; and its notes.

    Of what is to be treated as spoilt: why, where it was, the source.
    """
    estimate, limit = found.estimate, found.limit
    if limit is None:
        return []
    if not isinstance(estimate, HeatLimit):
        return [
            (2, f"heat limit ({mark}): {limit.why}"),
            (4, been(found)),
            (4, f"source: {limit.source} ({limit.certainty.value})"),
        ]
    model = estimate.model
    condition = f", {model.condition}" if model.condition else ""
    assumed = (
        f"assumes Q10 {model.q10:g} ({model.mildest:g} to {model.harshest:g}) above"
        f" {model.reference_c:g} °C{condition}, and nothing given back below; {been(found)}"
    )
    return [
        (2, f"heat limit ({mark}, an estimate): {estimated(estimate, found.life.name)}"),
        (4, assumed),
        *((4, note) for note in estimate.notes),
        (4, f"source: {limit.source} ({limit.certainty.value})"),
    ]


def estimated(estimate: HeatLimit, life: str) -> str:
    """When a life is used up, in months, with the band."""
    low, high = month(estimate.early), month(estimate.late)
    band = "" if low == high else f" ({low} to {high})"
    return (
        f"used up about {month(estimate.last_usable_day)}{band} instead of"
        f" {spoken(estimate.unheated)}, its {life} limit"
    )


def been(found: Ageing) -> str:
    """Where it was while the life ran, and how its temperatures there are known."""
    unknown = f"not known, taken as {heat_model(found.kind).reference_c:g} °C"
    estimate, last = found.estimate, found.life.last_usable_day
    if isinstance(estimate, NoEstimate) and estimate.spoilt_from is not None:
        last = estimate.spoilt_from
    stays = [
        stay
        for stay in found.stays
        if stay.since <= last and (stay.until is None or found.start < stay.until)
    ]
    places = [
        f"{stay.box}{_since(stay.since, found.start)}: {known_by(stay.exposure) or unknown}"
        for stay in stays
    ]
    if not stays or found.start < stays[0].since:
        before = f"before {spoken(stays[0].since)} " if stays else ""
        places.insert(0, f"{before}{unknown}")
    left_out = len(places) - _PLACES
    return "; ".join([f"{left_out} places before"] * (left_out > 0) + places[-_PLACES:])


def _since(day: date, start: date) -> str:
    return f" since {spoken(day)}" if day > start else ""


def known_by(exposure: Exposure) -> str:
    """How the temperatures in a box are known; "" where they are not."""
    climate = exposure.climate
    words = f"climate {climate.name!r} ({climate.basis.value})" if climate else ""
    if exposure.log is None or not exposure.log.readings:
        return words
    return f"its logger, and {words} where that stops" if words else "its logger"


def warnings(aged: Sequence[Ageing], on: date) -> list[Told]:
    """What heat warns of where it gives no date, and the time above the storage ceiling."""
    said: dict[str, None] = {}
    for each in aged:
        estimate = each.estimate
        if each.limit is None and (each.only_warns or not isinstance(estimate, HeatLimit)):
            said[estimate.summary] = None
    over = max((it for each in aged if (it := each.out_of_range(on))), key=_hours, default=None)
    return [(2, line) for line in (*said, *([above(over)] if over else []))]


def _hours(each: OutOfRange) -> float:
    return each.hours


def above(found: OutOfRange) -> str:
    """The time above a storage ceiling: how long in all, since when, the peak."""
    hours = f"about {found.hours:.0f} h" if found.hours >= 1 else "less than 1 h"
    return (
        f"heat so far: {hours} above its storage ceiling of {found.limit_c:g} °C, first on"
        f" {spoken(found.first_day)}, at most {found.peak_c:.0f} °C"
    )


def kept_cooler(found: Ageing, on: date) -> str:
    """What keeping it at the reference, from a day on or all along, would make of an estimate."""
    estimate = found.estimate
    if not isinstance(estimate, HeatLimit):
        return _not_spoilt(estimate, on)
    cooler = f"kept at {estimate.model.reference_c:g} °C or cooler"
    cool = found.kept_cool(on)
    if estimate.last_usable_day < on or not isinstance(cool, HeatLimit):
        return f"{cooler} all along it was good through {spoken(estimate.unheated)}"
    now, before = month(cool.last_usable_day), month(estimate.unheated)
    along = "" if now == before else f"; had it been so all along, through {before}"
    return f"{cooler} from today on it is good through about {now}{along}"


def _not_spoilt(estimate: NoEstimate, on: date) -> str:
    """What would take back that something is to be treated as spoilt."""
    if estimate.measured:
        return "readings that never were of its box are taken out by 'stockcheck heat forget'"
    if estimate.spoilt_from is None or estimate.spoilt_from <= on:
        return "a logger's readings of its box count instead of the climate ('stockcheck heat log')"
    return f"kept elsewhere by {spoken(estimate.spoilt_from)}: 'stockcheck whatif' shows its day"


def month(day: date) -> str:
    """An estimate's month."""
    return spoken(day, Precision.MONTH)
