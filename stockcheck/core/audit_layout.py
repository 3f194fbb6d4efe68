"""Which pieces of which holding stand at which line, so that the least is missing.

Stock that will last through the horizon is laid first, then stock that ends before it, so that one
layout leaves the least missing on both days. Where an item serves lines counted by different
measures (packs in one, pieces in another), ``audit_mixed`` finds the way. What anything of a group
may fill comes last of all.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from stockcheck.core.audit_matching import Flow, assign
from stockcheck.core.audit_mixed import Sharing, groups_with_mixed, shared_out
from stockcheck.core.audit_others import lay_not_counted
from stockcheck.core.audit_stock import IN_DATE, Bin, Demand, Fits, Layout, Role, fits_of
from stockcheck.core.model import Item


@dataclass(frozen=True, slots=True)
class _Pool:
    """In-date bins of one item that serve the same lines: ``lines`` gives rank and measure.

    ``last`` are the lines that take only what no other wants.
    """

    bins: tuple[int, ...]
    lines: Mapping[int, tuple[int, int]]
    by_pair: bool
    last: frozenset[int] = frozenset()

    def units(self, stock: Sequence[Bin], *, lasting: bool) -> int:
        """Whole units of the largest measure, for stock that lasts only, or for all of it."""
        pieces = [
            stock[at].pieces
            for at in self.bins
            if not lasting or stock[at].role is not Role.ENDS_ON_TRIP
        ]
        if self.by_pair:
            return sum(pieces) // self.measure
        return sum(held // self.measure for held in pieces)

    @property
    def measure(self) -> int:
        """The largest number of pieces that make one unit of some line, the last ones apart."""
        return max((by for line, (_, by) in self.lines.items() if line not in self.last), default=1)


def lay_out(stock: Sequence[Bin], demands: Sequence[Demand]) -> Layout:
    """Lay the stock at the lines so that the least is missing; nothing stands at two lines."""
    layout = Layout()
    fits = fits_of((it.item for it in stock), demands)
    pools = _pools(stock, demands, fits)
    through, on_day = _flows(stock, demands, pools)
    for (_, line), (units, _) in through.items():
        layout.lasting[line] += units
    for (_, line), (units, _) in on_day.items():
        layout.laid[line] += units
    lasting, day = _by_pool(through), _by_pool(on_day)
    for at, pool in enumerate(pools):
        _share(layout, stock, pool, lasting[at], day[at])
    lay_not_counted(layout, stock, demands, fits, {at for pool in pools for at in pool.bins})
    layout.finish()
    return layout


def _serving(it: Bin, demands: Sequence[Demand], fits: Fits) -> dict[int, tuple[int, int]]:
    """The lines for which this bin counts once in date: rank and measure of each."""
    opened = it.holding.opened_on is not None
    return {
        at: (how.rank, demands[at].measure(it.item))
        for at, how in fits[it.item].items()
        if how.serves and not (opened and demands[at].line.only_unopened)
    }


def _pools(stock: Sequence[Bin], demands: Sequence[Demand], fits: Fits) -> list[_Pool]:
    grouped: defaultdict[tuple[Item, tuple[int, ...]], list[int]] = defaultdict(list)
    serving: dict[tuple[Item, tuple[int, ...]], dict[int, tuple[int, int]]] = {}
    for at, it in enumerate(stock):
        lines = _serving(it, demands, fits) if it.role in IN_DATE else {}
        if lines:
            grouped[it.item, tuple(lines)].append(at)
            serving[it.item, tuple(lines)] = lines
    return [
        _Pool(
            tuple(at), serving[key], _by_pair(demands, serving[key]), _last(demands, serving[key])
        )
        for key, at in grouped.items()
    ]


def _by_pair(demands: Sequence[Demand], lines: Mapping[int, object]) -> bool:
    """Loose singles of one item make pairs across holdings; pieces of packs do not make packs."""
    return any(demands[at].line.counted_in() == "pair" for at in lines)


def _last(demands: Sequence[Demand], lines: Iterable[int]) -> frozenset[int]:
    """The lines that take only what no other wants."""
    return frozenset(at for at in lines if demands[at].line.anything_of_a_group)


Laid = dict[tuple[int, int], tuple[int, int]]


def _flows(
    stock: Sequence[Bin], demands: Sequence[Demand], pools: Sequence[_Pool]
) -> tuple[Laid, Laid]:
    """Units and pieces by (pool, line): of stock that lasts through the horizon, and of all."""
    need = [[it.to_lay_through for it in demands], [it.to_lay for it in demands]]
    sharing = [_sharing(stock, pools, lasting=it) for it in (True, False)]
    groups = groups_with_mixed(sharing[1])
    first, last = _rounds(pools, {at for group in groups for at in group})
    supply = [[pool.units(stock, lasting=it) for pool in pools] for it in (True, False)]
    laid = [_with_pieces(flow, pools) for flow in _two_days(supply, need, first)]
    for day in (0, 1):
        for group in groups:
            members = {at: sharing[day][at] for at in group}
            wanted = {line: need[day][line] for it in members.values() for line in it.lines}
            weights = {line: demands[line].pieces for line in wanted}
            laid[day] |= _with_pieces(shared_out(members, wanted, weights), pools)
    if last:
        _lay_last(stock, pools, laid, need, last)
    return laid[0], laid[1]


Ranks = dict[tuple[int, int], int]


def _sharing(stock: Sequence[Bin], pools: Sequence[_Pool], *, lasting: bool) -> dict[int, Sharing]:
    """The pools as stock for lines of different measures, those lines apart that come last."""
    found = {}
    for at, pool in enumerate(pools):
        held = [stock[it] for it in pool.bins]
        pieces = [it.pieces for it in held if not lasting or it.role is not Role.ENDS_ON_TRIP]
        lines = {line: how for line, how in pool.lines.items() if line not in pool.last}
        most = {
            line: sum(pieces) // by if pool.by_pair else sum(each // by for each in pieces)
            for line, (_, by) in lines.items()
        }
        if lines:
            found[at] = Sharing(sum(pieces), lines, most)
    return found


def _rounds(pools: Sequence[_Pool], mixed: Collection[int]) -> tuple[Ranks, Ranks]:
    """The pairs (pool, line) to assign plainly, and those that take only what is left."""
    first: Ranks = {}
    last: Ranks = {}
    for at, pool in enumerate(pools):
        for line, (rank, _) in pool.lines.items():
            if line in pool.last:
                last[at, line] = rank
            elif at not in mixed:
                first[at, line] = rank
    return first, last


def _lay_last(
    stock: Sequence[Bin],
    pools: Sequence[_Pool],
    laid: Sequence[Laid],
    need: Sequence[Sequence[int]],
    ranks: Ranks,
) -> None:
    """Give what no other line wants to the lines that anything of a group may fill."""
    measures = {at: pools[at].lines[line][1] for at, line in ranks}
    supply = [
        _left_over(stock, pools, laid[day], measures, lasting=lasting)
        for day, lasting in enumerate((True, False))
    ]
    wanting = [_wanting(need[day], laid[day]) for day in (0, 1)]
    for day, flow in enumerate(_two_days(supply, wanting, ranks)):
        for pair, units in flow.items():
            before = laid[day].get(pair, (0, 0))
            laid[day][pair] = (before[0] + units, before[1] + units * measures[pair[0]])


def _wanting(need: Sequence[int], laid: Laid) -> list[int]:
    left = list(need)
    for (_, line), (units, _) in laid.items():
        left[line] -= units
    return left


def _two_days(
    supply: Sequence[Sequence[int]],
    need: Sequence[Sequence[int]],
    ranks: Mapping[tuple[int, int], int],
) -> tuple[Flow, Flow]:
    through = assign(supply[0], need[0], ranks)
    kept = {
        (stock, line): units
        for (stock, line), units in through.items()
        if need[0][line] <= need[1][line] and units <= supply[1][stock]
    }
    return through, assign(supply[1], need[1], ranks, kept)


def _with_pieces(flow: Flow, pools: Sequence[_Pool]) -> Laid:
    return {
        (at, line): (units, units * pools[at].lines[line][1]) for (at, line), units in flow.items()
    }


def _left_over(
    stock: Sequence[Bin],
    pools: Sequence[_Pool],
    laid: Laid,
    measures: Mapping[int, int],
    *,
    lasting: bool,
) -> list[int]:
    """What each pool still has, in units of the measure that this round counts it by."""
    left = []
    given = _by_pool(laid)
    for at, pool in enumerate(pools):
        held = [stock[it] for it in pool.bins]
        pieces = sum(it.pieces for it in held if not lasting or it.role is not Role.ENDS_ON_TRIP)
        pieces -= sum(taken for _, taken in given[at].values())
        left.append(max(0, pieces) // measures.get(at, 1))
    return left


def _by_pool(laid: Laid) -> defaultdict[int, dict[int, tuple[int, int]]]:
    found: defaultdict[int, dict[int, tuple[int, int]]] = defaultdict(dict)
    for (pool, line), taken in laid.items():
        found[pool][line] = taken
    return found


def _share(
    layout: Layout,
    stock: Sequence[Bin],
    pool: _Pool,
    through: Mapping[int, tuple[int, int]],
    on_day: Mapping[int, tuple[int, int]],
) -> None:
    """Give each line its pieces out of the pool's holdings, and what is over to the closest."""
    left = {at: stock[at].pieces for at in pool.bins}
    lasting = [at for at in pool.bins if stock[at].role is not Role.ENDS_ON_TRIP]
    ending = [at for at in pool.bins if stock[at].role is Role.ENDS_ON_TRIP]
    for line in sorted(on_day, key=lambda it: (it in pool.last, -pool.lines[it][1], it)):
        pieces = on_day[line][1]
        whole = 1 if pool.by_pair or line in pool.last else pool.lines[line][1]
        kept = min(pieces, through.get(line, (0, 0))[1])
        for bins, most in ((lasting, kept), (ending, pieces - kept)):
            pieces -= _take(layout, left, line, bins, most, whole)
        _take(layout, left, line, [*lasting, *ending], pieces, whole)
    closest = min(pool.lines, key=lambda it: (it not in on_day, pool.lines[it][0], it))
    for at, pieces in left.items():
        if pieces:
            layout.counted[closest, at] += pieces


def _take(
    layout: Layout,
    left: dict[int, int],
    line: int,
    bins: Sequence[int],
    most: int,
    whole: int,
) -> int:
    taken = 0
    for at in bins:
        pieces = min(left[at], most - taken) // whole * whole
        if pieces > 0:
            layout.counted[line, at] += pieces
            left[at] -= pieces
            taken += pieces
    return taken
