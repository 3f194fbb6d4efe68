"""An invented trip to plan for: nested boxes, two kinds, three items, and days before and after.

``listed`` is its restock list, for any par levels, stock and offers.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from given import NEAR, TODAY, box, holding, item, kind, offer
from given import par as par_of
from stockcheck.core.model import Box, Holding, Importance, Item, Kind, PastDate, State
from stockcheck.core.planning import Offer, Par, Supplier
from stockcheck.core.restock import Need, restock

DEPARTS, HORIZON = date(2027, 2, 1), date(2027, 5, 2)
GOOD, ENDS, PAST = date(2028, 2, 29), date(2027, 3, 12), date(2026, 1, 31)

PLASTER = kind("plaster", past=PastDate.DISCARD)
TUBE = item(kind("sealant", past=PastDate.DISCARD))
WIDE, NARROW = item(PLASTER, "plaster, wide", 2), item(PLASTER, "plaster, narrow", 3)

TRUCK, TYRES = box("Truck", 1), box("Tyre kit", 2, inside=1)
POUCH, SPARES = box("Ящик", 3, inside=2), box("Spares", 4)
BOXES = (TRUCK, TYRES, POUCH, SPARES)


def held(
    number: int,
    where: Box,
    quantity: int,
    last: date | None = GOOD,
    *,
    item: Item = TUBE,
    state: State = State.STOCK,
) -> Holding:
    """A holding of sealant that reaches beyond the trip, unless told otherwise."""
    return holding(number, item, where, quantity, last, state=state)


def par(
    number: int,
    where: Box,
    quantity: int,
    of: Item | Kind = TUBE,
    *,
    importance: Importance = Importance.ESSENTIAL,
) -> Par:
    """A par level of sealant unless told otherwise."""
    return par_of(number, where, quantity, of, importance)


def sells(
    number: int, pack: int, cents: int, *, supplier: Supplier = NEAR, item: Item = TUBE
) -> Offer:
    """An offer of sealant by the supplier that is near, unless told otherwise."""
    return offer(number, item, pack, cents, supplier)


def listed(
    pars: Sequence[Par],
    holdings: Sequence[Holding] = (),
    offers: Sequence[Offer] = (),
    *,
    horizon: date = HORIZON,
    departs: date | None = DEPARTS,
    boxes: Sequence[Box] = BOXES,
) -> tuple[Need, ...]:
    """The restock list of the trip."""
    return restock(pars, holdings, offers, on=TODAY, horizon=horizon, departs=departs, boxes=boxes)
