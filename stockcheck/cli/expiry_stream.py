"""The expiry report some boxes at a time: no store is too large for it.

CSV and JSON are written row by row, text box by box, once to see how wide its columns must be and
once to write them. With --sort, and as PDF or HTML, the whole report is in memory: what comes first
may be the last that is read.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING

from stockcheck.cli.choosing import as_asked_rows
from stockcheck.cli.shell import gathered, on_the_way, put, width_and_colour
from stockcheck.core.model import Status

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from stockcheck.core.expiry import Standing
    from stockcheck.core.planning import Trip
    from stockcheck.output.report import Report, Row, Section
    from stockcheck.store.files import Store

_AT_ONCE = 4000  # holdings in memory: more are no faster


@dataclass(frozen=True, slots=True)
class Asked:
    """What the report is to be of; ``statuses`` empty: all."""

    going: Trip | None
    on: date
    within: int
    box_name: str | None
    statuses: frozenset[Status]


def write_expiry(store: Store, asked: Asked, fmt: str, output: Path | None) -> set[str]:
    """Write the rows as CSV or JSON; returns the ways of standing of those written."""
    from stockcheck.data.kinds import cautions
    from stockcheck.output.expiry_report import KEYS, kept_cautions
    from stockcheck.output.report import Stream
    from stockcheck.output.write import chunks

    seen: set[str] = set()
    warned: set[str] = set()

    def rows() -> Iterator[Row]:
        from stockcheck.output.expiry_report import caution_keys, row_values
        from stockcheck.output.report import Row

        for each in _standings(store, asked):
            warned.update(caution_keys(each))
            yield Row(row_values(each))

    def written() -> Iterator[Row]:
        for row in as_asked_rows(rows(), KEYS, asked.on):
            seen.add(str(row.values["status"]))
            yield row

    stream = Stream(
        asked.on, store.name, KEYS, written(), lambda: kept_cautions(warned, cautions())
    )
    with store.reading(), gathered(chunks(stream, fmt)) as parts:
        store.conn.execute("ROLLBACK")  # all is read: nobody need wait for a slow reader
        put(parts, output)
    return seen


@dataclass(slots=True)
class _Seen:
    """What is said above and below the rows, gathered while they go by."""

    counts: Counter[Status] = field(default_factory=Counter)
    warned: set[str] = field(default_factory=set)
    governed: set[str] = field(default_factory=set)
    too_warm: int = 0

    def add(self, store: Store, group: Sequence[Standing], going: Trip | None) -> None:
        from stockcheck.output.expiry_report import caution_keys
        from stockcheck.store.shifts import heat_warnings

        held = [each.holding for each in group]
        self.counts.update(each.status for each in group)
        self.governed.update(each.governed_by for each in held)
        for each in group:
            self.warned.update(caution_keys(each))
        self.too_warm += heat_warnings(store.conn, held, going)


def tell_expiry(
    store: Store, asked: Asked, remarks: tuple[str, ...], output: Path | None
) -> set[str]:
    """Write the report as text, ``remarks`` at its end; returns the ways of standing in it."""
    from stockcheck.output.expiry_report import COLUMNS
    from stockcheck.output.text import text_chunks

    seen = _Seen()
    passes = iter([seen, None])
    width, colour = width_and_colour(output)
    told = text_chunks(
        COLUMNS,
        lambda: _sections(store, asked, next(passes)),
        lambda: _frame(store, asked, seen, remarks),
        width=width,
        colour=colour,
    )
    with store.reading(), gathered(each.encode() for each in told) as parts:
        store.conn.execute("ROLLBACK")
        if output is None or str(output) == "-":
            for part in _texts(parts):
                put(part, output)
        else:
            put(parts, output)
    return {status.value for status in seen.counts}


def _texts(parts: Iterable[bytes]) -> Iterator[str]:
    """The parts as text again; a letter may be cut in two between them."""
    from codecs import iterdecode

    return iterdecode(parts, "utf-8")


def _sections(store: Store, asked: Asked, seen: _Seen | None) -> Iterator[Section]:
    from stockcheck.output.expiry_report import box_section
    from stockcheck.store import reads

    boxes = reads.boxes(store.conn, retired=True)
    by_id, places = {box.id: box for box in boxes}, reads.places(boxes)
    for number, found in groupby(_standings(store, asked), lambda each: each.holding.box.id):
        group, box = list(found), by_id[number]
        if seen is not None:
            seen.add(store, group, asked.going)
        yield box_section(places[number], box, group)


def _frame(store: Store, asked: Asked, seen: _Seen, remarks: tuple[str, ...]) -> Report:
    from dataclasses import replace

    from stockcheck.cli.expiry import facts_of
    from stockcheck.core.expiry import WORST_FIRST
    from stockcheck.data.kinds import cautions
    from stockcheck.output.expiry_report import expiry_frame

    frame = expiry_frame(
        {status: seen.counts[status] for status in WORST_FIRST if seen.counts[status]},
        seen.warned,
        on=asked.on,
        store=store.name,
        facts=facts_of(asked.going, asked.within, seen.governed, seen.too_warm),
        cautions=cautions(),
    )
    return replace(frame, totals=(*frame.totals, *remarks))


def _standings(store: Store, asked: Asked) -> Iterator[Standing]:
    """Those asked for, box by box in the report's order, the worst first in each."""
    from stockcheck.core.expiry import standings
    from stockcheck.store import reads
    from stockcheck.store.names import find_id

    conn = store.conn
    boxes = reads.boxes(conn, retired=True)
    if asked.box_name:
        inside = set(reads.box_and_inside(boxes, find_id(conn, "box", asked.box_name)))
        boxes = [box for box in boxes if box.id in inside]
    horizon = asked.going.horizon if asked.going else None
    for some in _portions([box.id for box in boxes], reads.holding_counts(conn)):
        held = on_the_way(store, reads.holdings(conn, box_ids=some), asked.going)
        found: dict[int, list[Standing]] = {box: [] for box in some}
        for each in standings(held, asked.on, horizon=horizon, due_days=asked.within):
            if not asked.statuses or each.status in asked.statuses:
                found[each.holding.box.id].append(each)
        for box in some:
            yield from found[box]


def _portions(boxes: Sequence[int], counts: dict[int, int]) -> Iterator[list[int]]:
    """The boxes that have anything, in order, as many at a time as hold some thousands."""
    some: list[int] = []
    size = 0
    for box in boxes:
        if not counts.get(box):
            continue
        some.append(box)
        size += counts[box]
        if size >= _AT_ONCE:
            yield some
            some, size = [], 0
    if some:
        yield some
