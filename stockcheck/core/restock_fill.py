"""What fills a shortage before anything is bought: what is on order, then what may stand in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from stockcheck.core.claims import Counted, asks_for
from stockcheck.core.fefo import first_out
from stockcheck.core.model import Holding
from stockcheck.core.offers import HANDLING_DAYS
from stockcheck.core.restock_sources import Incoming, Sources, StandIn
from stockcheck.core.shelf_life import usable


@dataclass(frozen=True, slots=True)
class Filled:
    """Of what a par level lacks, the units that are on order in time, and what stands in."""

    on_order: int = 0
    stand_ins: tuple[StandIn, ...] = ()

    @property
    def units(self) -> int:
        """All the units that need not be bought."""
        return self.on_order + sum(it.covers for it in self.stand_ins)


def fill(
    counted: Sequence[Counted],
    holdings: Sequence[Holding],
    free: Mapping[int, int],
    sources: Sources,
    horizon: date,
    departs: date | None,
) -> dict[int, Filled]:
    """What fills each par level, by its id. ``free`` are the units that no par level claims.

    What was ordered for a box goes there first. What comes too late, at an unknown day, or does
    not reach the horizon fills nothing. A substitute stands in for what it was allowed for and
    never for what stands in itself, so two that name each other do no harm.
    """
    coming = [it for it in sources.incoming if _in_time(it, horizon, departs)]
    left = Counter({number: it.quantity for number, it in enumerate(coming)})
    on_order: Counter[int] = Counter()
    for own_box in (True, False):
        for it in counted:
            for number, line in enumerate(coming):
                for_it = line.box is not None and line.box.id == it.par.box.id
                if asks_for(it.par, line.item) and for_it is own_box:
                    units = min(left[number], it.still_short - on_order[it.par.id])
                    left[number] -= units
                    on_order[it.par.id] += units
    spare = Counter({it.id: free.get(it.id, 0) for it in holdings if usable(it, horizon)})
    allowed = {it.by.id for it in sources.substitutes}
    standing_by = sorted((it for it in holdings if it.item.id in allowed), key=first_out)
    found: dict[int, Filled] = {}
    for it in counted:
        units = it.still_short - on_order[it.par.id]
        stand_ins = _stand_ins(it, units, standing_by, spare, sources)
        found[it.par.id] = Filled(on_order[it.par.id], stand_ins)
    return found


def _in_time(line: Incoming, horizon: date, departs: date | None) -> bool:
    if line.expected_on is None or (line.good_through and line.good_through < horizon):
        return False
    return line.expected_on <= (departs - timedelta(days=HANDLING_DAYS) if departs else horizon)


def _stand_ins(
    counted: Counted,
    units: int,
    holdings: Sequence[Holding],
    spare: Counter[int],
    sources: Sources,
) -> tuple[StandIn, ...]:
    found: list[StandIn] = []
    for allowed in sources.substitutes:
        if counted.par.item is None or allowed.item.id != counted.par.item.id:
            continue
        for holding in holdings:
            if units <= 0 or holding.item.id != allowed.by.id:
                continue
            taken = min(spare[holding.id], allowed.wanted(units))
            covers = min(units, allowed.covers(taken))
            if covers:
                taken = allowed.wanted(covers)
                spare[holding.id] -= taken
                units -= covers
                found.append(StandIn(holding, taken, covers))
    return tuple(found)
