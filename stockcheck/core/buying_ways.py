"""Where a sum of money decides: the undominated ways of spending, want by want.

A way is dominated by another that is worth no more and spends no less where spending is asked for
(and, under a cap, no more in all). Among the rest, over all wants, the best is found that spends
enough at each supplier that asks for it: with packs beyond the need where that is what it takes.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from operator import ge
from typing import NamedTuple

from stockcheck.core.buying_pieces import Cover, Packs, Piece, Rebates, repriced, tails
from stockcheck.core.buying_problem import worth

_FAR = 1 << 62
MOST_WAYS = 6_000
"""Undominated ways that are followed at once; beyond it the search gives up on being exact."""

Gains = tuple[int, ...]
Link = tuple[int, int, "Link"] | None
"""Packs of an offer's place, and what was taken before."""


class TooMany(Exception):
    """More undominated ways than can be followed."""


class Extra(NamedTuple):
    """A pack that may be bought beyond the need, as often as it takes."""

    place: int
    supplier: int
    worth: int
    cents: int


@dataclass(frozen=True, slots=True)
class Asked:
    """What a plan has to spend where: cents by supplier's number; and what all may cost at most."""

    spend: tuple[tuple[int, int], ...]
    cap_cents: int | None = None

    def gain(self, supplier: int, cents: int) -> Gains:
        """What a purchase adds: cents at each supplier asked for, and less of the cap."""
        at = tuple(cents if supplier == number else 0 for number, _ in self.spend)
        return at if self.cap_cents is None else (*at, -cents)

    def added(self, one: Gains, other: Gains) -> Gains:
        """Two gains together, none counted beyond what is asked for."""
        both = [a + b for a, b in zip(one, other, strict=True)]
        for place, (_, cents) in enumerate(self.spend):
            both[place] = min(both[place], cents)
        return tuple(both)

    @property
    def nothing(self) -> Gains:
        """The gains of buying nothing."""
        return (0,) * (len(self.spend) + (self.cap_cents is not None))

    def keeps(self, way: Way) -> bool:
        """Whether the cap is kept to."""
        return self.cap_cents is None or -way.gains[-1] <= self.cap_cents

    def met(self, gains: Gains) -> bool:
        """Whether enough is spent everywhere."""
        return all(gains[place] >= cents for place, (_, cents) in enumerate(self.spend))


@dataclass(frozen=True, slots=True)
class Way:
    """One way to cover: its worth, what it gains, and the packs it takes."""

    value: int
    gains: Gains
    link: Link = None

    @property
    def spent_first(self) -> Gains:
        """Sorts ways of one worth: those that spend more where it is asked first."""
        return tuple(-it for it in self.gains)


class Work:
    """Steps that are left to the search; ``dearer`` is what bounded best under a cap last."""

    def __init__(self, steps: int) -> None:
        self.left = steps
        self.dearer = worth(money=1)

    def spend(self, steps: int) -> None:
        """Count steps; TooMany when none are left."""
        self.left -= steps
        if self.left < 0:
            raise TooMany


def cheapest_meeting(
    covers: Sequence[Cover],
    extras: Sequence[Extra],
    allowed: int,
    asked: Asked,
    below: int,
    work: Work,
) -> tuple[int, Packs] | None:
    """The best plan worth less than ``below`` that spends what is asked; None where none is.

    TooMany when it cannot be found with the steps that are left.
    """
    bests = [it.best(allowed) for it in covers]
    if any(it.too_large for it in covers):
        raise TooMany
    bound = _Bound(covers, allowed, asked, below, work)
    rest = bound.rest()
    if rest + bound.owed(asked.nothing) >= below:
        return None
    ways = [Way(0, asked.nothing)]
    for cover, best in zip(covers, bests, strict=True):
        rest -= bound.of(cover)
        if not _matters(cover, asked):
            value, packs = best.value, best.packs
            ways = [Way(it.value + value, it.gains, _linked(packs, it.link)) for it in ways]
            continue
        room = below - rest - min((bound.total(it) for it in ways), default=0)
        mine = _ways_of(cover, allowed, bound, room, work)
        work.spend(8 * len(ways) * len(mine))
        joined = (
            Way(a.value + b.value, asked.added(a.gains, b.gains), _joined(b.link, a.link))
            for a in ways
            for b in mine
        )
        ways = front((it for it in joined if bound.total(it) + rest < below), asked, work)
    able = [it for it in extras if allowed >> it.supplier & 1]
    ways = _with_extras(ways, able, bound, below, work)
    enough = [it for it in ways if asked.met(it.gains) and it.value < below]
    if not enough:
        return None
    least = min(enough, key=lambda it: it.value)
    return least.value, _packs(least.link)


