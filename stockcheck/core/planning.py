"""The values of planning: par levels, suppliers and their offers, trips.

Apart from ``model``, since finding and using things needs none of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from stockcheck.core.calendar import spoken
from stockcheck.core.model import Box, Importance, Item, Kind
from stockcheck.core.words import counted

FIXED = "fixed"
USUAL_KM = 1000
"""Par levels by distance are so much per 1000 km, unless they say otherwise."""


@dataclass(frozen=True, slots=True)
class Par:
    """What a box should hold of an item, or of any item of a kind.

    ``basis`` is what it is worked out from; ``fixed`` counts the quantity alone. For any other the
    quantity stands only where a trip is known; ``rate`` to ``assurance`` are its rule as texts,
    which ``par_rules`` reads. ``called`` is the name of what a line of a kit list wants, whatever
    item serves it, and ``unit`` the unit of the quantity where no item tells it.
    """

    id: int
    box: Box
    quantity: int
    item: Item | None = None
    kind: Kind | None = None
    importance: Importance = Importance.ESSENTIAL
    basis: str = FIXED
    rate: str = ""
    per_km: int | None = None
    reserve_days: int | None = None
    measure: str = "days"
    lasts: str = ""
    plan: str = ""
    assurance: str = ""
    called: str = ""
    unit: str = ""

    @property
    def fixed(self) -> bool:
        """Whether the quantity counts by itself, trip or no trip."""
        return self.basis == FIXED

    @property
    def figure(self) -> str:
        """The quantity, or from what it is worked out: ``6``, ``2 per person``, ``by plan``."""
        if self.fixed:
            return str(self.quantity)
        if self.basis == "per distance":
            return f"{self.rate} per {self.per_km or USUAL_KM} km"
        if self.basis == "history":
            return f"from history, at least {self.rate}" if self.rate else "from history"
        return "by plan" if self.plan else f"{self.rate} {self.basis}"

    @property
    def worded(self) -> str:
        """The figure with its unit where it is a quantity."""
        unit = self.item.unit if self.item else "each"
        return counted(self.quantity, unit) if self.fixed else self.figure

    @property
    def wants(self) -> str:
        """The name of what is wanted."""
        if self.item is not None:
            return self.item.name
        if self.called:
            return self.called
        return f"any {self.kind.name}" if self.kind else ""


@dataclass(frozen=True, slots=True)
class Supplier:
    """Where things are bought.

    ``lead_days`` is the usual number of days to deliver: calendar days, or working days where
    ``lead_working`` says so. Shipping costs ``fee_cents``, nothing from ``free_from_cents`` of
    goods on; orders below ``minimum_cents`` are not taken. ``country`` is its ISO 3166 code, with a
    region where holidays differ; "" where no holidays are looked at.
    """

    id: int
    name: str
    lead_days: int | None = None
    note: str = ""
    retired_on: date | None = None
    lead_working: bool = False
    fee_cents: int = 0
    free_from_cents: int | None = None
    minimum_cents: int = 0
    country: str = ""


@dataclass(frozen=True, slots=True)
class Offer:
    """A pack that a supplier sells: how many units it holds and its price in cents.

    ``packs_left`` is None where it does not run out; ``good_days`` is how long it is promised to be
    good still when it is delivered, None without a promise.
    """

    id: int
    supplier: Supplier
    item: Item
    pack: int
    price_cents: int
    lead_days: int | None = None
    note: str = ""
    retired_on: date | None = None
    packs_left: int | None = None
    good_days: int | None = None


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
