"""What heat does to a holding: its equivalent age, and the day on which its life is used up.

A life is a budget of label days from the day it starts on. Each day in a box uses up as many as its
temperatures say, never less than one, and what is used up stays used up when the holding moves.
Days for which no temperature is known count as one. Everything here is an estimate, says so, and
can only bring a date forward.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from math import inf

from stockcheck.core.calendar import Precision, spoken
from stockcheck.core.exposure import (
    Exposure,
    Extremes,
    HoursAbove,
    LabelDays,
    Measure,
    by_readings,
    days_beyond,
    totals,
)
from stockcheck.core.heat_models import HeatModel, HeatUse, heat_model
from stockcheck.core.model import Certainty, Kind, Limit
from stockcheck.core.shelf_life import HEAT

NOWHERE = Exposure()
"""Where nothing is known: before the first stay, between stays, after the last."""
SOURCE = "rule of thumb of accelerated ageing (ASTM F1980, Q10); medicines and goods differ widely"
SPOILT_SOURCE = (
    "common practice: no rule of thumb above the ceilings of accelerated ageing (ASTM F1980) and of"
    " the excursions allowed to room-temperature medicines, nor beyond the kind's own"
)
FREEZING_C = 0.0
_DAY = timedelta(days=1)
Piece = tuple[date, date, Exposure]
"""From the start of one day to the start of another, exposed to that."""


@dataclass(frozen=True, slots=True)
class Stay:
    """A holding's time in one box: from the start of ``since`` to the start of ``until``.

    ``until`` is the day of the move, which counts for the next box; None while it is still there.
    """

    box: str
    since: date
    until: date | None
    exposure: Exposure


@dataclass(frozen=True, slots=True)
class EquivalentAge:
    """How old a holding is by the calendar, and how old by heat, in days."""

    calendar_days: int
    label_days: float

    @property
    def lost_days(self) -> float:
        """The days of life that heat took on top of the calendar."""
        return self.label_days - self.calendar_days


@dataclass(frozen=True, slots=True)
class HeatLimit:
    """The estimated last day before heat has used up a life.

    ``early`` and ``late`` are that day by the harshest and the mildest Q10 of the band. None of
    them is later than ``unheated``, the last usable day without heat.
    """

    last_usable_day: date
    early: date
    late: date
    unheated: date
    model: HeatModel
    temperatures: tuple[str, ...]
    notes: tuple[str, ...] = ()

    @property
    def is_warning(self) -> bool:
        """Whether it must not be relied on as a date: so for every medicine."""
        return self.model.use is HeatUse.WARNING

    @property
    def shortens(self) -> bool:
        """Whether heat brings the day forward at all."""
        return self.last_usable_day < self.unheated

    @property
    def assumptions(self) -> str:
        """What the estimate rests on, in sentences to be shown beside it."""
        model = self.model
        condition = f", {model.condition}" if model.condition else ""
        return (
            f"Estimate, not a measurement. Assumes Q10 {model.q10:g} "
            f"(range {model.mildest:g} to {model.harshest:g}){condition}, a life that is meant at "
            f"{model.reference_c:g} °C, temperatures from {'; '.join(self.temperatures)}. "
            "Cooler hours give nothing back: heat can only bring the date forward."
        )

    @property
    def summary(self) -> str:
        """The estimate in months, never in days; for a medicine a warning without a date."""
        if not self.shortens:
            return "Heat estimate: it does not bring the date forward."
        if self.is_warning:
            return (
                f"Where it is kept goes above {self.model.reference_c:g} °C, perhaps beyond its "
                "label: only the maker or a pharmacist can say whether it is still good."
            )
        return (
            f"Good through {spoken(self.unheated)} without heat. Heat estimate: treat as used up "
            f"from about {_month(self.last_usable_day)} (early {_month(self.early)}, "
            f"late {_month(self.late)}). Decide by inspection."
        )

    def limit(self) -> Limit | None:
        """The limit on the holding; None where it only warns or changes nothing."""
        if self.is_warning or not self.shortens:
            return None
        why = f"{self.summary} {' '.join((self.assumptions, *self.notes))}"
        return Limit(HEAT, self.last_usable_day, why, SOURCE, Certainty.PRACTICE)


@dataclass(frozen=True, slots=True)
class NoEstimate:
    """Why heat gives no estimate. ``spoilt_from`` is the day from which its own temperatures forbid
    one, None where its kind does; from that day on treat the thing as spoilt.

    ``why`` says so in words. ``measured`` tells that readings show it, not a climate alone, and
    ``only_warns`` that no limit may rest on it: so for a medicine's by a climate.
    """

    reason: str
    spoilt_from: date | None = None
    why: str = ""
    measured: bool = False
    only_warns: bool = False

    @property
    def summary(self) -> str:
        """The reason as a sentence."""
        return f"No heat estimate: {self.reason}."

    def limit(self) -> Limit | None:
        """The limit on the holding, the day before it is spoilt; None where it only warns."""
        if self.spoilt_from is None or self.only_warns:
            return None
        return Limit(HEAT, self.spoilt_from - _DAY, self.why, SPOILT_SOURCE, Certainty.PRACTICE)


@dataclass(frozen=True, slots=True)
class OutOfRange:
    """Time above the ceiling of a kind's storage: hours in all, the first day and the peak, °C."""

    limit_c: float
    hours: float
    first_day: date
    peak_c: float

    @property
    def summary(self) -> str:
        """The finding as a sentence."""
        hours = f"{self.hours:.0f}" if self.hours >= 1 else "less than 1"
        return (
            f"It was above its storage ceiling of {self.limit_c:g} °C for about {hours} hours, "
            f"first on {spoken(self.first_day)}, at most {self.peak_c:.0f} °C."
        )


