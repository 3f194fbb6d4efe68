"""A round: an audit at the box itself, where what lies there is looked at line by line.

What was found is held against the list in place of what the books say. A piece whose pack is
damaged is taken as on hold: it counts for nothing until somebody decides.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from stockcheck.core.audit_result import AuditResult, LineResult
from stockcheck.core.calendar import spoken
from stockcheck.core.model import Holding, State
from stockcheck.core.words import counted

_ANSWER = re.compile(r"(?P<found>\d{1,7})?\s*(?:d\s*(?P<damaged>\d{1,7}))?", re.IGNORECASE)
_LINE = re.compile(
    r"(?P<code>.+?)(?:[\s,;]+(?P<answer>\d{1,7}(?:\s*d\s*\d+)?|d\s*\d+))?", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Seen:
    """What was found of a holding: how many by the books, how many there, how many damaged.

    ``booked`` is 0 for a lot that the books have elsewhere or nowhere.
    """

    holding: Holding
    booked: int
    found: int
    damaged: int = 0

    @property
    def differs(self) -> bool:
        """Whether the books say otherwise."""
        return self.booked != self.found


@dataclass(frozen=True, slots=True)
class Answer:
    """What was answered of a holding on a round that is under way, as it is kept meanwhile.

    ``holding_id`` is minus the lot's for a lot that the books have elsewhere or nowhere.
    """

    holding_id: int
    lot_id: int
    booked: int
    found: int
    damaged: int
    on: date


@dataclass(frozen=True, slots=True)
class RoundLine:
    """How a line of the list stood: figures in its unit, the finding, and the reason in words."""

    line: str
    required: int | None
    unit: str
    usable: int
    short: int
    finding: str
    why: str


@dataclass(frozen=True, slots=True)
class SeenLot:
    """What a record keeps of a holding that was looked at."""

    lot: str
    item: str
    box: str
    booked: int
    found: int
    damaged: int
    opened_on: date | None = None
    last_usable_day: date | None = None


@dataclass(frozen=True, slots=True)
class Round:
    """An audit at the box as it is kept: who, what, how it stood, and when to look again."""

    id: int
    box_id: int
    box: str
    lists: tuple[str, ...]
    title: str
    on: date
    horizon: date | None
    checked_by: str
    seal: str
    last_used: date | None
    given: tuple[str, ...]
    people: int
    days: int
    met: int
    verdict: str
    next_due: date
    due_why: str
    note: str
    lines: tuple[RoundLine, ...]
    seen: tuple[SeenLot, ...]


def read_found(text: str, booked: int) -> tuple[int, int] | None:
    """How many were found and how many of them damaged; None for what is no such answer.

    ``""`` as the books say, ``4`` four, ``4 d1`` four of which one is damaged, ``d2`` as the
    books say with two damaged.
    """
    match = _ANSWER.fullmatch(text.strip())
    if match is None:
        return None
    found = booked if match["found"] is None else int(match["found"])
    damaged = int(match["damaged"] or 0)
    return (found, damaged) if damaged <= found else None


def read_line(text: str) -> tuple[str, str]:
    """The code and the answer of a line such as ``L75 4 d1``; the answer "" where there is none."""
    match = _LINE.fullmatch(" ".join(text.split()))
    return (match["code"], match["answer"] or "") if match else (text, "")


def still_true(answers: Iterable[Answer], held: Sequence[Holding]) -> tuple[Answer, ...]:
    """Those answers that the books have not overtaken since: theirs is the count they had then."""
    now = {it.id: it.quantity for it in held}
    here = {it.lot.id for it in held}

    def true(it: Answer) -> bool:
        brought = it.holding_id < 0
        return it.lot_id not in here if brought else now.get(it.holding_id) == it.booked

    return tuple(it for it in answers if true(it))


def as_found(seen: Iterable[Seen]) -> list[Holding]:
    """The holdings as they were found; damaged pieces stand on hold."""
    found = []
    for it in seen:
        whole = it.found - it.damaged
        if whole:
            found.append(replace(it.holding, quantity=whole))
        if it.damaged:
            found.append(replace(it.holding, quantity=it.damaged, state=State.HELD))
    return found


@dataclass(frozen=True, slots=True)
class Step:
    """A line of a round with the holdings to look at there; "" where no line asks for them.

    ``above`` are the lots that stand at the line too, but were looked at at an earlier one.
    """

    line: str
    look_at: tuple[Holding, ...]
    above: tuple[str, ...] = ()


def walk(result: AuditResult) -> list[Step]:
    """The lines in their order, every holding once; what no line asks for comes last."""
    seen: set[int] = set()
    steps = []
    for line in result.lines:
        there = {it.holding.id: it.holding for it in line.holdings}
        fresh = tuple(held for number, held in there.items() if number not in seen)
        above = dict.fromkeys(held.lot.short for number, held in there.items() if number in seen)
        seen |= set(there)
        steps.append(Step(line.line.name, fresh, tuple(above)))
    rest = tuple(it for it in result.not_on_list if it.id not in seen)
    return [*steps, Step("", rest)] if rest else steps


def until_of(held: Holding) -> str:
    """Good through which day; that none is known, where there should be one; "" where none is."""
    if held.last_usable_day:
        return spoken(held.last_usable_day)
    return "no date" if held.kind.has_life else ""


def line_words(line: LineResult) -> str:
    """A line of the list and what it asks for, in words."""
    asks = "named" if line.required is None else counted(line.required, line.unit)
    spec = f" ({line.line.spec})" if line.line.spec else ""
    return f"{line.line.name}{spec}: asked {asks}"


def lines_of(result: AuditResult) -> tuple[RoundLine, ...]:
    """What a record keeps of an audit's lines."""
    return tuple(
        RoundLine(it.line.name, it.required, it.unit, it.usable, it.short, it.finding.value, it.why)
        for it in result.lines
    )


