"""What the commands about stock share: which holdings are meant, and writing the movements."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import WORDS, F, stamp

if TYPE_CHECKING:
    from stockcheck.core.fefo import Take
    from stockcheck.core.model import Holding
    from stockcheck.core.movements import Movement
    from stockcheck.store.files import Store


def quantity_option(default: str) -> Callable[[F], F]:
    """How many units; ``default`` says what happens without it."""
    return click.option(
        "--quantity",
        "-n",
        type=click.IntRange(min=1),
        help=f"How many units; without it, {default}.",
    )


from_box_option = click.option(
    "--from", "from_box", metavar="BOX", help="Only from this box (and boxes inside it)."
)
reason_option = click.option("--reason", type=WORDS, default="", help="Why, for the ledger.")


def on_hand(store: Store, thing: str, from_box: str | None, verb: str) -> list[Holding]:
    """The holdings of what was named; BadInput when there is none of it."""
    from stockcheck.core.errors import BadInput

    found = named(store, thing, from_box)
    if not found:
        place = f" in {from_box}" if from_box else ""
        raise BadInput(
            f"there is none of {thing} on hand{place} to {verb};"
            " 'history' shows where it went, 'correct' sets the count right"
        )
    return found


def named(store: Store, thing: str, from_box: str | None, *, empty: bool = False) -> list[Holding]:
    """The holdings of the lot or item named, from a box and the boxes inside it if one is given."""
    from stockcheck.store import reads
    from stockcheck.store.names import find_id, find_stock

    conn = store.conn
    lot_ids, item_ids = find_stock(conn, thing)
    box_ids = None
    if from_box is not None:
        everything = reads.boxes(conn, retired=True)
        box_ids = reads.box_and_inside(everything, find_id(conn, "box", from_box))
    return reads.holdings(conn, lot_ids=lot_ids, item_ids=item_ids, box_ids=box_ids, empty=empty)


def of_one_box(holdings: list[Holding], quantity: int | None, verb: str) -> list[Take]:
    """So many of what was named, or all of it; BadInput when it is not clear which."""
    from stockcheck.core.selecting import of_one_box

    return of_one_box(holdings, quantity, verb)


def post(store: Store, plans: Iterable[Movement], on: date, reason: str) -> list[int]:
    """Write movements for a day, with the reason given; returns their numbers."""
    from dataclasses import replace

    from stockcheck.store import ledger

    said = [replace(plan, reason=plan.reason or reason) for plan in plans]
    return ledger.post(store.conn, said, stamp(on))
