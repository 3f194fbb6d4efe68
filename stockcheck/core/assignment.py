"""Units shared out among takers: each may choose among some of the supplies, none is given twice.

A taker served later can make an earlier one change to another of its choices, never give anything
up: along an augmenting path (Ford and Fulkerson 1956, from memory). So takers served first get the
most that they can, and all together no less than any other way of sharing would give them.

Takers are whatever wants units, supplies whatever has a number of them to give: pars that claim
stock, or, the other way about, stock that is laid at the lines of a kit list.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

Taker = TypeVar("Taker", bound=Hashable)


@dataclass(frozen=True, slots=True)
class _Step(Generic[Taker]):
    """``taker`` gets units of ``supply``; to make room it gives up as many of ``instead``."""

    taker: Taker
    supply: int
    instead: int | None


class Assignment(Generic[Taker]):
    """Who has how many units of which supply."""

    def __init__(self, supplies: Mapping[int, int]) -> None:
        self.free = Counter(supplies)
        self._given: dict[Taker, Counter[int]] = {}
        self._choices: dict[Taker, Sequence[int]] = {}
        self._holders: dict[int, list[Taker]] = {}

    def enter(self, taker: Taker, choices: Sequence[int]) -> None:
        """Let a taker in, with nothing yet, and say which supplies suit it, the best first."""
        self._choices[taker] = choices
        self._given[taker] = Counter()
        for supply in choices:
            self._holders.setdefault(supply, []).append(taker)

    def given(self, taker: Taker) -> dict[int, int]:
        """How many units of each supply a taker has, in the order of its choices."""
        has = self._given.get(taker, Counter())
        return {supply: has[supply] for supply in self._choices.get(taker, ()) if has[supply]}

    def give(self, taker: Taker, supply: int, quantity: int) -> int:
        """Give a taker up to so many free units of one of its choices; how many it got."""
        amount = max(0, min(quantity, self.free[supply]))
        self._given[taker][supply] += amount
        self.free[supply] -= amount
        return amount

    def add(self, taker: Taker, quantity: int) -> int:
        """Give a taker up to so many more units, others making room; how many it got."""
        lacks = quantity
        while lacks > 0 and (path := self._path(taker)):
            amount = min(lacks, self._room(path))
            self._follow(path, amount)
            lacks -= amount
        return quantity - lacks

    def serve(self, taker: Taker, quantity: int, choices: Sequence[int]) -> int:
        """Let a taker in and give it up to so many units, the first choices first."""
        self.enter(taker, choices)
        return self.add(taker, quantity)

    def _path(self, first: Taker) -> list[_Step[Taker]]:
        """The shortest chain of changes that ends at a free unit; empty when there is none."""
        reached: dict[Taker, _Step[Taker] | None] = {first: None}
        seen: set[int] = set()
        queue = deque([first])
        while queue:
            asking = queue.popleft()
            came_by = reached[asking]
            instead = came_by.supply if came_by else None
            fresh = [it for it in self._choices[asking] if it not in seen]
            for supply in fresh:
                if self.free[supply] > 0:
                    return _traced(_Step(asking, supply, instead), reached)
            for supply in fresh:
                seen.add(supply)
                for holder in self._holders[supply]:
                    if holder not in reached and self._given[holder][supply]:
                        reached[holder] = _Step(asking, supply, instead)
                        queue.append(holder)
        return []

    def _room(self, path: Sequence[_Step[Taker]]) -> int:
        """How many units can follow a path: what is free at its end and held along it."""
        held = [self._given[it.taker][it.instead] for it in path if it.instead is not None]
        return min([self.free[path[-1].supply], *held])

    def _follow(self, path: Sequence[_Step[Taker]], amount: int) -> None:
        for step in path:
            self._given[step.taker][step.supply] += amount
            if step.instead is not None:
                self._given[step.taker][step.instead] -= amount
        self.free[path[-1].supply] -= amount


def _traced(last: _Step[Taker], reached: Mapping[Taker, _Step[Taker] | None]) -> list[_Step[Taker]]:
    """The steps from the first taker to the last."""
    steps = [last]
    while (before := reached[steps[-1].taker]) is not None:
        steps.append(before)
    return steps[::-1]
