"""What calendars were told before: how often a reminder was revised, and what to call off.

A calendar that takes a file in again keeps what the file no longer has. So a store remembers each
reminder that it handed over until its day is past, and hands it over once more as cancelled when
there is nothing left to remind of.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import NamedTuple
from zlib import crc32

from stockcheck.core.reminders import Reminder, Sort

MOST_REVISIONS = 499
"""Of one day: beyond that a revision counts as none."""


class Told(NamedTuple):
    """A reminder as it was handed over last: of what, for which day, what it said, as a checksum.

    ``on`` is the day of that, ``revision`` how often it had changed on that day before.
    """

    sort: Sort
    thing: str
    day: date
    title: str
    checksum: str
    on: date
    revision: int = 0


def called_off(told: Mapping[str, Told], known: Collection[str], on: date) -> list[Reminder]:
    """What was handed over, is not past and is no longer among the ``known`` keys."""
    return [
        Reminder(each.sort, each.thing, each.day, each.title, gone=True)
        for key, each in told.items()
        if key not in known and each.day >= on
    ]


def revised(found: Iterable[Reminder], told: Mapping[str, Told], on: date) -> list[Reminder]:
    """The reminders with how often each has changed today since it was first handed over."""
    return [replace(each, revision=_revision(each, told.get(each.key), on)) for each in found]


def _revision(each: Reminder, before: Told | None, on: date) -> int:
    if before is None or before.on != on:
        return 0
    return min(before.revision + (before.checksum != _checksum(each)), MOST_REVISIONS)


def remembered(told: Mapping[str, Told], handed: Sequence[Reminder], on: date) -> dict[str, Told]:
    """What to remember after handing these over, by key; what is past is forgotten."""
    kept = {key: each for key, each in told.items() if each.day >= on}
    for it in handed:
        title = kept[it.key].title if it.gone and it.key in kept else it.title
        kept[it.key] = Told(it.sort, it.thing, it.day, title, _checksum(it), on, it.revision)
    return dict(sorted(kept.items()))


def _checksum(each: Reminder) -> str:
    said = (each.day.isoformat(), each.title, *each.lines, each.place, str(each.gone))
    return f"{crc32(chr(10).join(said).encode()):08x}"
