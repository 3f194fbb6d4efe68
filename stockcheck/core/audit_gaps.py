"""What would close the gaps of an audit, as lines of a restock list: what to move, what to buy.

A line's gap is what lacks at the horizon (on the day, without one). It is closed by things that fit
the line by kind and size: first by what lies to spare in other boxes, then by what is for sale.
Nothing is taken from a box that is held against a list itself, nor what a par level wants.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial

from stockcheck.core.audit_result import AuditResult, LineResult
from stockcheck.core.audit_stock import NOT_COUNTED, Role
from stockcheck.core.calendar import spoken
from stockcheck.core.claims import MoveFrom, Places
from stockcheck.core.content import pieces_in
from stockcheck.core.kit_list_fit import Match, fit, pieces_per_unit
from stockcheck.core.model import Box, Holding, Item, Kind
from stockcheck.core.offers import on_sale, order_by, packs_for
from stockcheck.core.planning import Offer, Par
from stockcheck.core.restock import Need
from stockcheck.core.restock_buying import NOTHING, Purchase
from stockcheck.core.shelf_life import usable
from stockcheck.core.words import counted


@dataclass(frozen=True, slots=True)
class Around:
    """What lies around a box: stock of the whole store, how its par levels stand, what is sold.

    ``kept`` are the ids of the boxes from which nothing is to be moved.
    """

    holdings: Sequence[Holding]
    needs: Sequence[Need]
    offers: Sequence[Offer]
    boxes: Sequence[Box]
    kept: Collection[int]
    kinds: Mapping[str, Kind]


@dataclass(frozen=True, slots=True)
class _Gap:
    """A line that lacks so many of its own units, and what was said by hand of it."""

    line: LineResult
    name: str
    units: int
    said: Mapping[int, Match]

    def serves(self, item: Item) -> bool:
        """Whether the item would close the gap."""
        return self._measure(item) > 0

    def takes(self, item: Item, units: int) -> int:
        """How many of the item make so many units of the line, begun ones as whole."""
        return -(-units * self._measure(item) // pieces_in(item))

    def gives(self, item: Item, quantity: int) -> int:
        """How many whole units of the line so many of the item make."""
        return quantity * pieces_in(item) // self._measure(item)

    def _measure(self, item: Item) -> int:
        match = self.said.get(item.id)
        how = fit(self.line.line, item, match)
        return pieces_per_unit(self.line.line, item, match) if how and how.serves else 0


def gaps(
    result: AuditResult, box: Box, around: Around, *, departs: date | None = None
) -> tuple[Need, ...]:
    """The lines that lack something, each as a line of the restock list for this box."""
    horizon = result.horizon or result.on
    spare = _Spare(around, horizon)
    needs = []
    for number, gap in enumerate(_gaps(result), 1):
        moves, left = _moved(spare, gap)
        purchase = _purchase(around.offers, gap, left, moves)
        latest = order_by(purchase.offer, departs)
        late = latest is not None and latest < result.on
        item = purchase.offer.item if purchase.offer else moves[0].holding.item if moves else None
        of_item = partial(gap.takes, item) if item else int
        needs.append(
            Need(
                par=_as_a_par(-number, box, gap, of_item(gap.line.required or 1), around.kinds),
                item=item,
                usable=of_item(gap.line.usable),
                short=of_item(gap.units),
                reason=_reason(gap, latest if late else None),
                lacking=(),
                move_from=tuple(moves),
                buy=of_item(left),
                purchase=purchase,
                use_by_not_before=horizon,
                order_by=latest,
                late=late,
            )
        )
    return tuple(needs)


def _gaps(result: AuditResult) -> list[_Gap]:
    lines = []
    for line in result.lines:
        if line.parts:
            lines += [(part, f"{line.line.name}: {part.line.name}") for part in line.parts]
        else:
            lines.append((line, line.line.name))
    found = []
    for line, name in lines:
        units = line.short_through if result.horizon else line.short
        if units:
            said = {it.item_id: it for it in result.said if it.line == name}
            found.append(_Gap(line, name, units, said))
    return found


class _Spare:
    """What may be moved out of the other boxes, and is not yet meant to be."""

    def __init__(self, around: Around, horizon: date) -> None:
        places = Places(around.boxes)
        self._over = {need.par.id: max(0, need.usable - need.needed) for need in around.needs}
        self._pars = [need.par for need in around.needs]
        self._outwards = {it.box.id: places.outwards(it.box) for it in around.holdings}
        promised = Counter[int]()
        for move in (move for need in around.needs for move in need.move_from):
            promised[move.holding.id] += move.quantity
        self._holdings = sorted(
            (
                it
                for it in around.holdings
                if it.box.id not in around.kept
                and places.in_use(it.box)
                and it.item.retired_on is None
                and usable(it, horizon)
            ),
            key=lambda it: (it.last_usable_day or date.max, it.id),
        )
        self._left = {it.id: it.quantity - promised[it.id] for it in self._holdings}

    def items(self) -> list[Item]:
        """Every item of which something may be moved."""
        return list(dict.fromkeys(it.item for it in self._holdings))

    def take(self, item: Item, quantity: int, *, unopened: bool) -> list[MoveFrom]:
        """Up to so many units of an item, those that end soonest first."""
        moves = []
        for it in self._holdings:
            if it.item != item or (unopened and it.opened_on):
                continue
            pars = [par for par in self._pars if self._wants(par, it)]
            amount = min([quantity, self._left[it.id], *(self._over[par.id] for par in pars)])
            if amount > 0:
                moves.append(MoveFrom(it, amount))
                quantity -= amount
                self._left[it.id] -= amount
                for par in pars:
                    self._over[par.id] -= amount
        return moves

    def _wants(self, par: Par, it: Holding) -> bool:
        of_it = par.item == it.item if par.item else par.kind == it.kind
        return of_it and par.box.id in self._outwards[it.box.id]


def _moved(spare: _Spare, gap: _Gap) -> tuple[list[MoveFrom], int]:
    """What to move, all of one item, and how many units of the line lack after that."""
    best: list[MoveFrom] = []
    left = gap.units
    for item in spare.items():
        if not gap.serves(item) or left == 0:
            continue
        if best and best[0].holding.item != item:
            continue
        wanted = gap.takes(item, left)
        moves = spare.take(item, wanted, unopened=gap.line.line.only_unopened)
        made = gap.gives(item, sum(move.quantity for move in moves))
        moves = _first(moves, gap.takes(item, made))
        left = max(0, left - made)
        best += moves
    return best, left


def _first(moves: Sequence[MoveFrom], quantity: int) -> list[MoveFrom]:
    """The moves up to so many: the odd ones that make no whole unit of the line stay."""
    found = []
    for move in moves:
        amount = min(quantity, move.quantity)
        quantity -= amount
        found += [MoveFrom(move.holding, amount)] if amount else []
    return found


def _purchase(offers: Sequence[Offer], gap: _Gap, left: int, moves: Sequence[MoveFrom]) -> Purchase:
    """The offer that closes the gap for the least money; of the item that is moved, if any."""
    moved = moves[0].holding.item if moves else None
    fitting = [
        (offer, packs_for(gap.takes(offer.item, left), offer.pack))
        for offer in offers
        if left and on_sale(offer) and gap.serves(offer.item)
        if moved is None or offer.item == moved
    ]
    if not fitting:
        return NOTHING
    offer, packs = min(fitting, key=lambda it: (it[1] * it[0].price_cents, it[1], it[0].id))
    return Purchase(offer, offer.pack, packs)


def _as_a_par(number: int, box: Box, gap: _Gap, asked: int, kinds: Mapping[str, Kind]) -> Par:
    """The line as if it were a par level, wanting any thing that serves it."""
    line = gap.line.line
    kind = next((it for it in kinds.values() if line.takes(it)), None)
    return Par(number, box, asked, kind=kind, called=_thing(gap), unit=gap.line.unit)


def _thing(gap: _Gap) -> str:
    line = gap.line.line
    return f"{gap.name} ({line.spec})" if line.spec else gap.name


def _reason(gap: _Gap, late_by: date | None) -> str:
    line = gap.line
    asks = "named" if line.required is None else f"asks {counted(line.required, line.unit)}"
    ends = f", {line.ends_on_trip} of them not to the end" if line.ends_on_trip else ""
    there = _not_counting(line)
    short = counted(gap.units, line.unit)
    said = f"{gap.name!r} {asks}, usable {line.usable}{ends}{there}: short {short}"
    if line.required is None:
        said = f"{gap.name!r} is on the list without a number, and none is usable{there}"
    return said + (f"; late: it was to be ordered by {spoken(late_by)}" if late_by else "")


def _not_counting(line: LineResult) -> str:
    """What lies in the box for the line and does not count, lot by lot: it may need no buying."""
    sorts = (*NOT_COUNTED, Role.WRONG_SIZE)
    there = [it for it in line.holdings if it.role in sorts and it.quantity]
    return "".join(f", {it.quantity} of {it.holding.lot.short} {it.role}" for it in there)