def equivalent_age(
    stays: Sequence[Stay], start: date, through: date, q10: float, reference_c: float
) -> EquivalentAge:
    """The age at the end of ``through`` of a life that starts on ``start`` (not counted itself)."""
    first, end = start + _DAY, through + _DAY
    label_days = amount(stays, LabelDays(q10, reference_c), first, end)
    return EquivalentAge(max(0, (end - first).days), label_days)


def amount(stays: Sequence[Stay], measure: Measure, start: date, end: date) -> float:
    """How much of a measure the stays add up to, from the start of one day to that of another."""
    return sum(
        totals(exposure, measure).between(since, until)
        for since, until, exposure in pieces(stays, start, end)
    )


def heat_limit(
    kind: Kind, start: date, unheated: date, stays: Sequence[Stay]
) -> HeatLimit | NoEstimate:
    """Until when a life from ``start`` to ``unheated`` (its last day without heat) stays good.

    Where the stays end, the last box's climate should go on: leave its ``until`` open, or add the
    stays of a trip. ValueError when stays overlap or are out of order.
    """
    model = heat_model(kind)
    if model.use is HeatUse.NONE:
        return NoEstimate(model.reason)
    parts = list(pieces(stays, start + _DAY, unheated + _DAY))
    last, early, late = (
        _last_day(parts, LabelDays(q10, model.reference_c), start, unheated)
        for q10 in (model.q10, model.harshest, model.mildest)
    )
    notes = _notes(model, parts, last)
    spoilt = _forbidden(model, parts, late, unheated)
    if spoilt is not None and spoilt.spoilt_from is not None:
        if spoilt.spoilt_from <= last or (model.use is HeatUse.WARNING and spoilt.measured):
            return spoilt
        late = spoilt.spoilt_from - _DAY
        notes = (*notes, f"It ends in any case: {spoilt.reason}.")
    exposures = [exposure for _, _, exposure in parts] or [NOWHERE]
    named = tuple(dict.fromkeys(exposure.named() for exposure in exposures))
    return HeatLimit(last, early, late, unheated, model, named, notes)


def above_storage(
    kind: Kind, stays: Sequence[Stay], start: date, through: date
) -> OutOfRange | None:
    """The time that a holding was above its kind's storage ceiling, ``start`` to the end of
    ``through``; None without such a time, or where the kind names no ceiling.
    """
    ceiling = heat_model(kind).storage.high_c
    if ceiling is None:
        return None
    end = through + _DAY
    parts = list(pieces(stays, start, end))
    hot = [(day, it.high_c) for day, it in _beyond(parts, end, above_c=ceiling)]
    if not hot:
        return None
    hours = amount(stays, HoursAbove(ceiling), start, end)
    return OutOfRange(ceiling, hours, hot[0][0], max(peak for _, peak in hot))