class _Bound:
    """A bound below what completes a way: by prices that are changed where money decides.

    Lagrange's: with a part of each price taken off, and the same part of what has to be spent owed,
    no plan that spends it costs less; with every cent made dearer, and as much given back for the
    cap, no plan within it is worth less. The changes are those that bound best.
    """

    def __init__(
        self, covers: Sequence[Cover], allowed: int, asked: Asked, below: int, work: Work
    ) -> None:
        """Prices are changed until they bound best, or prove that nothing is below ``below``."""
        self._covers, self._allowed, self.asked, self._work = covers, allowed, asked, work
        self.rebates: Rebates = tuple((number, 0) for number, _ in asked.spend)
        self.dearer = 0 if asked.cap_cents is None else work.dearer
        for step in (8, 4, 2, 1) * bool(asked.spend):
            for place in range(len(self.rebates)):
                self._rebate(place, step)
        if asked.cap_cents is not None:
            for wide in (1 << 24, 1 << 8, 16, 4, 2):
                while self._value() < below and self._price(wide):
                    work.spend(8 * len(covers))
            work.dearer = self.dearer

    def of(self, cover: Cover) -> int:
        """The least worth of one want's cover at the changed prices."""
        return cover.repriced(self._allowed, self.rebates, self.dearer)

    def rest(self) -> int:
        """The least worth of all covers at the changed prices."""
        return sum(self.of(it) for it in self._covers)

    def owed(self, gains: Gains) -> int:
        """What is still to be spent, or left of the cap, at the changes of price."""
        total = 0
        for place, (_, cents) in enumerate(self.asked.spend):
            sixteenths = self.rebates[place][1]
            total += worth(money=cents - gains[place]) * sixteenths // 16
        if self.asked.cap_cents is not None:
            total -= self.dearer * (self.asked.cap_cents + gains[-1])
        return total

    def total(self, way: Way) -> int:
        """A way's worth, with what it still owes."""
        return way.value + self.owed(way.gains)

    def of_piece(self, piece: Piece) -> Piece:
        """A piece at the changed prices."""
        return repriced(piece, self.rebates, self.dearer)

    def _value(self) -> int:
        value = self.rest() + self.owed(self.asked.nothing)
        if self.asked.cap_cents is not None:
            steps = sum(it.steps for it in self._covers)
            for it in self._covers:
                it.steps = 0
            self._work.spend(steps // 2 + 2 * len(self._covers))
        return value

    def _rebate(self, place: int, step: int) -> None:
        before = self.rebates
        number, part = before[place]
        tried = []
        for it in sorted({part, max(0, part - step), min(16, part + step)}):
            self.rebates = (*before[:place], (number, it), *before[place + 1 :])
            tried.append((self._value(), self.rebates))
        self.rebates = max(tried, key=lambda it: it[0])[1]

    def _price(self, wide: int) -> bool:
        """Make cents dearer or cheaper by a factor, where that bounds better; whether it did."""
        before, best = self.dearer, self._value()
        for other in (before * wide, before // wide):
            self.dearer = other
            if self._value() > best:
                return True
        self.dearer = before
        return False


def front(ways: Iterable[Way], asked: Asked, work: Work) -> list[Way]:
    """The ways within the cap that no other dominates, the least worth first; TooMany when they
    are too many.
    """
    kept: list[Way] = []
    stairs: list[tuple[int, int]] = []
    looked = 0
    for way in sorted(filter(asked.keeps, ways), key=lambda it: (it.value, it.spent_first)):
        looked += 12
        if len(way.gains) <= 2:
            if not _climbs(stairs, (*way.gains, 0, 0)[:2]):
                continue
        else:
            looked += len(kept) // 2
            if any(_no_less(it.gains, way.gains) for it in kept):
                continue
        kept.append(way)
        if len(kept) > MOST_WAYS:
            raise TooMany
    work.spend(looked)
    return kept


def _climbs(stairs: list[tuple[int, int]], point: tuple[int, ...]) -> bool:
    """Whether a point lies beyond every step of the stairs; it is made a step of them then.

    Steps are kept as (−first, second), with falling firsts and rising seconds.
    """
    first, second = -point[0], point[1]
    at = bisect_right(stairs, (first, _FAR))
    if at and stairs[at - 1][1] >= second:
        return False
    if at and stairs[at - 1][0] == first:
        at -= 1
    end = at
    while end < len(stairs) and (stairs[end][0] == first or stairs[end][1] <= second):
        end += 1
    stairs[at:end] = [(first, second)]
    return True


def _no_less(one: Gains, other: Gains) -> bool:
    return all(map(ge, one, other))


def _matters(cover: Cover, asked: Asked) -> bool:
    """Whether how a want is covered can change what is spent where it counts."""
    if asked.cap_cents is not None:
        return True
    return any(cover.sellers >> number & 1 for number, _ in asked.spend)


def _ways_of(cover: Cover, allowed: int, bound: _Bound, room: int, work: Work) -> list[Way]:
    """The undominated ways to cover one want that are worth less than ``room``.

    Room counts at lowered prices: a way's worth, less the rebates on what it spends.
    """
    asked = bound.asked
    pieces, most = cover.pieces(allowed, more_cents=dict(asked.spend))
    rows = tails([bound.of_piece(it) for it in pieces], most)
    work.spend(len(pieces) * (most + 1) // 8)
    counting = {number for number, _ in asked.spend}
    room += bound.owed(asked.nothing)
    at: dict[int, list[Way]] = {0: [Way(0, asked.nothing)]}
    for number, piece in enumerate(pieces):
        at = {cover_: ways for cover_, ways in at.items() if cover_ >= min(piece.floor, most)}
        beyond = not piece.endless and piece.supplier in counting
        at = _taking(piece, at, (rows[number], rows[number + 1]), _Room(room, bound, work, beyond))
    return at.get(most, [])


class _Room(NamedTuple):
    """What ways of one want have to stay within; ``beyond`` the need, too, where that may pay."""

    below: int
    bound: _Bound
    work: Work
    beyond: bool

    def tidy(self, ways: Iterable[Way], rest: int) -> list[Way]:
        """The undominated ways that can still be completed, for ``rest`` at least."""
        can = (it for it in ways if self.bound.total(it) + rest < self.below)
        return front(can, self.bound.asked, self.work)


def _taking(
    piece: Piece,
    before: dict[int, list[Way]],
    rows: tuple[Sequence[int], Sequence[int]],
    room: _Room,
) -> dict[int, list[Way]]:
    """What is reached with and without a piece; ``rows`` tell what completing costs from there,
    before it and after it.
    """
    ends = rows[1]
    most = len(ends) - 1
    asked = room.bound.asked
    gain = asked.gain(piece.supplier, piece.cents)
    found = dict(before)
    for start in range(most) if piece.endless else sorted(before):
        source = found.get(start, []) if piece.endless else before[start]
        if not source or (start >= most and not room.beyond):
            continue
        more = [
            Way(
                it.value + piece.worth,
                asked.added(it.gains, gain),
                (piece.place, piece.packs, it.link),
            )
            for it in source
        ]
        goal = min(most, start + piece.size)
        rest = rows[0][goal] if piece.endless else ends[goal]
        found[goal] = room.tidy([*found.get(goal, []), *more], rest)
    return {at: tidy for at, ways in found.items() if (tidy := room.tidy(ways, ends[at]))}


def _with_extras(
    ways: list[Way], extras: Sequence[Extra], bound: _Bound, below: int, work: Work
) -> list[Way]:
    """With packs beyond every need, of suppliers that ask for more to be spent."""
    asked = bound.asked
    goals = {number: (place, cents) for place, (number, cents) in enumerate(asked.spend)}
    for extra in extras:
        if extra.supplier not in goals:
            continue
        at, goal = goals[extra.supplier]
        gain = asked.gain(extra.supplier, extra.cents)
        grown: list[Way] = []
        for way in ways:
            more = way
            while more.gains[at] < goal:
                more = Way(
                    more.value + extra.worth,
                    asked.added(more.gains, gain),
                    (extra.place, 1, more.link),
                )
                if bound.total(more) >= below or not asked.keeps(more):
                    break
                grown.append(more)
        work.spend(8 * (len(ways) + len(grown)))
        ways = front([*ways, *grown], asked, work)
    return ways


def _linked(packs: Packs, link: Link) -> Link:
    for place, number in packs:
        link = (place, number, link)
    return link


def _joined(new: Link, before: Link) -> Link:
    while new is not None:
        before = (new[0], new[1], before)
        new = new[2]
    return before


def _packs(link: Link) -> Packs:
    found: dict[int, int] = {}
    while link is not None:
        place, number, link = link
        if place >= 0:
            found[place] = found.get(place, 0) + number
    return tuple(sorted(found.items()))
