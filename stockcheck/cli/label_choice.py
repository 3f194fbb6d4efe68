"""Which labels are to be printed: of what was named, of what has none, of what has changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from stockcheck.cli.label_words import Wording
from stockcheck.core import label_jobs as jobs
from stockcheck.core.codes import read_code
from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.model import Box, Holding, Item
from stockcheck.store import prints, reads
from stockcheck.store.names import find_id

if TYPE_CHECKING:
    from stockcheck.cli.label_ask import Ask
    from stockcheck.labels.text import LabelText
    from stockcheck.store.files import Store


@dataclass(frozen=True, slots=True)
class Wish:
    """One text to be printed so many times in a row, for a lot, box or item.

    ``group`` is the box under which it is found in the PDF, ``why`` what makes it due. ``packs`` is
    0 for a label beside the one that a thing has.
    """

    thing: str
    of: int
    sort: str
    text: LabelText
    facts: jobs.Facts
    count: int = 1
    packs: int = 1
    per_unit: bool = False
    replaces: int | None = None
    group: str = ""
    why: str = ""


@dataclass(slots=True)
class Chosen:
    """What the labels are of, each sort in its order: lots as they are held, boxes, items."""

    held: list[Holding] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)
    items: list[Item] = field(default_factory=list)


def wishes(store: Store, ask: Ask) -> list[Wish]:
    """Every label that was asked for, in order of box, then of item."""
    chosen = _chosen(store, ask)
    gs1 = ask.code == "gs1"
    wording = Wording(store, ask.on, iso=ask.iso, sort=ask.sort or "", gs1=gs1)
    if ask.sort == "item":
        items = {each.id: each for each in chosen.items}
        items |= {each.item.id: each.item for each in chosen.held}
        chosen = Chosen([], chosen.boxes, list(items.values()))
    found = _of_lots(store, ask, chosen.held, wording)
    for box in chosen.boxes:
        facts = jobs.box_facts(box, wording.place(box), wording.audit_due(box))
        found += _of_thing(store, ask, ("box", box.id), facts, wording.box(box))
    for item in chosen.items:
        facts = jobs.item_facts(item)
        found += _of_thing(store, ask, ("item", item.id), facts, wording.item(item))
    return found


def _of_lots(store: Store, ask: Ask, held: Sequence[Holding], wording: Wording) -> list[Wish]:
    by_lot: dict[int, list[int]] = {}
    for at, holding in enumerate(held):
        by_lot.setdefault(holding.lot.id, []).append(at)
    standings = prints.standings(store.conn, "lot", by_lot)
    found: list[tuple[int, Wish]] = []
    for lot_id, places in by_lot.items():
        wanted = [
            jobs.Wanted(jobs.holding_facts(held[at]), -(-held[at].quantity // held[at].item.pack))
            for at in places
        ]
        pack = held[places[0]].item.pack
        now = standings[lot_id]
        each = ask.per_unit or (ask.new and any(label.per_unit for label in now.stuck))
        for match in _due(ask, wanted, now, pack, each=each):
            holding, facts = held[places[match.at]], wanted[match.at].facts
            sort, text = wording.lot(holding)
            wish = _wish(ask, match, ("lot", lot_id), sort, text, facts)
            wish = replace(wish, per_unit=wish.per_unit or each, group=holding.box.name)
            found.append((places[match.at], wish))
    return [wish for _, wish in sorted(found, key=lambda it: it[0])]


def _due(
    ask: Ask, wanted: Sequence[jobs.Wanted], now: jobs.Standing, pack: int, *, each: bool
) -> list[jobs.Match]:
    """The labels of a lot that are to be printed: one a pack where that was asked or done."""
    if ask.new or ask.changed:
        return jobs.due(wanted, now, pack, new=ask.new, every=each)
    return jobs.matched(wanted, now, pack, every=each)


def _of_thing(
    store: Store, ask: Ask, which: tuple[str, int], facts: jobs.Facts, text: LabelText
) -> list[Wish]:
    """The label of a box or an item: it has one or none."""
    thing, number = which
    now = prints.standings(store.conn, thing, [number])[number]
    if ask.new or ask.changed:
        found = jobs.due([jobs.Wanted(facts)], now, new=ask.new)
    else:
        found = jobs.matched([jobs.Wanted(facts)], now, every=False)
    group = "Items" if thing == "item" else "Boxes"
    return [replace(_wish(ask, it, which, thing, text, facts), group=group) for it in found]


def _wish(
    ask: Ask,
    match: jobs.Match,
    which: tuple[str, int],
    sort: str,
    text: LabelText,
    facts: jobs.Facts,
) -> Wish:
    beside = bool(ask.sort) and which[0] == "lot" and not (ask.new or ask.changed)
    old = None if beside else match.old
    if old is None:
        why = "" if beside else "new"
    else:
        why = jobs.differing(old.facts, facts) if old.facts else ""
    return Wish(
        thing=which[0],
        of=which[1],
        sort=sort,
        text=text,
        facts=facts,
        count=match.packs,
        packs=0 if beside else match.packs,
        per_unit=bool(old and old.per_unit),
        replaces=old.number if old else None,
        why=why or ("again" if old else ""),
    )


def chosen_of(store: Store, ask: Ask) -> dict[str, set[int]]:
    """The numbers of the lots, boxes and items named, whether they are on hand or not."""
    lots, boxes, items = _named(store, ask.named)
    every = reads.boxes(store.conn)
    if ask.all_boxes:
        boxes |= {box.id for box in every}
    if ask.all_items:
        items |= {item.id for item in reads.items(store.conn)}
    if ask.box_name:
        inside = reads.box_and_inside(every, find_id(store.conn, "box", ask.box_name))
        lots |= {each.lot.id for each in reads.holdings(store.conn, box_ids=inside)}
    return {"lot": lots, "box": boxes, "item": items}


def _chosen(store: Store, ask: Ask) -> Chosen:
    """What was named; where no lot was, all of them if only new or changed labels are due."""
    conn = store.conn
    boxes = reads.boxes(conn)
    lots, box_ids, item_ids = _named(store, ask.named)
    if ask.all_boxes or (ask.changed and not ask.names_things):
        box_ids |= {box.id for box in boxes}
    chosen = Chosen()
    if ask.all_items or (ask.changed and not ask.names_things):
        chosen.items = reads.items(conn)
    elif item_ids:
        chosen.items = reads.items(conn, only=sorted(item_ids))
    chosen.boxes = [box for box in reads.boxes(conn, retired=True) if box.id in box_ids]
    if not (ask.named or ask.box_name) and (ask.new or ask.changed):
        chosen.held = reads.holdings(conn)
    elif lots:
        chosen.held = reads.holdings(conn, lot_ids=sorted(lots))
    if ask.box_name:
        inside = reads.box_and_inside(boxes, find_id(conn, "box", ask.box_name))
        known = {each.id for each in chosen.held}
        chosen.held += [
            each for each in reads.holdings(conn, box_ids=inside) if each.id not in known
        ]
    if missing := lots - {each.lot.id for each in chosen.held}:
        gone = ", ".join(f"L{number}" for number in sorted(missing))
        raise BadInput(f"not on hand, so there is nothing to label: {gone}")
    order = {box.id: place for place, box in enumerate(boxes)}
    chosen.held.sort(key=lambda it: (order.get(it.box.id, 0), it.item.name.casefold(), it.lot.id))
    return chosen


def _named(store: Store, named: Sequence[str]) -> tuple[set[int], set[int], set[int]]:
    """The lots, boxes and items that were named; boxes go before items of the same name."""
    lots: set[int] = set()
    boxes: set[int] = set()
    items: set[int] = set()
    for text in named:
        code = read_code(text)
        if code is not None and code[0] == "lot":
            lots.add(find_id(store.conn, "lot", text))
        elif code is not None and code[0] == "item":
            items.add(find_id(store.conn, "item", text))
        else:
            box, item = _box_or_item(store, text)
            boxes |= box
            items |= item
    return lots, boxes, items


def _box_or_item(store: Store, text: str) -> tuple[set[int], set[int]]:
    try:
        return {find_id(store.conn, "box", text)}, set()
    except UnknownName as error:
        try:
            return set(), {find_id(store.conn, "item", text)}
        except UnknownName:
            raise UnknownName(
                f"{error}. Lots are named by their code or short form (L42)"
            ) from error
