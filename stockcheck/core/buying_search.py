"""Branch and bound over the suppliers: which of them to order from, with or without a fee.

A node has suppliers that are out, in with the fee, in with the fee waived, in, or still open. Its
bound is the best cover from all that are not out, with the fees that are decided. What that cover
uses of open suppliers is decided first: a supplier without which no better plan is possible is in;
else both are tried. Where the cover does not spend what the decisions ask for, the ways of spending
are worked out (``buying_ways``).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from stockcheck.core.buying import Bought, BuyingPlan, Missing, Order, Terms, Want
from stockcheck.core.buying_pieces import Cover, Packs, worth_of
from stockcheck.core.buying_problem import BEYOND, SHARES_AT, Problem, ends, money_in, worth
from stockcheck.core.buying_ways import Asked, Extra, TooMany, Work, cheapest_meeting


@dataclass(frozen=True, slots=True)
class Node:
    """Decisions, as masks of suppliers' numbers."""

    out: int = 0
    fee: int = 0
    free: int = 0
    either: int = 0

    @property
    def decided_in(self) -> int:
        """The suppliers that are ordered from."""
        return self.fee | self.free | self.either

    def settled(self, number: int, *, free: bool) -> Node:
        """With a supplier's fee paid, or waived."""
        bit = 1 << number
        bare = replace(self, either=self.either & ~bit)
        return replace(bare, free=bare.free | bit) if free else replace(bare, fee=bare.fee | bit)


