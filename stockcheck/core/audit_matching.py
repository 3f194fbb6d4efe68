"""Which stock serves which line, so that the least is missing: a maximum flow in whole units.

Lines compete where one thing could serve several. Stock is first laid where it fits best, then
moved along augmenting paths (Ford and Fulkerson 1956) until no line can get more.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

Flow = dict[tuple[int, int], int]


def assign(
    supply: Sequence[int],
    need: Sequence[int],
    ranks: Mapping[tuple[int, int], int],
    start: Flow | None = None,
) -> Flow:
    """How many units of each stock go to each line, so that as much as can be is covered.

    ``ranks`` holds the pairs (stock, line) that may be joined, the closest fit lowest. With a
    ``start``, a flow already laid, every stock in it gives at least as much as before, though
    perhaps to other lines. Equal input gives equal output.
    """
    network = _Network(supply, need, ranks, start or {})
    for stock, line in network.closest_first:
        network.move([(stock, line)], [])
    for stock in range(len(supply)):
        while network.left[stock] and network.augment(stock):
            pass
    return {pair: units for pair, units in network.flow.items() if units}


class _Network:
    """What is laid where, what is left of each stock, and what each line still wants."""

    def __init__(
        self,
        supply: Sequence[int],
        need: Sequence[int],
        ranks: Mapping[tuple[int, int], int],
        start: Flow,
    ) -> None:
        self.flow: defaultdict[tuple[int, int], int] = defaultdict(int, start)
        self.left, self.wanting = list(supply), list(need)
        for (stock, line), units in start.items():
            self.left[stock] -= units
            self.wanting[line] -= units
        self.closest_first = sorted(ranks, key=lambda pair: (ranks[pair], pair[1], pair[0]))
        self.lines: defaultdict[int, list[int]] = defaultdict(list)
        self.stocks: defaultdict[int, list[int]] = defaultdict(list)
        for stock, line in self.closest_first:
            self.lines[stock].append(line)
            self.stocks[line].append(stock)

    def augment(self, stock: int) -> bool:
        """Move stock from line to line until a wanting line gets some; False if none can."""
        came_by: dict[int, tuple[int, int]] = {}
        queue = [stock]
        for current in queue:
            for line in self.lines[current]:
                if self.wanting[line] > 0:
                    self.move(*_along(stock, (current, line), came_by))
                    return True
                for other in self.stocks[line]:
                    if other != stock and other not in came_by and self.flow[other, line] > 0:
                        came_by[other] = (current, line)
                        queue.append(other)
        return False

    def move(self, gains: list[tuple[int, int]], losses: list[tuple[int, int]]) -> None:
        """Lay as much as goes: ``gains`` runs from the wanting line back to the giving stock."""
        giver, taker = gains[-1][0], gains[0][1]
        room = [self.flow[pair] for pair in losses]
        units = max(0, min([self.left[giver], self.wanting[taker], *room]))
        for pair in losses:
            self.flow[pair] -= units
        for pair in gains:
            self.flow[pair] += units
        self.left[giver] -= units
        self.wanting[taker] -= units


def _along(
    first: int, last: tuple[int, int], came_by: Mapping[int, tuple[int, int]]
) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
    """The pairs that gain and those that lose on the way back from the last pair."""
    gains, losses = [last], []
    while (stock := gains[-1][0]) != first:
        giver, shared = came_by[stock]
        losses.append((stock, shared))
        gains.append((giver, shared))
    return gains, losses
