"""What a person does to stock, as lines of the ledger: plans only, nothing is written here.

Every movement's lines add to or take from holdings; moved, opened, held and released stock is taken
from one holding and added to another, so those lines add up to nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from stockcheck.core.calendar import Life
from stockcheck.core.errors import BadInput
from stockcheck.core.model import MEASURES, Holding, State


class What(StrEnum):
    """The sorts of movement."""

    RECEIVED = "received"
    ISSUED = "issued"
    OPENED = "opened"
    MOVED = "moved"
    COUNTED = "counted"
    WRITTEN_OFF = "written off"
    RETURNED = "returned"
    INSPECTED = "inspected"
    HELD = "held"
    RELEASED = "released"
    REVERSED = "reversed"


@dataclass(frozen=True, slots=True)
class Line:
    """So many units more (or, negative, fewer) of a lot in a box, sealed or opened, in a state."""

    lot_id: int
    box_id: int
    quantity: int
    opened_on: date | None = None
    state: State = State.STOCK


@dataclass(frozen=True, slots=True)
class Movement:
    """One event for the ledger, not yet written."""

    what: What
    lines: tuple[Line, ...]
    reason: str = ""


def receive(lot_id: int, box_id: int, quantity: int, opened_on: date | None = None) -> Movement:
    """New stock of a lot in a box."""
    if quantity < 1:
        raise BadInput(f"quantity {quantity}: at least 1 is received")
    return Movement(What.RECEIVED, (Line(lot_id, box_id, quantity, opened_on),))


def issue(holding: Holding, quantity: int, on: date) -> tuple[Movement, ...]:
    """Use stock. A part of a sealed pack opens that pack where its kind has an opened life.

    Whole packs are used up as they are; what remains of a broken pack counts as opened that day.
    Pieces to be used at once when opened (tablets in foil, sterile ampoules) are sealed one by
    one, so taking some opens none of the others.
    """
    _within(holding, quantity, "use")
    out = Movement(What.ISSUED, (line_of(holding, -quantity),))
    part = quantity % holding.item.pack
    if holding.opened_on is not None or not part or not opens_as_a_whole(holding):
        return (out,)
    broken = min(holding.item.pack, holding.quantity - (quantity - part))
    if broken == part:
        return (out,)
    opened = line_of(holding, broken, opened_on=on)
    opening = Movement(What.OPENED, (line_of(holding, -broken), opened))
    rest = [line_of(holding, -(quantity - part))] if quantity > part else []
    taken = replace(opened, quantity=-part)
    return opening, Movement(What.ISSUED, (*rest, taken))


def opens_as_a_whole(holding: Holding) -> bool:
    """Whether breaking a pack starts the opened life of all that is in it."""
    rule = holding.kind.opened
    if rule is None:
        return False
    return rule.life != Life() or holding.item.unit in MEASURES


def open_pack(holding: Holding, quantity: int, on: date) -> Movement:
    """Open so many sealed units on a day."""
    _within(holding, quantity, "open")
    if holding.opened_on is not None:
        raise BadInput(f"{_where(holding)} was opened on {holding.opened_on} already")
    return Movement(
        What.OPENED, (line_of(holding, -quantity), line_of(holding, quantity, opened_on=on))
    )


def move(holding: Holding, quantity: int, to_box_id: int) -> Movement:
    """Put stock into another box; opened stays opened, and what is on hold stays on hold."""
    _within(holding, quantity, "move")
    if holding.box.id == to_box_id:
        raise BadInput(f"{_where(holding)} is in that box already")
    return Movement(
        What.MOVED, (line_of(holding, -quantity), line_of(holding, quantity, box_id=to_box_id))
    )


def write_off(holding: Holding, quantity: int, reason: str) -> Movement:
    """Take stock off the books for a reason."""
    _within(holding, quantity, "write off")
    if not reason.strip():
        raise BadInput("a write-off needs a reason, such as expired, damaged or lost")
    return Movement(What.WRITTEN_OFF, (line_of(holding, -quantity),), reason)


def hold(holding: Holding, quantity: int, reason: str) -> Movement:
    """Put ordinary stock on hold: not to be used until released, which makes it ordinary again.

    BadInput for a last resort: its release would pass it off as ordinary stock.
    """
    _within(holding, quantity, "hold")
    if holding.state is State.HELD:
        raise BadInput(f"{_where(holding)} is on hold already")
    if holding.state is State.LAST_RESORT:
        raise BadInput(
            f"{_where(holding)} is a last resort and kept apart already;"
            " write it off if it must not be used at all"
        )
    held = line_of(holding, quantity, state=State.HELD)
    return Movement(What.HELD, (line_of(holding, -quantity), held), reason)


def release(holding: Holding, quantity: int, reason: str) -> Movement:
    """Take stock off hold, back into ordinary stock."""
    _within(holding, quantity, "release")
    if holding.state is not State.HELD:
        raise BadInput(f"{_where(holding)} is not on hold")
    back = line_of(holding, quantity, state=State.STOCK)
    return Movement(What.RELEASED, (line_of(holding, -quantity), back), reason)


def correct(holding: Holding, counted: int, reason: str) -> Movement:
    """Set the books to what was counted; the difference is neither a use nor a write-off."""
    if counted < 0:
        raise BadInput(f"count {counted}: a count is zero or more")
    if counted == holding.quantity:
        raise BadInput(
            f"{_where(holding)} stands at {counted} already; there is nothing to correct"
        )
    return Movement(What.COUNTED, (line_of(holding, counted - holding.quantity),), reason)


def line_of(
    holding: Holding,
    quantity: int,
    *,
    opened_on: date | None = None,
    box_id: int | None = None,
    state: State | None = None,
) -> Line:
    """So many more or fewer of what is held, as it is held save for what is told otherwise."""
    return Line(
        holding.lot.id,
        box_id or holding.box.id,
        quantity,
        opened_on or holding.opened_on,
        state or holding.state,
    )


def _within(holding: Holding, quantity: int, verb: str) -> None:
    if quantity < 1:
        raise BadInput(f"quantity {quantity}: give 1 or more to {verb}")
    if quantity > holding.quantity:
        raise BadInput(
            f"cannot {verb} {quantity} {holding.item.unit}: {_where(holding)} has"
            f" {holding.quantity}. Correct the count first if there are more"
        )


def _where(holding: Holding) -> str:
    return f"{holding.lot.short} ({holding.item.name}) in {holding.box.name}"
