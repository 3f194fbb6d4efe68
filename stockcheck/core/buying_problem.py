"""The buying problem as the search sees it: numbered suppliers, and one whole number for a plan.

A plan's worth is one number, so that better is less: shares missing by importance, then money,
units, orders and the offers' places, each in bits of its own. All of them add up over the plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from stockcheck.core.buying import Level, OnSale, Terms, Want

PLACE_BITS, ORDER_BITS, UNIT_BITS, MONEY_BITS, SHARE_BITS = 64, 16, 64, 64, 64
_UNITS_AT = PLACE_BITS + ORDER_BITS
_MONEY_AT = _UNITS_AT + UNIT_BITS
SHARES_AT = _MONEY_AT + MONEY_BITS
BEYOND = 1 << 512
"""More than any plan is worth: what cannot be done."""
MOST = 10**9
"""The most that a number of units, packs or cents may be: larger ones are refused."""


def worth(money: int = 0, units: int = 0, orders: int = 0, places: int = 0) -> int:
    """The worth of what is bought or ordered; worths add up."""
    return (((money << UNIT_BITS | units) << ORDER_BITS | orders) << PLACE_BITS) | places


def money_in(value: int) -> int:
    """The cents in a worth."""
    return (value >> _MONEY_AT) & ((1 << MONEY_BITS) - 1)


@dataclass(frozen=True, slots=True)
class Problem:
    """Wants that can be met, the offers that may serve each, and suppliers by number.

    ``wants`` keep only what can be had; ``unavailable`` tells, want by want, the units that nobody
    sells. ``offers`` are in the order given; their place is their number.
    """

    asked: tuple[Want, ...]
    wants: tuple[Want, ...]
    unavailable: tuple[int, ...]
    offers: tuple[OnSale, ...]
    terms: tuple[Terms, ...]

    def offers_for(self, want: Want) -> list[tuple[int, OnSale]]:
        """The offers that may serve a want, with their places; those that last longest first."""
        serving = [(place, it) for place, it in enumerate(self.offers) if it.want == want.key]
        return sorted(serving, key=lambda it: (-ends(it[1]).toordinal(), it[0]))


def ends(offer: OnSale) -> date:
    """The last usable day of an offer, the end of the calendar for none."""
    return offer.good_through or date.max


def problem_of(wants: Sequence[Want], offers: Sequence[OnSale], terms: Iterable[Terms]) -> Problem:
    """The problem without what cannot be: suppliers whose least order is out of reach, and units
    that nobody sells.
    """
    _check(wants, offers)
    tidy = [replace(it, levels=staircase(it.levels)) for it in wants]
    serving = [it for it in offers if _serves(it, tidy)]
    known = {it.supplier: it for it in terms}
    suppliers = dict.fromkeys(it.supplier for it in serving)
    all_terms = [known.get(it, Terms(it)) for it in suppliers]
    reachable = {it.supplier for it in all_terms if _can_order(it, serving)}
    kept = tuple(it for it in serving if it.supplier in reachable)
    lost = [
        max((a.units - b for a, b in zip(it.levels, _covers(it, kept), strict=True)), default=0)
        for it in tidy
    ]
    return Problem(
        asked=tuple(tidy),
        wants=tuple(replace(it, levels=staircase(_available(it, kept))) for it in tidy),
        unavailable=tuple(lost),
        offers=kept,
        terms=tuple(it for it in all_terms if it.supplier in reachable),
    )


def _serves(offer: OnSale, wants: Iterable[Want]) -> bool:
    """Whether an offer is of any use: good on a day that something is wanted for, and in stock."""
    levels = next(it.levels for it in wants if it.key == offer.want)
    return bool(levels) and ends(offer) >= levels[0].good_on and offer.stock != 0


def staircase(levels: Iterable[Level]) -> tuple[Level, ...]:
    """Only the levels that ask for more than a later one: by day, falling units."""
    kept: list[Level] = []
    for level in sorted(levels, key=lambda it: (it.good_on, it.units), reverse=True):
        if level.units > (kept[-1].units if kept else 0):
            kept.append(level)
    return tuple(kept[::-1])


def _available(want: Want, offers: Sequence[OnSale]) -> list[Level]:
    covers = zip(want.levels, _covers(want, offers), strict=True)
    return [Level(it.good_on, min(it.units, most)) for it, most in covers]


def _covers(want: Want, offers: Sequence[OnSale]) -> list[int]:
    """For each level the units that can be had at most, no more than it asks for."""
    mine = [it for it in offers if it.want == want.key]
    found = []
    for level in want.levels:
        lasting = [it for it in mine if ends(it) >= level.good_on]
        endless = any(it.stock is None for it in lasting)
        limited = sum(it.size * (it.stock or 0) for it in lasting)
        found.append(level.units if endless else min(level.units, limited))
    return found


def _can_order(terms: Terms, offers: Sequence[OnSale]) -> bool:
    """Whether all that a supplier has comes to the least that it takes an order for."""
    mine = [it for it in offers if it.supplier == terms.supplier and it.price_cents]
    if any(it.stock is None for it in mine):
        return True
    return sum(it.price_cents * (it.stock or 0) for it in mine) >= terms.minimum_cents


def _check(wants: Sequence[Want], offers: Sequence[OnSale]) -> None:
    keys = [it.key for it in wants]
    if len(set(keys)) < len(keys):
        raise ValueError("two wants have one key")
    if not {it.want for it in offers} <= set(keys):
        raise ValueError("an offer answers no want that is known")
    sizes = [it.units for it in wants] + [n for it in offers for n in (it.size, it.price_cents)]
    if max(sizes, default=0) > MOST or min((it.units for it in wants), default=0) < 0:
        raise ValueError(f"quantities and prices are 0 to {MOST}")
