"""The values of planning: par levels, suppliers and their offers, trips.

Apart from ``model``, since finding and using things needs none of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from stockcheck.core.calendar import spoken
from stockcheck.core.model import Box, Importance, Item, Kind


@dataclass(frozen=True, slots=True)
class Par:
    """What a box should hold of an item, or of any item of a kind."""

    id: int
    box: Box
    quantity: int
    item: Item | None = None
    kind: Kind | None = None
    importance: Importance = Importance.ESSENTIAL

    @property
    def wants(self) -> str:
        """The name of what is wanted."""
        if self.item is not None:
            return self.item.name
        return f"any {self.kind.name}" if self.kind else ""


@dataclass(frozen=True, slots=True)
class Supplier:
    """Where things are bought. ``lead_days`` is the usual number of calendar days to deliver."""

    id: int
    name: str
    lead_days: int | None = None
    note: str = ""
    retired_on: date | None = None


@dataclass(frozen=True, slots=True)
class Offer:
    """A pack that a supplier sells: how many units it holds and its price in cents."""

    id: int
    supplier: Supplier
    item: Item
    pack: int
    price_cents: int
    lead_days: int | None = None
    note: str = ""
    retired_on: date | None = None


@dataclass(frozen=True, slots=True)
class Trip:
    """A journey; ``margin_days`` is how late the return may be."""

    id: int
    name: str
    departs: date
    returns: date
    people: int = 1
    distance_km: int | None = None
    margin_days: int = 0
    note: str = ""
    retired_on: date | None = None
    climate: str = ""

    @property
    def horizon(self) -> date:
        """The day through which things must stay good: return plus margin."""
        return self.returns + timedelta(days=self.margin_days)


def trip_words(trip: Trip) -> str:
    """A trip in one line, with the day through which things must last."""
    margin = f" + {trip.margin_days} days" if trip.margin_days else ""
    people = f"{trip.people} people" if trip.people > 1 else "1 person"
    return (
        f"{trip.name}: {spoken(trip.departs)} to {spoken(trip.returns)}{margin}, {people};"
        f" good is what lasts through {spoken(trip.horizon)}"
    )
