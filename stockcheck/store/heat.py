"""Heat in the store: climates, loggers' readings, and what they do to the limits of holdings."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from functools import partial
from itertools import groupby
from operator import itemgetter
from typing import Any

from stockcheck.core.ageing import Ageing, Heat, ageing, day_by_heat, harm
from stockcheck.core.climate import Climate
from stockcheck.core.errors import UnknownName
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import Stay
from stockcheck.core.heat_models import HeatUse, heat_model
from stockcheck.core.model import Box, Holding, Limit
from stockcheck.core.names import name_key, nearest
from stockcheck.core.residence import Spot, Step, Way, spot_of, ways
from stockcheck.core.temperature_log import Reading, TemperatureLog
from stockcheck.data.climates import climate_from_table, climates
from stockcheck.store import reads
from stockcheck.store.limits import note_heat

_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 - a logger's wall clock in its box
_SECOND = timedelta(seconds=1)


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
    note_heat(conn)
    return made


def heat_of(conn: sqlite3.Connection, only: Collection[int] | None = None) -> Heat:
    """The exposure of each box, or of some, of which a climate or readings are known.

    A box whose words name no climate has that of the nearest box around it whose words do.
    """
    every = reads.boxes(conn, retired=True)
    by_id = {box.id: box for box in every}
    known = known_climates(conn) if any(box.climate for box in every) else {}
    found = {}
    for box in every:
        if only is not None and box.id not in only:
            continue
        climate, log = _climate_of(box, by_id, known), readings(conn, box.id)
        if climate is not None or log is not None:
            found[box.id] = Exposure(climate, log)
    return Heat(found, {box.id: box.name for box in every})


def heat_is_known(conn: sqlite3.Connection) -> bool:
    """Whether any box has readings, or a climate whose temperatures are known."""
    if conn.execute("SELECT EXISTS (SELECT 1 FROM temperature)").fetchone()[0]:
        return True
    rows = conn.execute("SELECT DISTINCT climate FROM box WHERE climate <> ''").fetchall()
    known = known_climates(conn) if rows else {}
    return any(name_key(row[0]) in known for row in rows)


def _climate_of(box: Box, by_id: Mapping[int, Box], known: Mapping[str, Climate]) -> Climate | None:
    at: Box | None = box
    while at is not None:
        if (climate := known.get(name_key(at.climate))) is not None:
            return climate
        at = by_id.get(at.parent_id) if at.parent_id is not None else None
    return None


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
    note_heat(conn)
    return after - before, len(rows) - (after - before)


def drop_readings(
    conn: sqlite3.Connection, box_id: int, first: date | None, last: date | None
) -> int:
    """Take out a box's readings from the start of a day to the end of another; returns how many."""
    done = conn.execute(
        "DELETE FROM temperature WHERE box_id = ? AND at >= ? AND at < ?",
        (box_id, _second(first or date.min), _second(last or date.max) + 86_400),
    )
    note_heat(conn)
    return done.rowcount


def _second(day: date) -> int:
    return (day.toordinal() - _EPOCH.toordinal()) * 86_400


def steps_of(conn: sqlite3.Connection, lot_ids: Collection[int]) -> dict[int, list[Step]]:
    """The movements of lots as steps, in the order written; those undone are left out.

    What was bought, or opened, before it was written down is taken to have been in its box since.
    """
    rows = conn.execute(
        "SELECT line.lot_id, movement_id, CASE what WHEN 'received' THEN"
        " min(on_day, ifnull(received_on, on_day), ifnull(opened_on, on_day)) ELSE on_day END,"
        " what = 'counted', box_id, opened_on, state, quantity"
        " FROM movement_line AS line JOIN movement AS m USING (movement_id) JOIN lot USING (lot_id)"
        " WHERE line.lot_id IN (SELECT value FROM json_each(?)) AND quantity <> 0"
        " AND what <> 'reversed'"
        " AND NOT EXISTS (SELECT 1 FROM movement WHERE reverses = m.movement_id)"
        " ORDER BY line.lot_id, line_id",
        (json.dumps(sorted(lot_ids)),),
    ).fetchall()
    found: dict[int, list[Step]] = {}
    for (lot_id, _), lines in groupby(rows, key=itemgetter(0, 1)):
        whole = list(lines)
        moved = tuple((Spot(row[4], _day(row[5]), row[6]), row[7]) for row in whole)
        step = Step(date.fromisoformat(whole[0][2]), moved, recounted=bool(whole[0][3]))
        found.setdefault(lot_id, []).append(step)
    return found


def stays_of(
    conn: sqlite3.Connection, held: Sequence[Holding], *, everywhere: bool = False
) -> dict[int, list[list[Stay]]]:
    """The ways that holdings may have come, as stays, by the holdings' numbers.

    Ways along which no heat is known are left out, unless ``everywhere``.
    """
    steps = steps_of(conn, {each.lot.id for each in held})
    visited = {spot.box_id for each in steps.values() for step in each for spot, _ in step.lines}
    heat = heat_of(conn, visited | {each.box.id for each in held})
    if not heat.exposures and not everywhere:
        return {}
    traced: dict[int, dict[Spot, tuple[Way, ...]]] = {}
    found = {}
    for each in held:
        lot = each.lot
        if lot.id not in traced:
            traced[lot.id] = ways(steps.get(lot.id, ()), partial(harm, each.kind, heat))
        came = traced[lot.id].get(spot_of(each)) or (((each.box.id, date.min),),)
        found[each.id] = [heat.stays(way) for way in came if everywhere or heat.knows(way)]
    return found


def ageing_of(conn: sqlite3.Connection, held: Sequence[Holding]) -> dict[int, list[Ageing]]:
    """What heat makes of holdings, by their numbers, the harshest first; none without heat."""
    been = stays_of(conn, held)
    return {each.id: ageing(each, been[each.id]) for each in held if each.id in been}


def days_by_heat(
    conn: sqlite3.Connection, held: Sequence[Holding], limits: Mapping[int, Sequence[Limit]]
) -> dict[int, date]:
    """The last day that heat leaves each holding, by its number, where it shortens at all.

    ``limits`` are those without heat, by the holdings' numbers.
    """
    aged = [each for each in held if heat_model(each.kind).use is not HeatUse.NONE]
    been = stays_of(conn, aged)
    found = (
        (each.id, day_by_heat(each, been[each.id], limits[each.id]))
        for each in aged
        if each.id in been
    )
    return {number: day for number, day in found if day is not None}


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None
