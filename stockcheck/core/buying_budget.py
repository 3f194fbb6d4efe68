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
from stockcheck.core.buying_search import Search, begin, least, plan_of, share_of
from stockcheck.core.model import Importance

_RANKS = tuple(Importance)


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
    search.consider(_greedy(problem, cap_cents, effort))
    search.run()
    return plan_of(problem, search)


def _greedy(problem: Problem, cap_cents: int, effort: int) -> Packs:
    """Wants by importance, the cheapest first, each as far as the money goes after the others."""
    everybody = (1 << len(problem.terms)) - 1

    def turn(want: Want) -> tuple[int, int]:
        return _RANKS.index(want.importance), Cover(problem, want).best(everybody).value

    taken: list[Want] = []
    best: Packs = ()
    for want in sorted(problem.wants, key=turn):
        low, high = 0, want.units
        while low < high:
            middle = (low + high + 1) // 2
            packs = _affordable(
                problem, [*taken, _less(want, want.units - middle)], cap_cents, effort
            )
            if packs is None:
                high = middle - 1
            else:
                low, best = middle, packs
        if low:
            taken.append(_less(want, want.units - low))
    return best


def _less(want: Want, units: int) -> Want:
    """The same want with so many units fewer on each level."""
    levels = [replace(it, units=it.units - units) for it in want.levels]
    return replace(want, levels=staircase(levels))


def _affordable(
    problem: Problem, wants: Sequence[Want], cap_cents: int, effort: int
) -> Packs | None:
    """Packs that cover the wants within the cap, found quickly; None where none are."""
    keys = {it.key for it in wants}
    kept = replace(problem, wants=tuple(wants))
    covers = [Cover(kept, it) for it in wants if it.levels]
    search = Search(kept, covers, min(effort, 20_000))
    begin(search)
    total = sum(
        cents + problem.terms[number].fee_for(cents)
        for number, cents in search.spent(search.packs).items()
    )
    return search.packs if keys and search.packs and total <= cap_cents else None
