"""What a session writes: movements, packs taken in by their maker's code, and new items."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import at_terminal, say, stamp
from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.recognising import printed_expiry
from stockcheck.core.scanning import Deed, MakeItem, Mood, Post, Said, TakeIn
from stockcheck.core.words import counted

if TYPE_CHECKING:
    from stockcheck.core.intake import Arrival
    from stockcheck.core.model import Item
    from stockcheck.store.files import Store


@dataclass(frozen=True, slots=True)
class Written:
    """What a piece of work wrote: movements, how the summary tells them, lines, the lots."""

    movements: tuple[int, ...] = ()
    deeds: tuple[Deed, ...] = ()
    said: tuple[Said, ...] = ()
    lots: tuple[int, ...] = ()


def post(store: Store, work: Post, on: date) -> Written:
    """Write movements in one transaction; BadInput where the stock is no longer as it was then."""
    from stockcheck.store import ledger, reads

    lots = [each.lot.id for each in work.known]
    with store.writing() as conn:
        now = {each.id: each.quantity for each in reads.holdings(conn, lot_ids=lots, empty=True)}
        if any(now.get(each.id) != each.quantity for each in work.known):
            raise BadInput("stock of it moved since it was scanned: scan it again")
        numbers = ledger.post(conn, work.movements, stamp(on))
    return Written(tuple(numbers), work.deeds)


def take_in(store: Store, work: TakeIn, on: date) -> Written:
    """Receive a pack by its maker's code: more of a lot that is known, or a new lot."""
    item = work.maker.item
    if item is None:
        raise BadInput("no item has that GTIN; make the item first")
    if work.lot_id is not None:
        lots, numbers = _more_of(store, work, work.lot_id, on)
    else:
        lots, numbers = _new_lot(store, work, item, on)
    lot, amount = f"L{lots[0]}", counted(work.units, item.unit)
    deed = Deed("received", lot, item.name, work.units, item.unit, work.box.name)
    words = f"Received: {amount} of {item.name} ({lot}) into {work.box.name}"
    lines = [Said(words, Mood.GOOD)]
    if work.maker.recall is not None:
        lines.append(Said("put ON HOLD at once: its batch is recalled", Mood.BAD, indent=4))
    return Written(numbers, (deed,), tuple(lines), lots)


def _more_of(
    store: Store, work: TakeIn, lot_id: int, on: date
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    from stockcheck.core.movements import receive
    from stockcheck.store import ledger
    from stockcheck.store.recalls import holds_of_received

    plan = receive(lot_id, work.box.id, work.units)
    with store.writing() as conn:
        numbers = ledger.post(conn, [plan, *holds_of_received(conn, [plan])], stamp(on))
    return (lot_id,), tuple(numbers)


def _new_lot(
    store: Store, work: TakeIn, item: Item, on: date
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    from stockcheck.store.receiving import receive

    arrival = _arrival(store, work, item, on)
    with store.writing() as conn:
        done = receive(conn, [arrival], stamp(on))
    return done.lot_ids, done.movement_ids


def _arrival(store: Store, work: TakeIn, item: Item, on: date) -> Arrival:
    """The lot as the code tells it; where it says no date that is asked, at a terminal."""
    from stockcheck.cli.arrival_form import one_arrival
    from stockcheck.core.intake import Answers, DateRules, Shelves, read_lines
    from stockcheck.store import reads

    told = work.maker.meaning
    fields = {"box": work.box.code, "item": item.code, "quantity": str(work.units)}
    fields |= {"gtin": work.maker.gtin} | ({"batch": told.batch} if told.batch else {})
    rules, shelves = DateRules(on), Shelves.of(reads.boxes(store.conn), [item], [])
    expiry = printed_expiry(told)
    if expiry is None and told.made_on is None and item.kind.has_life and at_terminal():
        return one_arrival(fields, shelves, rules)
    fields["received"] = on.isoformat()
    if told.made_on is not None:
        fields["made"] = told.made_on.iso
    arrivals, problems = read_lines("the code", [(1, fields)], shelves, rules, Answers(expiry))
    if problems:
        raise BadInput("; ".join(f"{each.field} {each.what}" for each in problems))
    return arrivals[0]


def make_item(store: Store, work: MakeItem) -> Said:
    """An item for a GTIN that no item has, asking only what its code does not say.

    Where an item of the name typed is there already, the GTIN becomes another pack of it.
    """
    from stockcheck.store import catalogue
    from stockcheck.store.names import find_id, name_of

    conn = store.conn
    known = work.maker.level_of if work.another_pack else None
    if not at_terminal():
        raise BadInput("an item is made at a terminal, where its name can be typed: item add")
    number = known.id if known else None
    fields: dict[str, object] = {}
    if number is None:
        name = _typed("Its name, or that of an item that this is a pack of ('no' leaves it)")
        try:
            number = find_id(conn, "item", name)
        except UnknownName:
            fields = _fields(store, name)
    unit = _unit_of(store, number) if number else str(fields["unit"])
    pack = click.prompt(
        f"How many {unit if unit != 'each' else 'pieces'} does one pack with this code hold",
        type=click.IntRange(1, 9_999_999),
        default=None if known else 1,
    )
    with store.writing():
        if number is None:
            number = catalogue.add(conn, "item", fields | {"pack": pack})
        catalogue.add_gtins(conn, number, [(work.maker.gtin, pack)])
    return Said(
        f"I{number} {name_of(conn, 'item', number)} has the GTIN {work.maker.gtin}", Mood.GOOD
    )


def _typed(question: str) -> str:
    """What somebody types for a name. No, or a code of ours scanned in its place, is Abort."""
    from stockcheck.core.actions import read_action
    from stockcheck.core.scanning_lines import own_code, tidy_line
    from stockcheck.core.scanning_typed import NO

    answer = tidy_line(str(click.prompt(question)))
    if answer.casefold() in NO or own_code(answer) or read_action(answer):
        raise click.Abort
    return answer


def _fields(store: Store, name: str) -> dict[str, object]:
    """Kind and unit of a new item; each is asked until the answer is good."""
    from stockcheck.core.model import UNITS
    from stockcheck.core.names import tidy_name

    tidy_name(name, "item")
    kind_id = None
    while kind_id is None:
        try:
            kind_id = _kind(store, _typed("Its kind ('kind list' shows them)"))
        except BadInput as error:
            say(str(error))
    unit = click.prompt("What one is counted in", type=click.Choice(UNITS), default="each")
    return {"name": name, "kind_id": kind_id, "unit": unit}


def _kind(store: Store, text: str) -> int:
    from stockcheck.store.names import find_kind

    return find_kind(store.conn, text)[0]


def _unit_of(store: Store, number: int) -> str:
    from stockcheck.store import reads

    return reads.items(store.conn, only=[number])[0].unit
