"""Labels and paper: which labels are lacking, which have changed, where a sheet goes on.

What is stuck on things is worked out from two records: what came and went of a lot, and what was
printed. Nothing here knows what a label looks like.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TypeAlias

from stockcheck.core.model import Box, Holding, Item
from stockcheck.core.words import listed

Facts: TypeAlias = Mapping[str, str]
"""What a label rests on, by the word for it: ``{"box": "Water", "date": "2027-11-30 printed"}``."""


@dataclass(frozen=True, slots=True)
class Stir:
    """Units of a lot that came, or went where negative; moving about inside the store is none."""

    units: int


@dataclass(frozen=True, slots=True)
class Printed:
    """A label that was printed for a lot, box or item.

    ``packs`` is how many packs got one; without ``per_unit`` one label speaks for all of a holding.
    ``replaces`` is the number of the label in whose place it was stuck, None for a first one.
    """

    number: int
    facts: Facts
    packs: int = 1
    per_unit: bool = False
    replaces: int | None = None


@dataclass(frozen=True, slots=True)
class Stuck:
    """A printed label that is still on something, and on how many units."""

    number: int
    facts: Facts
    units: int
    per_unit: bool


@dataclass(frozen=True, slots=True)
class Standing:
    """How a lot stands with its labels: units on hand, those without any, labels still stuck."""

    on_hand: int = 0
    bare: int = 0
    stuck: tuple[Stuck, ...] = ()


def standing(events: Iterable[Stir | Printed], pack: int = 1) -> Standing:
    """Replay what happened to a lot, in order.

    Units go with their labels: those that leave are taken to be the ones labelled first, so that
    rather a label too many is printed than one too few. When nothing is left no label is.
    """
    now = Standing()
    for event in events:
        if isinstance(event, Printed):
            now = _after_print(now, event, pack)
        elif event.units >= 0:
            now = replace(now, on_hand=now.on_hand + event.units, bare=now.bare + event.units)
        else:
            now = _after_leaving(now, -event.units)
    return now


def _after_print(now: Standing, event: Printed, pack: int) -> Standing:
    stuck = list(now.stuck)
    old = next((each for each in stuck if each.number == event.replaces), None)
    if old is not None:
        taken = min(old.units, event.packs * pack) if event.per_unit else old.units
        stuck.remove(old)
        if old.units > taken:
            stuck.insert(0, replace(old, units=old.units - taken))
        new = Stuck(event.number, event.facts, taken, event.per_unit)
        return replace(now, stuck=(*stuck, new))
    taken = min(now.bare, event.packs * pack)
    new = Stuck(event.number, event.facts, taken, event.per_unit)
    return replace(now, bare=now.bare - taken, stuck=(*stuck, new))


def _after_leaving(now: Standing, units: int) -> Standing:
    if units >= now.on_hand:
        return Standing()
    stuck: list[Stuck] = []
    left = units
    for each in sorted(
        now.stuck, key=lambda it: not it.per_unit
    ):  # a lot's own label stays to last
        gone = min(left, each.units)
        left -= gone
        if each.units > gone or not each.per_unit:
            stuck.append(replace(each, units=each.units - gone))
    return Standing(now.on_hand - units, now.bare - left, tuple(stuck))


@dataclass(frozen=True, slots=True)
class Wanted:
    """A label that a thing should have: what it rests on, and how many packs there are."""

    facts: Facts
    packs: int = 1


@dataclass(frozen=True, slots=True)
class Match:
    """What becomes of a wanted label: how many packs lack it, or have another one instead.

    ``at`` is its place among the wanted. ``old`` is None for one that nothing has yet; else it is
    the label that is stuck there, whose facts are the same where nothing is to be done.
    """

    at: int
    packs: int
    old: Stuck | None = None
    same: bool = False


def matched(
    wanted: Sequence[Wanted], now: Standing, pack: int = 1, *, every: bool | None = None
) -> list[Match]:
    """Hold what should be stuck against what is, one a holding, or one a pack where that was done.

    ``every`` asks for one a pack, or for one a holding, whatever was done.

    A label of the same facts is that label; what is left over of both belongs together in the order
    in which they stand. Facts of which nothing was kept (``{}``) agree with any.
    """
    if every is None:
        every = any(each.per_unit for each in now.stuck)
    return _matched([each.packs if every else 1 for each in wanted], wanted, now, pack, every=every)


def lacking(wanted: Sequence[Wanted], now: Standing, pack: int = 1) -> list[Match]:
    """One a pack: the packs that have no label at all, in holdings that have none before others."""
    left = -(-now.bare // pack)
    known = [each.facts for each in now.stuck]
    order = sorted(range(len(wanted)), key=lambda at: (wanted[at].facts in known, at))
    found = []
    for at in order:
        taken = min(left, wanted[at].packs)
        left -= taken
        if taken:
            found.append(Match(at, taken))
    return sorted(found, key=lambda it: it.at)


def due(
    wanted: Sequence[Wanted], now: Standing, pack: int = 1, *, new: bool, every: bool = False
) -> list[Match]:
    """The labels that are lacking (``new``), or those that have changed.

    Lacking ones are one a pack where ``every`` asks for it, or where that was done before.
    """
    if new and (every or any(each.per_unit for each in now.stuck)):
        return lacking(wanted, now, pack)
    found = matched(wanted, now, pack)
    return [it for it in found if (it.old is None if new else it.old is not None and not it.same)]


def _matched(
    counts: list[int], wanted: Sequence[Wanted], now: Standing, pack: int, *, every: bool
) -> list[Match]:
    rest = {each.number: -(-each.units // pack) if every else 1 for each in now.stuck}
    found: list[Match] = []
    for same in (True, False):
        for at, each in enumerate(wanted):
            for label in now.stuck:
                packs = min(counts[at], rest[label.number])
                if packs > 0 and (not same or label.facts in (each.facts, {})):
                    counts[at] -= packs
                    rest[label.number] -= packs
                    found.append(Match(at, packs, label, same))
    found += [Match(at, packs) for at, packs in enumerate(counts) if packs]
    return sorted(found, key=lambda it: it.at)


def differing(was: Facts, now: Facts) -> str:
    """What has changed between two labels, in words: ``box was Water, now Truck``."""
    return listed(
        [
            f"{word} was {was.get(word) or 'none'}, now {now.get(word) or 'none'}"
            for word in dict.fromkeys((*was, *now))
            if was.get(word, "") != now.get(word, "")
        ]
    )


def holding_facts(holding: Holding) -> Facts:
    """What a lot's label rests on; never how many there are, which a label cannot keep up with."""
    lot = holding.lot
    read = lot.expiry.reading.iso if lot.expiry else ""
    last = holding.last_usable_day.isoformat() if holding.last_usable_day else ""
    by = f" by {holding.governed_by}" if holding.governed_by else ""
    return _told(
        name=lot.item.name,
        box=holding.box.name,
        date=f"{last or 'no date'}{by}" + (f" ({read})" if read else ""),
        batch=lot.batch,
        received=lot.received_on.isoformat() if lot.received_on else "",
        opened=holding.opened_on.isoformat() if holding.opened_on else "",
        state=holding.state.value,
        cautions=", ".join(holding.kind.cautions),
    )


