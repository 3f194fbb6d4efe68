"""Checks a buying plan anew, from the wants, offers and terms alone, whatever made it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from stockcheck.core.buying import BuyingPlan, OnSale, Terms, Want


def faults(
    plan: BuyingPlan,
    wants: Sequence[Want],
    offers: Sequence[OnSale],
    terms: Iterable[Terms],
    cap_cents: int | None = None,
) -> tuple[str, ...]:
    """What is wrong with a plan, in words; none where it covers and costs what it says.

    Each level of each want is covered but for what the plan says is missing; nothing is bought that
    is not on offer, or more often than there is; fees, least orders, sums and the cap are right.
    """
    return (
        *_offers(plan, offers),
        *_cover(plan, wants),
        *_orders(plan, {it.supplier: it for it in terms}),
        *_money(plan, cap_cents),
    )


def _offers(plan: BuyingPlan, offers: Sequence[OnSale]) -> list[str]:
    found = [f"offer {it.offer.key} is not there" for it in plan.bought if it.offer not in offers]
    twice = Counter(id(it.offer) for it in plan.bought)
    found += ["an offer is bought from twice"] if any(n > 1 for n in twice.values()) else []
    for it in plan.bought:
        if it.packs < 1 or (it.offer.stock is not None and it.packs > it.offer.stock):
            found.append(f"offer {it.offer.key}: {it.packs} packs cannot be had")
    return found


def _cover(plan: BuyingPlan, wants: Sequence[Want]) -> list[str]:
    missing = {it.want: it.units for it in plan.missing}
    found = []
    for want in wants:
        mine = [it for it in plan.bought if it.offer.want == want.key]
        for level in want.levels:
            good = sum(
                it.units
                for it in mine
                if it.offer.good_through is None or it.offer.good_through >= level.good_on
            )
            if good + missing.get(want.key, 0) < level.units:
                found.append(f"want {want.key}: {good} of {level.units} on {level.good_on}")
    return found


def _orders(plan: BuyingPlan, terms: dict[int, Terms]) -> list[str]:
    goods: Counter[int] = Counter()
    for it in plan.bought:
        goods[it.offer.supplier] += it.packs * it.offer.price_cents
    found = []
    if sorted(it.supplier for it in plan.orders) != sorted(
        {it.offer.supplier for it in plan.bought}
    ):
        found.append("orders and purchases are not of the same suppliers")
    for order in plan.orders:
        of = terms.get(order.supplier, Terms(order.supplier))
        spent = goods[order.supplier]
        if order.goods_cents != spent or order.fee_cents != of.fee_for(spent):
            found.append(f"supplier {order.supplier}: the sums are wrong")
        if spent < of.minimum_cents:
            found.append(f"supplier {order.supplier}: {spent} is less than the least order")
    return found


def _money(plan: BuyingPlan, cap_cents: int | None) -> list[str]:
    found = []
    if cap_cents is not None and plan.total_cents > cap_cents:
        found.append(f"{plan.total_cents} is over the cap of {cap_cents}")
    if plan.at_least_cents > plan.total_cents:
        found.append("the bound lies above the plan")
    if any(it.units < 1 or not 0 <= it.unavailable <= it.units for it in plan.missing):
        found.append("what is missing is told wrongly")
    return found
