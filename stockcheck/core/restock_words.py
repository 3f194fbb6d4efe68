"""Why a line of the restock list stands there, in words and figures."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.claims import Counted
from stockcheck.core.model import Status
from stockcheck.core.shelf_life import status

NEVER_ENOUGH = "never enough"
WORDS = {
    Status.EXPIRED: "expired",
    Status.UNDATED: "undated",
    Status.HELD: "on hold",
    Status.LAST_RESORT: "kept as last resort",
}


@dataclass(frozen=True, slots=True)
class Lack:
    """So many units that do not count, and why: a status, or ``never enough``.

    ``last_usable_day`` is given where they end before the horizon. Never enough are the units that
    would lack if everything held were good.
    """

    why: str
    quantity: int
    last_usable_day: date | None = None


def lacking(counted: Counted, on: date, horizon: date) -> tuple[Lack, ...]:
    """Everything that keeps a par from being met, by reason; what ends first comes first."""
    found: Counter[tuple[str, date | None]] = Counter()
    for holding in counted.unusable:
        standing = status(holding, on, horizon=horizon, due_days=0)
        ends = holding.last_usable_day if standing is Status.ENDS_ON_TRIP else None
        found[standing.value, ends] += holding.quantity
    lacks = [Lack(why, found[why, None]) for why in WORDS if found[why, None]]
    lacks += [Lack(why, number, day) for (why, day), number in found.items() if day]
    never = counted.par.quantity - counted.usable - found.total()
    return (*((Lack(NEVER_ENOUGH, never),) if never > 0 else ()), *lacks)


def reason(counted: Counted, lacks: tuple[Lack, ...], horizon: date) -> str:
    """The arithmetic of one par: ``par 6; 4 held, of which 2 expired; 2 too few``."""
    held = counted.usable + sum(holding.quantity for holding in counted.unusable)
    said = f"{held} held" if held else "none held"
    bad = _not_counting(lacks, horizon)
    if bad:
        said += f", of which {bad}"
    never = sum(lack.quantity for lack in lacks if lack.why == NEVER_ENOUGH)
    parts = [f"par {counted.par.quantity}", said]
    if never and held:
        parts.append(f"{never} too few" + (" even if all were good" if bad else ""))
    return "; ".join([*parts, *_other_units(counted)])


def worked_reason(said: str, why: str, needed: int, served: int, before: int) -> str:
    """The arithmetic of a par level that a trip decides: how it came, then how it stands."""
    rest = said.split("; ")[1:]
    if served:  # what lacks beside them is in the figures; another count of it would only confuse
        rest = [part for part in rest if " too few" not in part]
    parts = [f"par {needed}: {why.rstrip('.')}", *rest]
    if served:
        parts.append(f"{served} of them are used on the way before they end")
    if before:
        parts.append(f"{before} more before departure")
    return "; ".join(parts)


def _not_counting(lacks: tuple[Lack, ...], horizon: date) -> str:
    plain = [f"{it.quantity} {WORDS[Status(it.why)]}" for it in lacks if it.why in WORDS]
    ending = [
        f"{it.quantity} {'ends' if it.quantity == 1 else 'end'} {spoken(it.last_usable_day)}"
        for it in lacks
        if it.last_usable_day
    ]
    if ending:
        plain.append(f"{' and '.join(ending)} before the horizon {spoken(horizon)}")
    return ", ".join(plain)


def _other_units(counted: Counted) -> list[str]:
    beside: Counter[str] = Counter()
    for holding in counted.other_units:
        beside[holding.item.unit] += holding.quantity
    return [
        f"{number} {unit} of it not counted: set a par by item" for unit, number in beside.items()
    ]
