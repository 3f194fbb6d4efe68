"""What the lines of a restock list buy: the least total for all of them, in whole packs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core.buying import BuyingPlan, Level, OnSale, Terms, Want, buy
from stockcheck.core.claims import Counted
from stockcheck.core.offers import share_packs
from stockcheck.core.planning import Offer, Par
from stockcheck.core.restock_sources import Sources


@dataclass(frozen=True, slots=True)
class Part:
    """So many packs of one offer."""

    offer: Offer
    packs: int

    @property
    def price_cents(self) -> int:
        """What they cost, without shipping."""
        return self.packs * self.offer.price_cents


@dataclass(frozen=True, slots=True)
class Purchase:
    """What one line buys: ``parts`` are whole packs, of one offer mostly.

    Lines that want the same share their packs: one that is served out of the packs of another has
    0 packs of its own, 0 cents, and that other line's box in ``shared_with``. Without an offer
    the price is None and the packs are of the item's usual size; 0 where no item is known.
    ``uncovered`` are the units that nobody sells so much of, or that are beyond the money; ``late``
    names the offers that were left out because they come too late. ``sold`` says that somebody
    sells it, bought or not; ``proven`` that no cheaper way exists for all lines together.
    """

    offer: Offer | None = None
    pack: int = 0
    packs: int = 0
    shared_with: str = ""
    parts: tuple[Part, ...] = ()
    uncovered: int = 0
    late: tuple[Offer, ...] = ()
    proven: bool = True
    sold: bool = False

    @property
    def price_cents(self) -> int | None:
        """The price of the packs; None without an offer."""
        if self.parts:
            return sum(it.price_cents for it in self.parts)
        return self.packs * self.offer.price_cents if self.offer else None


NOTHING = Purchase()


@dataclass(frozen=True, slots=True)
class Lacking:
    """One line that lacks so many units which are to be bought."""

    counted: Counted
    units: int

    @property
    def par(self) -> Par:
        """The par level."""
        return self.counted.par


def purchases(
    lacking: Sequence[Lacking],
    sources: Sources,
    units: Mapping[str, str],
    days: tuple[date, date, date | None],
) -> dict[int, Purchase]:
    """What each line buys, by par id; those that want the same are bought for together.

    ``units`` is the unit of each kind, ``days`` are today, the horizon and the departure. Where an
    offer comes in time, those that do not are left out.
    """
    on, horizon, departs = days
    groups: defaultdict[tuple[str, str], list[Lacking]] = defaultdict(list)
    for it in lacking:
        groups[_want(it.par)].append(it)
    wants: list[Want] = []
    on_sale: list[OnSale] = []
    offered: list[Offer] = []
    late: dict[int, tuple[Offer, ...]] = {}
    for key, same in enumerate(groups.values()):
        total = sum(it.units for it in same)
        of = sum(it.par.quantity for it in same)
        wants.append(Want(key, (Level(horizon, total),), same[0].par.importance, of))
        fitting = _offers_for(same[0].par, sources, units)
        timely = [it for it in fitting if sources.in_time(it[0], on, departs)]
        late[key] = tuple(it[0] for it in fitting if timely and it not in timely)
        for offer, size in timely or fitting:
            good = sources.good_through(offer, on)
            on_sale.append(OnSale(len(offered), offer.supplier.id, key, size, offer.price_cents,
                                  offer.packs_left, good))  # fmt: skip
            offered.append(offer)
    suppliers = {it.supplier.id: it.supplier for it in offered}
    terms = [
        Terms(it.id, it.fee_cents, it.free_from_cents, it.minimum_cents)
        for it in suppliers.values()
    ]
    plan = buy(wants, on_sale, terms, cap_cents=sources.budget_cents)
    found: dict[int, Purchase] = {}
    for key, same in enumerate(groups.values()):
        sold = any(it.want == key for it in on_sale)
        found |= _shared(same, _parts(plan, key, offered), late[key], (sold, plan.proven))
    return found


def _want(par: Par) -> tuple[str, str]:
    if par.item is not None:
        return "item", str(par.item.id)
    return "kind", par.kind.key if par.kind else ""


def _offers_for(par: Par, sources: Sources, units: Mapping[str, str]) -> list[tuple[Offer, int]]:
    """The offers that answer a par level, with the units of it that one pack is.

    Offers of a substitute only where nobody sells the thing itself.
    """
    offers = sorted(sources.offers, key=lambda it: (it.supplier.name.casefold(), it.id))
    own = [(it, it.pack) for it in offers if _answers(it, par, units)]
    if own or par.item is None:
        return own
    allowed = [it for it in sources.substitutes if it.item.id == par.item.id]
    return [
        (offer, stand_in.covers(offer.pack))
        for stand_in in allowed
        for offer in offers
        if offer.item.id == stand_in.by.id and stand_in.covers(offer.pack)
    ]


def _answers(offer: Offer, par: Par, units: Mapping[str, str]) -> bool:
    if par.item is not None:
        return offer.item.id == par.item.id
    kind = offer.item.kind.key
    return par.kind is not None and par.kind.key == kind and units[kind] == offer.item.unit


def _parts(plan: BuyingPlan, key: int, offered: Sequence[Offer]) -> list[tuple[Offer, int, int]]:
    """Offer, units that one pack is, and packs; the largest packs first."""
    mine = [it for it in plan.bought if it.offer.want == key and it.packs]
    mine.sort(key=lambda it: (-it.offer.size, it.offer.key))
    return [(offered[it.offer.key], it.offer.size, it.packs) for it in mine]


def _shared(
    same: Sequence[Lacking],
    parts: list[tuple[Offer, int, int]],
    late: tuple[Offer, ...],
    known: tuple[bool, bool],
) -> dict[int, Purchase]:
    """The packs dealt out to the lines in turn, so that none is opened twice over."""
    item = same[0].par.item
    sold, proven = known
    if not parts and item is not None and not sold:
        return _by_usual_pack(same, item.pack)
    packs = [(offer, size) for offer, size, number in parts for _ in range(number)][::-1]
    found: dict[int, Purchase] = {}
    pool, buyer = 0, ""
    for it in same:
        taken: dict[int, tuple[Offer, int]] = {}
        while pool < it.units and packs:
            offer, size = packs.pop()
            pool += size
            taken[offer.id] = (offer, taken.get(offer.id, (offer, 0))[1] + 1)
        uncovered = max(0, it.units - pool)
        from_others = not taken and uncovered < it.units
        pool = max(0, pool - it.units)
        buyer = it.par.box.name if taken else buyer
        mine = tuple(Part(offer, number) for offer, number in taken.values())
        first = mine[0].offer if mine else parts[0][0] if parts and from_others else None
        found[it.par.id] = Purchase(
            offer=first,
            pack=first.pack if first else 0,
            packs=sum(part.packs for part in mine),
            shared_with=buyer if from_others else "",
            parts=mine,
            uncovered=uncovered,
            late=late,
            proven=proven,
            sold=sold,
        )
    return found


def _by_usual_pack(same: Sequence[Lacking], pack: int) -> dict[int, Purchase]:
    found: dict[int, Purchase] = {}
    buyer = ""
    for it, packs in zip(same, share_packs([one.units for one in same], pack), strict=True):
        buyer = it.par.box.name if packs else buyer
        shared = "" if packs else buyer
        found[it.par.id] = Purchase(None, pack, packs, shared, uncovered=it.units)
    return found
