"""What is held but does not count: shown at the lines that it would have served, each unit once."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from stockcheck.core.audit_matching import assign
from stockcheck.core.audit_stock import IN_DATE, NOT_COUNTED, Bin, Demand, Fits, Layout, Role
from stockcheck.core.kit_list_fit import Fit


def lay_not_counted(
    layout: Layout,
    stock: Sequence[Bin],
    demands: Sequence[Demand],
    fits: Fits,
    pooled: Collection[int],
) -> None:
    """Show what is held but not usable at the lines that it would have served, each once.

    ``pooled`` are the holdings that count somewhere.
    """
    wanting = [demand.to_lay - layout.laid[at] for at, demand in enumerate(demands)]
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


def _any_serves(fits: Fits, it: Bin) -> bool:
    return any(how.serves for how in fits[it.item].values())


def _spread(
    layout: Layout,
    same: Sequence[tuple[int, Bin]],
    role: Role,
    demands: Sequence[Demand],
    fits: Fits,
    wanting: list[int],
) -> None:
    measures = [
        {line: demands[line].measure(it.item) for line, how in fits[it.item].items() if how.serves}
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
