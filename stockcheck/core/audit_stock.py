"""The stock of a box as an audit lays it out: which pieces of which holding stand at which line.

Stock that will last through the horizon is laid first, then stock that ends before it, so that one
layout leaves the least missing on both days. Where an item serves lines counted by different
measures (packs in one, pieces in another), packs are laid first and loose pieces after them; there
the layout is a good one, not always the best.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from stockcheck.core.audit_matching import Flow, assign
from stockcheck.core.kit_list import Fit, Line, fit, pieces_per_unit
from stockcheck.core.model import Holding, Item, Status
from stockcheck.core.shelf_life import status


class Role(StrEnum):
    """As what a holding stands at a line."""

    USABLE = "usable"
    ENDS_ON_TRIP = "ends on trip"
    EXPIRED = "expired"
    UNDATED = "undated"
    OPENED = "opened"
    HELD = "held"
    LAST_RESORT = "last resort"
    WRONG_SIZE = "wrong size"
    COVERS = "serves the whole line"


_ROLES = {
    Status.ENDS_ON_TRIP: Role.ENDS_ON_TRIP,
    Status.EXPIRED: Role.EXPIRED,
    Status.UNDATED: Role.UNDATED,
    Status.HELD: Role.HELD,
    Status.LAST_RESORT: Role.LAST_RESORT,
}
IN_DATE = (Role.USABLE, Role.ENDS_ON_TRIP)
NOT_COUNTED = (Role.EXPIRED, Role.UNDATED, Role.OPENED, Role.HELD, Role.LAST_RESORT)


@dataclass(frozen=True, slots=True)
class Bin:
    """A holding with its role on the day; ``pieces`` are units of the item, two to a pair."""

    holding: Holding
    role: Role
    pieces: int

    @property
    def item(self) -> Item:
        """The item held."""
        return self.holding.item


@dataclass(frozen=True, slots=True)
class Demand:
    """What a line needs on the day and through the horizon, in the units of the line."""

    line: Line
    required: int | None
    need: int
    need_through: int


@dataclass(slots=True)
class Layout:
    """Pieces of each bin at each line, by (line, bin), and how each line stands at the horizon.

    ``counted`` are in date, of the right size and unopened where they must be; ``others`` carry
    the role in which they stand there, and ``notes`` why their size does not do.
    """

    counted: defaultdict[tuple[int, int], int] = field(default_factory=lambda: defaultdict(int))
    others: defaultdict[tuple[int, int, Role], int] = field(
        default_factory=lambda: defaultdict(int)
    )
    notes: dict[tuple[int, int], str] = field(default_factory=dict)
    lasting: defaultdict[int, int] = field(default_factory=lambda: defaultdict(int))
    laid: defaultdict[int, int] = field(default_factory=lambda: defaultdict(int))


@dataclass(frozen=True, slots=True)
class _Pool:
    """In-date bins of one item that serve the same lines: ``lines`` gives rank and measure."""

    bins: tuple[int, ...]
    lines: Mapping[int, tuple[int, int]]
    by_pair: bool

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
        """The largest number of pieces that make one unit of some line."""
        return max(measure for _, measure in self.lines.values())


def bins_of(holdings: Sequence[Holding], on: date, horizon: date | None) -> tuple[Bin, ...]:
    """The holdings that are not empty, in an order that does not depend on how they were given."""
    found = (
        Bin(
            holding,
            _ROLES.get(status(holding, on, horizon=horizon, due_days=0), Role.USABLE),
            holding.quantity * (2 if holding.item.unit == "pair" else 1),
        )
        for holding in holdings
        if holding.quantity > 0
    )
    return tuple(sorted(found, key=_order))


def _order(it: Bin) -> tuple[object, ...]:
    held = it.holding
    last, opened = held.last_usable_day or date.max, held.opened_on or date.max
    item = (held.item.name, held.item.code, held.item.id)
    return (*item, last, opened, held.lot.id, held.id, held.quantity, held.state)


def lay_out(stock: Sequence[Bin], demands: Sequence[Demand]) -> Layout:
    """Lay the stock at the lines so that the least is missing; nothing stands at two lines."""
    layout = Layout()
    fits = _fits(stock, demands)
    pools = _pools(stock, demands, fits)
    through, on_day = _flows(stock, demands, pools)
    for (_, line), (units, _) in through.items():
        layout.lasting[line] += units
    for (_, line), (units, _) in on_day.items():
        layout.laid[line] += units
    for at, pool in enumerate(pools):
        _share(layout, stock, pool, _of_pool(through, at), _of_pool(on_day, at))
    _lay_not_counted(layout, stock, demands, fits, pools)
    return layout


def _fits(stock: Sequence[Bin], demands: Sequence[Demand]) -> dict[Item, dict[int, Fit]]:
    by_kind: defaultdict[str, list[int]] = defaultdict(list)
    for at, demand in enumerate(demands):
        for kind in demand.line.serving_kinds:
            by_kind[kind].append(at)
    found: dict[Item, dict[int, Fit]] = {}
    for item in dict.fromkeys(it.item for it in stock):
        lines = sorted(by_kind[item.kind.key])
        fitting = ((at, fit(demands[at].line, item)) for at in lines)
        found[item] = {at: how for at, how in fitting if how is not None}
    return found


def _serving(
    it: Bin, demands: Sequence[Demand], fits: Mapping[Item, Mapping[int, Fit]]
) -> dict[int, tuple[int, int]]:
    """The lines for which this bin counts once in date: rank and measure of each."""
    opened = it.holding.opened_on is not None
    return {
        at: (how.rank, pieces_per_unit(demands[at].line, it.item))
        for at, how in fits[it.item].items()
        if how.serves and not (opened and demands[at].line.only_unopened)
    }


def _pools(
    stock: Sequence[Bin],
    demands: Sequence[Demand],
    fits: Mapping[Item, Mapping[int, Fit]],
) -> list[_Pool]:
    grouped: defaultdict[tuple[Item, tuple[int, ...]], list[int]] = defaultdict(list)
    serving: dict[tuple[Item, tuple[int, ...]], dict[int, tuple[int, int]]] = {}
    for at, it in enumerate(stock):
        lines = _serving(it, demands, fits) if it.role in IN_DATE else {}
        if lines:
            grouped[it.item, tuple(lines)].append(at)
            serving[it.item, tuple(lines)] = lines
    return [
        _Pool(tuple(at), serving[key], _by_pair(demands, serving[key]))
        for key, at in grouped.items()
    ]


def _by_pair(demands: Sequence[Demand], lines: Mapping[int, object]) -> bool:
    """Loose singles of one item make pairs across holdings; pieces of packs do not make packs."""
    return any(demands[at].line.counted_in() == "pair" for at in lines)


Laid = dict[tuple[int, int], tuple[int, int]]


def _flows(
    stock: Sequence[Bin], demands: Sequence[Demand], pools: Sequence[_Pool]
) -> tuple[Laid, Laid]:
    """Units and pieces by (pool, line): of stock that lasts through the horizon, and of all."""
    ranks = {
        (at, line): rank for at, pool in enumerate(pools) for line, (rank, _) in pool.lines.items()
    }
    supply = [[pool.units(stock, lasting=it) for pool in pools] for it in (True, False)]
    need = [[it.need_through for it in demands], [it.need for it in demands]]
    first = _two_days(supply, need, ranks)
    laid = [_with_pieces(flow, pools) for flow in first]
    loose = {pair: rank for pair, rank in ranks.items() if _is_loose(pools[pair[0]], pair[1])}
    if loose:
        for day, lasting in enumerate((True, False)):
            supply[day] = _left_over(stock, pools, laid[day], lasting=lasting)
            for (_, line), (units, _) in laid[day].items():
                need[day][line] -= units
        for day, flow in enumerate(_two_days(supply, need, loose)):
            for pair, units in flow.items():
                before = laid[day].get(pair, (0, 0))
                laid[day][pair] = (before[0] + units, before[1] + units)
    return laid[0], laid[1]


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


def _is_loose(pool: _Pool, line: int) -> bool:
    return pool.measure > 1 and pool.lines[line][1] == 1


def _left_over(
    stock: Sequence[Bin], pools: Sequence[_Pool], laid: Laid, *, lasting: bool
) -> list[int]:
    left = []
    for at, pool in enumerate(pools):
        held = [stock[it] for it in pool.bins]
        pieces = sum(it.pieces for it in held if not lasting or it.role is not Role.ENDS_ON_TRIP)
        left.append(pieces - sum(taken for _, taken in _of_pool(laid, at).values()))
    return left


def _of_pool(laid: Laid, at: int) -> dict[int, tuple[int, int]]:
    return {line: taken for (pool, line), taken in laid.items() if pool == at}


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
    for line in sorted(on_day, key=lambda it: (-pool.lines[it][1], it)):
        pieces = on_day[line][1]
        whole = 1 if pool.by_pair else pool.lines[line][1]
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


def _lay_not_counted(
    layout: Layout,
    stock: Sequence[Bin],
    demands: Sequence[Demand],
    fits: Mapping[Item, Mapping[int, Fit]],
    pools: Sequence[_Pool],
) -> None:
    """Show what is held but not usable at the lines that it would have served, each once."""
    pooled = {at for pool in pools for at in pool.bins}
    wanting = [demand.need - layout.laid[at] for at, demand in enumerate(demands)]
    rest = [(at, it) for at, it in enumerate(stock) if at not in pooled]
    for role in NOT_COUNTED:
        same = [(at, it) for at, it in rest if _standing(it) is role and _any_serves(fits, it)]
        _spread(layout, same, role, demands, fits, wanting)
    for at, it in rest:
        if fits[it.item] and not _any_serves(fits, it):
            _lay_wrong_size(layout, (at, it), fits[it.item], wanting)


def _standing(it: Bin) -> Role:
    """In-date stock outside every pool is there because it was opened."""
    return Role.OPENED if it.role in IN_DATE else it.role


def _any_serves(fits: Mapping[Item, Mapping[int, Fit]], it: Bin) -> bool:
    return any(how.serves for how in fits[it.item].values())


def _spread(
    layout: Layout,
    same: Sequence[tuple[int, Bin]],
    role: Role,
    demands: Sequence[Demand],
    fits: Mapping[Item, Mapping[int, Fit]],
    wanting: list[int],
) -> None:
    measures = [
        {
            line: pieces_per_unit(demands[line].line, it.item)
            for line, how in fits[it.item].items()
            if how.serves
        }
        for _, it in same
    ]
    supply = [it.pieces // max(by.values()) for (_, it), by in zip(same, measures, strict=True)]
    ranks = {
        (at, line): fits[it.item][line].rank
        for at, (_, it) in enumerate(same)
        for line in measures[at]
    }
    flow = assign(supply, [max(0, units) for units in wanting], ranks)
    for at, (bin_at, it) in enumerate(same):
        mine = {line: units for (which, line), units in flow.items() if which == at}
        left = it.pieces
        for line, units in sorted(mine.items()):
            layout.others[line, bin_at, role] += units * measures[at][line]
            left -= units * measures[at][line]
            wanting[line] -= units
        if left:
            closest = min(measures[at], key=lambda line: (line not in mine, ranks[at, line], line))
            layout.others[closest, bin_at, role] += left


def _lay_wrong_size(
    layout: Layout,
    what: tuple[int, Bin],
    fitting: Mapping[int, Fit],
    wanting: Sequence[int],
) -> None:
    at, it = what
    line = min(fitting, key=lambda key: (wanting[key] <= 0, fitting[key].rank, key))
    layout.others[line, at, Role.WRONG_SIZE] += it.pieces
    layout.notes[line, at] = fitting[line].why_not
