"""Where what lacks may come from beside a surplus: on order, substitutes, purchases."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from stockcheck.core.model import Box, Holding, Item
from stockcheck.core.offers import lead_days
from stockcheck.core.order_days import EVERY_DAY, Lead, OrderBy, WorkingDays, arrival, order_by
from stockcheck.core.planning import Offer, Supplier


@dataclass(frozen=True, slots=True)
class Incoming:
    """What is still to come of a line that was ordered.

    ``expected_on`` is None where nobody knows; ``good_through`` is what was asked for or promised,
    None where that is not known: then it is taken to last, until the pack is there to say.
    """

    purchase: int
    item: Item
    quantity: int
    expected_on: date | None = None
    box: Box | None = None
    good_through: date | None = None


@dataclass(frozen=True, slots=True)
class Substitute:
    """So many units (``per_by``) of an item may stand in for so many (``per_item``) of another.

    One way only: the other way round is another line.
    """

    id: int
    item: Item
    by: Item
    per_item: int = 1
    per_by: int = 1
    note: str = ""

    def covers(self, units: int) -> int:
        """How many units of the item so many of the substitute stand in for."""
        return units * self.per_item // self.per_by

    def wanted(self, units: int) -> int:
        """How many of the substitute stand in for so many units of the item."""
        return -(-units * self.per_by // self.per_item)


@dataclass(frozen=True, slots=True)
class StandIn:
    """So many units of a holding of a substitute, in place of ``covers`` units of what lacks."""

    holding: Holding
    quantity: int
    covers: int


@dataclass(frozen=True, slots=True)
class Sources:
    """Offers and what else fills a shortage. ``budget_cents`` is None where money is no matter.

    ``working`` are the working days of suppliers, by their ids; those without any deliver on any
    calendar day, or on any but a weekend where they count in working days.
    """

    offers: Sequence[Offer] = ()
    incoming: Sequence[Incoming] = ()
    substitutes: Sequence[Substitute] = ()
    working: Mapping[int, WorkingDays] = field(default_factory=dict)
    budget_cents: int | None = None

    def days(self, supplier: Supplier) -> WorkingDays:
        """The working days of a supplier."""
        usual = WorkingDays() if supplier.lead_working else EVERY_DAY
        return self.working.get(supplier.id, usual)

    def order_by(self, offer: Offer, departs: date | None) -> OrderBy | None:
        """By when to order; None where lead time or departure is not known."""
        lead = lead_days(offer)
        if lead is None or departs is None:
            return None
        supplier = offer.supplier
        return order_by(departs, Lead(lead, supplier.lead_working), self.days(supplier))

    def comes(self, offer: Offer, on: date) -> date | None:
        """When it comes if it is ordered on a day; None where the lead time is not known."""
        lead = lead_days(offer)
        if lead is None:
            return None
        return arrival(on, Lead(lead, offer.supplier.lead_working), self.days(offer.supplier))

    def in_time(self, offer: Offer, on: date, departs: date | None) -> bool:
        """Whether it can still be ordered on a day; yes where that is not known."""
        latest = self.order_by(offer, departs)
        return latest is None or latest.day >= on

    def good_through(self, offer: Offer, on: date) -> date | None:
        """Until when it is promised to be good if it is ordered on a day; None for no promise."""
        if offer.good_days is None:
            return None
        from datetime import timedelta

        return (self.comes(offer, on) or on) + timedelta(days=offer.good_days)
