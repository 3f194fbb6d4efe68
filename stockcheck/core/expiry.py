"""The expiry report's findings: how each holding stands on a day, worst first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core import shelf_life
from stockcheck.core.calendar import Precision, spoken
from stockcheck.core.model import Box, Holding, Status
from stockcheck.core.shelf_life import HEAT

WORST_FIRST = (
    Status.EXPIRED,
    Status.UNDATED,
    Status.HELD,
    Status.LAST_RESORT,
    Status.ENDS_ON_TRIP,
    Status.DUE,
    Status.IN_DATE,
)
_RANK = {status: rank for rank, status in enumerate(WORST_FIRST)}


@dataclass(frozen=True, slots=True)
class Standing:
    """A holding, how it stands, how many days it still has, and what to do about it."""

    holding: Holding
    status: Status
    days_left: int | None
    advice: str


def standings(
    holdings: Iterable[Holding],
    on: date,
    *,
    horizon: date | None = None,
    due_days: int = shelf_life.DUE_DAYS,
) -> list[Standing]:
    """Every holding as it stands on a day, the worst first, then the earliest, then by name."""
    found = []
    for holding in holdings:
        standing = shelf_life.status(holding, on, horizon=horizon, due_days=due_days)
        last = holding.last_usable_day
        days = (last - on).days if last else None
        found.append(Standing(holding, standing, days, shelf_life.advice(holding, standing)))
    return sorted(found, key=_worst_first)


def until_words(holding: Holding) -> str:
    """The last usable day for people; an estimate by heat in months only, and said to be one."""
    if holding.governed_by == HEAT:
        return f"about {spoken(holding.last_usable_day, Precision.MONTH)} (heat estimate)"
    return spoken(holding.last_usable_day)


def _worst_first(standing: Standing) -> tuple[int, date, str, int, int]:
    holding = standing.holding
    return (
        _RANK[standing.status],
        holding.last_usable_day or date.max,
        holding.item.name.casefold(),
        holding.lot.id,
        holding.id,
    )


def by_box(
    found: Sequence[Standing], boxes: Sequence[Box]
) -> list[tuple[Box, tuple[Standing, ...]]]:
    """The standings of each box that has any, in the order of the boxes given."""
    inside: dict[int, list[Standing]] = {}
    for standing in found:
        inside.setdefault(standing.holding.box.id, []).append(standing)
    return [(box, tuple(inside[box.id])) for box in boxes if box.id in inside]


def tally(found: Iterable[Standing]) -> dict[Status, int]:
    """How many holdings stand in each way, worst first, those with none left out."""
    counts = dict.fromkeys(WORST_FIRST, 0)
    for standing in found:
        counts[standing.status] += 1
    return {status: count for status, count in counts.items() if count}
