"""What heat makes of a holding: each of its lives, by each way that it may have come.

Every limit that stands is a life of so many days at the temperature that its date is meant for, and
heat uses each of them up: opening a tube that was cooked while sealed makes it no younger.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from stockcheck.core import shelf_life
from stockcheck.core.climate import fixed_climate
from stockcheck.core.exposure import Exposure, LabelDays, totals
from stockcheck.core.heat import (
    HeatLimit,
    NoEstimate,
    OutOfRange,
    Stay,
    above_storage,
    amount,
    forbidding,
    heat_limit,
    measured_parts,
    pieces,
)
from stockcheck.core.heat_models import HeatModel, HeatUse, heat_model
from stockcheck.core.model import CountsFrom, Holding, Kind, Limit
from stockcheck.core.residence import Way, kept_from, stays

Estimate = HeatLimit | NoEstimate
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Heat:
    """What is known of the heat in boxes, by their numbers, and what the boxes are called."""

    exposures: Mapping[int, Exposure]
    names: Mapping[int, str]

    def stays(self, way: Way) -> list[Stay]:
        """A way as stays."""
        return stays(way, self.exposures, self.names)

    def knows(self, way: Way) -> bool:
        """Whether anything is known of the heat along a way."""
        return any(box in self.exposures for box, _ in way)


@dataclass(frozen=True, slots=True)
class Ageing:
    """What heat makes of one life of a holding that came by one way.

    ``life`` is the limit without heat, ``start`` the day that it counts from.
    """

    kind: Kind
    life: Limit
    start: date
    stays: tuple[Stay, ...]
    estimate: Estimate

    @property
    def limit(self) -> Limit | None:
        """The limit that heat sets; None where it only warns, changes nothing or is not told."""
        return self.estimate.limit()

    @property
    def only_warns(self) -> bool:
        """Whether heat may have harmed it, but no limit may rest on that: a medicine's climate."""
        if isinstance(self.estimate, HeatLimit):
            return self.estimate.is_warning and self.estimate.shortens
        return self.estimate.only_warns

    @property
    def ends(self) -> date:
        """The last day that heat and this life leave, by which the harshest is found."""
        limit = self.limit
        return limit.last_usable_day if limit else self.life.last_usable_day

    @property
    def is_measured(self) -> bool:
        """Whether readings show that it is spoilt, so that its day is no estimate."""
        return isinstance(self.estimate, NoEstimate) and self.estimate.measured

    def out_of_range(self, through: date) -> OutOfRange | None:
        """The time above the kind's storage ceiling up to the end of a day."""
        return above_storage(self.kind, self.stays, self.start, through)

    def kept_cool(self, on: date) -> Estimate:
        """The estimate if it were kept at the reference from a day on, so that no heat comes on."""
        reference = heat_model(self.kind).reference_c
        cool = Stay("", on, None, Exposure(fixed_climate("", reference)))
        been = kept_from(self.stays, on, cool)
        return heat_limit(self.kind, self.start, self.life.last_usable_day, been)


def ageing(holding: Holding, been: Iterable[Sequence[Stay]]) -> list[Ageing]:
    """What heat makes of each life of a holding by each way it may have been, harshest first.

    Nothing of a lot that failed an inspection: that has ended it.
    """
    found = []
    for stayed in been:
        for life, start in _lives(holding, stayed):
            estimate = heat_limit(holding.kind, start, life.last_usable_day, stayed)
            found.append(Ageing(holding.kind, life, start, tuple(stayed), estimate))
    return sorted(found, key=lambda it: (it.ends, it.life.last_usable_day))


def day_by_heat(
    holding: Holding, been: Iterable[Sequence[Stay]], limits: Sequence[Limit] | None = None
) -> date | None:
    """The day of ``heat_limit_of`` alone, without its band and words: a quarter of the work.

    ``limits`` are those without heat, where they are worked out already.
    """
    model = heat_model(holding.kind)
    if model.use is HeatUse.NONE:
        return None
    last = _measured if model.use is HeatUse.WARNING else _used_up
    days = (
        last(model, start, life.last_usable_day, stayed)
        for stayed in been
        for life, start in _lives(holding, stayed, limits)
    )
    return min((day for day in days if day is not None), default=None)


def _measured(model: HeatModel, start: date, unheated: date, been: Sequence[Stay]) -> date | None:
    """The last day before readings show that it is spoilt; None where they do not."""
    parts = measured_parts(pieces(been, start + _DAY, unheated + _DAY))
    spoilt = forbidding(model, parts, unheated + _DAY)
    return spoilt[0] - _DAY if spoilt else None


def _used_up(model: HeatModel, start: date, unheated: date, been: Sequence[Stay]) -> date | None:
    """The last day that heat leaves of a life; None where it shortens nothing."""
    measure = LabelDays(model.q10, model.reference_c)
    left = float((unheated - start).days)
    for since, until, exposure in pieces(been, start + _DAY, unheated + _DAY):
        running, length = totals(exposure, measure), (until - since).days
        lasts = running.days_within(since, left, length)
        end = since + timedelta(days=lasts)
        if spoilt := forbidding(model, [(since, until, exposure)], end):
            return spoilt[0] - _DAY
        if lasts < length:
            return end - _DAY
        left -= running.between(since, until)
    return None


def _lives(
    holding: Holding, been: Sequence[Stay], limits: Sequence[Limit] | None = None
) -> Iterator[tuple[Limit, date]]:
    """The limits that stand for a holding, each with the day that it counts from."""
    if shelf_life.failure(holding.lot):
        return
    for life in shelf_life.limits(holding.lot, holding.opened_on) if limits is None else limits:
        start = None if life.superseded else counts_from(holding, life, been)
        if start is not None and start < life.last_usable_day:
            yield life, start


def counts_from(holding: Holding, life: Limit, been: Sequence[Stay]) -> date | None:
    """The day that a life counts from; None where no day is known at all.

    The opening or the inspection for the limits that these set, else the day it was made, received
    or, where neither is known, first written down.
    """
    lot = holding.lot
    if life.name == shelf_life.OPENED:
        return holding.opened_on
    if life.name == shelf_life.INSPECTED:
        return max((each.on for each in shelf_life.extensions(lot)), default=None)
    rule = lot.item.kind.sealed
    from_received = rule is not None and rule.counts_from is CountsFrom.RECEIVED
    if lot.made is not None and not (life.name == shelf_life.SHELF and from_received):
        return lot.made.first_day()
    if lot.received_on is not None:
        return lot.received_on
    first = been[0].since if been else date.min
    return None if first == date.min else first


def heat_limit_of(found: Iterable[Ageing]) -> Limit | None:
    """The earliest limit that heat sets; None without any."""
    limits = [limit for each in found if (limit := each.limit) is not None]
    return min(limits, key=lambda it: it.last_usable_day, default=None)


def harm(kind: Kind, heat: Heat, way: Way) -> float:
    """The days of life that heat took of a kind on a way, up to its last box."""
    model = heat_model(kind)
    measure = LabelDays(model.q10, model.reference_c)
    first, last = way[0][1], way[-1][1]
    return amount(heat.stays(way), measure, first, last) - (last - first).days