def box_facts(box: Box, place: str, audit_due: date | None = None) -> Facts:
    """What a box's label rests on."""
    due = {"audit due": audit_due.isoformat() if audit_due else ""}
    return _told(name=box.name, place=place, **due)


def item_facts(item: Item) -> Facts:
    """What an item's label rests on."""
    return _told(name=item.name, size=item.size, cautions=", ".join(item.kind.cautions))


def _told(**facts: str) -> dict[str, str]:
    return {word: told for word, told in facts.items() if told}


@dataclass(frozen=True, slots=True)
class SheetUse:
    """How the last print on a stock and pile left its sheet."""

    per_page: int
    start: int
    labels: int


def next_start(last: SheetUse | None, per_page: int) -> int:
    """The first free label of the part-used sheet, counted from 1; 1 on a fresh one.

    A sheet of another grid under the same name was measured anew: its old places say nothing.
    """
    if last is None or last.per_page != per_page:
        return 1
    return (last.start - 1 + last.labels) % per_page + 1


def left_on_sheet(use: SheetUse) -> int:
    """How many labels are free on the last sheet after a print; none where it is used up."""
    return -(use.start - 1 + use.labels) % use.per_page


def pages_used(use: SheetUse) -> int:
    """How many sheets a print takes, the part-used one counted."""
    return -(-(use.start - 1 + use.labels) // use.per_page)
