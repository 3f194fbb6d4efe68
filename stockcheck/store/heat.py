"""Heat in the store: climates, loggers' readings, and what they do to the limits of holdings."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from stockcheck.core import shelf_life
from stockcheck.core.climate import Climate
from stockcheck.core.errors import UnknownName
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import HeatLimit, NoEstimate, Stay, heat_limit
from stockcheck.core.model import Box, Holding, Limit, Trip
from stockcheck.core.names import name_key, nearest
from stockcheck.core.residence import Arrived, stays, ways, with_trip
from stockcheck.core.temperature_log import Reading, TemperatureLog
from stockcheck.data.climates import climate_from_table, climates

_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 - a logger's wall clock in its box
_SECOND = timedelta(seconds=1)


@dataclass(frozen=True, slots=True)
class Heat:
    """What is known of the heat in every box, and how to name the boxes."""

    exposures: Mapping[int, Exposure]
    names: Mapping[int, str]

    def __bool__(self) -> bool:
        return bool(self.exposures)


def known_climates(conn: sqlite3.Connection) -> dict[str, Climate]:
    """The shipped climates and the person's own, by ``name_key``; an own one hides a shipped."""
    found = {name_key(name): climate for name, climate in climates().items()}
    for key, rule in conn.execute("SELECT key, rule FROM climate WHERE retired_on IS NULL"):
        found[key] = climate_from_table(json.loads(rule), f"climate {key}")
    return found


def find_climate(conn: sqlite3.Connection, name: str) -> Climate:
    """The climate of that name. UnknownName tells the nearest."""
    known = known_climates(conn)
    found = known.get(name_key(name))
    if found is None:
        more = nearest(name, [each.name for each in known.values()], "'climate list' shows them")
        raise UnknownName(f"there is no climate {name!r}{more}")
    return found


def add_climate(conn: sqlite3.Connection, table: Mapping[str, Any], where: str) -> Climate:
    """A climate of the person's own, or its new figures."""
    made = climate_from_table(table, where)
    conn.execute(
        "INSERT INTO climate (key, rule) VALUES (?, ?)"
        " ON CONFLICT (key) DO UPDATE SET rule = excluded.rule, retired_on = NULL",
        (name_key(made.name), json.dumps(dict(table), ensure_ascii=False)),
    )
    return made


def heat_of(conn: sqlite3.Connection, boxes: Sequence[Box]) -> Heat:
    """The exposure of each box of which a climate or readings are known.

    A box without a climate of its own has that of the box around it. Free words that name no
    climate are just a note.
    """
    logged = {row[0] for row in conn.execute("SELECT DISTINCT box_id FROM temperature")}
    if not logged and not any(box.climate for box in boxes):
        return Heat({}, {})
    known = known_climates(conn)
    by_id = {box.id: box for box in boxes}
    found = {}
    for box in boxes:
        climate = known.get(name_key(_words(box, by_id)))
        log = readings(conn, box.id) if box.id in logged else None
        if climate is not None or log is not None:
            found[box.id] = Exposure(climate, log)
    return Heat(found, {box.id: box.name for box in boxes})


def _words(box: Box, by_id: Mapping[int, Box]) -> str:
    at: Box | None = box
    while at is not None and not at.climate:
        at = by_id.get(at.parent_id) if at.parent_id is not None else None
    return at.climate if at else ""


def readings(conn: sqlite3.Connection, box_id: int) -> TemperatureLog | None:
    """A box's readings in order of time; None without any."""
    rows = conn.execute(
        "SELECT at, hundredths FROM temperature WHERE box_id = ? ORDER BY at", (box_id,)
    ).fetchall()
    if not rows:
        return None
    found = tuple(Reading(_EPOCH + at * _SECOND, each / 100) for at, each in rows)
    return TemperatureLog(found, name="of its logger")


