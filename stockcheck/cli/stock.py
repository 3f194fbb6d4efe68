"""Stock that is used, opened, moved, put on hold and released."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.picking import (
    from_box_option,
    of_one_box,
    on_hand,
    post,
    quantity_option,
    reason_option,
)
from stockcheck.cli.shell import WORDS, Shell, on_option, pass_shell, say
from stockcheck.cli.telling import stands, tell_cautions, tell_takes, tell_undo

if TYPE_CHECKING:
    from stockcheck.core.fefo import Take
    from stockcheck.store.files import Store


@click.command()
@click.argument("thing")
@quantity_option("1")
@from_box_option
@click.option("--anyway", is_flag=True, help="Take expired or undated stock too, knowing it.")
@reason_option
@on_option
@pass_shell
def use(
    shell: Shell,
    thing: str,
    quantity: int | None,
    from_box: str | None,
    anyway: bool,
    reason: str,
    on: date,
) -> None:
    """Use stock of THING, first expired first, and say which lot to take from which box.

    THING is a lot by its code or short form (L42), or an item by name, code or GTIN.

    \b
    Examples:
      stockcheck use "pain tablets 500 mg" -n 2
      stockcheck use L3 --from "Tyre kit"
    """
    from stockcheck.core.movements import issue
    from stockcheck.core.selecting import to_use

    with shell.store() as store:
        with store.writing():
            found = on_hand(store, thing, from_box, "use")
            takes = to_use(found, quantity or 1, on, anyway=anyway)
            plans = [plan for take in takes for plan in issue(take.holding, take.quantity, on)]
            numbers = post(store, plans, on, reason)
        tell_takes(store, "Take {what} from {box}; {left}", takes, on)
        tell_undo(numbers)
        _beware(takes, on)


@click.command("open")
@click.argument("thing")
@quantity_option("one pack")
@from_box_option
@on_option
@pass_shell
def open_(shell: Shell, thing: str, quantity: int | None, from_box: str | None, on: date) -> None:
    """Open a sealed pack of THING: its opened life counts from that day.

    Of what is sealed piece by piece, as tablets in foil, one piece is opened.

    \b
    Examples:
      stockcheck open L7
      stockcheck open "eye drops, 10 ml bottle" --on 2026-11-20
    """
    from stockcheck.core.movements import open_pack
    from stockcheck.core.selecting import to_open

    with shell.store() as store:
        with store.writing():
            found = on_hand(store, thing, from_box, "open")
            takes = to_open(found, quantity, on, thing)
            numbers = post(store, [open_pack(t.holding, t.quantity, on) for t in takes], on, "")
        _tell_opened(store, takes, on)
        tell_undo(numbers)
        _beware(takes, on)


def _tell_opened(store: Store, takes: list[Take], on: date) -> None:
    """Until when what was opened is good now."""
    from stockcheck.core.words import counted
    from stockcheck.store import reads

    after = reads.holdings(store.conn, lot_ids=[take.holding.lot.id for take in takes])
    for take in takes:
        held = take.holding
        now = next(
            each
            for each in after
            if (each.lot.id, each.box.id, each.opened_on) == (held.lot.id, held.box.id, on)
        )
        say(
            f"Opened {counted(take.quantity, held.item.unit)} of {held.item.name}"
            f" ({held.lot.short}) in {held.box.name}: {stands(now, on)}"
        )


@click.command()
@click.argument("thing")
@click.option("--to", "to_box", metavar="BOX", required=True, help="The box it goes into.")
@quantity_option("all of it")
@from_box_option
@reason_option
@on_option
@pass_shell
def move(
    shell: Shell,
    thing: str,
    to_box: str,
    quantity: int | None,
    from_box: str | None,
    reason: str,
    on: date,
) -> None:
    """Put stock of THING into another box.

    \b
    Examples:
      stockcheck move L8 --to "Tyre kit"
      stockcheck move L34 -n 4 --from Electrical --to Cab
    """
    from stockcheck.core.errors import BadInput
    from stockcheck.core.movements import move as plan
    from stockcheck.store.names import find_id, name_of

    with shell.store() as store:
        with store.writing() as conn:
            target = find_id(conn, "box", to_box)
            place = name_of(conn, "box", target)
            found = on_hand(store, thing, from_box, "move")
            elsewhere = [each for each in found if each.box.id != target]
            if not elsewhere:
                raise BadInput(f"all there is of {thing} is in {place} already")
            takes = of_one_box(elsewhere, quantity, "move")
            plans = [plan(t.holding, t.quantity, target) for t in takes]
            numbers = post(store, plans, on, reason)
        said = place.replace("{", "{{").replace("}", "}}")
        tell_takes(store, f"Moved {{what}} from {{box}} to {said}; {{left}}", takes, on)
        tell_undo(numbers)


@click.command()
@click.argument("thing")
@quantity_option("all of it, wherever it is")
@from_box_option
@click.option("--reason", type=WORDS, required=True, help="Why, for the ledger and the reports.")
@on_option
@pass_shell
def hold(
    shell: Shell, thing: str, quantity: int | None, from_box: str | None, reason: str, on: date
) -> None:
    """Put stock of THING on hold: it is not to be used until released.

    \b
    Examples:
      stockcheck hold L31 --reason "nobody knows what it is"
      stockcheck hold L106 -n 7 --from Water --reason "foil is puffed"
    """
    from stockcheck.core.errors import BadInput
    from stockcheck.core.model import State
    from stockcheck.core.movements import hold as plan

    with shell.store() as store:
        with store.writing():
            found = on_hand(store, thing, from_box, "hold")
            free = [each for each in found if each.state is not State.HELD]
            if not free:
                raise BadInput(f"all there is of {thing} is on hold already")
            ordinary = [each for each in free if each.state is State.STOCK]
            takes = of_one_box(ordinary or free, quantity, "hold")
            plans = [plan(t.holding, t.quantity, reason) for t in takes]
            numbers = post(store, plans, on, reason)
        tell_takes(store, "On hold: {what} in {box}", takes, on)
        tell_undo(numbers)


@click.command()
@click.argument("thing")
@quantity_option("all of it")
@from_box_option
@click.option("--reason", type=WORDS, required=True, help="Why it may be used again.")
@on_option
@pass_shell
def release(
    shell: Shell, thing: str, quantity: int | None, from_box: str | None, reason: str, on: date
) -> None:
    """Take stock of THING off hold.

    \b
    Examples:
      stockcheck release L102 --reason "batch cleared by the maker"
      stockcheck release L103 -n 1 --from B14 --reason "seal is whole"
    """
    from stockcheck.core.errors import BadInput
    from stockcheck.core.model import State
    from stockcheck.core.movements import release as plan

    with shell.store() as store:
        with store.writing():
            found = on_hand(store, thing, from_box, "release")
            held = [each for each in found if each.state is State.HELD]
            if not held:
                raise BadInput(f"nothing of {thing} is on hold")
            takes = of_one_box(held, quantity, "release")
            plans = [plan(t.holding, t.quantity, reason) for t in takes]
            numbers = post(store, plans, on, reason)
        freed = [replace(t, holding=replace(t.holding, state=State.STOCK)) for t in takes]
        tell_takes(store, "Released: {what} in {box}", freed, on)
        tell_undo(numbers)


def _beware(takes: list[Take], on: date) -> None:
    """The cautions of what was taken although it is past its date or has none."""
    from stockcheck.core import shelf_life

    tell_cautions(t.holding for t in takes if not shelf_life.usable(t.holding, on))


COMMANDS = {"use": use, "open": open_, "move": move, "hold": hold, "release": release}
