"""What another climate would do: each holding's day there, or on the trip."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from stockcheck.core.ageing import ageing, heat_limit_of
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import Stay
from stockcheck.core.model import Holding
from stockcheck.core.planning import Trip
from stockcheck.core.residence import with_trip
from stockcheck.core.shelf_life import HEAT
from stockcheck.core.shifting import Shift, shift
from stockcheck.store import reads
from stockcheck.store.heat import find_climate, stays_of


def shifts(conn: sqlite3.Connection, box_ids: Sequence[int], climate: str, on: date) -> list[Shift]:
    """The dated holdings of these boxes: their day now, and if kept in a climate from ``on``."""
    there = Exposure(find_climate(conn, climate))
    held = reads.holdings(conn, box_ids=box_ids)
    been = stays_of(conn, held, everywhere=True)
    found = [shift(each, been[each.id], there, on) for each in held]
    return [each for each in found if each is not None]


def on_trip(conn: sqlite3.Connection, held: Sequence[Holding], trip: Trip) -> list[Holding]:
    """The holdings with the day that the trip's climate leaves them, where that is earlier.

    A logger's readings in a box count on the trip too; the climate is for where they stop.
    """
    if not trip.climate:
        return list(held)
    climate = find_climate(conn, trip.climate)
    going: dict[Exposure, Exposure] = {}

    def travelling(stays: list[Stay]) -> list[Stay]:
        at_home = stays[-1].exposure
        there = going.setdefault(at_home, Exposure(climate, at_home.log))
        return with_trip(stays, trip.departs, trip.returns, there)

    been = stays_of(conn, held, everywhere=True)
    return [_heated(each, [travelling(it) for it in been[each.id]]) for each in held]


def _heated(holding: Holding, been: Sequence[Sequence[Stay]]) -> Holding:
    limit = heat_limit_of(ageing(holding, been))
    last = holding.last_usable_day
    if limit is None or (last is not None and limit.last_usable_day >= last):
        return holding
    return replace(holding, last_usable_day=limit.last_usable_day, governed_by=HEAT)
