"""One item through a trip, day by day: what is used from which pack, what ends, what runs short.

Each day's morning brings what arrives; then what is past its last usable day is lost; then the
day's need is taken, the pack that ends first before the others (FEFO; the effective date first,
opened before sealed at an equal date). Opening a sealed pack starts its opened life. What a day
lacks is not made up for on the next.

Without opened lives FEFO serves the most units and wastes the least that any order can: a unit that
ends sooner can always change places with one that ends later (the exchange of earliest-due-date
scheduling, Jackson 1955, from memory). With them it is a good rule and no theorem.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction
from itertools import islice, permutations

from stockcheck.core.calendar import Life
from stockcheck.core.planned_use import Daily


@dataclass(frozen=True, slots=True)
class Pack:
    """Stock of one item that ends on one day; ``last_usable_day`` is None where it never ends.

    ``in_use`` is the life once opened, None where opening changes nothing; then ``size`` units are
    opened at a time (the rest stays sealed). ``arrives`` is the day on whose morning it comes,
    None for stock that is there. ``key`` names it to the caller and decides between equals.
    """

    key: int
    quantity: int
    last_usable_day: date | None = None
    opened: bool = False
    in_use: Life | None = None
    size: int = 1
    arrives: date | None = None
    received: date | None = None

    def __post_init__(self) -> None:
        if self.quantity < 0 or self.size < 1:
            raise ValueError("a pack holds 0 units or more, in packs of 1 or more")


class Event(StrEnum):
    """What happens to stock on a day."""

    ARRIVED = "arrives"
    ENDED = "ends"
    OPENED = "opened"
    USED = "used"
    SHORT = "short"


@dataclass(frozen=True, slots=True)
class Step:
    """On one day so many units of a pack; ``key`` is None for what is short."""

    day: date
    event: Event
    quantity: int
    key: int | None = None


@dataclass(frozen=True, slots=True)
class Projection:
    """How an item fares over the days from ``first`` to ``last``.

    ``wasted`` are units that end before they are used, ``left`` those still good at the end; every
    unit is used, wasted or left.
    """

    first: date
    last: date
    steps: tuple[Step, ...]
    wasted: int
    left: int

    @property
    def short(self) -> int:
        """Units that lack over all the days."""
        return sum(it.quantity for it in self.steps if it.event is Event.SHORT)

    @property
    def used(self) -> int:
        """Units that are used."""
        return sum(it.quantity for it in self.steps if it.event is Event.USED)

    @property
    def first_short(self) -> date | None:
        """The first day on which anything lacks; None where nothing does."""
        return next((it.day for it in self.steps if it.event is Event.SHORT), None)

    @property
    def lasts_through(self) -> date:
        """The last day up to which nothing lacks; the day before the first where none is served."""
        short = self.first_short
        return self.last if short is None else short - timedelta(days=1)

    def short_after(self, day: date) -> int:
        """Units that lack on later days: with the day of return, what lacks of the reserve."""
        return sum(it.quantity for it in self.steps if it.event is Event.SHORT and it.day > day)


Key = tuple[int, ...]


class _Held:
    """Some units of a pack as they stand on a day; ``ends`` is an ordinal day."""

    __slots__ = ("ends", "opened", "pack", "quantity")

    def __init__(self, pack: Pack, quantity: int, ends: int, opened: bool) -> None:
        self.pack, self.quantity, self.ends, self.opened = pack, quantity, ends, opened


Order = Callable[[_Held], Key]
NEVER = date.max.toordinal()


def first_expired(held: _Held) -> Key:
    """FEFO: the earliest effective end, then opened before sealed."""
    return held.ends, not held.opened, held.pack.key


def opened_first(held: _Held) -> Key:
    """A house rule for hygiene: opened before sealed whatever the dates. It can lose stock."""
    return not held.opened, held.ends, held.pack.key


def first_received(held: _Held) -> Key:
    """FIFO: in the order of arrival, whatever the dates."""
    came = held.pack.received or held.pack.arrives
    return came.toordinal() if came else 0, held.pack.key, not held.opened


def project(
    packs: Sequence[Pack], daily: Daily, departs: date, order: Order = first_expired
) -> Projection:
    """How packs serve a need day by day; ``daily`` counts its days from departure, as day 1.

    Give days of reserve as days of need: then the reserve, too, must still be good. Boxes that
    share what they hold are projected as one; leave out the packs of those that do not.
    """
    simulation = _Simulation(packs, order)
    first = departs + timedelta(days=daily.first - 1)
    for place, need in enumerate(daily.quantities):
        simulation.live(first.toordinal() + place, need)
    last = first + timedelta(days=len(daily.quantities) - 1)
    left = simulation.left()
    return Projection(first, last, tuple(simulation.steps), simulation.wasted, left)


class _Simulation:
    def __init__(self, packs: Sequence[Pack], order: Order) -> None:
        self._order = order
        self._held = [_as_held(it) for it in packs if it.arrives is None and it.quantity]
        coming = (it for it in packs if it.arrives is not None and it.quantity)
        self._coming = deque(sorted(coming, key=lambda it: (it.arrives or date.min, it.key)))
        self.steps: list[Step] = []
        self.wasted = 0

    def live(self, day: int, need: int) -> None:
        """One day: receive, lose, use, and record what lacks."""
        self._receive(day)
        self._lose(day)
        while need and self._held:
            held = min(self._held, key=self._order)
            held = self._open(held, day)
            taken = min(need, held.quantity)
            held.quantity -= taken
            need -= taken
            self._note(day, Event.USED, taken, held.pack.key)
            if not held.quantity:
                self._held.remove(held)
        if need:
            self._note(day, Event.SHORT, need)

    def left(self) -> int:
        return sum(it.quantity for it in self._held) + sum(it.quantity for it in self._coming)

    def _receive(self, day: int) -> None:
        while self._coming and (self._coming[0].arrives or date.min).toordinal() <= day:
            pack = self._coming.popleft()
            self._held.append(_as_held(pack))
            self._note(day, Event.ARRIVED, pack.quantity, pack.key)

    def _lose(self, day: int) -> None:
        ended = [it for it in self._held if it.ends < day]
        for held in sorted(ended, key=first_expired):
            self.wasted += held.quantity
            self._held.remove(held)
            self._note(day, Event.ENDED, held.quantity, held.pack.key)

    def _open(self, held: _Held, day: int) -> _Held:
        """What is taken from: an opened pack, broken off the sealed ones where opening counts."""
        pack = held.pack
        if held.opened or pack.in_use is None:
            return held
        size = min(pack.size, held.quantity)
        ends = min(held.ends, pack.in_use.after(date.fromordinal(day)).toordinal())
        self._note(day, Event.OPENED, size, pack.key)
        held.quantity -= size
        if not held.quantity:
            self._held.remove(held)
        broken = _Held(pack, size, ends, True)
        self._held.append(broken)
        return broken

    def _note(self, day: int, event: Event, quantity: int, key: int | None = None) -> None:
        self.steps.append(Step(date.fromordinal(day), event, quantity, key))


def _as_held(pack: Pack) -> _Held:
    ends = pack.last_usable_day.toordinal() if pack.last_usable_day else NEVER
    return _Held(pack, pack.quantity, ends, pack.opened)


@dataclass(frozen=True, slots=True)
class Saving:
    """What taking the first to end first saves against taking packs in a random order.

    Units on the average over ``orders`` orders; ``every_order`` says that these are all there
    are. Negative, which opened lives can bring about, is a loss.
    """

    units_not_short: Fraction
    units_not_wasted: Fraction
    orders: int
    every_order: bool


MOST_IN_EVERY_ORDER = 5
"""Up to so many packs all of their orders are tried (120)."""
ORDERS_TRIED = 120


def saving(packs: Sequence[Pack], daily: Daily, departs: date) -> Saving:
    """What FEFO saves against a random order: people who take what comes to hand.

    A random order is a ranking of the packs, each as likely as any other, kept to through the trip;
    opened units go before the sealed ones of their own pack. Beyond MOST_IN_EVERY_ORDER packs a
    fixed choice of ORDERS_TRIED shuffles stands in for all.
    """
    best = project(packs, daily, departs)
    keys = sorted(it.key for it in packs if it.quantity)
    every = len(keys) <= MOST_IN_EVERY_ORDER
    orders = [tuple(it) for it in permutations(keys)] if every else _shuffles(keys)
    found = [project(packs, daily, departs, _ranked(order)) for order in orders]
    return Saving(
        Fraction(sum(it.short - best.short for it in found), len(found)),
        Fraction(sum(it.wasted - best.wasted for it in found), len(found)),
        len(found),
        every,
    )


def _ranked(order: Sequence[int]) -> Order:
    place = {key: number for number, key in enumerate(order)}
    return lambda held: (place[held.pack.key], not held.opened, held.ends)


def _shuffles(keys: Sequence[int]) -> list[tuple[int, ...]]:
    """Always the same shuffles: Fisher and Yates by a linear congruence (constants of MMIX, from
    memory), since the core leaves nothing to chance.
    """
    seed = 1
    found: list[tuple[int, ...]] = []
    for _ in range(ORDERS_TRIED):
        order = list(keys)
        for place in range(len(order) - 1, 0, -1):
            seed = (seed * 6364136223846793005 + 1442695040888963407) % 2**64
            other = (seed >> 33) % (place + 1)
            order[place], order[other] = order[other], order[place]
        found.append(tuple(order))
    return list(islice(found, ORDERS_TRIED))
