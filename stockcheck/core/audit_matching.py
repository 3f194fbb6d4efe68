"""Which stock serves which line of a kit list, so that the least is missing.

Lines compete where one thing could serve several. Stock is first laid where it fits best, then
moved from line to line (``stockcheck.core.assignment``, the stock as takers and what the lines
want as supplies) until no line can get more.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from stockcheck.core.assignment import Assignment

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
    closest_first = sorted(ranks, key=lambda pair: (ranks[pair], pair[1], pair[0]))
    lines: defaultdict[int, list[int]] = defaultdict(list)
    for stock, line in closest_first:
        lines[stock].append(line)
    shares = Assignment[int](dict(enumerate(need)))
    left = list(supply)
    for stock in range(len(supply)):
        shares.enter(stock, lines[stock])
    for (stock, line), units in (start or {}).items():
        left[stock] -= shares.give(stock, line, units)
    for stock, line in closest_first:
        left[stock] -= shares.give(stock, line, left[stock])
    for stock, units in enumerate(left):
        shares.add(stock, units)
    return {
        (stock, line): units
        for stock in range(len(supply))
        for line, units in shares.given(stock).items()
    }