class Search:
    """Looks for the best plan, keeping the best so far and a bound below what was left aside."""

    def __init__(
        self,
        problem: Problem,
        covers: Sequence[Cover],
        effort: int,
        cap_cents: int | None = None,
    ) -> None:
        self.problem, self.covers, self.cap_cents = problem, covers, cap_cents
        self.work = Work(effort)
        self.best, self.packs = BEYOND, ()  # type: int, Packs
        self.left_aside = BEYOND
        self._all = (1 << len(problem.terms)) - 1
        numbers = {it.supplier: n for n, it in enumerate(problem.terms)}
        self._of = [numbers[it.supplier] for it in problem.offers]
        self._share = {it.want.key: it.skip_share or 0 for it in covers}
        self._extras = [
            Extra(place, self._of[place], worth_of(place, it), it.price_cents)
            for place, it in enumerate(problem.offers)
            if it.stock is None and it.price_cents
        ]
        self.priced: dict[int, list[int]] = {}
        for place, it in enumerate(problem.offers):
            if it.price_cents:
                self.priced.setdefault(self._of[place], []).append(place)

    def run(self) -> None:
        """Search until nothing better is left, or the work is done."""
        stack = [(0, Node())]
        while stack:
            lower, node = stack.pop()
            if lower >= self.best:
                continue
            try:
                self.work.spend(self._steps_of_covers(node))
                lower, children = self._children(node, lower)
            except TooMany:
                self.left_aside = min(self.left_aside, max(lower, self._lower(node)))
                if self.work.left < 0:
                    waiting = [bound for bound, _ in stack]
                    self.left_aside = min(self.left_aside, *waiting, BEYOND)
                    return
                continue
            stack.extend((max(lower, self._lower(it)), it) for it in reversed(children))

    def consider(self, packs: Packs) -> None:
        """Keep a plan when it may be ordered, is within the cap and is the best so far."""
        value = self.value(packs)
        if value < self.best:
            self.best, self.packs = value, packs

    def value(self, packs: Packs) -> int:
        """The worth of a plan with its fees and what it misses; BEYOND where it may not be."""
        total, money = 0, 0
        for number, cents in self.spent(packs).items():
            of = self.problem.terms[number]
            if cents < of.minimum_cents:
                return BEYOND
            total += worth(of.fee_for(cents), 0, 1)
            money += cents + of.fee_for(cents)
        if self.cap_cents is not None and money > self.cap_cents:
            return BEYOND
        for place, times in packs:
            total += times * worth_of(place, self.problem.offers[place])
        for key, missing in lacking(self.problem.wants, packs, self.problem).items():
            if not self._share.get(key, 0):
                return BEYOND
            total += missing * self._share[key]
        return total

    def spent(self, packs: Packs) -> dict[int, int]:
        """Cents for goods by supplier's number."""
        found: dict[int, int] = {}
        for place, times in packs:
            cents = times * self.problem.offers[place].price_cents
            found[self._of[place]] = found.get(self._of[place], 0) + cents
        return found

    def cover_of(self, allowed: int) -> tuple[int, Packs, int]:
        """A bound below the best cover from some suppliers, its packs, and whom it uses."""
        low = used = 0
        packs: list[tuple[int, int]] = []
        for cover in self.covers:
            best = cover.best(allowed)
            if best.low >= BEYOND:
                return BEYOND, (), 0
            low += best.low
            used |= best.used
            packs.extend(best.packs)
        return low, tuple(sorted(packs)), used

    def _lower(self, node: Node) -> int:
        """A bound below every plan of a node."""
        low, _, _ = self.cover_of(self._all & ~node.out)
        if low >= BEYOND:
            return BEYOND
        return max(low, self._spending(node)) + self._fees(node)

    def _spending(self, node: Node) -> int:
        """What must be spent at all, by the decisions and by wants that are not sold there."""
        asked = dict(self._asked(node).spend)
        asking = sum(1 << number for number in asked)
        allowed = self._all & ~node.out
        elsewhere = sum(it.best(allowed).low for it in self.covers if not it.sellers & asking)
        return worth(money=sum(asked.values())) + elsewhere

    def _fees(self, node: Node) -> int:
        terms = self.problem.terms
        paid = sum(it.fee_cents for n, it in enumerate(terms) if node.fee >> n & 1)
        return worth(paid, 0, node.decided_in.bit_count())

    def _asked(self, node: Node) -> Asked:
        """What the decisions ask to be spent."""
        found = []
        for number, of in enumerate(self.problem.terms):
            least = of.minimum_cents if node.decided_in >> number & 1 else 0
            if node.free >> number & 1:
                least = max(least, of.free_from_cents or 0)
            if least:
                found.append((number, least))
        cap = self.cap_cents
        if cap is not None:
            cap -= money_in(self._fees(node))
        return Asked(tuple(found), cap)

    def _children(self, node: Node, lower: int) -> tuple[int, list[Node]]:
        """A bound below a node, and the nodes that it is split into: none where it is solved or
        holds nothing better.
        """
        lower = max(lower, self._lower(node))
        if lower >= self.best:
            return lower, []
        low, packs, _used = self.cover_of(self._all & ~node.out)
        self.consider(packs)
        split = self._split(node, packs)
        if split:
            return lower, split
        if self._meets(packs, self._asked(node)):
            if self.value(packs) > low + self._fees(node):
                self.left_aside = min(self.left_aside, lower)
            return lower, []
        return self._spending_ways(node, lower, packs)

    def _spending_ways(self, node: Node, lower: int, packs: Packs) -> tuple[int, list[Node]]:
        """As ``_children``, where the cover does not spend what is asked.

        What is asked is taken up one by one, since most of it is met without being asked.
        """
        whole, taken = self._asked(node), Asked((), self._asked(node).cap_cents)
        allowed, fees = self._all & ~node.out, self._fees(node)
        while not self._meets(packs, whole):
            taken = self._with_one_more(taken, whole, packs)
            found = cheapest_meeting(
                self.covers, self._extras, allowed, taken, self.best - fees, self.work
            )
            if found is None:
                return self.best, []
            lower, packs = max(lower, found[0] + fees), found[1]
            self.consider(packs)
            split = self._split(node, packs)
            if split:
                return lower, split
        return lower, []

    def _with_one_more(self, taken: Asked, whole: Asked, packs: Packs) -> Asked:
        """With what lacks most of what is asked and not taken up yet."""
        spent = self.spent(packs)
        lacks = [
            (cents - spent.get(number, 0), -number, cents)
            for number, cents in whole.spend
            if spent.get(number, 0) < cents
        ]
        if not lacks:
            return taken
        _, number, cents = max(lacks)
        return replace(taken, spend=(*taken.spend, (-number, cents)))

    def _meets(self, packs: Packs, asked: Asked) -> bool:
        spent = self.spent(packs)
        within = asked.cap_cents is None or sum(spent.values()) <= asked.cap_cents
        return within and all(spent.get(number, 0) >= cents for number, cents in asked.spend)

    def _split(self, node: Node, packs: Packs) -> list[Node]:
        """Nodes that decide about suppliers of a plan that are open; none where none are.

        One that nothing better can do without is in. Else the one that is missed most is in, or
        out. One that is in, and whose fee could be waived but is not, is with it or without.
        """
        spent = self.spent(packs)
        undecided = [number for number in sorted(spent) if not node.decided_in >> number & 1]
        if not undecided:
            return self._settled(node, spent)
        without = {
            number: self._lower(replace(node, out=node.out | 1 << number)) for number in undecided
        }
        needed = [number for number, lower in without.items() if lower >= self.best]
        if needed:
            for number in needed:
                node = self._taken_in(node, number)
            return [node]
        missed = max(without, key=lambda number: (without[number], -number))
        return [self._taken_in(node, missed), replace(node, out=node.out | 1 << missed)]

    def _settled(self, node: Node, spent: dict[int, int]) -> list[Node]:
        for number in _bits(node.either):
            if self.problem.terms[number].fee_for(spent.get(number, 0)):
                return [node.settled(number, free=True), node.settled(number, free=False)]
        return []

    def _taken_in(self, node: Node, number: int) -> Node:
        of = self.problem.terms[number]
        if of.fee_cents and of.free_from_cents is not None:
            return replace(node, either=node.either | 1 << number)
        return replace(node, fee=node.fee | 1 << number)

    def _steps_of_covers(self, node: Node) -> int:
        """Steps that the covers took since they were asked last, and one for each want."""
        taken = sum(it.steps for it in self.covers)
        for cover in self.covers:
            cover.steps = 0
        return taken // 8 + len(self.covers)


