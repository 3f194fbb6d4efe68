"""What another climate would do: each holding's day there, or on the trip.

Heat is loaded late: most boxes and trips have no climate.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from stockcheck.core.shelf_life import HEAT
from stockcheck.store.limits import ageing_by_heat

if TYPE_CHECKING:
    from datetime import date

    from stockcheck.core.ageing import Ageing
    from stockcheck.core.exposure import Exposure
    from stockcheck.core.heat import Stay
    from stockcheck.core.model import Holding
    from stockcheck.core.planning import Trip
    from stockcheck.core.shifting import Shift


def shifts(conn: sqlite3.Connection, box_ids: Sequence[int], climate: str, on: date) -> list[Shift]:
    """The dated holdings of these boxes: their day now, and if kept in a climate from ``on``."""
    from stockcheck.core.exposure import Exposure
    from stockcheck.core.shifting import shift
    from stockcheck.store import reads
    from stockcheck.store.heat import find_climate, stays_of

    there = Exposure(find_climate(conn, climate))
    held = reads.holdings(conn, box_ids=box_ids)
    been = stays_of(conn, held, everywhere=True)
    found = [shift(each, been[each.id], there, on) for each in held]
    return [each for each in found if each is not None]


def on_trip(conn: sqlite3.Connection, held: Sequence[Holding], trip: Trip) -> list[Holding]:
    """The holdings with the day that the trip's climate leaves them, where that is earlier."""
    if not trip.climate:
        return list(held)
    return heated(held, ageing_on_trip(conn, held, trip))


def heated(held: Sequence[Holding], aged: Mapping[int, Sequence[Ageing]]) -> list[Holding]:
    """The holdings with the day that heat leaves them, where that is earlier."""
    return [_heated(each, aged.get(each.id, ())) for each in held]


def ageing_on_trip(
    conn: sqlite3.Connection, held: Sequence[Holding], trip: Trip | None
) -> dict[int, list[Ageing]]:
    """What heat makes of holdings, by their numbers, with the climate of a trip in place.

    A logger's readings in a box count on the trip too; the climate is for where they stop.
    """
    if trip is None or not trip.climate:
        return ageing_by_heat(conn, held)
    from stockcheck.core.ageing import ageing
    from stockcheck.core.exposure import Exposure
    from stockcheck.core.residence import with_trip
    from stockcheck.store.heat import find_climate, stays_of

    climate = find_climate(conn, trip.climate)
    going: dict[Exposure, Exposure] = {}

    def travelling(stays: list[Stay]) -> list[Stay]:
        at_home = stays[-1].exposure
        there = going.setdefault(at_home, Exposure(climate, at_home.log))
        return with_trip(stays, trip.departs, trip.returns, there)

    been = stays_of(conn, held, everywhere=True)
    return {each.id: ageing(each, [travelling(it) for it in been[each.id]]) for each in held}


def heat_warnings(conn: sqlite3.Connection, held: Sequence[Holding], trip: Trip | None) -> int:
    """How many holdings heat only warns of: medicines that a climate makes too hot, at home or on
    a trip, where no limit may rest on that.
    """
    from stockcheck.core.model import DateContext

    medicines = [each for each in held if each.kind.dates is DateContext.MEDICINE]
    aged = ageing_on_trip(conn, medicines, trip)
    return sum(_only_warned(found) for found in aged.values())


def _only_warned(found: Sequence[Ageing]) -> bool:
    return any(it.only_warns for it in found) and all(it.limit is None for it in found)


def _heated(holding: Holding, aged: Sequence[Ageing]) -> Holding:
    ends = [it.ends for it in aged if it.limit is not None]
    last = holding.last_usable_day
    if not ends or (last is not None and min(ends) >= last):
        return holding
    return replace(holding, last_usable_day=min(ends), governed_by=HEAT)
