"""Which holdings a command means, from what was named, how many, and from which box."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from stockcheck.core import shelf_life
from stockcheck.core.calendar import spoken
from stockcheck.core.errors import BadInput
from stockcheck.core.fefo import Take, first_out, pick
from stockcheck.core.model import MEASURES, Holding, State, Status
from stockcheck.core.movements import Movement, correct, opens_as_a_whole
from stockcheck.core.words import counted, listed


def to_use(holdings: Sequence[Holding], quantity: int, on: date, *, anyway: bool) -> list[Take]:
    """What to use, first expired first. BadInput when it does not reach, telling what is there.

    ``anyway`` lets expired, undated and last-resort stock be taken too, after what is good; what
    is on hold never is.
    """
    takes, lacking = pick(holdings, quantity, on)
    if not lacking:
        return list(takes)
    others = [
        each
        for each in holdings
        if each.state is not State.HELD and not shelf_life.usable(each, on) and each.quantity > 0
    ]
    if anyway:
        rest = _in_order(others, lacking)
        if sum(take.quantity for take in rest) == lacking:
            return [*takes, *rest]
    raise BadInput(_too_little(holdings, quantity, quantity - lacking, on, anyway=anyway))


def to_open(holdings: Sequence[Holding], quantity: int | None, on: date, what: str) -> list[Take]:
    """What to open: so many sealed units; without a number one pack of the lot that goes first.

    Where pieces are sealed one by one it is one piece, not the pack. BadInput where nothing of
    ``what`` is sealed, or too little.
    """
    sealed = [each for each in holdings if each.opened_on is None]
    if not sealed:
        raise BadInput(f"what is on hand of {what} is opened already")
    if quantity is None:
        first = to_use(sealed, 1, on, anyway=True)[0].holding
        whole = opens_as_a_whole(first) or first.item.unit in MEASURES
        one = first.item.pack if whole else 1
        sealed, quantity = [first], min(first.quantity, one)
    return to_use(sealed, quantity, on, anyway=True)


def of_one_box(holdings: Sequence[Holding], quantity: int | None, verb: str) -> list[Take]:
    """So many of what was named, or all of it; BadInput when it is in more than one box.

    Among sealed and opened stock of one box the earlier last usable day goes first.
    """
    here = [each for each in holdings if each.quantity > 0]
    if not here:
        raise BadInput(f"there is none of that on hand to {verb}")
    if quantity is None:
        return [Take(each, each.quantity) for each in here]
    places = sorted({each.box.name for each in here})
    if len(places) > 1:
        raise BadInput(f"it is in {listed(places)}: say which with --from BOX")
    lots = sorted({each.lot.short for each in here})
    if len(lots) > 1:
        raise BadInput(f"there are {len(lots)} lots, {listed(lots)}: name the lot to {verb}")
    takes = _in_order(here, quantity)
    if sum(take.quantity for take in takes) < quantity:
        there = sum(each.quantity for each in here)
        unit = here[0].item.unit
        raise BadInput(
            f"cannot {verb} {counted(quantity, unit)}: {places[0]} has {counted(there, unit)}"
            f" of {here[0].item.name}. Correct the count first if there are more"
        )
    return takes


def _in_order(holdings: Sequence[Holding], quantity: int) -> list[Take]:
    takes: list[Take] = []
    for each in sorted(holdings, key=first_out):
        part = min(quantity, each.quantity)
        if part > 0:
            takes.append(Take(each, part))
            quantity -= part
    return takes


def _too_little(
    holdings: Sequence[Holding], quantity: int, usable: int, on: date, *, anyway: bool
) -> str:
    there = [each for each in holdings if each.quantity > 0]
    if not there:
        return "there is none of that on hand"
    unit = there[0].item.unit
    asked = f"asked {counted(quantity, unit)} of {there[0].item.name}"
    said = f"{asked}, but {f'only {usable}' if usable else 'none'} can be used"
    bad = [
        f"{counted(each.quantity, unit)} of {each.lot.short} in {each.box.name}: {_state(each, on)}"
        for each in there
        if not shelf_life.usable(each, on)
    ]
    if not bad:
        return said + "; correct the count if there are more"
    free = any(each.state is not State.HELD and not shelf_life.usable(each, on) for each in there)
    remedy = ". --anyway takes it, at your own risk, but never what is on hold" if free else ""
    return f"{said}. Left out: {'; '.join(bad)}{'' if anyway else remedy}"


def _state(holding: Holding, on: date) -> str:
    standing = shelf_life.status(holding, on)
    if standing is Status.EXPIRED:
        return f"expired, last usable day {spoken(holding.last_usable_day)}"
    return "on hold" if standing is Status.HELD else standing.value


def corrections(
    holdings: Sequence[Holding], counted_there: int, reason: str
) -> tuple[list[Movement], list[Take]]:
    """Movements that bring one lot in one box to what was counted, and by how much each changes.

    What lacks is taken from opened stock first; what is over is added to sealed ordinary stock.
    """
    boxes = {each.box.id for each in holdings if each.quantity > 0} or {
        each.box.id for each in holdings
    }
    here = [each for each in holdings if each.box.id in boxes]
    if not here:
        raise BadInput("it was never in that box; use receive or move")
    if len(boxes) > 1 or len({each.lot.id for each in here}) > 1:
        places = sorted({f"{each.lot.short} in {each.box.name}" for each in here})
        raise BadInput(f"there are {listed(places)}: name one lot, and the box with --box")
    there = sum(each.quantity for each in here)
    if counted_there >= there:
        plain = [each for each in here if each.state is State.STOCK] or here
        sealed = next((each for each in plain if each.opened_on is None), plain[0])
        target = sealed.quantity + counted_there - there
        return [correct(sealed, target, reason)], [Take(sealed, counted_there - there)]
    takes = _in_order([each for each in here if each.quantity], there - counted_there)
    plans = [correct(t.holding, t.holding.quantity - t.quantity, reason) for t in takes]
    return plans, [Take(t.holding, -t.quantity) for t in takes]
