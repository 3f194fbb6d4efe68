"""The stock of a box as an audit sees it, what the lines need, and what stands where."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum

from stockcheck.core.content import pieces_in
from stockcheck.core.kit_list import WHOLE_PACKS, Line
from stockcheck.core.kit_list_fit import Fit, Match, fit, pieces_per_unit
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
    """A holding with its role on the day; ``pieces`` as ``content.pieces_in`` has them."""

    holding: Holding
    role: Role
    pieces: int

    @property
    def item(self) -> Item:
        """The item held."""
        return self.holding.item


@dataclass(frozen=True, slots=True)
class Demand:
    """What a line needs on the day and through the horizon, in the units of the line.

    ``said`` holds what a person said of the line and items, by the id of the item. ``at_most``
    (through the horizon, on the day) keeps a part of a set from taking more than makes whole sets.
    """

    line: Line
    required: int | None
    need: int
    need_through: int
    said: Mapping[int, Match] = field(default_factory=dict)
    of_a_set: bool = False
    at_most: tuple[int, int] | None = None

    @property
    def to_lay(self) -> int:
        """How many units to lay here for the day."""
        return self.need if self.at_most is None else min(self.need, self.at_most[1])

    @property
    def to_lay_through(self) -> int:
        """How many units to lay here that last through the horizon."""
        return (
            self.need_through if self.at_most is None else min(self.need_through, self.at_most[0])
        )

    def fit(self, item: Item) -> Fit | None:
        """How the item fits the line; what a person said of the two decides.

        The parts of a set go before a line that asks for the same: a set is whole or it is none.
        """
        how = fit(self.line, item, self.said.get(item.id))
        return replace(how, rank=how.rank - 1) if how and self.of_a_set else how

    def measure(self, item: Item) -> int:
        """How many pieces of the item make one unit of the line."""
        return pieces_per_unit(self.line, item, self.said.get(item.id))

    @property
    def pieces(self) -> int:
        """How many pieces a unit of the line stands for, when what lacks is weighed."""
        unit = self.line.counted_in()
        return 2 if unit == "pair" else (self.line.per_pack or 1) if unit in WHOLE_PACKS else 1

    @property
    def pooled(self) -> bool:
        """Whether loose pieces of one item make a unit across holdings: pairs, and any package."""
        return self.line.counted_in() == "pair" or self.line.anything_of_a_group


Fits = Mapping[Item, Mapping[int, Fit]]
"""How each item fits each line that speaks of it, by the place of the line."""


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

    counted_at: defaultdict[int, list[tuple[int, int]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    others_at: defaultdict[int, list[tuple[int, Role, int]]] = field(
        default_factory=lambda: defaultdict(list)
    )

    def finish(self) -> None:
        """Group by line what was laid: (bin, pieces), and (bin, role, pieces), in order of bin."""
        for (line, at), pieces in sorted(self.counted.items()):
            self.counted_at[line].append((at, pieces))
        for (line, at, role), pieces in sorted(self.others.items()):
            self.others_at[line].append((at, role, pieces))


def bins_of(holdings: Sequence[Holding], on: date, horizon: date | None) -> tuple[Bin, ...]:
    """The holdings that are not empty, in an order that does not depend on how they were given."""
    found = (
        Bin(
            holding,
            _ROLES.get(status(holding, on, horizon=horizon, due_days=0), Role.USABLE),
            holding.quantity * pieces_in(holding.item),
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


def fits_of(items: Iterable[Item], demands: Sequence[Demand]) -> dict[Item, dict[int, Fit]]:
    """How each item fits the lines; those that it is another thing for are left out."""
    by_kind: defaultdict[str, set[int]] = defaultdict(set)
    any_kind: set[int] = set()
    by_hand: defaultdict[int, set[int]] = defaultdict(set)
    for at, demand in enumerate(demands):
        for kind in demand.line.serving_kinds:
            by_kind[kind].add(at)
        if demand.line.anything_of_a_group:
            any_kind.add(at)
        for item_id in demand.said:
            by_hand[item_id].add(at)
    found: dict[Item, dict[int, Fit]] = {}
    for item in dict.fromkeys(items):
        lines = sorted(by_kind[item.kind.key] | any_kind | by_hand[item.id])
        fitting = ((at, demands[at].fit(item)) for at in lines)
        found[item] = {at: how for at, how in fitting if how is not None}
    return found
