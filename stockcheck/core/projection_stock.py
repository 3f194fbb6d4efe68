"""Holdings as the packs of a projection, and a projection told in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.model import Holding
from stockcheck.core.movements import opens_as_a_whole
from stockcheck.core.projection import Event, Pack, Projection
from stockcheck.core.shelf_life import usable
from stockcheck.core.words import counted, listed


def packs_of(holdings: Iterable[Holding], on: date) -> tuple[Pack, ...]:
    """What of an item may be used from a day on; keys are the holdings' ids.

    Expired, undated, held and last-resort stock is left out: it never counts. A sealed pack whose
    kind has an opened life, and that is opened as a whole, is opened pack by pack.
    """
    return tuple(_pack(it) for it in holdings if it.quantity > 0 and usable(it, on))


def _pack(holding: Holding) -> Pack:
    rule = holding.kind.opened
    opens = rule is not None and opens_as_a_whole(holding)
    return Pack(
        key=holding.id,
        quantity=holding.quantity,
        last_usable_day=holding.last_usable_day,
        opened=holding.opened_on is not None,
        in_use=rule.life if rule and opens else None,
        size=max(1, holding.item.pack),
        received=holding.lot.received_on,
    )


def told(projection: Projection, unit: str = "each") -> str:
    """A projection in one sentence: ``runs short on 13 MAR 2027: 2 short in all; 2 end unused``."""
    parts: list[str] = []
    if projection.first_short is None:
        parts.append(f"lasts through {spoken(projection.last)}")
    else:
        lacking = f"{counted(projection.short, unit)} short in all"
        parts.append(f"runs short on {spoken(projection.first_short)}: {lacking}")
    if projection.wasted:
        ending = listed([spoken(day) for day in _ending(projection)])
        ends = "ends" if projection.wasted == 1 else "end"
        parts.append(f"{counted(projection.wasted, unit)} {ends} unused ({ending})")
    if projection.left:
        parts.append(f"{counted(projection.left, unit)} left")
    return "; ".join(parts)


def _ending(projection: Projection) -> Sequence[date]:
    """The last usable days of what ends unused, each once."""
    days = {
        date.fromordinal(it.day.toordinal() - 1)
        for it in projection.steps
        if it.event is Event.ENDED
    }
    return sorted(days)
