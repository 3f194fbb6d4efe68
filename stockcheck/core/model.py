"""The plain values that walk through the project, named as the stores trade names them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from stockcheck.core.calendar import Life, PartialDate

UNITS = ("each", "pair", "tablet", "ml", "g", "cm")
MEASURES = ("ml", "g", "cm")


class Certainty(StrEnum):
    """How sure a figure is."""

    PUBLISHED = "published"
    TYPICAL = "typical maker's figure"
    PRACTICE = "common practice"
    MEMORY = "from memory"
    OWN = "your own figure"


class CountsFrom(StrEnum):
    """The day a sealed life is counted from."""

    MADE = "made"
    RECEIVED = "received"


class DateMeaning(StrEnum):
    """What a kind's date means."""

    SAFETY = "safety"
    QUALITY = "quality"
    INSPECT = "inspect"
    NONE = "none"


class PastDate(StrEnum):
    """What the trade does with a kind past its date."""

    DISCARD = "discard"
    LAST_RESORT = "replace, keep as last resort"
    INSPECT = "inspect"
    NO_LIMIT = "no limit"


class DateContext(StrEnum):
    """The rules by which a kind's printed dates are read."""

    GENERAL = "general"
    MEDICINE = "medicine"
    FOOD = "food"
    COSMETIC = "cosmetic"
    TYRE = "tyre"


class Importance(StrEnum):
    """The VED classes of hospital stores: what happens if it is missing?"""

    VITAL = "vital"
    ESSENTIAL = "essential"
    DESIRABLE = "desirable"


class State(StrEnum):
    """Whether a holding is ordinary stock, on hold, or kept as a last resort."""

    STOCK = "stock"
    HELD = "held"
    LAST_RESORT = "last resort"


class Status(StrEnum):
    """How a holding stands on a day."""

    IN_DATE = "in date"
    DUE = "due"
    ENDS_ON_TRIP = "ends on trip"
    EXPIRED = "expired"
    UNDATED = "undated"
    HELD = "held"
    LAST_RESORT = "last resort"


@dataclass(frozen=True, slots=True)
class LifeRule:
    """A life with where the figure comes from.

    ``counts_from`` matters for sealed lives only; ``spread`` is the range met in the trade.
    """

    life: Life
    source: str
    certainty: Certainty
    counts_from: CountsFrom = CountsFrom.MADE
    spread: str = ""


@dataclass(frozen=True, slots=True)
class InspectionRule:
    """What to look at in something past its date, and how often and how far a pass extends it.

    ``extends`` is None where an inspection tells whether it may be used that day and no further.
    """

    ask: tuple[str, ...]
    extends: Life | None
    times: int
    source: str
    certainty: Certainty


@dataclass(frozen=True, slots=True)
class Kind:
    """A sort of consumable with its shelf-life rule.

    ``sealed`` is None where only the printed date counts; ``opened`` is None where an opened pack
    stays good to its date. ``cautions`` and ``disposal`` are keys into the shipped texts.
    """

    key: str
    name: str
    group: str
    dates: DateContext
    meaning: DateMeaning
    past: PastDate
    disposal: str
    source: str
    certainty: Certainty
    sealed: LifeRule | None = None
    opened: LifeRule | None = None
    also: tuple[str, ...] = ()
    storage: str = ""
    heat: str = ""
    failure: str = ""
    past_note: str = ""
    cautions: tuple[str, ...] = ()
    inspection: InspectionRule | None = None
    origin: str = "shipped"

    @property
    def has_life(self) -> bool:
        """Whether things of this kind stop being good at all."""
        return self.meaning is not DateMeaning.NONE


@dataclass(frozen=True, slots=True)
class Item:
    """A thing that is stocked. ``pack`` is how many units its usual pack holds.

    ``gtin_units`` are the units in a pack that has the GTIN at the same place.
    """

    id: int
    code: str
    name: str
    kind: Kind
    unit: str = "each"
    pack: int = 1
    size: str = ""
    width_mm: int | None = None
    length_mm: int | None = None
    importance: Importance = Importance.ESSENTIAL
    note: str = ""
    gtins: tuple[str, ...] = ()
    retired_on: date | None = None
    gtin_units: tuple[int, ...] = ()

    @property
    def short(self) -> str:
        """The short form of its code, as people say it."""
        return f"I{self.id}"

    @property
    def maker_codes(self) -> tuple[str, ...]:
        """Its GTINs as people write them, ``x10`` after one that is not of the usual pack."""
        units = self.gtin_units or (self.pack,) * len(self.gtins)
        return tuple(
            gtin if held == self.pack else f"{gtin} x{held}"
            for gtin, held in zip(self.gtins, units, strict=True)
        )


@dataclass(frozen=True, slots=True)
class Box:
    """A kit box, drawer, pouch, fridge or shelf; ``parent_id`` is the box that it sits in."""

    id: int
    code: str
    name: str
    parent_id: int | None = None
    climate: str = ""
    note: str = ""
    retired_on: date | None = None

    @property
    def short(self) -> str:
        """The short form of its code, as people say it."""
        return f"B{self.id}"


@dataclass(frozen=True, slots=True)
class PrintedExpiry:
    """The maker's date: the text as printed, how it was read, and the last day it covers."""

    text: str
    reading: PartialDate
    last_usable_day: date
    assumed: str = ""


@dataclass(frozen=True, slots=True)
class Inspection:
    """What somebody found when looking at a lot: when, who, passed or not, and until when now."""

    on: date
    passed: bool
    by: str = ""
    note: str = ""
    extends_to: date | None = None


@dataclass(frozen=True, slots=True)
class Lot:
    """What came in together: one item, one batch, one date. Facts, never a count."""

    id: int
    code: str
    item: Item
    batch: str = ""
    expiry: PrintedExpiry | None = None
    made: PartialDate | None = None
    made_text: str = ""
    received_on: date | None = None
    supplier: str = ""
    cost_cents: int | None = None
    note: str = ""
    inspections: tuple[Inspection, ...] = ()

    @property
    def short(self) -> str:
        """The short form of its code, as people say it."""
        return f"L{self.id}"


@dataclass(frozen=True, slots=True)
class Limit:
    """One reason why a holding stops being good: the last usable day, and why, in words.

    ``superseded`` is true for one that is still shown but does not govern: a passed inspection
    stands in its place, or it is an inspection's that came to nothing.
    """

    name: str
    last_usable_day: date
    why: str
    source: str = ""
    certainty: Certainty = Certainty.PUBLISHED
    superseded: bool = False


@dataclass(frozen=True, slots=True)
class Holding:
    """How many of a lot are in one box, sealed or opened on a day. The thing that has a status.

    ``last_usable_day`` and ``governed_by`` are those of the earliest limit, None and "" without.
    """

    id: int
    lot: Lot
    box: Box
    quantity: int
    opened_on: date | None = None
    state: State = State.STOCK
    last_usable_day: date | None = None
    governed_by: str = ""

    @property
    def item(self) -> Item:
        """The item held."""
        return self.lot.item

    @property
    def kind(self) -> Kind:
        """The kind of the item held."""
        return self.lot.item.kind
