"""Where a holding has been: the stays in boxes that its ledger lines tell, for what heat did to it.

Units of a lot are alike, so a holding may have come by more than one way; every way is told, and
whoever estimates takes the one that ends first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import NOWHERE, Stay

MOST_WAYS = 16


@dataclass(frozen=True, slots=True)
class Arrived:
    """Units of a lot that came into a box on a day: from another box, or from outside (None)."""

    box_id: int
    on: date
    from_box: int | None


def ways(arrivals: Sequence[Arrived], box_id: int) -> list[list[tuple[int, date]]]:
    """Every way into a box: boxes in order with the day of arrival in each, the first day first.

    A box that stock came back to is not gone round again; at most ``MOST_WAYS`` are told.
    """
    found: list[list[tuple[int, date]]] = []
    _back(arrivals, box_id, date.max, [], found)
    return found or [[(box_id, date.min)]]


def _back(
    arrivals: Sequence[Arrived],
    box_id: int,
    before: date,
    after: list[tuple[int, date]],
    found: list[list[tuple[int, date]]],
) -> None:
    seen = {box for box, _ in after}
    for arrived in arrivals:
        if len(found) >= MOST_WAYS:
            return
        if arrived.box_id != box_id or arrived.on > before:
            continue
        way = [(box_id, arrived.on), *after]
        if arrived.from_box is None:
            found.append(way)
        elif arrived.from_box not in seen | {box_id}:
            _back(arrivals, arrived.from_box, arrived.on, way, found)


def stays(
    way: Sequence[tuple[int, date]], exposures: Mapping[int, Exposure], names: Mapping[int, str]
) -> list[Stay]:
    """A way as stays: each until the next one's day, the last one open."""
    ends = [day for _, day in way[1:]] + [None]
    return [
        Stay(names.get(box, ""), since, until, exposures.get(box, NOWHERE))
        for (box, since), until in zip(way, ends, strict=True)
        if until is None or until > since
    ]


def with_trip(
    usual: Sequence[Stay], departs: date, returns: date, exposure: Exposure
) -> list[Stay]:
    """The stays with the trip's exposure in place of the last box's from departure to return.

    Stays before the departure are cut at it; after the return the last box's exposure goes on.
    """
    before = [
        Stay(stay.box, stay.since, _earlier(stay.until, departs), stay.exposure)
        for stay in usual
        if stay.since < departs
    ]
    last = usual[-1]
    after = date.fromordinal(returns.toordinal() + 1)
    on_trip = Stay(f"{last.box} on the trip", departs, after, exposure)
    return [*before, on_trip, Stay(last.box, after, None, last.exposure)]


def _earlier(until: date | None, day: date) -> date:
    return day if until is None else min(until, day)
