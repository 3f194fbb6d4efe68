"""Buying problems in short, and every plan there is for small ones, tried one by one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from fractions import Fraction
from itertools import product

from stockcheck.core.buying import BuyingPlan, Level, OnSale, Terms, Want
from stockcheck.core.model import Importance

DEPARTS = date(2027, 2, 8)
HORIZON = DEPARTS + timedelta(days=19)
Worth = tuple[int, int, int, int]
"""Cents, units, orders, and packs times their offers' places."""


def day(number: int) -> date:
    return DEPARTS + timedelta(days=number - 1)


def want(key: int, units: int, importance: Importance = Importance.ESSENTIAL) -> Want:
    """So many units that are good to the end."""
    return Want(key, (Level(HORIZON, units),), importance)


@dataclass(frozen=True, slots=True)
class Shop:
    """Wants, offers and terms that belong together."""

    wants: Sequence[Want]
    offers: Sequence[OnSale]
    terms: Sequence[Terms] = field(default=())


def every_plan(shop: Shop, most: int) -> list[tuple[int, ...]]:
    """Every way to buy up to so many packs of each offer that is of any use, by their numbers."""
    limits = [(most if it.stock is None else min(most, it.stock)) for it in shop.offers]
    useful = [_useful(shop, it) for it in shop.offers]
    ranges = [range(n * use + 1) for n, use in zip(limits, useful, strict=True)]
    return list(product(*ranges))


def _useful(shop: Shop, offer: OnSale) -> bool:
    """Whether it is good on a day for which more is wanted than for later days."""
    levels = [level for it in shop.wants if it.key == offer.want for level in it.levels]
    days = [
        it.good_on
        for it in levels
        if it.units > max((more.units for more in levels if more.good_on > it.good_on), default=0)
    ]
    return bool(days) and (offer.good_through is None or offer.good_through >= min(days))


def lacking(shop: Shop, packs: Sequence[int]) -> dict[int, int]:
    """What each want lacks, on the level that lacks most."""
    found = {}
    for it in shop.wants:
        short = 0
        for level in it.levels:
            good = sum(
                n * offer.size
                for n, offer in zip(packs, shop.offers, strict=True)
                if offer.want == it.key
                and (offer.good_through is None or offer.good_through >= level.good_on)
            )
            short = max(short, level.units - good)
        found[it.key] = short
    return found


def priced(shop: Shop, packs: Sequence[int]) -> Worth | None:
    """What a plan costs by the terms; None where a supplier would not take the order."""
    goods: dict[int, int] = {}
    units = places = 0
    for place, (n, offer) in enumerate(zip(packs, shop.offers, strict=True), 1):
        if n:
            goods[offer.supplier] = goods.get(offer.supplier, 0) + n * offer.price_cents
        units, places = units + n * offer.size, places + n * place
    total = 0
    terms = {it.supplier: it for it in shop.terms}
    for supplier, cents in goods.items():
        of = terms.get(supplier, Terms(supplier))
        if cents < of.minimum_cents:
            return None
        free = of.free_from_cents is not None and cents >= of.free_from_cents
        total += cents + (0 if free else of.fee_cents)
    return total, units, len(goods), places


def best_by_trying(shop: Shop, most: int) -> Worth | None:
    """The best plan that covers everything, found by trying all."""
    found = [
        worth
        for packs in every_plan(shop, most)
        if not any(lacking(shop, packs).values()) and (worth := priced(shop, packs)) is not None
    ]
    return min(found, default=None)


def best_under_a_cap(shop: Shop, most: int, cap: int) -> tuple[list[Fraction], Worth]:
    """The shares missing by importance, and the worth, of the best plan within a cap."""
    found = []
    for packs in every_plan(shop, most):
        worth = priced(shop, packs)
        if worth is not None and worth[0] <= cap:
            found.append((shares(shop, lacking(shop, packs)), worth))
    return min(found)


def shares(shop: Shop, short: dict[int, int]) -> list[Fraction]:
    """What is missing by importance, in shares of each want."""
    return [
        sum(
            (
                Fraction(short.get(it.key, 0), it.units)
                for it in shop.wants
                if it.importance is importance and it.units
            ),
            Fraction(0),
        )
        for importance in Importance
    ]


def worth_of(plan: BuyingPlan, shop: Shop) -> Worth:
    """A plan's worth by its own figures."""
    places = sum(it.packs * (list(shop.offers).index(it.offer) + 1) for it in plan.bought)
    return plan.total_cents, plan.units, len(plan.orders), places