def seen_lots(seen: Iterable[Seen]) -> tuple[SeenLot, ...]:
    """What a record keeps of the holdings that were looked at."""
    return tuple(
        SeenLot(
            it.holding.lot.short,
            it.holding.item.name,
            it.holding.box.name,
            it.booked,
            it.found,
            it.damaged,
            it.holding.opened_on,
            it.holding.last_usable_day,
        )
        for it in seen
    )


def changed_since(before: Round, now: Round) -> tuple[str, ...]:
    """What is otherwise than in the round before: list, seal, lines, stock; in words."""
    words = []
    if before.lists != now.lists:
        words.append(f"held against {' + '.join(now.lists)}, before {' + '.join(before.lists)}")
    if before.seal != now.seal:
        words.append(f"seal {now.seal or 'none'}, before {before.seal or 'none'}")
    if before.met != now.met:
        words.append(
            f"{now.met} of {len(now.lines)} lines met, before {before.met} of {len(before.lines)}"
        )
    return (*words, *_changed_lines(before.lines, now.lines), *_changed_stock(before, now))


def _changed_lines(before: Sequence[RoundLine], now: Sequence[RoundLine]) -> list[str]:
    was = {it.line: it for it in before}
    said = []
    for it in now:
        old = was.get(it.line)
        if old is not None and (old.finding, old.short) != (it.finding, it.short):
            said.append(f"{it.line}: {_standing(it)}, before {_standing(old)}")
    return said


def _standing(it: RoundLine) -> str:
    named = f" {counted(it.short, it.unit)}" if it.short and it.required is not None else ""
    return f"{it.finding}{named}"


def _changed_stock(before: Round, now: Round) -> list[str]:
    was, are = _by_lot(before.seen), _by_lot(now.seen)
    said = []
    for lot in dict.fromkeys([*are, *was]):
        old, new = was.get(lot, 0), are.get(lot, 0)
        if old != new:
            item = next(it.item for it in (*now.seen, *before.seen) if it.lot == lot)
            said.append(f"{lot} {item}: {new} there, before {old}")
    return said


def _by_lot(seen: Iterable[SeenLot]) -> dict[str, int]:
    found: dict[str, int] = {}
    for it in seen:
        found[it.lot] = found.get(it.lot, 0) + it.found
    return found


def seal_words(found: Round) -> str:
    """Who looked, when, and the seal, in one line."""
    seal = f"; seal {found.seal}" if found.seal else "; no seal noted"
    used = f"; last used {spoken(found.last_used)}" if found.last_used else ""
    return f"looked at by {found.checked_by} on {spoken(found.on)}{seal}{used}"
