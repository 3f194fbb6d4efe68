"""What may be decided about a holding that is expired, due or undated, and what follows from it."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from stockcheck.core import shelf_life
from stockcheck.core.errors import BadInput
from stockcheck.core.model import (
    DateContext,
    DateMeaning,
    Holding,
    Kind,
    Lot,
    PastDate,
    State,
    Status,
)
from stockcheck.core.movements import Movement, What, line_of
from stockcheck.core.planning import Par


class Decided(StrEnum):
    """The decisions that going through a box takes."""

    REPLACE = "replace"
    LAST_RESORT = "last resort"
    INSPECT = "inspect"
    WRITE_OFF = "write off"
    NO_LONGER = "no longer carried"


TO_DECIDE = frozenset({Status.EXPIRED, Status.UNDATED, Status.DUE, Status.ENDS_ON_TRIP})
_STILL_GOOD = frozenset({Status.DUE, Status.ENDS_ON_TRIP})


def asked_again(stood: Status, stands: Status) -> bool:
    """Whether a decision taken when a holding stood so wants another look now.

    It does when what was good then is so no longer.
    """
    return stood in _STILL_GOOD and stands not in _STILL_GOOD


def choices(holding: Holding) -> tuple[Decided, ...]:
    """The decisions that make sense for a holding, the usual one first."""
    allowed = [Decided.WRITE_OFF, Decided.NO_LONGER]
    if not is_unidentified(holding.kind):
        allowed.insert(0, Decided.REPLACE)
    if may_be_inspected(holding.lot):
        allowed.insert(1, Decided.INSPECT)
    if not last_resort_refused(holding):
        allowed.insert(-1, Decided.LAST_RESORT)
    return tuple(allowed)


def is_unidentified(kind: Kind) -> bool:
    """Whether nobody knows what it is: such a thing cannot be bought again."""
    return kind.key == "unidentified"


def may_be_inspected(lot: Lot) -> bool:
    """Whether its kind has questions for a look, and no look before has ended that."""
    if lot.item.kind.inspection is None:
        return False
    return shelf_life.failure(lot) is None and not shelf_life.used_up(lot)


def last_resort_refused(holding: Holding) -> str:
    """Why a holding may not be kept as a last resort; "" when it may.

    Only kinds whose own rule says so, or whose date is one of quality that a look decides, are kept
    past it on purpose: a weak one must be better than none, and never a danger of its own.
    """
    kind = holding.kind
    if shelf_life.failure(holding.lot) is not None:
        return "it failed inspection, and one fail ends the lot"
    if kind.past is PastDate.LAST_RESORT:
        return ""
    if kind.past is PastDate.DISCARD:
        return f"{kind.name} is discarded past its date, never kept as a reserve"
    if kind.dates is DateContext.MEDICINE or kind.meaning is DateMeaning.SAFETY:
        return f"{kind.name} past its date is a danger, not a reserve"
    if kind.meaning is DateMeaning.INSPECT:
        return f"only a look decides whether {kind.name} may be kept: inspect it or write it off"
    return ""


def keep_as_last_resort(holding: Holding, reason: str) -> Movement:
    """Take a holding out of ordinary stock and keep it, marked. BadInput where that is refused."""
    if refused := last_resort_refused(holding):
        raise BadInput(f"{holding.lot.short} ({holding.item.name}): {refused}")
    if holding.state is not State.STOCK:
        raise BadInput(
            f"{holding.lot.short} in {holding.box.name} is {holding.state.value} already"
        )
    out = line_of(holding, -holding.quantity)
    kept = line_of(holding, holding.quantity, state=State.LAST_RESORT)
    return Movement(What.MOVED, (out, kept), reason or "kept as last resort")


def to_be_replaced(holding: Holding, reason: str) -> Movement:
    """Write down that a holding was looked at and is to be replaced; it stays where it is."""
    if is_unidentified(holding.kind):
        raise BadInput(
            f"{holding.lot.short} ({holding.item.name}): nobody knows what it is, so nothing can"
            " be bought in its place; find out, or write it off"
        )
    because = f": {reason}" if reason else ""
    return Movement(What.INSPECTED, (line_of(holding, 0),), f"to be replaced{because}")


def covering_par(pars: Sequence[Par], holding: Holding, outwards: Sequence[int]) -> Par | None:
    """The par level that speaks for a holding: of its item or kind, in its box or one around it.

    ``outwards`` are the box and those around it from the inside out; the nearest one counts, and
    in one box that of the item before that of its kind.
    """
    speaking = [
        par
        for par in pars
        if par.box.id in outwards
        and (
            par.item.id == holding.item.id
            if par.item
            else par.kind is not None and par.kind.key == holding.kind.key
        )
    ]
    return min(
        speaking, key=lambda par: (outwards.index(par.box.id), par.item is None), default=None
    )
