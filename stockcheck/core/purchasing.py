"""Purchases: what was ordered from whom, what came of it, and making them from a restock list."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from stockcheck.core.model import Box, Item
from stockcheck.core.offers import fee_for
from stockcheck.core.planning import Offer, Supplier
from stockcheck.core.restock import Need
from stockcheck.core.restock_sources import Sources


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of a purchase: whole packs of an item, for a box, and the units that came of it."""

    id: int
    item: Item
    box: Box | None
    pack: int
    packs: int
    price_cents: int
    offer_id: int | None = None
    received: int = 0

    @property
    def ordered(self) -> int:
        """The units ordered."""
        return self.pack * self.packs

    @property
    def open(self) -> int:
        """The units that are still to come."""
        return max(0, self.ordered - self.received)


@dataclass(frozen=True, slots=True)
class Order:
    """A purchase: from whom, when, for when, and its lines. ``ended_on`` where no more will come.

    ``good_through`` is the day to which its goods are to last.
    """

    id: int
    supplier_id: int
    supplier: str
    ordered_on: date
    expected_on: date | None
    lines: tuple[OrderLine, ...]
    fee_cents: int = 0
    good_through: date | None = None
    trip_id: int | None = None
    note: str = ""
    ended_on: date | None = None
    reason: str = ""

    @property
    def state(self) -> str:
        """``open``, ``partly delivered``, ``delivered``, or ``cancelled`` where it was ended."""
        if all(not line.open for line in self.lines):
            return "delivered"
        if self.ended_on is not None:
            return "cancelled"
        return "partly delivered" if any(line.received for line in self.lines) else "open"

    @property
    def goods_cents(self) -> int:
        """What the goods cost."""
        return sum(line.packs * line.price_cents for line in self.lines)


def orders_of(
    needs: Iterable[Need], sources: Sources, on: date, good_through: date, trip_id: int | None
) -> tuple[Order, ...]:
    """A purchase for each supplier that a restock list buys from, not yet written: number 0.

    It is expected on the day on which the last of its lines comes if all is ordered today; None
    where the lead time of one is not known.
    """
    lines: dict[int, list[OrderLine]] = {}
    offers: dict[int, list[Offer]] = {}
    suppliers: dict[int, Supplier] = {}
    for need in needs:
        for part in need.purchase.parts:
            offer = part.offer
            suppliers[offer.supplier.id] = offer.supplier
            offers.setdefault(offer.supplier.id, []).append(offer)
            line = OrderLine(
                0, offer.item, need.box, offer.pack, part.packs, offer.price_cents, offer.id
            )
            lines.setdefault(offer.supplier.id, []).append(line)
    found = []
    for number in sorted(suppliers, key=lambda it: suppliers[it].name.casefold()):
        days = [sources.comes(offer, on) for offer in offers[number]]
        known = [day for day in days if day is not None]
        goods = sum(line.packs * line.price_cents for line in lines[number])
        found.append(
            Order(
                id=0,
                supplier_id=number,
                supplier=suppliers[number].name,
                ordered_on=on,
                expected_on=max(known) if len(known) == len(days) else None,
                lines=tuple(lines[number]),
                fee_cents=fee_for(suppliers[number], goods),
                good_through=good_through,
                trip_id=trip_id,
            )
        )
    return tuple(found)
