"""The restock list: each par level held against what will still be usable, and what to do about it.

A par is standby stock: it may be wanted on the last day, so only what is good through the end of
the horizon day counts. What lacks is moved from a surplus elsewhere before anything is bought.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from stockcheck.core.calendar import spoken
from stockcheck.core.claims import Counted, MoveFrom, Places, count, rank, unit_of_kinds
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Box, Holding, Importance, Item
from stockcheck.core.offers import cheapest, on_sale, order_by, share_packs
from stockcheck.core.planning import Offer, Par, Supplier
from stockcheck.core.restock_words import Lack, lacking, reason, worked_reason

if TYPE_CHECKING:  # what works needs out is slow to load, and most par levels are fixed
    from stockcheck.core.needs import Worked


@dataclass(frozen=True, slots=True)
class Purchase:
    """What one line buys: ``packs`` whole packs of ``pack`` units, ``price_cents`` for them all.

    Lines that want the same share their packs: one that is served out of the packs of another has
    0 packs of its own, 0 cents, and that other line's box in ``shared_with``. Without an offer
    the price is None and the packs are of the item's usual size; 0 where no item is known.
    """

    offer: Offer | None = None
    pack: int = 0
    packs: int = 0
    shared_with: str = ""

    @property
    def price_cents(self) -> int | None:
        """The price of the packs; None without an offer."""
        return self.packs * self.offer.price_cents if self.offer else None


NOTHING = Purchase()


@dataclass(frozen=True, slots=True)
class Need:
    """One line of the restock list: a par level, how it stands, and what to move and to buy.

    Quantities are whole units. ``usable`` is what its box holds through the horizon and what counts
    for no other par; ``short`` is what lacks before any move, ``buy`` what lacks after the moves.
    ``item`` is what to move or buy, None where any of a kind will do and none is known. ``late``
    says that ``order_by`` is past. ``worked`` is how the need came of a trip, None where it is
    fixed; of what is used up day by day ``served`` units are used on the way before they end, and
    count as usable too.
    """

    par: Par
    item: Item | None
    usable: int
    short: int
    reason: str
    lacking: tuple[Lack, ...]
    move_from: tuple[MoveFrom, ...]
    buy: int
    purchase: Purchase
    use_by_not_before: date
    order_by: date | None = None
    late: bool = False
    on_order: int = 0
    worked: Worked | None = None
    served: int = 0

    @property
    def needed(self) -> int:
        """The par level, or what it comes to on the trip."""
        return self.par.quantity + self.served

    @property
    def box(self) -> Box:
        """The box that should hold it."""
        return self.par.box

    @property
    def wants(self) -> str:
        """The name of what is wanted."""
        return self.par.wants

    @property
    def importance(self) -> Importance:
        """Vital, essential or desirable."""
        return self.par.importance

    @property
    def offer(self) -> Offer | None:
        """The offer to buy from; None when nothing is to be bought or nobody sells it."""
        return self.purchase.offer

    @property
    def packs(self) -> int:
        """How many packs to buy for this line."""
        return self.purchase.packs

    @property
    def price_cents(self) -> int | None:
        """The price of this line's packs; None without an offer."""
        return self.purchase.price_cents


class Group(NamedTuple):
    """The lines to be bought from one supplier, to be moved only, or without any supplier."""

    supplier: Supplier | None
    needs: tuple[Need, ...]

    @property
    def heading(self) -> str:
        """What stands above these lines."""
        if self.supplier is not None:
            return self.supplier.name
        return "no supplier known" if self.needs[0].buy else "nothing to buy: move"


def restock(
    pars: Iterable[Par],
    holdings: Iterable[Holding],
    offers: Iterable[Offer],
    *,
    on: date,
    horizon: date,
    departs: date | None,
    boxes: Sequence[Box],
    only_in: Container[int] | None = None,
    worked: Mapping[int, Worked] | None = None,
) -> tuple[Need, ...]:
    """Every par level that is in use as a line, met ones too: vital first, then by box and name.

    Retired boxes, items, suppliers and offers are left out. ``departs`` is None where the list is
    made for a day and no trip: then there is no day to order by. With ``only_in``, lines and
    purchases are for the boxes with these ids; the needs of the others are still kept from being
    moved away. BadInput when the horizon lies before today. How units are shared among pars is
    told in ``claims``. ``pars`` come with what they are on the trip, ``worked`` tells why, by id.
    """
    if horizon < on:
        raise BadInput(
            f"the restock list is wanted for {spoken(horizon)}, which is before {spoken(on)}: "
            "name a later day or trip"
        )
    places = Places(boxes)
    wanted = [it for it in pars if places.in_use(it.box) and not (it.item and it.item.retired_on)]
    stock = [it for it in holdings if places.in_use(it.box) and it.item.retired_on is None]
    sold = [offer for offer in offers if on_sale(offer)]
    units = unit_of_kinds([*(it.item for it in stock), *(offer.item for offer in sold)])
    on_the_way = _served(wanted, worked or {}, stock, places, _Dates(on, horizon, departs))
    asked = [replace(it, quantity=it.quantity - on_the_way.get(it.id, 0)) for it in wanted]
    every = count(sorted(asked, key=_list_order), stock, places, horizon, units)
    counted = [it for it in every if only_in is None or it.par.box.id in only_in]
    purchases = _purchases(counted, sold, units)
    dates = _Dates(on, horizon, departs)
    needs = (_need(it, purchases.get(it.par.id, NOTHING), dates) for it in counted)
    return tuple(_as_worked(it, (worked or {}).get(it.par.id), on_the_way) for it in needs)


