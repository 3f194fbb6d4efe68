"""What may be decided about a holding that is expired, due or undated, and what follows from it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from enum import StrEnum

from stockcheck.core.errors import BadInput
from stockcheck.core.model import (
    DateContext,
    DateMeaning,
    Holding,
    Par,
    PastDate,
    State,
    Status,
)
from stockcheck.core.movements import Line, Movement, What


class Decided(StrEnum):
    """The decisions that going through a box takes."""

    REPLACE = "replace"
    LAST_RESORT = "last resort"
    INSPECT = "inspect"
    WRITE_OFF = "write off"
    NO_LONGER = "no longer carried"


TO_DECIDE = frozenset({Status.EXPIRED, Status.UNDATED, Status.DUE, Status.ENDS_ON_TRIP})


def choices(holding: Holding) -> tuple[Decided, ...]:
    """The decisions that make sense for a holding, the usual one first."""
    allowed = [Decided.REPLACE, Decided.WRITE_OFF, Decided.NO_LONGER]
    if holding.kind.inspection is not None:
        allowed.insert(1, Decided.INSPECT)
    if not last_resort_refused(holding):
        allowed.insert(-1, Decided.LAST_RESORT)
    return tuple(allowed)


def last_resort_refused(holding: Holding) -> str:
    """Why a holding may not be kept as a last resort; "" when it may.

    Only kinds whose own rule says so are kept past their date on purpose: a weak or wrong one must
    be better than none, and never a danger of its own.
    """
    kind = holding.kind
    if kind.past is PastDate.LAST_RESORT:
        return ""
    if kind.dates is DateContext.MEDICINE or kind.meaning is DateMeaning.SAFETY:
        return (
            f"{kind.name} past its date is a danger, not a reserve: the rule is {kind.past.value}"
        )
    if kind.past is PastDate.DISCARD:
        return f"{kind.name} is discarded past its date"
    return ""


def keep_as_last_resort(holding: Holding, reason: str) -> Movement:
    """Take a holding out of ordinary stock and keep it, marked. BadInput where that is refused."""
    if refused := last_resort_refused(holding):
        raise BadInput(f"{holding.lot.short} ({holding.item.name}): {refused}")
    if holding.state is not State.STOCK:
        raise BadInput(
            f"{holding.lot.short} in {holding.box.name} is {holding.state.value} already"
        )
    out = Line(holding.lot.id, holding.box.id, -holding.quantity, holding.opened_on, holding.state)
    kept = Line(
        holding.lot.id, holding.box.id, holding.quantity, holding.opened_on, State.LAST_RESORT
    )
    return Movement(What.MOVED, (out, kept), reason or "kept as last resort")


def covering_par(pars: Sequence[Par], holding: Holding, outer: Collection[int]) -> Par | None:
    """The par level that speaks for a holding: of its item or kind, in its box or one around it."""
    for par in pars:
        if par.box.id not in outer:
            continue
        wanted = par.item.id == holding.item.id if par.item else False
        if wanted or (par.kind and par.kind.key == holding.kind.key):
            return par
    return None
