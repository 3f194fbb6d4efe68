"""What another climate would do: each holding's day now, and its day if kept there."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from stockcheck.core import shelf_life
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import HEAT, HeatLimit, Stay, heat_limit
from stockcheck.core.model import Holding, Trip
from stockcheck.core.residence import stays, ways
from stockcheck.core.shifting import Shift
from stockcheck.store import reads
from stockcheck.store.heat import (
    Heat,
    arrivals,
    counts_from,
    estimates,
    find_climate,
    heat_day,
    heat_of,
)


def shifts(conn: sqlite3.Connection, box_ids: Sequence[int], climate: str, on: date) -> list[Shift]:
    """The dated holdings of these boxes: their day now, and if kept in a climate from ``on``."""
    there = Exposure(find_climate(conn, climate))
    heat = heat_of(conn, reads.boxes(conn, retired=True))
    held = reads.holdings(conn, box_ids=box_ids)
    came = arrivals(conn, sorted({each.lot.id for each in held}))
    found = []
    for holding in held:
        way = ways(came.get(holding.lot.id, ()), holding.box.id)[0]
        been = stays(way, heat.exposures, heat.names)
        moved = [
            Stay(stay.box, stay.since, min(stay.until or on, on), stay.exposure)
            for stay in been
            if stay.since < on
        ]
        shift = _shift(holding, been, [*moved, Stay(climate, on, None, there)])
        if shift is not None:
            found.append(shift)
    return found


def _shift(holding: Holding, been: Sequence[Stay], moved: Sequence[Stay]) -> Shift | None:
    limit = shelf_life.governing(shelf_life.limits(holding.lot, holding.opened_on))
    if limit is None:
        return None
    start = counts_from(holding, limit, been)
    if start >= limit.last_usable_day:
        return Shift(holding, holding.last_usable_day, limit.last_usable_day)
    estimate = heat_limit(holding.kind, start, limit.last_usable_day, moved)
    sure = isinstance(estimate, HeatLimit) and not estimate.is_warning
    then = heat_day([estimate]) or limit.last_usable_day
    return Shift(holding, holding.last_usable_day, then, "" if sure else estimate.summary)


def on_trip(conn: sqlite3.Connection, held: Sequence[Holding], trip: Trip) -> list[Holding]:
    """The holdings with the day that the trip's climate leaves them, where that is earlier."""
    if not trip.climate:
        return list(held)
    exposure = Exposure(find_climate(conn, trip.climate))
    heat: Heat = heat_of(conn, reads.boxes(conn, retired=True))
    came = arrivals(conn, sorted({each.lot.id for each in held}))
    found = []
    for holding in held:
        day = heat_day(estimates(holding, came.get(holding.lot.id, ()), heat, (trip, exposure)))
        last = holding.last_usable_day
        earlier = day is not None and (last is None or day < last)
        found.append(
            replace(holding, last_usable_day=day, governed_by=HEAT) if earlier else holding
        )
    return found