def grouped_by_supplier(needs: Iterable[Need]) -> list[Group]:
    """The lines that lack something: those to move only, then each supplier's, by name, last those
    that nobody sells. Within a group the order stays as given.
    """
    groups: defaultdict[tuple[int, str, int], list[Need]] = defaultdict(list)
    suppliers: dict[tuple[int, str, int], Supplier] = {}
    for need in needs:
        if not need.short:
            continue
        key = (2, "", 0) if need.buy else (0, "", 0)
        if need.offer is not None:
            supplier = need.offer.supplier
            key = (1, supplier.name.casefold(), supplier.id)
            suppliers[key] = supplier
        groups[key].append(need)
    return [Group(suppliers.get(key), tuple(groups[key])) for key in sorted(groups)]


class _Dates(NamedTuple):
    on: date
    horizon: date
    departs: date | None


def _served(
    pars: Sequence[Par],
    worked: Mapping[int, Worked],
    stock: Sequence[Holding],
    places: Places,
    dates: _Dates,
) -> dict[int, int]:
    if dates.departs is None or not any(it.daily for it in worked.values()):
        return {}
    from stockcheck.core.restock_daily import served

    return served(pars, worked, stock, places, dates.departs, dates.horizon)


def _as_worked(need: Need, worked: Worked | None, served: Mapping[int, int]) -> Need:
    """A line with how its need came of the trip, and what is used before it ends."""
    if worked is None:
        return need
    units = served.get(need.par.id, 0)
    why = worked_reason(need.reason, worked.why, need.needed + units, units, worked.before)
    return replace(need, reason=why, worked=worked, served=units, usable=need.usable + units)


def _list_order(par: Par) -> tuple[int, str, str, int]:
    return rank(par.importance), par.box.name.casefold(), par.wants.casefold(), par.id


def _purchases(
    counted: Sequence[Counted], sold: Sequence[Offer], units: dict[str, str]
) -> dict[int, Purchase]:
    """What each par's line buys, by par id; pars that want the same are bought for together."""
    together: defaultdict[tuple[str, str], list[Counted]] = defaultdict(list)
    for it in counted:
        if it.still_short:
            together[_want(it.par)].append(it)
    bought: dict[int, Purchase] = {}
    for same in together.values():
        bought.update(
            _purchases_of_one(same, [it for it in sold if _answers(it, same[0].par, units)])
        )
    return bought


def _want(par: Par) -> tuple[str, str]:
    if par.item is not None:
        return "item", str(par.item.id)
    return "kind", par.kind.key if par.kind else ""


def _answers(offer: Offer, par: Par, units: dict[str, str]) -> bool:
    if par.item is not None:
        return offer.item.id == par.item.id
    kind = offer.item.kind.key
    return par.kind is not None and par.kind.key == kind and units[kind] == offer.item.unit


def _purchases_of_one(same: Sequence[Counted], offers: Sequence[Offer]) -> dict[int, Purchase]:
    quantities = [it.still_short for it in same]
    offer = cheapest(offers, sum(quantities))
    item = same[0].par.item
    pack = offer.pack if offer else item.pack if item else 0
    if not pack:
        return {}
    purchases: dict[int, Purchase] = {}
    buyer = ""
    for it, packs in zip(same, share_packs(quantities, pack), strict=True):
        buyer = it.par.box.name if packs else buyer
        purchases[it.par.id] = Purchase(offer, pack, packs, "" if packs else buyer)
    return purchases


def _need(counted: Counted, purchase: Purchase, dates: _Dates) -> Need:
    lacks = lacking(counted, dates.on, dates.horizon)
    latest = order_by(purchase.offer, dates.departs)
    late = latest is not None and latest < dates.on
    why = reason(counted, lacks, dates.horizon)
    if purchase.shared_with:
        why += f"; out of the packs bought for {purchase.shared_with}"
    if late:
        why += f"; late: it was to be ordered by {spoken(latest)}"
    return Need(
        par=counted.par,
        item=_item_of(counted, purchase),
        usable=counted.usable,
        short=counted.short,
        reason=why,
        lacking=lacks,
        move_from=counted.moves,
        buy=counted.still_short,
        purchase=purchase,
        use_by_not_before=dates.horizon,
        order_by=latest,
        late=late,
    )


def _item_of(counted: Counted, purchase: Purchase) -> Item | None:
    if counted.par.item is not None:
        return counted.par.item
    if purchase.offer is not None:
        return purchase.offer.item
    return counted.moves[0].holding.item if counted.moves else None
