"""One want, and the best way to cover it from the suppliers that are allowed.

A covering knapsack: the least worth of packs with at least so many units, over the offers from the
longest lasting on, with a floor after each group of offers that are good equally long. Exact by
dynamic programming over the units reached. Where a need is very large, most of it is bought from
the cheapest offer by the unit: without loss where what remains is at least its size times the
largest size (of that many packs of others some would add up to a multiple of it).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import gcd
from typing import NamedTuple

from stockcheck.core.buying import OnSale, Want
from stockcheck.core.buying_problem import BEYOND, Problem, ends, worth

NOBODY = -1
MOST_STEPS = 300_000
"""Units times offers of one want that are worked through; beyond it most is bought in bulk."""
FAR_TOO_MANY_STEPS = 4 * MOST_STEPS
"""Beyond it limited stock is taken as it comes, the cheapest first, which is not exact."""
Rebates = tuple[tuple[int, int], ...]
"""Suppliers' numbers, and by how many sixteenths their prices are lowered for a bound."""
Packs = tuple[tuple[int, int], ...]
"""Places of offers, and how many packs of each."""


class Piece(NamedTuple):
    """Some packs of one offer that are taken or not; without end where ``endless``.

    ``size`` is what they add to the cover, ``floor`` the cover that must be reached before them.
    """

    place: int
    supplier: int
    packs: int
    size: int
    worth: int
    cents: int
    endless: bool
    floor: int


@dataclass(frozen=True, slots=True)
class Best:
    """The best cover from some suppliers; ``low`` is a bound below it, equal where it is exact."""

    value: int
    low: int
    packs: Packs
    used: int


NO_WAY = Best(BEYOND, BEYOND, (), 0)


