"""An audit: a box's stock held against a kit list, line by line, on a day and through a horizon."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from stockcheck.core.audit_findings import as_a_set, true_findings
from stockcheck.core.audit_layout import lay_out
from stockcheck.core.audit_result import BY_HAND, AuditResult, LineResult, Serving
from stockcheck.core.audit_stock import IN_DATE, Bin, Demand, Layout, Role, bins_of
from stockcheck.core.audit_words import why_of
from stockcheck.core.content import pieces_in
from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.kit_list_fit import ByHand, Match, by_hand
from stockcheck.core.model import Holding, Item


def audit(
    kit_list: KitList,
    holdings: Sequence[Holding],
    on: date,
    *,
    horizon: date | None = None,
    people: int = 1,
    days: int = 1,
    conditions: frozenset[str] = frozenset(),
    matches: Iterable[Match] = (),
) -> AuditResult:
    """Hold a box's stock against a kit list.

    Matching is by kind and size; larger in both directions serves, smaller or of unknown size does
    not and is shown. Each unit counts once; where several lines compete, the layout that leaves
    the least missing is taken, first at the horizon, then on the day. Stock that is expired,
    undated, held, kept as last resort, or sterile and opened, is never usable. ``people`` and
    ``days`` scale the lines that grow with them; ``conditions`` are those of
    ``kit_list.conditions`` that hold at the place. ``matches`` are what a person said of items and
    lines, and go before kind and size. The order of the holdings does not matter.
    """
    applied = [line.under(conditions) for line in kit_list.lines if line.applies(conditions)]
    stock = bins_of(holdings, on, horizon)
    said = by_hand(kit_list, matches)
    demands = _Demands(stock, said, people, days)
    places = [demands.of(line) for line in applied]
    layout = lay_out(stock, demands.all)
    if demands.release(layout):  # what made no whole set may serve other lines
        layout = lay_out(stock, demands.all)
    results = [_result(demands, at, layout, horizon) for at in places]
    named = _Named(kit_list, said)
    spoken_of = {it.item_id for it in said.values() if it.serves}
    return AuditResult(
        kit_list=kit_list,
        on=on,
        horizon=horizon,
        lines=tuple(results),
        not_on_list=tuple(
            it.holding for it in stock if it.item.id not in spoken_of and not named.says(it.item)
        ),
        not_applied=tuple(line for line in kit_list.lines if not line.applies(conditions)),
        said=tuple(sorted(said.values(), key=lambda it: (it.line, it.item_id))),
    )


class _Named:
    """Which things some line speaks of, unless somebody said that they do not serve that line."""

    def __init__(self, kit_list: KitList, said: ByHand) -> None:
        self._said = said
        self._by_kind: defaultdict[str, list[Line]] = defaultdict(list)
        self._of_groups = [line for line in kit_list.lines if line.anything_of_a_group]
        for line in kit_list.lines:
            for kind in line.named_kinds:
                self._by_kind[kind].append(line)

    def says(self, item: Item) -> bool:
        """Whether a line speaks of the item."""
        return any(
            line.names(item) and (line.name, item.id) not in self._said
            for line in (*self._by_kind.get(item.kind.key, ()), *self._of_groups)
        )


class _Demands:
    """What the lines need of this stock; the parts of a set stand right after the set itself."""

    def __init__(self, stock: Sequence[Bin], said: ByHand, people: int, days: int) -> None:
        self.stock = stock
        self.all: list[Demand] = []
        self._said = said
        self._people, self._days = people, days
        self._kinds = {
            roles: {it.item.kind.key for it in stock if it.role in roles}
            for roles in ((Role.USABLE,), IN_DATE)
        }

    def of(self, line: Line) -> int:
        """Enter a line; its place."""
        at = len(self.all)
        self.all.append(self._demand(line))
        made = self._ready_made(self.all[at]) if line.parts else (0, 0)
        for part in line.parts:
            needs = [
                max(0, need - there) * (part.quantity or 1)
                for need, there in zip(
                    (self.all[at].need_through, self.all[at].need), made, strict=True
                )
            ]
            said = self._of_line(f"{line.name}: {part.name}")
            self.all.append(Demand(part, needs[1], needs[1], needs[0], said, of_a_set=True))
        return at

    def release(self, layout: Layout) -> bool:
        """Let the parts of sets ask for no more than makes whole ones; whether any asked more."""
        changed = False
        for at, demand in enumerate(self.all):
            places = range(at + 1, at + 1 + len(demand.line.parts))
            each = [self.all[it].line.quantity or 1 for it in places]
            for place, one in zip(places, each, strict=True):
                whole = tuple(
                    one * min(laid[it] // by for it, by in zip(places, each, strict=True))
                    for laid in (layout.lasting, layout.laid)
                )
                part = self.all[place]
                if whole[0] < part.need_through or whole[1] < part.need:
                    self.all[place] = replace(part, at_most=(whole[0], whole[1]))
                    changed = True
        return changed

    def _demand(self, line: Line) -> Demand:
        needs = []
        required = None
        for kinds in self._kinds.values():
            fewer = line.fewer_with is not None and line.fewer_with[0] in kinds
            required = line.required(self._people, self._days, fewer=fewer)
            asked = 1 if required is None else required
            needs.append(0 if kinds & set(line.covered_by) else asked)
        return Demand(line, required, needs[1], needs[0], self._of_line(line.name))

    def _of_line(self, name: str) -> dict[int, Match]:
        return {item_id: it for (line, item_id), it in self._said.items() if line == name}

    def _ready_made(self, demand: Demand) -> tuple[int, int]:
        """How many sets are held ready-made: those that last, and all in date."""
        found = [0, 0]
        for it in self.stock:
            how = demand.fit(it.item) if it.role in IN_DATE else None
            if how is not None and how.serves:
                sets = it.pieces // (demand.measure(it.item) or 1)
                found[0] += sets if it.role is Role.USABLE else 0
                found[1] += sets
        return found[0], found[1]


def _result(demands: _Demands, at: int, layout: Layout, horizon: date | None) -> LineResult:
    own = _own_result(demands, at, layout, horizon)
    if not own.line.parts:
        return own
    inside = [
        _own_result(demands, at + 1 + place, layout, horizon)
        for place in range(len(own.line.parts))
    ]
    return as_a_set(own, inside, horizon)


def _own_result(demands: _Demands, at: int, layout: Layout, horizon: date | None) -> LineResult:
    demand = demands.all[at]
    servings = _servings(demand, at, layout, demands.stock)

    def units(*roles: Role) -> int:
        return sum(it.units for it in servings if it.role in roles)

    own = [it for it in servings if it.holding.kind.key not in demand.line.covered_by]
    usable = sum(it.units for it in own if it.role in IN_DATE)
    ends = sum(it.units for it in own if it.role is Role.ENDS_ON_TRIP)
    short = max(0, demand.need - usable)
    lasting = units(Role.USABLE) if demand.of_a_set else layout.lasting[at]
    through = max(0, demand.need_through - lasting) if horizon else short
    surplus = demand.required is not None and usable > demand.required
    true = true_findings(servings, short=short, through=through, usable=usable, surplus=surplus)
    result = LineResult(
        line=demand.line,
        required=demand.required,
        unit=demand.line.counted_in(),
        usable=usable,
        expired=units(Role.EXPIRED),
        undated=units(Role.UNDATED),
        ends_on_trip=ends,
        short=short,
        short_through=through,
        finding=true[0],
        also=tuple(true[1:]),
        holdings=tuple(servings),
        why="",
    )
    return replace(result, why=why_of(result, horizon))


def _servings(demand: Demand, at: int, layout: Layout, stock: Sequence[Bin]) -> list[Serving]:
    line = demand.line
    found: list[Serving] = []
    loose: dict[object, int] = {}
    for bin_at, pieces in layout.counted_at[at]:
        it = stock[bin_at]
        before = loose.get(it.item, 0) if demand.pooled else 0
        measure = demand.measure(it.item) or 1
        made = (before + pieces) // measure - before // measure
        if demand.pooled:
            loose[it.item] = before + pieces
        said = demand.said.get(it.item.id)
        note = BY_HAND if said and said.serves else ""
        note = note if made else f"does not make a whole {line.counted_in()}"
        found.append(_serving(it, made, it.role, pieces, note))
    for bin_at, role, pieces in layout.others_at[at]:
        it = stock[bin_at]
        made = pieces // (demand.measure(it.item) or 1)
        found.append(_serving(it, made, role, pieces, layout.notes.get((at, bin_at), "")))
    return [*found, *_covering(line, stock)] if line.covered_by else found


def _serving(it: Bin, units: int, role: Role, pieces: int, note: str = "") -> Serving:
    whole = pieces // 2 if it.item.unit == "pair" else -(-pieces // pieces_in(it.item))
    return Serving(it.holding, units, role, whole, note)


def _covering(line: Line, stock: Sequence[Bin]) -> list[Serving]:
    return [
        Serving(
            it.holding,
            1,
            Role.COVERS if it.role is Role.USABLE else it.role,
            it.holding.quantity,
            "one of these serves the whole line",
        )
        for it in stock
        if it.item.kind.key in line.covered_by
    ]
