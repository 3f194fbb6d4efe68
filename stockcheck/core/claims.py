"""Which units count toward which par level, and what may move from one box to another.

A par of a box counts what lies in that box and in the boxes inside it. No unit counts toward two
pars, so they are served one after the other:

1. in place, the innermost box first: a pouch's own need goes before the need of the box that the
   pouch lies in; within a box pars of an item go before pars of a kind;
2. pars still short, vital ones first, from what is left over in any box: that is surplus, so a
   move never takes a box below its own need.

Where a par of a kind could count either of two items, it counts the one that leaves the other to
those who need just that one. A box keeps the units that last longest; those that end soonest, and
still reach the horizon, are the ones to move. A par of a kind counts in one unit only (see
``unit_of_kinds``).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from stockcheck.core.assignment import Assignment
from stockcheck.core.fefo import first_out
from stockcheck.core.model import UNITS, Box, Holding, Importance, Item
from stockcheck.core.planning import Par
from stockcheck.core.shelf_life import usable

IN_PLACE, MOVED = "in place", "moved"


@dataclass(frozen=True, slots=True)
class MoveFrom:
    """So many units to move out of one holding, and so out of its box."""

    holding: Holding
    quantity: int


@dataclass(frozen=True, slots=True)
class Counted:
    """How a par stands before anything is bought; no unit stands here for two pars.

    ``usable`` includes what is beyond the par, so a surplus that another box may get.
    ``unusable`` are the holdings in its place that do not reach the horizon or may not be used,
    ``other_units`` those of its kind in another unit than it counts in.
    """

    par: Par
    usable: int
    unusable: tuple[Holding, ...]
    other_units: tuple[Holding, ...]
    moves: tuple[MoveFrom, ...]

    @property
    def short(self) -> int:
        """How many units lack in its own place, before any move."""
        return max(0, self.par.quantity - self.usable)

    @property
    def still_short(self) -> int:
        """How many units lack after the moves."""
        return self.short - sum(move.quantity for move in self.moves)


class Places:
    """Which box lies in which."""

    def __init__(self, boxes: Iterable[Box]) -> None:
        self._boxes = {box.id: box for box in boxes}

    def outwards(self, box: Box) -> tuple[int, ...]:
        """The ids of the box and of those around it, from the inside out."""
        found: list[int] = []
        at: Box | None = self._boxes.get(box.id, box)
        while at is not None and at.id not in found:
            found.append(at.id)
            at = self._boxes.get(at.parent_id) if at.parent_id is not None else None
        return tuple(found)

    def in_use(self, box: Box) -> bool:
        """Whether the box is not retired."""
        return self._boxes.get(box.id, box).retired_on is None


def unit_of_kinds(items: Iterable[Item]) -> dict[str, str]:
    """The one unit in which a par of each kind counts: each before pair, tablet, ml, g and cm.

    Two tubes and 200 ml are not 202 of anything; where that matters, set pars by item.
    """
    units: dict[str, str] = {}
    for item in items:
        known = units.get(item.kind.key, item.unit)
        units[item.kind.key] = min(known, item.unit, key=UNITS.index)
    return units


def rank(importance: Importance) -> int:
    """Vital 0, essential 1, desirable 2."""
    return tuple(Importance).index(importance)


def count(
    pars: Sequence[Par],
    holdings: Iterable[Holding],
    places: Places,
    horizon: date,
    units: Mapping[str, str],
) -> tuple[Counted, ...]:
    """How every par stands at the end of the horizon day, in the order of ``pars``."""
    return count_and_free(pars, holdings, places, horizon, units)[0]


def count_and_free(
    pars: Sequence[Par],
    holdings: Iterable[Holding],
    places: Places,
    horizon: date,
    units: Mapping[str, str],
) -> tuple[tuple[Counted, ...], Mapping[int, int]]:
    """How every par stands, and the usable units that none of them claims, by holding."""
    stock = _Stock(pars, holdings, places, horizon, units)
    for par in sorted(pars, key=lambda it: _inside_first(it, places)):
        stock.claim_in_place(par)
    surplus = Counter(stock.shares.free)
    for par in sorted(pars, key=_vital_first):
        stock.claim_anywhere(par)
    beside = stock.by_nearest_par()
    counted = tuple(stock.counted(par, surplus, beside[par.id]) for par in pars)
    return counted, stock.shares.free


def standing(
    pars: Iterable[Par], holdings: Iterable[Holding], boxes: Sequence[Box], on: date
) -> tuple[Counted, ...]:
    """How every par stands on a day, trip or no trip: one that is worked out from a trip claims
    nothing. What is retired counts for none.
    """
    places = Places(boxes)
    wanted = [
        par if par.fixed else replace(par, quantity=0)
        for par in pars
        if places.in_use(par.box) and not (par.item and par.item.retired_on)
    ]
    stock = [it for it in holdings if places.in_use(it.box) and it.item.retired_on is None]
    return count(wanted, stock, places, on, unit_of_kinds(it.item for it in stock))


def _inside_first(par: Par, places: Places) -> tuple[int, bool, int, int]:
    depth = len(places.outwards(par.box))
    return -depth, par.item is None, rank(par.importance), par.id


def _vital_first(par: Par) -> tuple[int, bool, int]:
    return rank(par.importance), par.item is None, par.id


def asks_for(par: Par, item: Item) -> bool:
    """Whether a par level is for an item, by itself or by its kind."""
    if par.item is not None:
        return par.item.id == item.id
    return par.kind is not None and par.kind.key == item.kind.key


class _Stock:
    """All that is held, and how the usable units of it are shared out among the pars."""

    def __init__(
        self,
        pars: Iterable[Par],
        holdings: Iterable[Holding],
        places: Places,
        horizon: date,
        units: Mapping[str, str],
    ) -> None:
        self._held = {it.id: it for it in sorted(holdings, key=first_out)}
        self._around = {it.id: places.outwards(it.box) for it in self._held.values()}
        self._units = units
        self._pars_in: defaultdict[int, list[Par]] = defaultdict(list)
        for par in sorted(pars, key=lambda it: it.item is None):
            self._pars_in[par.box.id].append(par)
        good = [it for it in self._held.values() if usable(it, horizon)]
        self.shares = Assignment[tuple[int, str]]({it.id: it.quantity for it in good})
        self._good_of_kind: defaultdict[str, list[Holding]] = defaultdict(list)
        for holding in good:
            self._good_of_kind[holding.kind.key].append(holding)

    def claim_in_place(self, par: Par) -> None:
        """Let a par claim from its box and the boxes inside it, the longest lasting first."""
        here = [it.id for it in self._suiting(par) if par.box.id in self._around[it.id]]
        self.shares.serve((par.id, IN_PLACE), par.quantity, here[::-1])

    def claim_anywhere(self, par: Par) -> None:
        """Let a par that is short claim what is left in any box, the first to end first."""
        short = par.quantity - sum(self.shares.given((par.id, IN_PLACE)).values())
        self.shares.serve((par.id, MOVED), short, [it.id for it in self._suiting(par)])

    def by_nearest_par(self) -> defaultdict[int, list[Holding]]:
        """Every holding under the innermost par that it is for, if any.

        One whose unit a par does not count in goes under it only when no other par asks for it.
        """
        found: defaultdict[int, list[Holding]] = defaultdict(list)
        for holding in self._held.values():
            around = (par for box_id in self._around[holding.id] for par in self._pars_in[box_id])
            asking = [par for par in around if asks_for(par, holding.item)]
            suiting = [par for par in asking if self._suits(par, holding.item)]
            for nearest in (suiting or asking)[:1]:
                found[nearest.id].append(holding)
        return found

    def counted(self, par: Par, surplus: Mapping[int, int], near: Iterable[Holding]) -> Counted:
        """How the par stands, with what is near it and was claimed by none in place."""
        counting = sum(self.shares.given((par.id, IN_PLACE)).values())
        unusable, other_units = [], []
        for holding in near:
            if not self._suits(par, holding.item):
                other_units.append(holding)
            elif holding.id in surplus:
                counting += surplus[holding.id]
            else:
                unusable.append(holding)
        moved = self.shares.given((par.id, MOVED)).items()
        moves = tuple(MoveFrom(self._held[it], quantity) for it, quantity in moved)
        return Counted(par, counting, tuple(unusable), tuple(other_units), moves)

    def _suits(self, par: Par, item: Item) -> bool:
        if par.item is None and self._units[item.kind.key] != item.unit:
            return False
        return asks_for(par, item)

    def _suiting(self, par: Par) -> list[Holding]:
        kind = par.item.kind if par.item else par.kind
        pool = self._good_of_kind[kind.key] if kind else []
        return [it for it in pool if self._suits(par, it.item)]
