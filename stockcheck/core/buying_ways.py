"""Where a sum of money decides: the undominated ways of spending, want by want.

A way is dominated by another that is worth no more and spends no less where spending is asked for
(and, under a cap, no more in all). Among the rest, over all wants, the best is found that spends
enough at each supplier that asks for it: with packs beyond the need where that is what it takes.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from stockcheck.core.buying_pieces import Cover, Packs, Piece, tails
from stockcheck.core.buying_problem import BEYOND

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

    def within(self, gains: Gains) -> bool:
        """Whether the cap is kept to."""
        return self.cap_cents is None or -gains[-1] <= self.cap_cents

    def met(self, gains: Gains) -> bool:
        """Whether enough is spent everywhere."""
        return all(gains[place] >= cents for place, (_, cents) in enumerate(self.spend))


@dataclass(frozen=True, slots=True)
class Way:
    """One way to cover: its worth, what it gains, and the packs it takes."""

    value: int
    gains: Gains
    link: Link = None


class Work:
    """Steps that are left to the search."""

    def __init__(self, steps: int) -> None:
        self.left = steps

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
    if any(it.low != it.value for it in bests):
        raise TooMany
    rest = sum(it.value for it in bests)
    ways = [Way(0, asked.nothing)]
    for cover, best in zip(covers, bests, strict=True):
        rest -= best.value
        if not _matters(cover, asked):
            ways = [
                Way(it.value + best.value, it.gains, _linked(best.packs, it.link)) for it in ways
            ]
            continue
        room = below - rest - min((it.value for it in ways), default=0)
        mine = _ways_of(cover, allowed, asked, room, work)
        work.spend(len(ways) * len(mine))
        joined = (
            Way(a.value + b.value, gains, _joined(b.link, a.link))
            for a in ways
            for b in mine
            if a.value + b.value + rest < below
            and asked.within(gains := asked.added(a.gains, b.gains))
        )
        ways = front(joined, work)
    able = [it for it in extras if allowed >> it.supplier & 1]
    ways = _with_extras(ways, able, asked, below, work)
    enough = [it for it in ways if asked.met(it.gains) and it.value < below]
    if not enough:
        return None
    least = min(enough, key=lambda it: it.value)
    return least.value, _packs(least.link)


def front(ways: Iterable[Way], work: Work) -> list[Way]:
    """The ways that no other dominates, the least worth first; TooMany when they are too many."""
    kept: list[Way] = []
    stairs: list[tuple[int, int]] = []
    looked = 0
    for way in sorted(ways, key=lambda it: (it.value, tuple(-n for n in it.gains))):
        looked += 1
        if len(way.gains) <= 2:
            if not _climbs(stairs, (*way.gains, 0, 0)[:2]):
                continue
        else:
            looked += len(kept) // 4
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
    at = bisect_right(stairs, (first, BEYOND))
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
    return all(a >= b for a, b in zip(one, other, strict=True))


def _matters(cover: Cover, asked: Asked) -> bool:
    """Whether how a want is covered can change what is spent where it counts."""
    if asked.cap_cents is not None:
        return True
    return any(cover.sellers >> number & 1 for number, _ in asked.spend)


def _ways_of(cover: Cover, allowed: int, asked: Asked, room: int, work: Work) -> list[Way]:
    """The undominated ways to cover one want that are worth less than ``room``."""
    pieces, most = cover.pieces(allowed, more_cents=dict(asked.spend))
    rows = tails(pieces, most)
    work.spend(len(pieces) * (most + 1))
    counting = {number for number, _ in asked.spend}
    at: dict[int, list[Way]] = {0: [Way(0, asked.nothing)]}
    for number, piece in enumerate(pieces):
        at = {cover_: ways for cover_, ways in at.items() if cover_ >= min(piece.floor, most)}
        beyond = not piece.endless and piece.supplier in counting
        at = _taking(piece, at, (rows[number], rows[number + 1]), _Room(room, asked, work, beyond))
    return at.get(most, [])


class _Room(NamedTuple):
    """What ways of one want have to stay within; ``beyond`` the need, too, where that may pay."""

    below: int
    asked: Asked
    work: Work
    beyond: bool

    def tidy(self, ways: Iterable[Way], rest: int) -> list[Way]:
        """The undominated ways that can still be completed, for ``rest`` at least."""
        can = (it for it in ways if it.value + rest < self.below and self.asked.within(it.gains))
        return front(can, self.work)


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
    gain = room.asked.gain(piece.supplier, piece.cents)
    found = dict(before)
    for start in range(most) if piece.endless else sorted(before):
        source = found.get(start, []) if piece.endless else before[start]
        if not source or (start >= most and not room.beyond):
            continue
        more = [
            Way(
                it.value + piece.worth,
                room.asked.added(it.gains, gain),
                (piece.place, piece.packs, it.link),
            )
            for it in source
        ]
        goal = min(most, start + piece.size)
        rest = rows[0][goal] if piece.endless else ends[goal]
        found[goal] = room.tidy([*found.get(goal, []), *more], rest)
    return {at: tidy for at, ways in found.items() if (tidy := room.tidy(ways, ends[at]))}


def _with_extras(
    ways: list[Way], extras: Sequence[Extra], asked: Asked, below: int, work: Work
) -> list[Way]:
    """With packs beyond every need, of suppliers that ask for more to be spent."""
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
                if more.value >= below or not asked.within(more.gains):
                    break
                grown.append(more)
        work.spend(len(ways) + len(grown))
        ways = front([*ways, *grown], work)
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
