"""Which offer to buy from, in how many packs, and by when to order. Whole units, packs and cents.

``cheapest`` is for one purchase by itself; what a whole list buys is in ``restock_buying``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from stockcheck.core.calendar import spoken
from stockcheck.core.planning import Offer, Supplier

HANDLING_DAYS = 2
"""Days between delivery and departure, to check, label and stow: our own choice, no source."""


def packs_for(quantity: int, pack: int) -> int:
    """How many packs of this many units hold at least the quantity."""
    return -(-quantity // pack)


def cheapest(offers: Iterable[Offer], quantity: int) -> Offer | None:
    """The single offer that covers a quantity for the least money in whole packs; None of none.

    At an equal price the one with fewer units too many, then by the supplier's name.
    """

    def cost(offer: Offer) -> tuple[int, int, str, int]:
        packs = packs_for(quantity, offer.pack)
        extra = packs * offer.pack - quantity
        return packs * offer.price_cents, extra, offer.supplier.name.casefold(), offer.id

    return min(offers, key=cost, default=None)


def fee_for(supplier: Supplier, goods_cents: int) -> int:
    """What a supplier asks for shipping goods of so much; nothing where there are none."""
    free = supplier.free_from_cents
    waived = not goods_cents or (free is not None and goods_cents >= free)
    return 0 if waived else supplier.fee_cents


def on_sale(offer: Offer) -> bool:
    """Whether the offer, its supplier and its item are all still current."""
    retired = (offer.retired_on, offer.supplier.retired_on, offer.item.retired_on)
    return all(day is None for day in retired)


def share_packs(quantities: Sequence[int], pack: int) -> tuple[int, ...]:
    """Packs for several wants out of one purchase, so that no pack is opened twice over.

    A want that the packs of those before it already cover gets none of its own: 1, 1 and 9 units
    out of packs of ten are 1, 0 and 1 packs.
    """
    packs: list[int] = []
    wanted = bought = 0
    for quantity in quantities:
        wanted += quantity
        more = packs_for(wanted, pack) - bought
        packs.append(more)
        bought += more
    return tuple(packs)


def order_by(offer: Offer | None, departs: date | None) -> date | None:
    """The last day to order so that it comes HANDLING_DAYS before departure.

    Weekends and holidays are not looked at. None when lead time or departure is unknown.
    """
    if offer is None or departs is None:
        return None
    lead = lead_days(offer)
    return None if lead is None else departs - timedelta(days=HANDLING_DAYS + lead)


def lead_days(offer: Offer) -> int | None:
    """Calendar days from order to delivery: the offer's own, else its supplier's, if known."""
    return offer.supplier.lead_days if offer.lead_days is None else offer.lead_days


def order_by_words(offer: Offer, latest: date) -> str:
    """Where the last day to order an offer, as ``order_by`` gave it, comes from.

    ``order by 27 JAN 2027 = departure 08 FEB 2027 − 10 days' delivery − 2 days to stow``.
    """
    lead = lead_days(offer) or 0
    departs = latest + timedelta(days=HANDLING_DAYS + lead)
    delivery = "1 day's delivery" if lead == 1 else f"{lead} days' delivery"
    return (
        f"order by {spoken(latest)} = departure {spoken(departs)} − {delivery}"
        f" − {HANDLING_DAYS} days to stow"
    )