def add_readings(
    conn: sqlite3.Connection, box_id: int, found: Iterable[Reading]
) -> tuple[int, int]:
    """Keep readings of a box, the warmer of two; returns how many are new, and how many not."""
    before = conn.execute(
        "SELECT count(*) FROM temperature WHERE box_id = ?", (box_id,)
    ).fetchone()[0]
    rows = [
        (box_id, (each.at.replace(tzinfo=None) - _EPOCH) // _SECOND, round(each.celsius * 100))
        for each in found
    ]
    conn.executemany(
        "INSERT INTO temperature (box_id, at, hundredths) VALUES (?, ?, ?)"
        " ON CONFLICT (box_id, at) DO UPDATE SET hundredths = max(hundredths, excluded.hundredths)",
        rows,
    )
    after = conn.execute("SELECT count(*) FROM temperature WHERE box_id = ?", (box_id,)).fetchone()[
        0
    ]
    return after - before, len(rows) - (after - before)


def arrivals(conn: sqlite3.Connection, lot_ids: Sequence[int]) -> dict[int, list[Arrived]]:
    """How the units of each lot came into boxes; movements that were undone are left out."""
    rows = conn.execute(
        "SELECT line.lot_id, line.box_id, m.on_day, ("
        " SELECT out.box_id FROM movement_line AS out WHERE out.movement_id = m.movement_id"
        " AND out.lot_id = line.lot_id AND out.quantity < 0 AND out.box_id <> line.box_id LIMIT 1)"
        " FROM movement_line AS line JOIN movement AS m USING (movement_id)"
        " WHERE line.quantity > 0 AND m.what IN ('received', 'moved', 'counted', 'returned')"
        " AND line.lot_id IN (SELECT value FROM json_each(?))"
        " AND NOT EXISTS (SELECT 1 FROM movement WHERE reverses = m.movement_id)"
        " ORDER BY line.line_id",
        (json.dumps(sorted(lot_ids)),),
    ).fetchall()
    found: dict[int, list[Arrived]] = {}
    for lot_id, box_id, on_day, from_box in rows:
        found.setdefault(lot_id, []).append(Arrived(box_id, date.fromisoformat(on_day), from_box))
    return found


Estimate = HeatLimit | NoEstimate


def estimates(
    holding: Holding, came: Sequence[Arrived], heat: Heat, trip: tuple[Trip, Exposure] | None = None
) -> list[Estimate]:
    """The heat estimates of a holding, the one that ends first in front; none without heat.

    Its governing limit without heat is the life that heat uses up, from the day that it counts
    from: made, received or first written down for what is sealed, the opening for what is opened.
    """
    usual = [
        way for way in ways(came, holding.box.id) if any(box in heat.exposures for box, _ in way)
    ]
    if not usual and trip is None:
        return []
    limit = shelf_life.governing(shelf_life.limits(holding.lot, holding.opened_on))
    if limit is None:
        return []
    found: list[Estimate] = []
    for way in usual or ways(came, holding.box.id)[:1]:
        been = stays(way, heat.exposures, heat.names)
        if trip is not None:
            been = with_trip(been, trip[0].departs, trip[0].returns, trip[1])
        start = counts_from(holding, limit, been)
        if start < limit.last_usable_day:
            found.append(heat_limit(holding.kind, start, limit.last_usable_day, been))
    return sorted(found, key=_ends)


def counts_from(holding: Holding, limit: Limit, been: Sequence[Stay]) -> date:
    """The day that the life without heat counts from."""
    if limit.name == shelf_life.OPENED and holding.opened_on is not None:
        return holding.opened_on
    lot = holding.lot
    if limit.name == shelf_life.INSPECTED:
        return max(each.on for each in lot.inspections if each.passed and each.extends_to)
    if lot.made is not None:
        return lot.made.first_day()
    return lot.received_on or max(been[0].since, date(1970, 1, 1))


def _ends(each: Estimate) -> date:
    return each.last_usable_day if isinstance(each, HeatLimit) else each.spoilt_from or date.max


def limits_by_heat(conn: sqlite3.Connection, held: Sequence[Holding]) -> dict[int, Limit]:
    """The limit that heat sets to each holding, by its number, where it shortens at all."""
    found = {}
    for number, each in estimates_of(conn, held).items():
        shortening = [
            limit
            for estimate in each
            if isinstance(estimate, HeatLimit) and (limit := estimate.limit()) is not None
        ]
        if shortening:
            found[number] = min(shortening, key=lambda it: it.last_usable_day)
    return found


def estimates_of(conn: sqlite3.Connection, held: Sequence[Holding]) -> dict[int, list[Estimate]]:
    """The heat estimates of holdings by their number, each as ``estimates`` gives them."""
    from stockcheck.store.reads import boxes

    heat = heat_of(conn, boxes(conn, retired=True))
    if not heat:
        return {}
    came = arrivals(conn, sorted({each.lot.id for each in held}))
    return {each.id: estimates(each, came.get(each.lot.id, ()), heat) for each in held}


def heat_day(found: Sequence[Estimate]) -> date | None:
    """The day that the estimates limit a holding to; None where they only warn or say nothing."""
    days = [limit.last_usable_day for each in found if isinstance(each, HeatLimit)
            and (limit := each.limit()) is not None]  # fmt: skip
    return min(days, default=None)
