"""Clearing out: what of the stock is to be got rid of, why, and by which route."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from stockcheck.core.expiry import Standing, standings
from stockcheck.core.model import DateContext, Holding, State, Status
from stockcheck.core.movements import Movement, write_off
from stockcheck.core.shelf_life import failure


class Why(StrEnum):
    """Why something is to go, the clearest case first."""

    EXPIRED = "expired"
    FAILED = "failed inspection"
    LAST_RESORT = "last resort"
    UNDATED = "undated"


@dataclass(frozen=True, slots=True)
class Clearing:
    """One holding to be got rid of, with why."""

    holding: Holding
    why: Why

    @property
    def route(self) -> str:
        """The key of its disposal route."""
        return self.holding.kind.disposal

    @property
    def medicine(self) -> bool:
        """Whether it is a medicine, which may be a controlled one."""
        kind = self.holding.kind
        return kind.dates is DateContext.MEDICINE or "medicine" in kind.cautions


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is asked for beside the expired and the failed, and to what it is narrowed.

    ``routes`` and ``lots`` are keys and numbers; None takes all of them.
    """

    last_resorts: bool = False
    undated: bool = False
    routes: Collection[str] | None = None
    lots: Collection[int] | None = None


def to_clear(
    held: Iterable[Holding], on: date, routes: Iterable[str], wanted: Wanted
) -> tuple[Clearing, ...]:
    """What is to go, route by route in the order of ``routes``, by box, item and lot within each.

    Stock on hold is left out, whatever its day: who put it there, or the maker, decides.
    """
    order = {key: number for number, key in enumerate(routes)}
    found = [
        Clearing(each.holding, why)
        for each in standings(held, on)
        if (why := _why(each, wanted)) is not None and _asked(each.holding, wanted)
    ]
    return tuple(sorted(found, key=lambda it: (order.get(it.route, len(order)), _place(it))))


def _place(it: Clearing) -> tuple[str, str, int, int]:
    holding = it.holding
    return holding.box.name.casefold(), holding.item.name.casefold(), holding.lot.id, holding.id


def _why(each: Standing, wanted: Wanted) -> Why | None:
    holding = each.holding
    if holding.state is State.HELD:
        return None
    if failure(holding.lot) is not None:
        return Why.FAILED
    if holding.state is State.LAST_RESORT:
        return Why.LAST_RESORT if wanted.last_resorts else None
    if each.status is Status.EXPIRED:
        return Why.EXPIRED
    return Why.UNDATED if wanted.undated and each.status is Status.UNDATED else None


def _asked(holding: Holding, wanted: Wanted) -> bool:
    by_route = wanted.routes is None or holding.kind.disposal in wanted.routes
    return by_route and (wanted.lots is None or holding.lot.id in wanted.lots)


def by_route(found: Iterable[Clearing]) -> dict[str, tuple[Clearing, ...]]:
    """What is to go by the key of its route, in the order given."""
    groups: dict[str, list[Clearing]] = {}
    for each in found:
        groups.setdefault(each.route, []).append(each)
    return {route: tuple(group) for route, group in groups.items()}


def written_off(
    chosen: Iterable[Clearing], now: Iterable[Clearing], names: Mapping[str, str]
) -> tuple[list[Movement], list[Clearing]]:
    """The write-offs of what was chosen, whole, and what of it stands otherwise by now.

    ``now`` is the same list read again: what was used, moved or released in between is left alone.
    ``names`` tells the routes, for the ledger.
    """
    still = {each.holding.id: each for each in now}
    movements, changed = [], []
    for each in chosen:
        if still.get(each.holding.id) != each:
            changed.append(each)
            continue
        reason = f"cleared out: {each.why.value}, {names[each.route]}"
        movements.append(write_off(each.holding, each.holding.quantity, reason))
    return movements, changed


def held_back(held: Iterable[Holding], wanted: Wanted) -> int:
    """How many holdings on hold are left out of what was asked for."""
    return sum(each.state is State.HELD and _asked(each, wanted) for each in held)
