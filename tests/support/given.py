"""What tests of the core are given: invented kinds, items, boxes, lots and holdings, by default.

Nothing here exists: names, figures and sources are invented, and codes only have the right form.
A test says what matters to it and leaves the rest to these defaults.
"""

from __future__ import annotations

from datetime import date

from stockcheck.core.calendar import Life, PartialDate
from stockcheck.core.codes import make_code
from stockcheck.core.model import (
    Box,
    Certainty,
    CountsFrom,
    DateContext,
    DateMeaning,
    Holding,
    Importance,
    Inspection,
    InspectionRule,
    Item,
    Kind,
    LifeRule,
    Lot,
    PastDate,
    PrintedExpiry,
    State,
)
from stockcheck.core.planning import Offer, Par, Supplier

TODAY = date(2026, 11, 25)
NEAR, FAR = Supplier(1, "Desert Stores", lead_days=5), Supplier(2, "Coast Supply", lead_days=21)


def life(
    text: str,
    counts_from: CountsFrom = CountsFrom.MADE,
    certainty: Certainty = Certainty.TYPICAL,
) -> LifeRule:
    """A life as typed (``12 months``), by an invented sheet."""
    return LifeRule(Life.parse(text), "the invented sheet", certainty, counts_from)


def kind(
    key: str = "sealant",
    *,
    dates: DateContext = DateContext.GENERAL,
    meaning: DateMeaning = DateMeaning.QUALITY,
    past: PastDate = PastDate.LAST_RESORT,
    sealed: LifeRule | None = None,
    opened: LifeRule | None = None,
    inspection: InspectionRule | None = None,
) -> Kind:
    """An invented kind, named as its key; by default a date of quality and no life."""
    return Kind(
        key=key,
        name=key,
        group="invented",
        dates=dates,
        meaning=meaning,
        past=past,
        disposal="invented",
        source="invented",
        certainty=Certainty.OWN,
        sealed=sealed,
        opened=opened,
        inspection=inspection,
    )


def item(
    of: Kind, name: str = "sealant, 50 ml tube", number: int = 1, unit: str = "each", pack: int = 1
) -> Item:
    """An invented item of a kind."""
    return Item(number, make_code("item", number), name, of, unit, pack)


def box(name: str = "Truck", number: int = 1, inside: int | None = None) -> Box:
    """An invented box, which sits in the one of the number ``inside``."""
    return Box(number, make_code("box", number), name, parent_id=inside)


def printed(text: str, reading: str) -> PrintedExpiry:
    """A maker's date as printed and as read, good through the last day of the reading."""
    read = PartialDate(reading)
    return PrintedExpiry(text, read, read.last_day())


def lot(
    of: Item,
    number: int = 1,
    *looks: Inspection,
    expiry: PrintedExpiry | None = None,
    made: str = "",
    received_on: date | None = None,
) -> Lot:
    """An invented lot of an item, with the looks that were taken at it."""
    return Lot(
        number,
        make_code("lot", number),
        of,
        expiry=expiry,
        made=PartialDate(made) if made else None,
        made_text=made,
        received_on=received_on,
        inspections=looks,
    )


def holding(
    number: int,
    of: Lot | Item,
    where: Box,
    quantity: int = 1,
    last: date | None = None,
    *,
    opened_on: date | None = None,
    state: State = State.STOCK,
) -> Holding:
    """A holding of a lot, or of the lot of its own number of an item; good through ``last``."""
    held = of if isinstance(of, Lot) else lot(of, number)
    governed_by = "printed" if last else ""
    return Holding(number, held, where, quantity, opened_on, state, last, governed_by)


def par(
    number: int,
    where: Box,
    quantity: int,
    of: Item | Kind,
    importance: Importance = Importance.ESSENTIAL,
) -> Par:
    """A par level of an item, or of any item of a kind."""
    if isinstance(of, Item):
        return Par(number, where, quantity, of, importance=importance)
    return Par(number, where, quantity, kind=of, importance=importance)


def offer(number: int, of: Item, pack: int, cents: int, supplier: Supplier = NEAR) -> Offer:
    """What an invented supplier asks for a pack."""
    return Offer(number, supplier, of, pack, cents)
