"""Units shared out among wants: each may choose among some of the supplies, none is given twice.

A want served later can make an earlier one change to another of its choices, never give anything
up: along an augmenting path (Ford and Fulkerson 1956, from memory). So wants served first get the
most that they can, and all together no less than any other way of sharing would give them.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

Want: TypeAlias = tuple[int, str]


@dataclass(frozen=True, slots=True)
class _Step:
    """``want`` gets units of ``supply``; to make room it gives up as many of ``instead``."""

    want: Want
    supply: int
    instead: int | None


class Assignment:
    """Who has how many units of which supply."""

    def __init__(self, supplies: Mapping[int, int]) -> None:
        self.free = Counter(supplies)
        self._given: dict[Want, Counter[int]] = {}
        self._choices: dict[Want, Sequence[int]] = {}
        self._holders: dict[int, list[Want]] = {}

    def given(self, want: Want) -> dict[int, int]:
        """How many units of each supply a want has, in the order of its choices."""
        has = self._given.get(want, Counter())
        return {supply: has[supply] for supply in self._choices.get(want, ()) if has[supply]}

    def serve(self, want: Want, quantity: int, choices: Sequence[int]) -> int:
        """Give a want up to so many units of its choices, the first ones first; how many it got."""
        self._choices[want] = choices
        self._given[want] = Counter()
        for supply in choices:
            self._holders.setdefault(supply, []).append(want)
        lacks = quantity
        while lacks and (path := self._path(want)):
            amount = min(lacks, self._room(path))
            self._follow(path, amount)
            lacks -= amount
        return quantity - lacks

    def _path(self, want: Want) -> list[_Step]:
        """The shortest chain of changes that ends at a free unit; empty when there is none."""
        reached: dict[Want, _Step | None] = {want: None}
        seen: set[int] = set()
        queue = deque([want])
        while queue:
            asking = queue.popleft()
            came_by = reached[asking]
            instead = came_by.supply if came_by else None
            fresh = [it for it in self._choices[asking] if it not in seen]
            for supply in fresh:
                if self.free[supply]:
                    return _traced(_Step(asking, supply, instead), reached)
            for supply in fresh:
                seen.add(supply)
                for holder in self._holders[supply]:
                    if holder not in reached and self._given[holder][supply]:
                        reached[holder] = _Step(asking, supply, instead)
                        queue.append(holder)
        return []

    def _room(self, path: Sequence[_Step]) -> int:
        """How many units can follow a path: what is free at its end and held along it."""
        held = [self._given[it.want][it.instead] for it in path if it.instead is not None]
        return min([self.free[path[-1].supply], *held])

    def _follow(self, path: Sequence[_Step], amount: int) -> None:
        for step in path:
            self._given[step.want][step.supply] += amount
            if step.instead is not None:
                self._given[step.want][step.instead] -= amount
        self.free[path[-1].supply] -= amount


def _traced(last: _Step, reached: Mapping[Want, _Step | None]) -> list[_Step]:
    """The steps from the first want to the last."""
    steps = [last]
    while (before := reached[steps[-1].want]) is not None:
        steps.append(before)
    return steps[::-1]
