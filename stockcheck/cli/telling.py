"""What a command says after it: which stock, until when, what is left, what to beware of."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.cli.shell import say

if TYPE_CHECKING:
    from stockcheck.core.fefo import Take
    from stockcheck.core.model import Holding
    from stockcheck.store.files import Store


def stands(holding: Holding, on: date) -> str:
    """How a holding stands, in words: ``good through 30 NOV 2027``, ``EXPIRED, was good ...``."""
    from stockcheck.core import shelf_life
    from stockcheck.core.expiry import until_words
    from stockcheck.core.model import State, Status

    last = holding.last_usable_day
    was = "was " if last and last < on else ""
    words = f"{was}good through {until_words(holding)}" if last else ""
    standing = shelf_life.status(holding, on)
    if standing is Status.EXPIRED:
        return f"EXPIRED, {words}"
    if standing is Status.UNDATED:
        return "UNDATED"
    if holding.state is not State.STOCK:
        return f"{standing.value.upper()}, {words}" if words else standing.value.upper()
    return words or "no limit"


def called(holding: Holding, on: date) -> str:
    """An item with its lot and how that stands: ``burn gel (L98, good through 31 JUL 2027)``."""
    opened = ", opened" if holding.opened_on else ""
    return f"{holding.item.name} ({holding.lot.short}{opened}, {stands(holding, on)})"


def tell_takes(store: Store, said: str, takes: Sequence[Take], on: date) -> None:
    """One line for each lot and box; ``said`` has places for {what}, {box} and {left}."""
    from stockcheck.core.words import counted
    from stockcheck.store import reads

    after = reads.holdings(store.conn, lot_ids=sorted({t.holding.lot.id for t in takes}))
    for take in takes:
        held = take.holding
        left = sum(h.quantity for h in after if (h.lot.id, h.box.id) == (held.lot.id, held.box.id))
        unit = held.item.unit
        say(
            said.format(
                what=f"{counted(take.quantity, unit)} of {called(held, on)}",
                box=held.box.name,
                left=f"{counted(left, unit) if left else 'none'} left there",
            )
        )


def tell_undo(numbers: Sequence[int]) -> None:
    """The movements written, and that they can be taken back."""
    if numbers:
        say(f"{span(numbers)}; 'stockcheck undo' takes it back", 2)


def span(numbers: Iterable[int]) -> str:
    """Movements in words: ``M7``, ``M7 and M9``, ``M7 to M12``."""
    from stockcheck.core.words import listed

    found = sorted(numbers)
    if len(found) > 2 and found == list(range(found[0], found[-1] + 1)):
        return f"M{found[0]} to M{found[-1]}"
    return listed([f"M{number}" for number in found])


def tell_cautions(holdings: Iterable[Holding]) -> None:
    """The cautions of these holdings' kinds, each once."""
    from stockcheck.data.kinds import cautions

    keys = {key for holding in holdings for key in holding.kind.cautions}
    for key, text in cautions().items():
        if key in keys:
            say(f"Caution: {text}", 2)


def tell_disposal(holdings: Iterable[Holding]) -> None:
    """How to get rid of what was written off."""
    from stockcheck.data.kinds import disposal_routes

    routes = disposal_routes()
    for key in sorted({holding.kind.disposal for holding in holdings}):
        say(f"Disposal: {routes[key].name}. {routes[key].text}", 2)
