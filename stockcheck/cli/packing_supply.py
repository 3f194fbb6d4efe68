"""The parts of a departure pack about enough: the restock list, the forecast, the stops."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stockcheck.core import pack
from stockcheck.core.words import counted
from stockcheck.output import pack_parts
from stockcheck.output.bundle import Part
from stockcheck.output.pack_supply import short_report, supply_report
from stockcheck.store import reads

if TYPE_CHECKING:
    from stockcheck.cli.packing_parts import Aboard
    from stockcheck.core.forecast import Forecast
    from stockcheck.output.report import Row


@dataclass(frozen=True, slots=True)
class Supply:
    """What is short for the boxes that go along, and the parts that tell it.

    ``pars``: whether any par level says what is enough. ``nothing``: the boxes are empty.
    """

    short: tuple[Row, ...]
    parts: tuple[Part, ...]
    pars: bool
    nothing: bool

    def lacks(self, unmet: tuple[str, ...]) -> pack.Lacks:
        """What keeps the boxes from being ready; ``unmet`` are those short of their kit list."""
        return pack.Lacks(
            len(self.short),
            _vital(self.short),
            unmet,
            nothing=self.nothing,
            unmeasured=not self.pars and not self.nothing,
        )


def supply_of(aboard: Aboard) -> Supply:
    """The parts, without those that are not wished for."""
    from stockcheck.cli.forecasting import found_of
    from stockcheck.cli.restock import needs_of
    from stockcheck.data.kinds import cautions

    store, going, on = aboard.store, aboard.going, aboard.wish.on
    along = {box.id for box in aboard.boxes}
    wanted = needs_of(store, going, on)
    asked = [it for it in wanted.open if it[0].box.id in along]
    pars = any(par.box.id in along for par in wanted.pars) or bool(asked)
    short = _short(aboard)
    seen = found_of(store, going, on, aboard=along)
    lines = counted(len(short), "line") + (f", {vital} vital" if (vital := _vital(short)) else "")
    report = short_report(short, asked, going, aboard.where, pars=pars)
    running = sum(1 for it in seen.outlooks if it.projection.short)
    about = f"{running} of {len(seen.outlooks)} used up on the way"
    parts = (
        Part("short", report, lines),
        Part("forecast", supply_report(seen, going, aboard.where, cautions()), about),
        _stops(aboard, seen),
    )
    left_out = set(aboard.wish.without)
    left_out |= {"short", "forecast"} if going.horizon < on else set()
    kept = tuple(part for part in parts if part.key not in left_out)
    return Supply(short, kept, pars, nothing=not aboard.held)


def _vital(rows: tuple[Row, ...]) -> int:
    return sum(row.values["importance"] == "vital" for row in rows)


def _short(aboard: Aboard) -> tuple[Row, ...]:
    """What the restock list has for boxes that go along."""
    from stockcheck.cli.restock import restock_of

    if aboard.going.horizon < aboard.wish.on:
        return ()  # it is over: nothing can lack for it any more
    rows = restock_of(aboard.store, aboard.going, None, None, aboard.wish.on).rows
    along = {box.name for box in aboard.boxes}
    return tuple(row for row in rows if row.values["box"] in along)


def _stops(aboard: Aboard, seen: Forecast) -> Part:
    from stockcheck.store.stops import stops

    conn, going = aboard.store.conn, aboard.going
    found = stops(conn, going.id)
    checks: tuple[pack.StopCheck, ...] = ()
    if found:
        items = {item.id: item for item in reads.items(conn, retired=True)}
        every = pack.stop_checks(pack.placed(found, seen, going, items), aboard.found, going)
        checks = tuple(each for each in every if each.stop.on >= aboard.wish.on)
    report = pack_parts.stops_report(checks, going, aboard.where)
    return Part("stops", report, counted(len(checks), "stop"))
