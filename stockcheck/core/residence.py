"""Where the units of a lot have been: the ways into each place that its movements tell.

Units of a lot are alike, so those in one place may have come by more than one way; every way is
told, and whoever estimates what heat did takes the one that ends first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import NamedTuple, TypeAlias

from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import NOWHERE, Stay
from stockcheck.core.model import Holding

MOST_WAYS = 16
Way: TypeAlias = tuple[tuple[int, date], ...]
"""The boxes that units were in, in order, each with the day on which they came into it."""


class Spot(NamedTuple):
    """A place that a ledger tells apart: a box, the day of opening, the state."""

    box_id: int
    opened_on: date | None
    state: str


class Step(NamedTuple):
    """One movement of one lot: how many units more or fewer in which spots, on a day.

    ``recounted`` tells that nothing moved: the books were only set to what was there.
    """

    on: date
    lines: tuple[tuple[Spot, int], ...]
    recounted: bool = False


def spot_of(holding: Holding) -> Spot:
    """The spot that a holding is."""
    return Spot(holding.box.id, holding.opened_on, holding.state)


def ways(steps: Iterable[Step], harm: Callable[[Way], float] = len) -> dict[Spot, tuple[Way, ...]]:
    """The ways into each spot, by a lot's movements in the order in which they were written.

    A spot that was emptied forgets the ways of what is gone when something else comes into it.
    At most ``MOST_WAYS`` are kept for a spot, those of the most ``harm``.
    """
    found: dict[Spot, tuple[Way, ...]] = {}
    there: Counter[Spot] = Counter()
    for step in steps:
        came = _came(step, found)
        for spot, quantity in step.lines:
            if quantity > 0:
                arriving = [_onward(way, spot.box_id, step.on) for way in came]
                known = found.get(spot, ()) if there[spot] > 0 or step.recounted else ()
                found[spot] = _most((*known, *arriving), harm)
            there[spot] += quantity
    return found


def _came(step: Step, found: Mapping[Spot, tuple[Way, ...]]) -> list[Way]:
    """The ways of what a step puts somewhere, so far; an empty one for what is new.

    Units that a count finds came by the ways known there, else from wherever the lot was before.
    """
    sources = [spot for spot, quantity in step.lines if quantity < 0]
    if step.recounted:
        if any(found.get(spot) for spot, _ in step.lines):
            return []
        sources = list(found)
    return [way for spot in sources for way in found.get(spot, ())] or [()]


def _onward(way: Way, box_id: int, on: date) -> Way:
    """A way with one more box. What was written later but happened earlier cuts the way short."""
    kept = tuple(each for each in way if each[1] < on)
    if kept and kept[-1][0] == box_id:
        return kept
    return (*kept, (box_id, on))


def _most(every: tuple[Way, ...], harm: Callable[[Way], float]) -> tuple[Way, ...]:
    different = tuple(dict.fromkeys(every))
    if len(different) <= MOST_WAYS:
        return different
    return tuple(sorted(different, key=harm, reverse=True)[:MOST_WAYS])


def stays(way: Way, exposures: Mapping[int, Exposure], names: Mapping[int, str]) -> list[Stay]:
    """A way as stays: each until the next one's day, the last one open."""
    ends = [day for _, day in way[1:]] + [None]
    return [
        Stay(names.get(box, ""), since, until, exposures.get(box, NOWHERE))
        for (box, since), until in zip(way, ends, strict=True)
    ]


def kept_from(usual: Sequence[Stay], on: date, then: Stay) -> list[Stay]:
    """The stays up to a day, and another one from that day on."""
    return [*_until(usual, on), replace(then, since=on, until=None)]


def with_trip(
    usual: Sequence[Stay], departs: date, returns: date, exposure: Exposure
) -> list[Stay]:
    """The stays with the trip's exposure in their place from departure to the end of the return.

    What came in on the way is on the trip from then on; afterwards the stays go on as they were.
    """
    begins, ends = max(departs, usual[0].since), returns + timedelta(days=1)
    if begins >= ends:
        return list(usual)
    going = Stay(f"{usual[-1].box} on the trip", begins, ends, exposure)
    after = [
        replace(stay, since=max(stay.since, ends))
        for stay in usual
        if stay.until is None or stay.until > ends
    ]
    return [*_until(usual, begins), going, *after]


def _until(usual: Sequence[Stay], day: date) -> list[Stay]:
    return [
        replace(stay, until=day if stay.until is None else min(stay.until, day))
        for stay in usual
        if stay.since < day
    ]