class Cover:
    """The ways to cover one want; answers are kept, and serve every set of suppliers they fit."""

    def __init__(self, problem: Problem, want: Want, skip_share: int | None = None) -> None:
        """With ``skip_share``, the worth of leaving a unit uncovered, nothing has to be covered."""
        self.want = want
        self.offers = problem.offers_for(want)
        numbers = {it.supplier: n for n, it in enumerate(problem.terms)}
        self._supplier = {place: numbers[it.supplier] for place, it in self.offers}
        self.sellers = sum({1 << n for n in self._supplier.values()})
        self.skip_share = skip_share
        self.step = self._common_step()
        self._known: list[tuple[int, Best]] = []
        self._by_mask: dict[int, Best] = {}
        self._repriced: dict[tuple[int, Rebates, int], int] = {}
        self.steps = 0

    def best(self, allowed: int) -> Best:
        """The best cover from the suppliers in a mask of their numbers."""
        mask = allowed & self.sellers
        found = self._by_mask.get(mask)
        if found is None:
            fitting = (it for of, it in self._known if mask & ~of == 0 and it.used & ~mask == 0)
            found = next(fitting, None)
            if found is None:
                found = self._solve(mask)
                self._known.append((mask, found))
            self._by_mask[mask] = found
        return found

    def pieces(
        self, allowed: int, bulk: Packs = (), more_cents: Mapping[int, int] | None = None
    ) -> tuple[list[Piece], int]:
        """The pieces from some suppliers, and the cover that they must come to.

        Of a supplier in ``more_cents`` limited stock may be bought beyond the need, for as much.
        """
        ahead = dict(bulk)
        floors = self._floors(sum(n * self._size(place) for place, n in bulk))
        found: list[Piece] = []
        if self.skip_share is not None:
            share = self.skip_share * self.step
            found.append(Piece(NOBODY, NOBODY, 1, 1, share, 0, True, 0))
        for place, offer in self.offers:
            number = self._supplier[place]
            if allowed >> number & 1:
                floor = max((n for day, n in floors if day > ends(offer)), default=0)
                left = self._left(offer, ahead.get(place, 0), (more_cents or {}).get(number, 0))
                found.extend(self._split(place, number, offer, floor, left))
        return found, max((n for _, n in floors), default=0)

    def repriced(self, allowed: int, rebates: Rebates, dearer: int = 0) -> int:
        """The least worth of a cover when some prices are lowered, and every cent is dearer."""
        mask = allowed & self.sellers
        mine = tuple(it for it in rebates if mask >> it[0] & 1 and it[1])
        if not mine and not dearer:
            return self.best(allowed).value
        if (mask, mine, dearer) not in self._repriced:
            pieces, most = self.pieces(allowed)
            self.steps += len(pieces) * (most + 1)
            rows = tails([repriced(it, mine, dearer) for it in pieces], most)
            self._repriced[mask, mine, dearer] = rows[0][0]
        return self._repriced[mask, mine, dearer]

    def _floors(self, bought: int) -> list[tuple[date, int]]:
        return [
            (it.good_on, max(0, -(-(it.units) // self.step) - bought)) for it in self.want.levels
        ]

    def _size(self, place: int) -> int:
        return next(it.size for at, it in self.offers if at == place) // self.step

    def _left(self, offer: OnSale, gone: int, more_cents: int) -> int:
        """How many packs of a limited offer can be of use."""
        useful = -(-self.want.units // offer.size)
        if offer.price_cents:
            useful += -(-more_cents // offer.price_cents)
        return min((offer.stock or 0) - gone, useful)

    def _split(self, place: int, number: int, offer: OnSale, floor: int, left: int) -> list[Piece]:
        """An offer as one endless piece, or as pieces of 1, 2, 4 ... packs up to its stock."""
        size, each, cents = offer.size // self.step, worth_of(place, offer), offer.price_cents
        if offer.stock is None:
            return [Piece(place, number, 1, size, each, cents, True, floor)]
        some, found = 1, []
        while left > 0:
            n = min(some, left)
            found.append(Piece(place, number, n, n * size, n * each, n * cents, False, floor))
            left, some = left - n, 2 * some
        return found

    def _common_step(self) -> int:
        if self.skip_share is not None or not self.offers:
            return 1
        return gcd(*(it.size for _, it in self.offers))

    @property
    def too_large(self) -> bool:
        """Whether the need is so large that it is never worked through unit by unit."""
        return self._steps_for(self.sellers) > MOST_STEPS

    def _steps_for(self, mask: int) -> int:
        count = sum(mask >> n & 1 for n in self._supplier.values())
        return -(-self.want.units // self.step) * count

    def _solve(self, mask: int) -> Best:
        if self.skip_share is not None and self.too_large:
            return Best(self.skip_share * self.want.units, 0, (), 0)
        bulk, low_only = self._bulk(mask)
        pieces, most = self.pieces(mask, bulk)
        if len(pieces) * most > FAR_TOO_MANY_STEPS:
            return self._as_it_comes(mask)
        self.steps += len(pieces) * (most + 1)
        rest = tails(pieces, most)
        if rest[0][0] >= BEYOND:
            return NO_WAY
        packs: dict[int, int] = dict(bulk)
        for piece, times in walk(pieces, rest, most):
            packs[piece.place] = packs.get(piece.place, 0) + times * piece.packs
        packs.pop(NOBODY, None)
        by_place = dict(self.offers)
        value = rest[0][0] + sum(n * worth_of(place, by_place[place]) for place, n in bulk)
        used = 0
        for place, n in packs.items():
            used |= (1 << self._supplier[place]) if n else 0
        low = self._fraction(mask) if low_only else value
        return Best(value, low, tuple(sorted(packs.items())), used)

    def _bulk(self, mask: int) -> tuple[Packs, bool]:
        """Packs of the cheapest offer by the unit to buy ahead, and whether that may lose money."""
        endless = [
            (place, it)
            for place, it in self.offers
            if mask >> self._supplier[place] & 1
            and it.stock is None
            and all(ends(it) >= level.good_on for level in self.want.levels)
        ]
        count = sum(mask >> n & 1 for n in self._supplier.values())
        need = -(-self.want.units // self.step)
        if self._steps_for(mask) <= MOST_STEPS or not endless:
            return (), False
        place, best = min(endless, key=lambda it: (it[1].price_cents / it[1].size, it[0]))
        others = (it for at, it in self.offers if mask >> self._supplier[at] & 1)
        cheapest = all(best.price_cents * it.size <= it.price_cents * best.size for it in others)
        size = best.size // self.step
        largest = max(it.size for _, it in self.offers) // self.step
        safe = size * largest
        keep = min(safe, max(MOST_STEPS // count, 2 * largest))
        packs = max(0, (need - keep) // size)
        return ((place, packs),) if packs else (), not (cheapest and keep == safe)

    def _as_it_comes(self, mask: int) -> Best:
        """A cover of a very large need out of limited stock: the cheapest by the unit first."""
        packs: dict[int, int] = {}
        by_place = dict(self.offers)
        for level in reversed(self.want.levels):
            lasting = [
                place
                for place, it in self.offers
                if mask >> self._supplier[place] & 1 and ends(it) >= level.good_on
            ]
            left = level.units - sum(packs.get(it, 0) * by_place[it].size for it in lasting)
            for place in sorted(
                lasting, key=lambda it: by_place[it].price_cents / by_place[it].size
            ):
                offer = by_place[place]
                times = max(0, -(-left // offer.size))
                if offer.stock is not None:
                    times = min(times, offer.stock - packs.get(place, 0))
                packs[place] = packs.get(place, 0) + times
                left -= times * offer.size
            if left > 0:
                return NO_WAY
        taken = {place: n for place, n in packs.items() if n}
        value = sum(n * worth_of(place, by_place[place]) for place, n in taken.items())
        used = 0
        for place in taken:
            used |= 1 << self._supplier[place]
        return Best(value, self._fraction(mask), tuple(sorted(taken.items())), used)

    def _fraction(self, mask: int) -> int:
        """A bound below every cover: as if packs could be cut, at each level."""
        most = 0
        for level in self.want.levels:
            left, cents = level.units, 0
            offers = [
                it
                for place, it in self.offers
                if mask >> self._supplier[place] & 1 and ends(it) >= level.good_on
            ]
            for it in sorted(offers, key=lambda it: it.price_cents / it.size):
                units = left if it.stock is None else min(left, it.stock * it.size)
                cents += units * it.price_cents // it.size
                left -= units
            most = max(most, cents)
        return worth(money=most)


def repriced(piece: Piece, rebates: Rebates, dearer: int = 0) -> Piece:
    """A piece with its supplier's rebate, and so much worth more for every cent."""
    more = piece.cents * dearer
    for number, sixteenths in rebates:
        if piece.supplier == number:
            more -= worth(money=piece.cents) * sixteenths // 16
    return piece._replace(worth=piece.worth + more) if more else piece


def tails(pieces: Sequence[Piece], most: int) -> list[list[int]]:
    """For each piece, and each cover reached before it, the least worth that completes the want.

    What lies below a floor cannot be completed. The list has one row more than there are pieces:
    the last says whether the want is covered.
    """
    row = [BEYOND] * most + [0]
    rows = [row]
    for piece in reversed(pieces):
        row = _before(piece, row, most)
        if piece.floor:
            row[: min(piece.floor, most)] = [BEYOND] * min(piece.floor, most)
        rows.append(row)
    return rows[::-1]


def _before(piece: Piece, after: list[int], most: int) -> list[int]:
    """The row before a piece, from the row after it."""
    size, value = piece.size, piece.worth
    full = value + after[most]
    near = max(0, most - size)
    row = after[:near] + [min(it, full) for it in after[near:most]] + after[most:]
    source = row if piece.endless else after
    for at in range(near - 1, -1, -1):
        taken = value + source[at + size]
        row[at] = min(row[at], taken)
    return row


def walk(
    pieces: Sequence[Piece], rest: Sequence[Sequence[int]], most: int
) -> list[tuple[Piece, int]]:
    """The pieces that the least worth takes, and how often; the later offers where worths tie."""
    found = []
    at = 0
    for number, piece in enumerate(pieces):
        times = 0
        while at < most and rest[number][at] != rest[number + 1][at]:
            times += 1
            at = min(most, at + piece.size)
            if not piece.endless:
                break
        if times:
            found.append((piece, times))
    return found


def worth_of(place: int, offer: OnSale) -> int:
    """The worth of one pack of an offer."""
    return worth(offer.price_cents, offer.size, 0, place + 1)
