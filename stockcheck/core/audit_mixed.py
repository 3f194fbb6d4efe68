"""Stock that could serve lines counted by different measures: packs at one, pieces at another.

There a plain assignment does not do, since a pack given to one line is several pieces lost to
another. Such stock is parted into groups that share lines; within a group every way of giving whole
packs is tried, and what is over is assigned piece by piece. The way that leaves the least missing
is taken, in pieces; of equal ones that which meets most lines, then that which gives most packs.
Groups with more ways than can be tried give packs first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from stockcheck.core.audit_matching import Flow, assign

MOST_WAYS = 500
"""How many ways a group is tried in: so that an audit of many boxes stays quick."""


@dataclass(frozen=True, slots=True)
class Sharing:
    """Stock of one sort: its pieces, and of each line it could serve the rank and the measure.

    ``most`` is how many whole units of each line it could give, were there no other line.
    """

    pieces: int
    lines: Mapping[int, tuple[int, int]]
    most: Mapping[int, int]

    @property
    def is_mixed(self) -> bool:
        """Whether its lines count by different measures."""
        return len({measure for _, measure in self.lines.values()}) > 1


def groups_with_mixed(stock: Mapping[int, Sharing]) -> list[tuple[int, ...]]:
    """The stock that shares lines with any that is mixed, group by group."""
    left = dict(stock)
    groups = []
    while left:
        first = next(iter(left))
        group, lines = [first], set(left.pop(first).lines)
        while near := [at for at, it in left.items() if lines & set(it.lines)]:
            for at in near:
                lines |= set(left.pop(at).lines)
                group.append(at)
        if any(stock[at].is_mixed for at in group):
            groups.append(tuple(sorted(group)))
    return groups


def shared_out(
    stock: Mapping[int, Sharing], need: Mapping[int, int], weights: Mapping[int, int]
) -> Flow:
    """How many units of each stock go to each line, for the stock of one group.

    ``weights`` are the pieces that one unit of each line stands for.
    """
    packs = sorted(
        (
            (at, line)
            for at, it in stock.items()
            if it.is_mixed
            for line, (_, measure) in it.lines.items()
            if measure > 1 and need.get(line, 0) > 0
        ),
        key=lambda pair: (stock[pair[0]].lines[pair[1]][0], pair[1], pair[0]),
    )
    best: Flow = {}
    best_score = (-1, -1)
    for given in _ways(packs, stock, need):
        flow = given | _rest(stock, need, given)
        score = _score(flow, need, weights)
        if score > best_score:
            best, best_score = flow, score
    return {pair: units for pair, units in best.items() if units}


def _ways(
    packs: Sequence[tuple[int, int]], stock: Mapping[int, Sharing], need: Mapping[int, int]
) -> Iterator[Flow]:
    """Every way of giving whole packs that stock and need allow, the most packs first."""
    most = [min(need[line], stock[at].most[line]) for at, line in packs]
    ways = 1
    for each in most:
        ways *= each + 1
    if ways > MOST_WAYS:
        yield _packs_first(packs, stock, need)
        return
    for units in product(*(range(each, -1, -1) for each in most)):
        given = dict(zip(packs, units, strict=True))
        if _is_possible(given, stock, need):
            yield given


def _is_possible(given: Flow, stock: Mapping[int, Sharing], need: Mapping[int, int]) -> bool:
    taken: dict[int, int] = {}
    served: dict[int, int] = {}
    for (at, line), units in given.items():
        taken[at] = taken.get(at, 0) + units * stock[at].lines[line][1]
        served[line] = served.get(line, 0) + units
    return all(pieces <= stock[at].pieces for at, pieces in taken.items()) and all(
        units <= need[line] for line, units in served.items()
    )


def _packs_first(
    packs: Sequence[tuple[int, int]], stock: Mapping[int, Sharing], need: Mapping[int, int]
) -> Flow:
    left = {at: it.pieces for at, it in stock.items()}
    wanting = dict(need)
    given: Flow = {}
    for at, line in packs:
        measure = stock[at].lines[line][1]
        units = min(wanting[line], stock[at].most[line], left[at] // measure)
        given[at, line] = units
        wanting[line] -= units
        left[at] -= units * measure
    return given


def _rest(stock: Mapping[int, Sharing], need: Mapping[int, int], given: Flow) -> Flow:
    """What is over, assigned piece by piece, and stock that counts by one measure, by that."""
    places = sorted(stock)
    lines = sorted(need)
    supply, ranks = [], {}
    for place, at in enumerate(places):
        it = stock[at]
        taken = sum(u * it.lines[line][1] for (which, line), u in given.items() if which == at)
        single = 1 if it.is_mixed else next(measure for _, measure in it.lines.values())
        supply.append(it.pieces - taken if it.is_mixed else min(it.most.values(), default=0))
        for line, (rank, measure) in it.lines.items():
            if measure == single and line in need:
                ranks[place, lines.index(line)] = rank
    wanting = [
        need[line] - sum(units for (_, other), units in given.items() if other == line)
        for line in lines
    ]
    flow = assign(supply, wanting, ranks)
    return {(places[place], lines[line]): units for (place, line), units in flow.items()}


def _score(flow: Flow, need: Mapping[int, int], weights: Mapping[int, int]) -> tuple[int, int]:
    served: dict[int, int] = {}
    for (_, line), units in flow.items():
        served[line] = served.get(line, 0) + units
    covered = sum(units * weights[line] for line, units in served.items())
    return covered, sum(served.get(line, 0) >= wanted for line, wanted in need.items())
