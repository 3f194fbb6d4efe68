"""What an arrival means for the purchase that it came of; told at once, while it can go back."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockcheck.core.intake import Arrival
    from stockcheck.core.purchasing import Order
    from stockcheck.store.files import Store
    from stockcheck.store.receiving import Received


def booked_in(
    store: Store, order: tuple[str, str | None], arrivals: Sequence[Arrival], done: Received
) -> list[str]:
    """Count arrivals to their purchase, inside the transaction that took them in; what to tell."""
    from stockcheck.core.delivery import OpenLine, lines_for
    from stockcheck.core.errors import BadInput
    from stockcheck.core.words import listed
    from stockcheck.store import purchases
    from stockcheck.store.names import find_id

    number, instead_of = order
    one = purchases.order(store.conn, number)
    if one.ended_on is not None:
        raise BadInput(f"purchase {one.id} was cancelled; receive it without --order")
    instead = find_id(store.conn, "item", instead_of) if instead_of else None
    left = [OpenLine(it.id, it.item.id, it.open, it.box.id if it.box else None) for it in one.lines]
    receipts: list[tuple[int, int, int, int]] = []
    for arrival, movement in zip(arrivals, done.movement_ids, strict=False):
        item = arrival.item.id
        found = lines_for(left, instead or item, arrival.box.id, arrival.quantity)
        if not found:
            names = listed(sorted({repr(it.item.name) for it in one.lines}))
            raise BadInput(
                f"{arrival.item.name!r} was not ordered: purchase {one.id} is of {names}."
                " Say --instead-of ITEM where it came in place of one of them"
            )
        receipts += [(line, movement, units, item) for line, units in found]
        taken = dict(found)
        left = [replace(it, open=max(0, it.open - taken.get(it.id, 0))) for it in left]
    purchases.note_receipts(store.conn, receipts)
    after = purchases.order(store.conn, number)
    first, *rest = _told(after)
    return [first, *_short_dated(store, after, done), *rest]


def _told(one: Order) -> list[str]:
    from stockcheck.core.words import counted

    lines = []
    for it in one.lines:
        unit = it.item.unit
        if it.open:
            lines.append(f"  to come yet: {counted(it.open, unit)} of {it.item.name}")
        elif it.received > it.ordered:
            over = counted(it.received - it.ordered, unit)
            lines.append(f"  {over} of {it.item.name} more than ordered")
    state = "delivered whole" if one.state == "delivered" else one.state
    return [f"Purchase {one.id} from {one.supplier}: {state}", *lines]


def _short_dated(store: Store, one: Order, done: Received) -> list[str]:
    """What does not reach the day that it was ordered for."""
    from stockcheck.core.calendar import spoken
    from stockcheck.core.shelf_life import usable
    from stockcheck.store import reads

    wanted = one.good_through
    if wanted is None:
        return []
    held = reads.holdings(store.conn, lot_ids=sorted(set(done.lot_ids)))
    return [
        f"  TOO SHORT: {it.lot.short} {it.item.name} in {it.box.name} is"
        f" {'good through ' + spoken(it.last_usable_day) if it.last_usable_day else 'undated'},"
        f" and was ordered to last through {spoken(wanted)}; ask for another"
        for it in held
        if not usable(it, wanted)
    ]
