"""What came back from a trip, held against the books: what is missing was used.

Nobody knows when, or on how many occasions: the use is dated by the return, and a pack that came
back begun counts as opened on the day of departure, which is the careful end.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core.errors import BadInput
from stockcheck.core.fefo import Take, first_out
from stockcheck.core.model import Holding, State
from stockcheck.core.movements import Movement, issue
from stockcheck.core.shelf_life import usable
from stockcheck.core.words import counted

_LINE = re.compile(r"\s*(?P<thing>.*?\S)(?:\s+(?P<sign>=)?\s*(?P<number>[0-9]{1,9}))?\s*", re.ASCII)


@dataclass(frozen=True, slots=True)
class CameBack:
    """What was found of one thing, however it was named: ``holdings`` are all there are of it."""

    called: str
    holdings: tuple[Holding, ...]
    quantity: int


def read_returned(lines: Iterable[str]) -> dict[str, int]:
    """What scanned or typed lines say came back, by the thing as it was named.

    ``L12`` is one, ``L12 3`` three more, ``L12 =3`` three in all; a name may have blanks. Blank
    lines and those that begin with # say nothing.
    """
    found: dict[str, int] = {}
    for line in lines:
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        parts = _LINE.fullmatch(line)
        if parts is None:
            raise BadInput(f"{line.strip()!r} is not understood", "Write it as L12 3 or L12 =3")
        thing, number = parts["thing"], int(parts["number"] or 1)
        found[thing] = number if parts["sign"] else found.get(thing, 0) + number
    return found


def used_up(found: Iterable[CameBack], departs: date) -> tuple[Take, ...]:
    """The units that did not come back, first expired first, as on the day of departure.

    What could be used then goes before what was past its date, and what was on hold comes last.
    BadInput where more came back than the books have, or a thing is named twice over.
    """
    takes: list[Take] = []
    seen: dict[int, str] = {}
    for one in found:
        _once(one, seen)
        booked = sum(it.quantity for it in one.holdings)
        unit = one.holdings[0].item.unit if one.holdings else "each"
        if one.quantity > booked:
            raise BadInput(
                f"{one.called}: {counted(one.quantity, unit)} came back, and the books have"
                f" {counted(booked, unit)}. Set the books right first with 'count' or 'correct'"
            )
        takes += _missing(one.holdings, booked - one.quantity, departs)
    return tuple(takes)


def _once(one: CameBack, seen: dict[int, str]) -> None:
    for holding in one.holdings:
        before = seen.setdefault(holding.id, one.called)
        if before != one.called:
            raise BadInput(
                f"{before} and {one.called} are partly the same stock. Name each thing once: by"
                " its lots, or as a whole by its item"
            )


def _missing(holdings: Sequence[Holding], missing: int, departs: date) -> list[Take]:
    def turn(holding: Holding) -> tuple[bool, bool, tuple[date, bool, int, int, int]]:
        return holding.state is State.HELD, not usable(holding, departs), first_out(holding)

    takes: list[Take] = []
    for holding in sorted(holdings, key=turn):
        part = min(missing, holding.quantity)
        if part:
            takes.append(Take(holding, part))
            missing -= part
    return takes


def movements_of(takes: Iterable[Take], departs: date) -> list[Movement]:
    """The uses as movements of the ledger."""
    return [plan for it in takes for plan in issue(it.holding, it.quantity, departs)]
