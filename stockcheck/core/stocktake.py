"""A stocktake: what was counted held against the books, and what each difference is.

variance = count - book, with its sign (the counting trade's rule). The books are taken as they
stood when a lot was counted: what was posted since moves both alike. Where that cannot be told,
because stock moved while it was being counted, the lot is to be counted again and nothing of it is
corrected. A correction is neither a use nor a write-off.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum

from stockcheck.core.model import Box, Holding, Lot, State


class Part(StrEnum):
    """Which units of a lot in a box are counted for themselves; ANY is all not told apart."""

    ANY = ""
    SEALED = "sealed"
    OPENED = "opened"
    HELD = "on hold"
    LAST_RESORT = "last resort"


class Finding(StrEnum):
    """What a line of the variance list says."""

    AGREES = "agrees"
    OVER = "over"
    SHORT = "short"
    NOT_FOUND = "not found"
    FOUND_ELSEWHERE = "found elsewhere"
    WRONG_BOX = "wrong box"
    FOUND_AGAIN = "found again"
    COUNT_AGAIN = "count again"


@dataclass(frozen=True, slots=True)
class Entry:
    """One line counted: so many of a lot in a box; it adds, or ``sets`` what is there in all.

    It was counted after movement ``since`` and before any after ``until``.
    """

    id: int
    box_id: int
    lot_id: int
    quantity: int
    since: int
    until: int
    part: Part = Part.ANY
    sets: bool = False
    by: str = ""


@dataclass(frozen=True, slots=True)
class Moved:
    """A line of the ledger since the stocktake began."""

    movement_id: int
    box_id: int
    lot_id: int
    part: Part
    quantity: int


@dataclass(frozen=True, slots=True)
class LastSeen:
    """What the ledger last says of a lot of which none is on hand."""

    what: str
    on: date
    reason: str = ""
    state: State = State.STOCK
    opened_on: date | None = None


@dataclass(frozen=True, slots=True)
class Books:
    """What a count is held against: every holding, empty ones too, of the lots concerned.

    ``boxes`` are those that the count covers, ``begun`` is the last movement before it began,
    ``moved`` what was posted since, ``received`` how many units of each lot ever came in.
    """

    boxes: tuple[Box, ...]
    lots: Mapping[int, Lot]
    holdings: tuple[Holding, ...]
    begun: int = 0
    moved: tuple[Moved, ...] = ()
    received: Mapping[int, int] = field(default_factory=dict)
    last_seen: Mapping[int, LastSeen] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Transfer:
    """So many of a holding that turned up in another box."""

    holding: Holding
    quantity: int
    to: Box


@dataclass(frozen=True, slots=True)
class Variance:
    """One line of the variance list: a lot, or a part of it, in a box.

    ``book`` is what the books had when it was counted, ``counted`` None where it never was.
    ``into`` and ``out`` are the moves that explain a part of the difference, ``since`` is what the
    ledger added after the count, ``again`` why it must be counted again.
    """

    lot: Lot
    box: Box
    part: Part
    book: int
    counted: int | None
    holdings: tuple[Holding, ...] = ()
    since: int = 0
    again: str = ""
    into: tuple[Transfer, ...] = ()
    out: tuple[Transfer, ...] = ()
    last_seen: LastSeen | None = None
    folded: tuple[tuple[Part, int], ...] = ()
    cents: int | None = None

    @property
    def difference(self) -> int:
        """Count - book, with its sign."""
        return (self.counted or 0) - self.book

    @property
    def unexplained(self) -> int:
        """The difference that no move explains."""
        came = sum(each.quantity for each in self.into)
        return self.difference - came + sum(each.quantity for each in self.out)

    @property
    def finding(self) -> Finding:
        """What this line says, the most telling first."""
        if self.again:
            return Finding.COUNT_AGAIN
        if self.difference == 0:
            return Finding.AGREES
        if self.difference > 0:
            if self.into:
                return Finding.WRONG_BOX
            return Finding.FOUND_AGAIN if self.last_seen else Finding.OVER
        if self.out and not self.unexplained:
            return Finding.FOUND_ELSEWHERE
        return Finding.SHORT if self.counted else Finding.NOT_FOUND


def part_of(state: State, opened_on: date | None) -> Part:
    """The part that stock in a state, sealed or opened, belongs to."""
    if state is State.HELD:
        return Part.HELD
    if state is State.LAST_RESORT:
        return Part.LAST_RESORT
    return Part.OPENED if opened_on else Part.SEALED


def held_as(holding: Holding) -> Part:
    """The part that a holding belongs to."""
    return part_of(holding.state, holding.opened_on)


def compare(
    books: Books, entries: Sequence[Entry], *, moves: bool = True, partial: bool = False
) -> tuple[Variance, ...]:
    """The variance list: every lot that the books have in the boxes, or that was counted there.

    ``moves`` lets what is over here and missing, or by the books, elsewhere be explained as a move;
    ``partial`` leaves out what was not counted. In order of box, item and lot.
    """
    pools = [each for box in books.boxes for each in _of_box(books, box, entries)]
    if partial:
        pools = [each for each in pools if each.counted is not None]
    if moves:
        pools = _with_moves(books, pools)
    places = {box.id: at for at, box in enumerate(books.boxes)}
    priced = [replace(each, cents=_value(each, books.received)) for each in pools]
    return tuple(
        sorted(
            priced,
            key=lambda it: (
                places[it.box.id], it.lot.item.name.casefold(), it.lot.id, list(Part).index(it.part)
            ),
        )
    )  # fmt: skip


def left_to_find(found: Iterable[Variance]) -> list[Variance]:
    """What the books have and nobody counted yet."""
    return [each for each in found if each.counted is None]


def differing(found: Iterable[Variance]) -> list[Variance]:
    """The lines that do not agree."""
    return [each for each in found if each.finding is not Finding.AGREES]


def _of_box(books: Books, box: Box, entries: Sequence[Entry]) -> Iterator[Variance]:
    """The lines of one box, each lot's parts that were counted for themselves and then the rest.

    Where a part was counted that the books do not have, the lot is one count: what is sealed,
    opened or on hold is written down by whoever knows since when, never guessed.
    """
    lots = {each.lot.id for each in books.holdings if each.box.id == box.id}
    lots |= {each.lot_id for each in entries if each.box_id == box.id}
    for lot_id in sorted(lots):
        held = [h for h in books.holdings if (h.lot.id, h.box.id) == (lot_id, box.id)]
        mine = [each for each in entries if (each.lot_id, each.box_id) == (lot_id, box.id)]
        yield from _of_lot(books, box, books.lots[lot_id], held, mine)


def _of_lot(
    books: Books, box: Box, lot: Lot, held: Sequence[Holding], entries: Sequence[Entry]
) -> Iterator[Variance]:
    there, said = {held_as(each) for each in held}, {each.part for each in entries} - {Part.ANY}
    named = said if said <= there else set()
    for part in sorted(named, key=list(Part).index):
        mine = [each for each in entries if each.part is part]
        yield _line(books, box, lot, part, [h for h in held if held_as(h) is part], mine)
    rest = [each for each in held if held_as(each) not in named]
    others = [each for each in entries if each.part not in named]
    if others or any(each.quantity for each in rest):
        yield _line(books, box, lot, Part.ANY, rest, others)


def _line(
    books: Books, box: Box, lot: Lot, part: Part, held: Sequence[Holding], entries: Sequence[Entry]
) -> Variance:
    """One line: so many counted, and what the books had then."""
    standing = _standing(entries)
    until = max((each.until for each in standing), default=books.begun)
    since = min((each.since for each in standing), default=books.begun)
    parts = {held_as(each) for each in held}
    moved = [
        each
        for each in books.moved
        if (each.lot_id, each.box_id) == (lot.id, box.id) and each.part in parts
    ]
    after = sum(each.quantity for each in moved if each.movement_id > until)
    book = sum(each.quantity for each in held) - (after if standing else 0)
    count = sum(each.quantity for each in standing) if standing else None
    nowhere = not any(each.quantity for each in books.holdings if each.lot.id == lot.id)
    return Variance(
        lot, box, part, book, count, tuple(held),
        since=after if standing else 0,
        again=_again(standing, moved, since, until, (count or 0) + after),
        last_seen=books.last_seen.get(lot.id) if nowhere else None,
        folded=_folded(standing, parts),
    )  # fmt: skip


def _standing(entries: Sequence[Entry]) -> list[Entry]:
    """The lines that count: the last one that sets, and all that add after it."""
    order = sorted(entries, key=lambda it: it.id)
    sets = [at for at, each in enumerate(order) if each.sets]
    return order[sets[-1] :] if sets else order


def _again(
    standing: Sequence[Entry], moved: Sequence[Moved], since: int, until: int, now: int
) -> str:
    """Why it must be counted again; empty where it need not."""
    if not standing and any(each.movement_id > since for each in moved):
        return "stock of it moved since the count began, and it was not counted"
    if any(since < each.movement_id <= until for each in moved):
        return "stock of it moved while it was being counted"
    if standing and now < 0:
        return "more was taken out since than was counted"
    return ""


def _folded(standing: Sequence[Entry], there: set[Part]) -> tuple[tuple[Part, int], ...]:
    """What was counted as a part that the books do not have of this lot here."""
    found: dict[Part, int] = {}
    for each in standing:
        if each.part is not Part.ANY and each.part not in there and each.quantity:
            found[each.part] = found.get(each.part, 0) + each.quantity
    return tuple(found.items())


def _value(line: Variance, received: Mapping[int, int]) -> int | None:
    """What the variance is worth by what the lot cost, to the nearest cent; None where not known.

    What only moved to another box is worth nothing either way.
    """
    cost, units = line.lot.cost_cents, received.get(line.lot.id, 0)
    if cost is None or units <= 0 or line.again:
        return None
    cents = (2 * cost * abs(line.unexplained) + units) // (2 * units)
    return cents if line.unexplained > 0 else -cents


def _with_moves(books: Books, lines: list[Variance]) -> list[Variance]:
    """What is over in one box explained by what lacks in another, or is elsewhere by the books."""
    left = {each.id: each.quantity for each in books.holdings}
    for at, line in enumerate(lines):
        wanted = line.difference
        if line.again or wanted <= 0:
            continue
        for source, most, holding in _sources(books, lines, line):
            lacking = most if source is None else -lines[source].unexplained
            take = min(wanted, left[holding.id], lacking)
            if take <= 0:
                continue
            transfer = Transfer(holding, take, line.box)
            left[holding.id] -= take
            wanted -= take
            lines[at] = replace(lines[at], into=(*lines[at].into, transfer))
            if source is not None:
                lines[source] = replace(lines[source], out=(*lines[source].out, transfer))
    return lines


def _sources(
    books: Books, lines: Sequence[Variance], line: Variance
) -> Iterator[tuple[int | None, int, Holding]]:
    """From where units of a lot may have come: first boxes of this count where they lack, then
    boxes that nobody counted and that have them by the books, those that could give all first.
    """
    for at, other in enumerate(lines):
        same = other.lot.id == line.lot.id and other.box.id != line.box.id
        if same and not other.again and other.difference < 0:
            for holding in _likest(other.holdings, line.part):
                yield at, holding.quantity, holding
    listed = {(each.lot.id, each.box.id) for each in lines}
    outside = [
        each
        for each in books.holdings
        if each.lot.id == line.lot.id and (each.lot.id, each.box.id) not in listed and each.quantity
    ]
    for holding in sorted(
        _likest(outside, line.part), key=lambda it: it.quantity < line.difference
    ):
        yield None, holding.quantity, holding


def _likest(held: Iterable[Holding], part: Part) -> list[Holding]:
    """Holdings of the part counted first, then ordinary stock, the sealed before the opened."""
    order = list(Part)
    return sorted(
        held, key=lambda it: (held_as(it) is not part, order.index(held_as(it)), it.box.id, it.id)
    )
