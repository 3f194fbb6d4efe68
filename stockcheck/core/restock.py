"""The restock list: each par level held against what will still be usable, and what to do about it.

A par is standby stock: it may be wanted on the last day, so only what is good through the end of
the horizon day counts. What lacks is moved from a surplus elsewhere before anything is bought.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

from stockcheck.core.calendar import spoken
from stockcheck.core.claims import (
    Counted,
    MoveFrom,
    Places,
    count_and_free,
    rank,
    unit_of_kinds,
)
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Box, Holding, Importance, Item
from stockcheck.core.needs import Worked
from stockcheck.core.offers import on_sale, order_by_words
from stockcheck.core.order_days import OrderBy
from stockcheck.core.par_rules import Needed
from stockcheck.core.planning import Offer, Par, Supplier
from stockcheck.core.restock_buying import NOTHING, Lacking, Purchase, purchases
from stockcheck.core.restock_daily import served
from stockcheck.core.restock_fill import Filled, fill
from stockcheck.core.restock_sources import Sources, StandIn
from stockcheck.core.restock_words import Lack, lacking, reason, worked_reason
from stockcheck.core.words import money


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
    stand_ins: tuple[StandIn, ...] = ()
    order_why: str = ""

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
        if not self.needs[0].buy:
            filled = any(need.on_order or need.stand_ins for need in self.needs)
            return "nothing to buy" if filled else "nothing to buy: move"
        sold = self.needs[0].purchase.sold
        return "beyond the money or what is sold" if sold else "no supplier known"


def restock(
    pars: Iterable[Par] | Needed,
    holdings: Iterable[Holding],
    offers: Iterable[Offer] | Sources,
    *,
    on: date,
    horizon: date,
    departs: date | None,
    boxes: Sequence[Box],
    only_in: Container[int] | None = None,
) -> tuple[Need, ...]:
    """Every par level that is in use as a line, met ones too: vital first, then by box and name.

    Retired boxes, items, suppliers and offers are left out. ``departs`` is None where the list is
    made for a day and no trip: then there is no day to order by. With ``only_in``, lines and
    purchases are for the boxes with these ids; the needs of the others are still kept from being
    moved away. BadInput when the horizon lies before today. How units are shared among pars is
    told in ``claims``. Par levels that a trip decides come as what they are on it (``Needed``).
    What lacks is filled from surplus, from what is on order, by substitutes, then it is bought.
    """
    if horizon < on:
        raise BadInput(
            f"the restock list is wanted for {spoken(horizon)}, which is before {spoken(on)}: "
            "name a later day or trip"
        )
    places = Places(boxes)
    asked_for = pars if isinstance(pars, Needed) else Needed(tuple(pars), {})
    worked = asked_for.worked
    wanted = [
        it
        for it in asked_for.pars
        if places.in_use(it.box) and not (it.item and it.item.retired_on)
    ]
    stock = [it for it in holdings if places.in_use(it.box) and it.item.retired_on is None]
    known = offers if isinstance(offers, Sources) else Sources(tuple(offers))
    sources = replace(known, offers=[offer for offer in known.offers if on_sale(offer)])
    items = [*(it.item for it in stock), *(offer.item for offer in sources.offers)]
    units = unit_of_kinds(items)
    on_the_way = _served(wanted, worked, stock, places, _Dates(on, horizon, departs))
    asked = [replace(it, quantity=it.quantity - on_the_way.get(it.id, 0)) for it in wanted]
    every, free = count_and_free(sorted(asked, key=_list_order), stock, places, horizon, units)
    filled = fill(every, stock, free, sources, horizon, departs)
    counted = [it for it in every if only_in is None or it.par.box.id in only_in]
    lacking = [Lacking(it, it.still_short - filled[it.par.id].units) for it in counted]
    dates = _Dates(on, horizon, departs)
    bought = purchases([it for it in lacking if it.units], sources, units, dates)
    plan = _Plan(sources, filled, bought, dates)
    needs = (_need(it, plan) for it in counted)
    return tuple(_as_worked(it, worked.get(it.par.id), on_the_way) for it in needs)


def grouped_by_supplier(needs: Iterable[Need]) -> list[Group]:
    """The lines that lack something: those to move only, then each supplier's, by name, last those
    that nobody sells. Within a group the order stays as given.
    """
    groups: defaultdict[tuple[int, str, int], list[Need]] = defaultdict(list)
    suppliers: dict[tuple[int, str, int], Supplier] = {}
    for need in needs:
        if not need.short:
            continue
        key = (2 if need.purchase.sold else 3, "", 0) if need.buy else (0, "", 0)
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


class _Plan(NamedTuple):
    sources: Sources
    filled: Mapping[int, Filled]
    bought: Mapping[int, Purchase]
    dates: _Dates


def _served(
    pars: Sequence[Par],
    worked: Mapping[int, Worked],
    stock: Sequence[Holding],
    places: Places,
    dates: _Dates,
) -> dict[int, int]:
    if dates.departs is None or not any(it.daily for it in worked.values()):
        return {}
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


def _need(counted: Counted, plan: _Plan) -> Need:
    dates, filled = plan.dates, plan.filled[counted.par.id]
    purchase = plan.bought.get(counted.par.id, NOTHING)
    lacks = lacking(counted, dates.on, dates.horizon)
    latest = plan.sources.order_by(purchase.offer, dates.departs) if purchase.offer else None
    late = latest is not None and latest.day < dates.on
    why = reason(counted, lacks, dates.horizon)
    return Need(
        par=counted.par,
        item=_item_of(counted, purchase),
        usable=counted.usable,
        short=counted.short,
        reason="; ".join([why, *filled_words(filled), *bought_words(purchase, plan, latest)]),
        lacking=lacks,
        move_from=counted.moves,
        buy=counted.still_short - filled.units,
        purchase=purchase,
        use_by_not_before=dates.horizon,
        order_by=latest.day if latest else None,
        late=late,
        on_order=filled.on_order,
        stand_ins=filled.stand_ins,
        order_why=_order_why(purchase.offer, latest, plan.sources),
    )


def _order_why(offer: Offer | None, latest: OrderBy | None, sources: Sources) -> str:
    """Where the last day to order comes from; the sum where only calendar days count."""
    if offer is None or latest is None:
        return ""
    plain = not offer.supplier.lead_working and offer.supplier.id not in sources.working
    return order_by_words(offer, latest.day) if plain else latest.why


def filled_words(filled: Filled) -> list[str]:
    """What fills a shortage, in words."""
    said = [f"{filled.on_order} on order in time"] if filled.on_order else []
    return said + [
        f"{it.quantity} of {it.holding.item.name} stand in for {it.covers}"
        for it in filled.stand_ins
    ]


def bought_words(purchase: Purchase, plan: _Plan, latest: OrderBy | None) -> list[str]:
    """What is to be said of a purchase: whose packs, how late, what is beyond reach."""
    said, dates = [], plan.dates
    if purchase.shared_with:
        said.append(f"out of the packs bought for {purchase.shared_with}")
    if latest is not None and latest.day < dates.on:
        said.append(f"late: it was to be ordered by {spoken(latest.day)}")
        comes = plan.sources.comes(purchase.offer, dates.on) if purchase.offer else None
        if comes is not None and dates.departs is not None and comes > latest.must_have:
            said.append(f"ordered today it comes {spoken(comes)}")
    for offer in purchase.late:
        comes = plan.sources.comes(offer, dates.on)
        said.append(
            f"too late from {offer.supplier.name}: {offer.pack} for {money(offer.price_cents)},"
            f" comes {spoken(comes) if comes else 'nobody knows when'}"
        )
    if purchase.uncovered and purchase.sold:
        why = (
            "beyond the money or what is sold"
            if plan.sources.budget_cents is not None
            else ("more than is sold in time")
        )
        said.append(f"{purchase.uncovered} of it {why}")
    return said


def _item_of(counted: Counted, purchase: Purchase) -> Item | None:
    if counted.par.item is not None:
        return counted.par.item
    if purchase.offer is not None:
        return purchase.offer.item
    return counted.moves[0].holding.item if counted.moves else None
