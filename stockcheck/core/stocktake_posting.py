"""The movements that bring the books to what a stocktake found; nothing is written here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stockcheck.core.calendar import spoken
from stockcheck.core.fefo import first_out
from stockcheck.core.model import Holding, State
from stockcheck.core.movements import Line, Movement, What, line_of
from stockcheck.core.movements import move as move_plan
from stockcheck.core.stocktake import Finding, Part, Variance, held_as
from stockcheck.core.words import counted

_OUT = (State.STOCK, State.LAST_RESORT, State.HELD)
_REMEDY = {
    Part.SEALED: "look again; 'stockcheck release {lot} --reason TEXT' where it was on hold",
    Part.OPENED: "'stockcheck open {lot} --quantity {n} --on DAY' writes down when",
    Part.HELD: "'stockcheck hold {lot} --quantity {n} --reason TEXT' puts it on hold",
    Part.LAST_RESORT: "'stockcheck decide \"{box}\" --lot {lot}' makes it one",
}


def corrections(found: Sequence[Variance], reason: str) -> list[Movement]:
    """Moves for what turned up in another box, then counts for what no move explains.

    What must be counted again is left as it is. What lacks goes from ordinary stock first, the
    opened before the sealed; what is over joins what is there of the same part.
    """
    moves: list[Movement] = []
    left = {each.id: each.quantity for line in found for each in line.holdings}
    for line in found:
        for transfer in line.into:
            held = transfer.holding
            left[held.id] = left.get(held.id, held.quantity) - transfer.quantity
            plan = move_plan(held, transfer.quantity, transfer.to.id)
            moves.append(Movement(What.MOVED, plan.lines, reason))
    counts = [_count(line, left, reason) for line in found if not line.again and line.unexplained]
    return [*moves, *counts]


def _count(line: Variance, left: dict[int, int], reason: str) -> Movement:
    if line.unexplained > 0:
        return Movement(What.COUNTED, (_added(line),), reason)
    lacking, lines = -line.unexplained, []
    for holding in sorted(line.holdings, key=lambda it: (_OUT.index(it.state), first_out(it))):
        take = min(lacking, left[holding.id])
        if take:
            lines.append(line_of(holding, -take))
            left[holding.id] -= take
            lacking -= take
    return Movement(What.COUNTED, tuple(lines), reason)


def _added(line: Variance) -> Line:
    """Where what is over goes: to what is there, ordinary and sealed before anything else.

    Of what was opened the earliest day is taken, which shortens and never stretches. Where none is
    there it comes back as it was last known: what was on hold does not return as good.
    """
    there = [each for each in line.holdings if each.quantity] or _as_counted(line)
    if there:
        return line_of(min(there, key=_joins), line.unexplained)
    seen = line.last_seen
    if seen is None:
        elsewhere = [each.holding for each in line.into]
        if elsewhere:
            return line_of(elsewhere[0], line.unexplained, box_id=line.box.id)
        return Line(line.lot.id, line.box.id, line.unexplained)
    return Line(line.lot.id, line.box.id, line.unexplained, seen.opened_on, seen.state)


def _as_counted(line: Variance) -> list[Holding]:
    """Holdings used up by the books, where their part was named."""
    return list(line.holdings) if line.part is not Part.ANY else []


def _joins(holding: Holding) -> tuple[int, bool, str, int]:
    opened = holding.opened_on
    return _OUT.index(holding.state), opened is not None, str(opened or ""), holding.id


def notes(line: Variance) -> tuple[str, ...]:
    """What is to be said beside a line: where it came from or went, and what is still to do."""
    unit = line.lot.item.unit
    said = [f"{line.again}: count it again"] if line.again else []
    said += [
        f"{counted(it.quantity, unit)} by the books in {it.holding.box.name}" for it in line.into
    ]
    said += [f"{counted(it.quantity, unit)} turned up in {it.to.name}" for it in line.out]
    if line.unexplained and (line.into or line.out):
        kind = "more" if line.unexplained > 0 else "lacking"
        said.append(f"{counted(abs(line.unexplained), unit)} {kind} beside that")
    if line.since:
        sign = "more" if line.since > 0 else "fewer"
        said.append(f"{counted(abs(line.since), unit)} {sign} by the ledger since it was counted")
    if line.finding is Finding.FOUND_AGAIN and (seen := line.last_seen):
        why = f" ({seen.reason})" if seen.reason else ""
        state = "; it comes back on hold" if seen.state is State.HELD else ""
        said.append(f"{seen.what} on {spoken(seen.on)}{why}, none on hand since{state}")
    apart = _set_apart(line) if line.finding is not Finding.AGREES else []
    return (*said, *to_write_down(line), *apart)


def _set_apart(line: Variance) -> list[str]:
    """How many of what is counted as one are on hold, or a last resort, by the books."""
    said = []
    for part, words in ((Part.HELD, "on hold"), (Part.LAST_RESORT, "kept as a last resort")):
        number = sum(each.quantity for each in line.holdings if held_as(each) is part)
        if number and line.part is not part:
            said.append(f"{counted(number, line.lot.item.unit)} of it {words} by the books")
    return said


def to_write_down(line: Variance) -> tuple[str, ...]:
    """What was found sealed, opened or on hold and is not so by the books, with the remedy."""
    said = []
    for part, number in line.folded:
        how = _REMEDY[part].format(lot=line.lot.short, n=number, box=line.box.name)
        amount = counted(number, line.lot.item.unit)
        said.append(f"{amount} found {part.value}, not so by the books: {how}")
    return tuple(said)


def totals(found: Iterable[Variance]) -> dict[Finding, int]:
    """How many lines say what, in the order of the findings."""
    tally = dict.fromkeys(Finding, 0)
    for line in found:
        tally[line.finding] += 1
    return {finding: number for finding, number in tally.items() if number}