def _bits(mask: int) -> list[int]:
    return [number for number in range(mask.bit_length()) if mask >> number & 1]


def lacking(wants: Iterable[Want], packs: Packs, problem: Problem) -> dict[int, int]:
    """Units that packs do not cover, by want, on the level that lacks most."""
    bought: dict[int, list[tuple[date, int]]] = {}
    for place, times in packs:
        offer = problem.offers[place]
        bought.setdefault(offer.want, []).append((ends(offer), times * offer.size))
    found: dict[int, int] = {}
    for want in wants:
        mine = bought.get(want.key, [])
        for level in want.levels:
            lacks = level.units - sum(units for day, units in mine if day >= level.good_on)
            if lacks > found.get(want.key, 0):
                found[want.key] = lacks
    return found


def least(problem: Problem, effort: int) -> BuyingPlan:
    """The plan that covers all wants for the least."""
    covers = [Cover(problem, it) for it in problem.wants if it.levels]
    search = Search(problem, covers, effort)
    begin(search)
    search.run()
    return plan_of(problem, search)


def begin(search: Search) -> None:
    """Plans to begin with: from everybody, then without one supplier after the other."""
    allowed = (1 << len(search.problem.terms)) - 1
    improved = True
    while improved:
        improved = False
        _, packs, used = search.cover_of(allowed)
        consider_filled_up(search, packs)
        tried = []
        for number in _bits(used):
            _, fewer, _ = search.cover_of(allowed & ~(1 << number))
            before = search.best
            consider_filled_up(search, fewer)
            if search.best < before:
                tried.append((search.best, number))
        if tried:
            allowed &= ~(1 << min(tried)[1])
            improved = True


def consider_filled_up(search: Search, packs: Packs) -> None:
    """A plan as it is, and with packs of one offer more where a least order or a waiver asks."""
    if not packs and any(it.levels for it in search.problem.wants):
        return
    search.consider(packs)
    filled = packs
    for number, cents in search.spent(packs).items():
        of = search.problem.terms[number]
        if cents < of.minimum_cents:
            filled = _filled(search, filled, number, of.minimum_cents - cents)
    search.consider(filled)
    for number, cents in search.spent(filled).items():
        of = search.problem.terms[number]
        if of.fee_for(cents):
            goal = of.free_from_cents or 0
            search.consider(_filled(search, filled, number, goal - cents))


def _filled(search: Search, packs: Packs, number: int, cents: int) -> Packs:
    """With as many more packs as it takes to spend so much more at a supplier, cheaply."""
    have = dict(packs)
    left = cents
    while left > 0:
        choices = []
        for place in search.priced.get(number, ()):
            it = search.problem.offers[place]
            room = None if it.stock is None else it.stock - have.get(place, 0)
            times = -(-left // it.price_cents)
            if room is None or room >= times:
                choices.append((times * it.price_cents, place, times))
            elif room:
                choices.append((room * it.price_cents + left, place, room))
        if not choices:
            return packs
        _, place, times = min(choices)
        have[place] = have.get(place, 0) + times
        left -= times * search.problem.offers[place].price_cents
    return tuple(sorted(have.items()))


def plan_of(problem: Problem, search: Search) -> BuyingPlan:
    """The best plan that was found, in the caller's own terms."""
    packs = search.packs
    orders = []
    for number, cents in sorted(search.spent(packs).items()):
        of: Terms = problem.terms[number]
        orders.append(Order(of.supplier, cents, of.fee_for(cents)))
    proven = search.left_aside >= search.best
    total = sum(it.goods_cents + it.fee_cents for it in orders)
    bound = total if proven else money_in(search.left_aside)
    if search.cap_cents is not None and not proven:
        bound = 0
    short = lacking(problem.asked, packs, problem)
    missing = [
        Missing(it.key, short[it.key], min(gone, short[it.key]))
        for it, gone in zip(problem.asked, problem.unavailable, strict=True)
        if it.key in short
    ]
    bought = tuple(Bought(problem.offers[place], times) for place, times in packs if times)
    return BuyingPlan(bought, tuple(orders), tuple(missing), proven, min(bound, total))


def share_of(want: Want, rank: int) -> int:
    """The worth of leaving one unit of a want uncovered: shares by importance, vital (0) first."""
    return _WHOLE // max(1, want.of or want.units) << (SHARES_AT + _SHARE_BITS * (2 - rank))


_WHOLE = 232_792_560
"""A whole want: the least number that 1 to 20 divide, so that shares of small needs are exact."""
_SHARE_BITS = 48
