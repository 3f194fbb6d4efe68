"""What to buy from whom: the least total for all wants together, exactly, in whole packs and cents.

Of equal plans the one with the least money, then the fewest units bought, then the fewest orders,
then offers that stand earlier (the sum of packs times their place in the list). The search is
exact: dynamic programming for each want over the suppliers that are allowed, branch and bound over
the suppliers, and, where a sum of money decides (shipping free from, minimum orders, a cap on
money), the undominated ways of spending it. Beyond ``effort`` it stops, and the plan then says that
it is not proven least, and how much less any plan could cost at most.

A cap on money is spent by importance: the least is missing of vital wants, then of essential, then
of desirable ones; what is missing is counted in shares of each want, so half of one and the whole
of another weigh one and a half. Only then the least money counts.

Every plan is checked anew for cover and cost (``buying_check``) before it is given.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from stockcheck.core.model import Importance
from stockcheck.core.planned_use import Daily
from stockcheck.core.projection import Pack


@dataclass(frozen=True, slots=True)
class Level:
    """So many units wanted that are still good on a day."""

    good_on: date
    units: int


@dataclass(frozen=True, slots=True)
class Want:
    """What lacks of one thing: at each level's day so many units good on that day.

    Standby stock has one level, the horizon; what is used up has a staircase (``levels``).
    ``key`` is the caller's. ``of`` is the whole need, of which what is missing is a share; 0 for
    what is wanted here.
    """

    key: int
    levels: tuple[Level, ...]
    importance: Importance = Importance.ESSENTIAL
    of: int = 0

    @property
    def units(self) -> int:
        """The units wanted, on the day that asks for most."""
        return max((it.units for it in self.levels), default=0)


@dataclass(frozen=True, slots=True)
class OnSale:
    """A pack that answers one want: its units, its price, how many there are, how long it is good.

    ``stock`` is None where it does not run out; ``good_through`` None where it outlasts every
    level. Where one pack answers several wants, offer it to each; ``stock`` is then not shared.
    """

    key: int
    supplier: int
    want: int
    size: int
    price_cents: int
    stock: int | None = None
    good_through: date | None = None

    def __post_init__(self) -> None:
        if self.size < 1 or self.price_cents < 0 or (self.stock or 0) < 0:
            raise ValueError("a pack holds 1 unit or more, for 0 cents or more, 0 times or more")


@dataclass(frozen=True, slots=True)
class Terms:
    """A supplier's shipping fee, from what sum of goods it is waived, and the least order taken."""

    supplier: int
    fee_cents: int = 0
    free_from_cents: int | None = None
    minimum_cents: int = 0

    def __post_init__(self) -> None:
        if min(self.fee_cents, self.minimum_cents, self.free_from_cents or 0) < 0:
            raise ValueError("sums of money are 0 or more")

    def fee_for(self, goods_cents: int) -> int:
        """The fee for goods of so much."""
        waived = self.free_from_cents is not None and goods_cents >= self.free_from_cents
        return 0 if waived else self.fee_cents


@dataclass(frozen=True, slots=True)
class Bought:
    """So many packs of one offer."""

    offer: OnSale
    packs: int

    @property
    def cents(self) -> int:
        """What they cost."""
        return self.packs * self.offer.price_cents

    @property
    def units(self) -> int:
        """What they hold."""
        return self.packs * self.offer.size


@dataclass(frozen=True, slots=True)
class Order:
    """What goes to one supplier: goods and fee in cents."""

    supplier: int
    goods_cents: int
    fee_cents: int


@dataclass(frozen=True, slots=True)
class Missing:
    """Units of a want that the plan does not cover, on the day that lacks most.

    ``unavailable`` are those of them that nobody sells (or sells long-lasting enough); the others
    were beyond the cap on money.
    """

    want: int
    units: int
    unavailable: int = 0


@dataclass(frozen=True, slots=True)
class BuyingPlan:
    """What to buy. ``proven`` says that no plan is better; else none costs less than the bound.

    The bound is ``at_least_cents``. With a cap on money, a plan that is not proven may leave a
    better use of the cap; the bound is then 0.
    """

    bought: tuple[Bought, ...]
    orders: tuple[Order, ...]
    missing: tuple[Missing, ...] = ()
    proven: bool = True
    at_least_cents: int = 0

    @property
    def total_cents(self) -> int:
        """Goods and fees."""
        return sum(it.goods_cents + it.fee_cents for it in self.orders)

    @property
    def units(self) -> int:
        """All the units bought."""
        return sum(it.units for it in self.bought)


EFFORT = 1_500_000
"""Steps of the search before it gives what it has: some seconds on a small machine."""


def buy(
    wants: Sequence[Want],
    offers: Sequence[OnSale],
    terms: Iterable[Terms] = (),
    *,
    cap_cents: int | None = None,
    effort: int = EFFORT,
) -> BuyingPlan:
    """The best plan for all wants; suppliers without terms ship for nothing.

    What nobody sells is told as missing, and the rest is bought. ValueError when keys of wants are
    not unique, or an offer's want is not known. RuntimeError when the plan does not stand its own
    check, which is a fault of the program: no wrong plan is given.
    """
    from stockcheck.core.buying_budget import within
    from stockcheck.core.buying_check import faults
    from stockcheck.core.buying_problem import problem_of
    from stockcheck.core.buying_search import least

    problem = problem_of(wants, offers, terms)
    plan = least(problem, effort) if cap_cents is None else within(problem, cap_cents, effort)
    wrong = faults(plan, wants, offers, problem.terms, cap_cents)
    if wrong:
        raise RuntimeError(f"the plan does not hold: {'; '.join(wrong)}")
    return plan


def levels(
    daily: Daily, packs: Sequence[Pack], departs: date, offered: Iterable[date] = ()
) -> tuple[Level, ...]:
    """What lacks of something used up day by day, beside the packs that there are.

    From each day on: the need from then to the end, less the stock that lasts to it. Levels that a
    later one already asks for are left out. ``offered`` are the days through which short-dated
    offers are good: only the days after them, and the first, can matter beside the end of own
    stock. Packs that come later count as if they were there, and opened lives are not looked at:
    project the stock with what was bought to see both.
    """
    first = departs + timedelta(days=daily.first - 1)
    ends = {it.last_usable_day for it in packs if it.last_usable_day} | set(offered)
    last = first + timedelta(days=len(daily.quantities) - 1)
    starts = {first, *(it + timedelta(days=1) for it in ends if first <= it < last)}
    found: list[Level] = []
    for day in sorted(starts, reverse=True):
        need = sum(daily.quantities[(day - first).days :])
        held = sum(
            it.quantity for it in packs if it.last_usable_day is None or it.last_usable_day >= day
        )
        if need - held > (found[-1].units if found else 0):
            found.append(Level(day, need - held))
    return tuple(found[::-1])
