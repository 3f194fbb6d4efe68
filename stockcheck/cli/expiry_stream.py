"""The expiry report for other programs, some boxes at a time: no store is too large for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.cli.choosing import as_asked_rows
from stockcheck.cli.shell import gathered, on_the_way, put
from stockcheck.core.model import Status

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.expiry import Standing
    from stockcheck.core.planning import Trip
    from stockcheck.output.report import Row
    from stockcheck.store.files import Store

_AT_ONCE = 2000  # holdings in memory: more are no faster


def write_expiry(
    store: Store,
    going: Trip | None,
    on: date,
    *,
    within: int,
    box_name: str | None,
    statuses: tuple[str, ...],
    fmt: str,
    output: Path | None,
) -> set[str]:
    """Write the rows as CSV or JSON; returns the ways of standing of those written."""
    from stockcheck.data.kinds import cautions
    from stockcheck.output.expiry_report import KEYS, kept_cautions
    from stockcheck.output.report import Stream
    from stockcheck.output.write import chunks

    wanted = {Status(word) for word in statuses}
    seen: set[str] = set()
    warned: set[str] = set()

    def rows() -> Iterator[Row]:
        from stockcheck.output.expiry_report import caution_keys, row_values
        from stockcheck.output.report import Row

        for each in _standings(store, going, on, within=within, box_name=box_name):
            if not wanted or each.status in wanted:
                warned.update(caution_keys(each))
                yield Row(row_values(each))

    def written() -> Iterator[Row]:
        for row in as_asked_rows(rows(), KEYS, on):
            seen.add(str(row.values["status"]))
            yield row

    stream = Stream(on, store.name, KEYS, written(), lambda: kept_cautions(warned, cautions()))
    with store.reading(), gathered(chunks(stream, fmt)) as parts:
        store.conn.execute("ROLLBACK")  # all is read: nobody need wait for a slow reader
        put(parts, output)
    return seen


def _standings(
    store: Store, going: Trip | None, on: date, *, within: int, box_name: str | None
) -> Iterator[Standing]:
    """Box by box in the report's order, the worst first in each."""
    from stockcheck.core.expiry import standings
    from stockcheck.store import reads
    from stockcheck.store.names import find_id

    conn = store.conn
    boxes = reads.boxes(conn, retired=True)
    if box_name:
        inside = set(reads.box_and_inside(boxes, find_id(conn, "box", box_name)))
        boxes = [box for box in boxes if box.id in inside]
    horizon = going.horizon if going else None
    for some in _portions([box.id for box in boxes], reads.holding_counts(conn)):
        held = on_the_way(store, reads.holdings(conn, box_ids=some), going)
        found: dict[int, list[Standing]] = {box: [] for box in some}
        for each in standings(held, on, horizon=horizon, due_days=within):
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