def pieces(stays: Sequence[Stay], start: date, end: date) -> Iterator[Piece]:
    """What a holding was exposed to from the start of one day to that of another, without a hole.

    ValueError when stays overlap or are out of order.
    """
    for one, two in pairwise(stays):
        if one.until is None or two.since < one.until:
            raise ValueError(f"stays in {one.box} and {two.box} overlap on {two.since}")
    at = start
    for stay in stays:
        since = max(stay.since, start)
        until = end if stay.until is None else min(stay.until, end)
        if until <= since:
            continue
        if since > at:
            yield at, since, NOWHERE
        yield since, until, stay.exposure
        at = until
    if at < end:
        yield at, end, NOWHERE


def _last_day(parts: Sequence[Piece], measure: Measure, start: date, unheated: date) -> date:
    """The last day through the end of which the budget of ``unheated - start`` days lasts."""
    left = float((unheated - start).days)
    for since, until, exposure in parts:
        running = totals(exposure, measure)
        length = (until - since).days
        lasts = running.days_within(since, left, length)
        if lasts < length:
            return since + timedelta(days=lasts - 1)
        left -= running.between(since, until)
    return unheated


def measured_parts(parts: Iterable[Piece]) -> list[Piece]:
    """The pieces as loggers' readings alone know them."""
    return [(since, until, by_readings(exposure)) for since, until, exposure in parts]


def forbidding(
    model: HeatModel, parts: Iterable[Piece], end: date
) -> tuple[date, Extremes, Exposure] | None:
    """The first day before ``end`` on which a temperature rules an estimate out."""
    coldest = FREEZING_C if model.storage.never_frozen else -inf
    for since, until, exposure in parts:
        days = days_beyond(exposure, since, min(until, end), model.cap_c, coldest)
        if (found := next(days, None)) is not None:
            return *found, exposure
    return None


def _forbidden(
    model: HeatModel, parts: Sequence[Piece], last: date, unheated: date
) -> NoEstimate | None:
    """What rules an estimate out by ``last``; of a medicine what readings show comes first, on
    any day through ``unheated``, since it is not the estimate that it cuts short.
    """
    warns = model.use is HeatUse.WARNING
    measured = forbidding(model, measured_parts(parts), (unheated if warns else last) + _DAY)
    found = measured if warns and measured else forbidding(model, parts, last + _DAY)
    if found is None:
        return None
    day, extremes, exposure = found
    is_measured = measured is not None and measured[0] == day
    climate = f" by climate {exposure.climate.name!r}" if exposure.climate else ""
    when = f"on {spoken(day)} by its logger" if is_measured else f"from {_month(day)}{climate}"
    who = "its maker or a pharmacist" if warns else "its maker"
    if extremes.high_c > model.cap_c:
        reason = (
            f"up to {round(extremes.high_c, 1):g} °C from {_month(day)}, and above"
            f" {model.cap_c:g} °C no rule of thumb holds: treat it as spoilt unless {who} says"
            " otherwise"
        )
        why = f"above {model.cap_c:g} °C {when}: treat as spoilt unless {who} says otherwise"
    else:
        remedy = f"and it must never freeze: discard it, or ask {who}"
        reason = f"below 0 °C on {spoken(day)}, {remedy}"
        why = f"below 0 °C {when}, {remedy}"
    return NoEstimate(reason, day, why, is_measured, only_warns=warns and not is_measured)


def _notes(model: HeatModel, parts: Sequence[Piece], last: date) -> tuple[str, ...]:
    low_c = model.storage.low_c
    if low_c is None:
        return ()
    cold = next(_beyond(parts, last + _DAY, below_c=low_c), None)
    if cold is None:
        return ()
    return (f"It is also below its storage range on {spoken(cold[0])}, which this leaves out.",)


def _beyond(
    parts: Sequence[Piece], end: date, *, above_c: float = inf, below_c: float = -inf
) -> Iterator[tuple[date, Extremes]]:
    for since, until, exposure in parts:
        yield from days_beyond(exposure, since, min(until, end), above_c, below_c)


def _month(day: date) -> str:
    return spoken(day, Precision.MONTH)
