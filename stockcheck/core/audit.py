"""An audit: a box's stock held against a kit list, line by line, on a day and through a horizon."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from stockcheck.core.audit_stock import (
    IN_DATE,
    Bin,
    Demand,
    Layout,
    Role,
    bins_of,
    lay_out,
)
from stockcheck.core.calendar import spoken
from stockcheck.core.kit_list import WHOLE_PACKS, KitList, Line, pieces_per_unit
from stockcheck.core.model import Holding
from stockcheck.core.words import counted


class Finding(StrEnum):
    """What an audit says of a line, or of a holding that no line asks for."""

    OK = "ok"
    SHORT = "short"
    MISSING = "missing"
    EXPIRED = "expired"
    UNDATED = "undated"
    ENDS_ON_TRIP = "ends on trip"
    WRONG_SIZE = "wrong size"
    SURPLUS = "surplus"
    NOT_ON_LIST = "not on list"


@dataclass(frozen=True, slots=True)
class Serving:
    """A holding, or part of it, at a line: ``units`` in the line's unit, and in which role.

    ``quantity`` is the same in units of the item, an odd half of a pair left out.
    """

    holding: Holding
    units: int
    role: Role
    quantity: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class LineResult:
    """How one line of the list stands. All figures are in ``unit``, the line's own.

    ``usable`` is all that counts for the line, surplus included: in date, right size, not held,
    unopened where sterile. ``ends_on_trip`` is the part of it that ends before the horizon.
    ``short`` is what is lacking on the day and ``short_through`` at the horizon; for a line that
    names no number (``required`` is None) both are 1 while none is usable.

    ``finding`` is the first of these that is true:

    - not met: ``missing`` (none held at all); with nothing usable, ``expired``, ``undated`` or
      ``wrong size`` (what is held); else ``short``;
    - met: ``ends on trip`` (no longer met at the horizon), ``expired`` or ``undated`` (met without
      the stock of that sort, which should come out of the box), ``surplus``, ``ok``.

    ``also`` holds everything else that is true of the line.
    """

    line: Line
    required: int | None
    unit: str
    usable: int
    expired: int
    undated: int
    ends_on_trip: int
    short: int
    short_through: int
    finding: Finding
    also: tuple[Finding, ...]
    holdings: tuple[Serving, ...]
    why: str

    @property
    def met(self) -> bool:
        """Whether the line is met on the day."""
        return self.short == 0

    @property
    def surplus(self) -> int:
        """How many more are usable than asked; 0 where no number is asked."""
        return max(0, self.usable - self.required) if self.required is not None else 0


@dataclass(frozen=True, slots=True)
class AuditResult:
    """An audit's lines, what no line asks for, and the lines that do not apply here.

    It says how a box stands against a list on a day. It is no certificate.
    """

    kit_list: KitList
    on: date
    horizon: date | None
    lines: tuple[LineResult, ...]
    not_on_list: tuple[Holding, ...]
    not_applied: tuple[Line, ...] = ()

    @property
    def met(self) -> int:
        """How many lines are met on the day."""
        return sum(line.met for line in self.lines)

    @property
    def met_through(self) -> int:
        """How many lines are still met at the horizon (on the day, without one)."""
        return sum(line.short_through == 0 for line in self.lines)

    @property
    def verdict(self) -> str:
        """The audit in one line, such as ``meets the list on that day: no; 4 lines short``."""
        if self.met < len(self.lines):
            parts = "; ".join(("no", ", ".join(self._unmet())))
            return f"meets the list on that day: {parts}"
        ending = len(self.lines) - self.met_through
        if ending:
            until = f"but not through {spoken(self.horizon)}: {_lines(ending)} by then short"
            return f"meets the list on that day: yes, {until}"
        return "meets the list on that day: yes"

    def _unmet(self) -> list[str]:
        words = {
            Finding.MISSING: "missing",
            Finding.SHORT: "short",
            Finding.EXPIRED: "only with expired stock",
            Finding.UNDATED: "only with undated stock",
            Finding.WRONG_SIZE: "only with the wrong size",
        }
        unmet = [line.finding for line in self.lines if not line.met]
        return [
            f"{_lines(unmet.count(finding))} {text}"
            for finding, text in words.items()
            if finding in unmet
        ]


def audit(
    kit_list: KitList,
    holdings: Sequence[Holding],
    on: date,
    *,
    horizon: date | None = None,
    people: int = 1,
    conditions: frozenset[str] = frozenset(),
) -> AuditResult:
    """Hold a box's stock against a kit list.

    Matching is by kind and size; larger in both directions serves, smaller or of unknown size does
    not and is shown. Each unit counts once; where several lines compete, the layout that leaves
    the least missing is taken, first at the horizon, then on the day. Stock that is expired,
    undated, held, kept as last resort, or sterile and opened, is never usable. ``people``
    multiplies the lines that are per person; ``conditions`` are those of ``kit_list.conditions``
    that hold at the place. The order of the holdings does not matter.
    """
    applied = [line for line in kit_list.lines if line.applies(conditions)]
    stock = bins_of(holdings, on, horizon)
    demands = [_demand(line, stock, people) for line in applied]
    layout = lay_out(stock, demands)
    results = [_result(demand, at, layout, stock, horizon) for at, demand in enumerate(demands)]
    return AuditResult(
        kit_list=kit_list,
        on=on,
        horizon=horizon,
        lines=tuple(results),
        not_on_list=tuple(
            it.holding for it in stock if not any(line.names(it.item) for line in kit_list.lines)
        ),
        not_applied=tuple(line for line in kit_list.lines if not line.applies(conditions)),
    )


def _demand(line: Line, stock: Sequence[Bin], people: int) -> Demand:
    def usable(kinds: Iterable[str], roles: Iterable[Role]) -> bool:
        return any(it.item.kind.key in kinds and it.role in roles for it in stock)

    needs = []
    required = None
    for roles in ((Role.USABLE,), IN_DATE):
        fewer = line.fewer_with is not None and usable((line.fewer_with[0],), roles)
        required = line.required(people, fewer=fewer)
        asked = 1 if required is None else required
        needs.append(0 if usable(line.covered_by, roles) else asked)
    return Demand(line, required, need=needs[1], need_through=needs[0])


def _result(
    demand: Demand, at: int, layout: Layout, stock: Sequence[Bin], horizon: date | None
) -> LineResult:
    servings = _servings(demand.line, at, layout, stock)

    def units(*roles: Role) -> int:
        return sum(it.units for it in servings if it.role in roles)

    own = [it for it in servings if it.holding.kind.key not in demand.line.covered_by]
    usable = sum(it.units for it in own if it.role in IN_DATE)
    ends = sum(it.units for it in own if it.role is Role.ENDS_ON_TRIP)
    short = max(0, demand.need - usable)
    through = max(0, demand.need_through - layout.lasting[at]) if horizon else short
    surplus = demand.required is not None and usable > demand.required
    true = _true_findings(servings, short=short, through=through, usable=usable, surplus=surplus)
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
    return replace(result, why=_why(result, horizon))


def _servings(line: Line, at: int, layout: Layout, stock: Sequence[Bin]) -> list[Serving]:
    found: list[Serving] = []
    loose: dict[object, int] = {}
    for (where, bin_at), pieces in sorted(layout.counted.items()):
        if where == at:
            it = stock[bin_at]
            before = loose.get(it.item, 0) if line.counted_in() == "pair" else 0
            measure = pieces_per_unit(line, it.item)
            made = (before + pieces) // measure - before // measure
            loose[it.item] = before + pieces
            note = "" if made else f"does not make a whole {line.counted_in()}"
            found.append(_serving(it, made, it.role, pieces, note))
    for (where, bin_at, role), pieces in sorted(layout.others.items()):
        if where == at:
            it = stock[bin_at]
            made = pieces // (pieces_per_unit(line, it.item) or 1)
            note = layout.notes.get((at, bin_at), "")
            found.append(_serving(it, made, role, pieces, note))
    return [*found, *_covering(line, stock)]


def _serving(it: Bin, units: int, role: Role, pieces: int, note: str = "") -> Serving:
    quantity = pieces // 2 if it.item.unit == "pair" else pieces
    return Serving(it.holding, units, role, quantity, note)


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


def _true_findings(
    servings: Sequence[Serving], *, short: int, through: int, usable: int, surplus: bool
) -> list[Finding]:
    """Every finding that is true of a line, the one that matters most first."""
    held = [finding for role, finding in _ROLE_FINDINGS.items() if _any(servings, role)]
    if not short:
        trip = [Finding.ENDS_ON_TRIP] if through else []
        over = [Finding.SURPLUS] if surplus else []
        size = [it for it in held if it is Finding.WRONG_SIZE]
        return [*trip, *(it for it in held if it not in size), *over, *size] or [Finding.OK]
    if not servings:
        return [Finding.MISSING]
    trip = [Finding.ENDS_ON_TRIP] if _any(servings, Role.ENDS_ON_TRIP) else []
    first = [Finding.SHORT] if usable or not held else [held[0], Finding.SHORT]
    return [*first, *(it for it in held if it not in first), *trip]


_ROLE_FINDINGS = {
    Role.EXPIRED: Finding.EXPIRED,
    Role.UNDATED: Finding.UNDATED,
    Role.WRONG_SIZE: Finding.WRONG_SIZE,
}


def _any(servings: Sequence[Serving], role: Role) -> bool:
    return any(it.role is role for it in servings)


def _why(result: LineResult, horizon: date | None) -> str:
    """The line's figures in words."""
    line = result.line
    if result.required is None:
        parts = ["asked for without a number", "there" if result.met else "none usable"]
    else:
        parts = [f"asks {counted(result.required, result.unit)}", f"usable {result.usable}"]
        if line.per_pack and result.unit in WHOLE_PACKS:
            parts[0] += f" of {line.per_pack}"
    covers = [it for it in result.holdings if it.holding.kind.key in line.covered_by]
    if covers and result.met:
        parts.append(f"met by {covers[0].holding.item.name}")
    parts += _not_usable(result)
    if result.short and result.required is not None:
        parts.append(f"short {result.short}")
    elif result.met and result.short_through:
        parts.append(f"short {result.short_through} by {spoken(horizon)}")
    elif result.surplus:
        parts.append(f"{result.surplus} over")
    return "; ".join(parts)


def _not_usable(result: LineResult) -> list[str]:
    return [words for it in result.holdings if (words := _told(it))]


def _told(it: Serving) -> str:
    """What is to be said of a holding at a line; "" where it plainly counts."""
    some = f"{it.units or f'{it.quantity} loose'} of {it.holding.lot.short}"
    note = f": {it.note}" if it.note else ""
    match it.role:
        case Role.EXPIRED:
            return f"{some} expired {spoken(it.holding.last_usable_day)}"
        case Role.ENDS_ON_TRIP:
            return f"{some} good to {spoken(it.holding.last_usable_day)}"
        case Role.USABLE:
            return f"{some}{note}" if it.note else ""
        case Role.COVERS:
            return ""
        case _:
            return f"{some} {it.role}{note}"


def _lines(number: int) -> str:
    return f"{number} line{'' if number == 1 else 's'}"
