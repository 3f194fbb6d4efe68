"""A cap on money, spent by importance: vital wants before essential before desirable ones.

The least is missing, in shares of each want (units missing over the whole need), of the vital
wants; among such plans of the essential; then of the desirable; then the money counts. First what
can be covered is found greedily; then the search looks for better, exactly while its effort lasts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stockcheck.core.buying import BuyingPlan, Want
from stockcheck.core.buying_pieces import Cover, Packs
from stockcheck.core.buying_problem import Problem, staircase
from stockcheck.core.buying_search import Search, consider_filled_up, least, plan_of, share_of
from stockcheck.core.model import Importance

_RANKS = tuple(Importance)
MOST_PROBED = 60_000
"""Wants looked at, over all tries, before the greedy plan stands as it is: about two seconds."""


def within(problem: Problem, cap_cents: int, effort: int) -> BuyingPlan:
    """The best plan that costs no more than the cap; ValueError for a negative cap."""
    if cap_cents < 0:
        raise ValueError("a cap on money is 0 or more")
    whole = least(problem, effort)
    if whole.total_cents <= cap_cents:
        return whole
    covers = [
        Cover(problem, it, share_of(it, _RANKS.index(it.importance)))
        for it in problem.wants
        if it.levels
    ]
    search = Search(problem, covers, effort, cap_cents)
    search.consider(())
    search.consider(_greedy(problem, whole, cap_cents))
    search.run()
    return plan_of(problem, search)


class _Probe:
    """Whether wants can be covered within the cap, found quickly; covers are kept between tries."""

    def __init__(self, problem: Problem, cap_cents: int, allowed: Sequence[int]) -> None:
        """``allowed`` are sets of suppliers to try, as masks of their numbers."""
        self.problem, self.cap_cents, self.allowed = problem, cap_cents, allowed
        self.left = MOST_PROBED
        self._covers: dict[Want, Cover] = {}

    def cover(self, want: Want) -> Cover:
        """The ways to cover a want."""
        if want not in self._covers:
            self._covers[want] = Cover(self.problem, want)
        return self._covers[want]

    def affordable(self, wants: Sequence[Want]) -> Packs | None:
        """Packs that cover the wants within the cap; None where none are found."""
        covers = [self.cover(it) for it in wants if it.levels]
        kept = replace(self.problem, wants=tuple(wants))
        self.left -= 20 + len(covers)
        search = Search(kept, covers, 0)
        for mask in self.allowed:
            consider_filled_up(search, search.cover_of(mask)[1])
        total = sum(
            cents + self.problem.terms[number].fee_for(cents)
            for number, cents in search.spent(search.packs).items()
        )
        return search.packs if search.packs and total <= self.cap_cents else None


def _greedy(problem: Problem, whole: BuyingPlan, cap_cents: int) -> Packs:
    """Wants by importance, the cheapest first, each as far as the money goes after the others.

    Most of them fit as a whole: how many do is found by halving. Tries are counted, and end.
    """
    everybody = (1 << len(problem.terms)) - 1
    used = {it.supplier for it in whole.orders}
    ordered_from = sum(1 << n for n, it in enumerate(problem.terms) if it.supplier in used)
    probe = _Probe(problem, cap_cents, sorted({everybody, ordered_from}))

    def turn(want: Want) -> tuple[int, int]:
        return _RANKS.index(want.importance), probe.cover(want).best(everybody).value

    wants = sorted((it for it in problem.wants if it.levels), key=turn)
    low, high, best = 0, len(wants), ()  # type: int, int, Packs
    while low < high:
        middle = (low + high + 1) // 2
        packs = probe.affordable(wants[:middle])
        low, high, best = (low, middle - 1, best) if packs is None else (middle, high, packs)
    taken = wants[:low]
    for want in wants[low:]:
        if probe.left < 0:
            break
        part, packs = _part_of(want, taken, probe)
        if packs is not None:
            taken, best = [*taken, part], packs
    return best


def _part_of(want: Want, taken: Sequence[Want], probe: _Probe) -> tuple[Want, Packs | None]:
    """As much of a want as the money goes to beside what is taken; None where it buys nothing."""
    low, high, best = 0, want.units, None  # type: int, int, Packs | None
    middle = 1
    while low < high:
        packs = probe.affordable([*taken, _less(want, want.units - middle)])
        if packs is None:
            high = middle - 1
        else:
            low, best = middle, packs
        middle = (low + high + 1) // 2
    return _less(want, want.units - low), best


def _less(want: Want, units: int) -> Want:
    """The same want with so many units fewer on each level."""
    levels = [replace(it, units=it.units - units) for it in want.levels]
    return replace(want, levels=staircase(levels))
