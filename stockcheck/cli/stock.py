"""Stock that is used, opened, moved, held, released, corrected, written off; and undone."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import F, Shell, confirm, on_option, pass_shell, stamp

if TYPE_CHECKING:
    from stockcheck.core.fefo import Take
    from stockcheck.core.model import Holding
    from stockcheck.core.movements import Movement
    from stockcheck.store.files import Store

_LOT_HELP = "A lot by its code or short form (L42), or an item by name, code or GTIN."


def _quantity(default: str) -> Callable[[F], F]:
    return click.option(
        "--quantity",
        "-n",
        type=click.IntRange(min=1),
        help=f"How many units; without it, {default}.",
    )


_from_box = click.option(
    "--from", "from_box", metavar="BOX", help="Only from this box (and boxes inside it)."
)
_reason = click.option("--reason", default="", help="Why, for the ledger.")


@click.command()
@click.argument("thing")
@_quantity("1")
@_from_box
@click.option("--anyway", is_flag=True, help="Take expired or undated stock too, knowing it.")
@_reason
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

    \b
    Examples:
      stockcheck use "water tablet" -n 6
      stockcheck use L12 --from Medicines
    """
    from stockcheck.core.movements import issue
    from stockcheck.core.selecting import to_use

    with shell.store() as store:
        with store.writing():
            takes = to_use(_named(store, thing, from_box), quantity or 1, on, anyway=anyway)
            plans = [plan for take in takes for plan in issue(take.holding, take.quantity, on)]
            numbers = _post(store, plans, on, reason)
        _say(store, "Take", takes, numbers)
        _cautions(takes, on)


@click.command("open")
@click.argument("thing")
@_quantity("one pack")
@_from_box
@on_option
@pass_shell
def open_(shell: Shell, thing: str, quantity: int | None, from_box: str | None, on: date) -> None:
    """Open a sealed pack of THING: its opened life counts from that day.

    \b
    Examples:
      stockcheck open L7
      stockcheck open "eye drops" --on 2027-02-20
    """
    from stockcheck.core.calendar import spoken
    from stockcheck.core.movements import open_pack
    from stockcheck.core.selecting import to_use

    with shell.store() as store:
        with store.writing():
            sealed = [each for each in _named(store, thing, from_box) if each.opened_on is None]
            most = max((each.quantity for each in sealed), default=0)
            wanted = quantity or min(most, sealed[0].item.pack if sealed else 1) or 1
            takes = to_use(sealed, wanted, on, anyway=True)
            numbers = _post(store, [open_pack(t.holding, t.quantity, on) for t in takes], on, "")
        _say(store, "Opened", takes, numbers)
        for after in _named(store, takes[0].holding.lot.short, from_box):
            if after.opened_on == on:
                click.echo(
                    f"  opened {after.lot.short} is good through {spoken(after.last_usable_day)}"
                )
                break


@click.command()
@click.argument("thing")
@click.option("--to", "to_box", metavar="BOX", required=True, help="The box it goes into.")
@_quantity("all of it")
@_from_box
@_reason
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
      stockcheck move L12 --to "First aid"
      stockcheck move L12 -n 10 --from Spares --to Medicines
    """
    from stockcheck.core.movements import move as plan
    from stockcheck.store.names import find_id

    with shell.store() as store:
        with store.writing() as conn:
            target = find_id(conn, "box", to_box)
            found = [each for each in _named(store, thing, from_box) if each.box.id != target]
            takes = _of_one_box(found, quantity, "move")
            plans = [plan(t.holding, t.quantity, target) for t in takes]
            numbers = _post(store, plans, on, reason)
        _say(store, f"Moved to {to_box}:", takes, numbers)


@click.command()
@click.argument("thing")
@_quantity("all of it, wherever it is")
@_from_box
@click.option("--reason", required=True, help="Why, for the ledger and the reports.")
@on_option
@pass_shell
def hold(
    shell: Shell, thing: str, quantity: int | None, from_box: str | None, reason: str, on: date
) -> None:
    """Put stock of THING on hold: it is not to be used until released.

    \b
    Examples:
      stockcheck hold L31 --reason "recalled batch"
      stockcheck hold L31 -n 1 --from Water --reason "foil is puffed"
    """
    from stockcheck.core.model import State
    from stockcheck.core.movements import hold as plan

    with shell.store() as store:
        with store.writing():
            found = [h for h in _named(store, thing, from_box) if h.state is not State.HELD]
            takes = _of_one_box(found, quantity, "hold")
            plans = [plan(t.holding, t.quantity, reason) for t in takes]
            numbers = _post(store, plans, on, reason)
        _say(store, "On hold:", takes, numbers)


@click.command()
@click.argument("thing")
@_quantity("all of it")
@_from_box
@click.option("--reason", required=True, help="Why it may be used again.")
@on_option
@pass_shell
def release(
    shell: Shell, thing: str, quantity: int | None, from_box: str | None, reason: str, on: date
) -> None:
    """Take stock of THING off hold.

    \b
    Examples:
      stockcheck release L31 --reason "batch cleared by the maker"
      stockcheck release L31 --from Water --reason "foil is whole"
    """
    from stockcheck.core.model import State
    from stockcheck.core.movements import release as plan

    with shell.store() as store:
        with store.writing():
            found = [h for h in _named(store, thing, from_box) if h.state is State.HELD]
            takes = _of_one_box(found, quantity, "release")
            plans = [plan(t.holding, t.quantity, reason) for t in takes]
            numbers = _post(store, plans, on, reason)
        _say(store, "Released:", takes, numbers)


@click.command("write-off")
@click.argument("thing")
@_quantity("all of it, wherever it is")
@_from_box
@click.option("--reason", required=True, help="expired, damaged, lost, or in your own words.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@on_option
@pass_shell
def write_off(
    shell: Shell,
    thing: str,
    quantity: int | None,
    from_box: str | None,
    reason: str,
    yes: bool,
    on: date,
) -> None:
    """Take stock of THING off the books, and say how to get rid of it.

    \b
    Examples:
      stockcheck write-off L3 --reason expired --yes
      stockcheck write-off L3 -n 1 --from "Tyre kit" --reason damaged --yes
    """
    from stockcheck.core.movements import write_off as plan

    with shell.store() as store:
        takes = _of_one_box(_named(store, thing, from_box), quantity, "write off")
        total = sum(take.quantity for take in takes)
        confirm(f"Write off {total} of {takes[0].holding.item.name}?", yes=yes)
        with store.writing():
            takes = _of_one_box(_named(store, thing, from_box), quantity, "write off")
            plans = [plan(t.holding, t.quantity, reason) for t in takes]
            numbers = _post(store, plans, on, reason)
        _say(store, "Written off:", takes, numbers)
        _disposal(takes)


@click.command()
@click.argument("thing")
@click.option("--count", type=click.IntRange(min=0), required=True, help="What you counted.")
@click.option("--box", "from_box", metavar="BOX", help="Where; needed if it is in several.")
@_reason
@on_option
@pass_shell
def correct(
    shell: Shell, thing: str, count: int, from_box: str | None, reason: str, on: date
) -> None:
    """Set the books to what was counted; the difference is neither a use nor a write-off.

    \b
    Examples:
      stockcheck correct L12 --count 14
      stockcheck correct L12 --box Water --count 0 --reason "not found"
    """
    from stockcheck.core.selecting import corrections

    with shell.store() as store:
        with store.writing():
            plans, takes = corrections(_named(store, thing, from_box, empty=True), count, reason)
            numbers = _post(store, plans, on, reason)
        _say(store, "Corrected by", takes, numbers)


@click.command()
@click.argument("movement", required=False)
@_reason
@on_option
@pass_shell
def undo(shell: Shell, movement: str | None, reason: str, on: date) -> None:
    """Reverse the last command, or the MOVEMENT given (M17): the ledger keeps both.

    \b
    Examples:
      stockcheck undo
      stockcheck undo M17 --reason "wrong box"
    """
    from stockcheck.core.errors import BadInput
    from stockcheck.core.words import listed
    from stockcheck.store import ledger

    number: int | None = None
    if movement is not None:
        digits = movement.strip().upper().removeprefix("M")
        if not (digits.isascii() and digits.isdigit()):
            raise BadInput(f"{movement!r} is not a movement; history shows them as M17")
        number = int(digits)
    with shell.store() as store:
        with store.writing() as conn:
            undone = ledger.undo(conn, number, stamp(on), reason)
        click.echo(f"Undone: {listed([f'M{each}' for each in sorted(undone)])}")


def _named(store: Store, thing: str, from_box: str | None, *, empty: bool = False) -> list[Holding]:
    """The holdings of the lot or item named, from a box and the boxes inside it if one is given."""
    from stockcheck.store import reads
    from stockcheck.store.names import find_id, find_stock

    conn = store.conn
    lot_ids, item_ids = find_stock(conn, thing)
    box_ids = None
    if from_box is not None:
        everything = reads.boxes(conn, retired=True)
        box_ids = reads.box_and_inside(everything, find_id(conn, "box", from_box))
    return reads.holdings(conn, lot_ids=lot_ids, item_ids=item_ids, box_ids=box_ids, empty=empty)


def _of_one_box(holdings: list[Holding], quantity: int | None, verb: str) -> list[Take]:
    from stockcheck.core.selecting import of_one_box

    return of_one_box(holdings, quantity, verb)


def _post(store: Store, plans: Iterable[Movement], on: date, reason: str) -> list[int]:
    from dataclasses import replace

    from stockcheck.store import ledger

    said = [replace(plan, reason=plan.reason or reason) for plan in plans]
    return ledger.post(store.conn, said, stamp(on))


def _say(store: Store, verb: str, takes: list[Take], numbers: list[int]) -> None:
    """One line for each lot and box: what happened, and what is left there."""
    from stockcheck.core.calendar import spoken
    from stockcheck.core.words import counted
    from stockcheck.store import reads

    after = reads.holdings(store.conn, lot_ids=sorted({t.holding.lot.id for t in takes}))
    for take in takes:
        held = take.holding
        left = sum(h.quantity for h in after if (h.lot.id, h.box.id) == (held.lot.id, held.box.id))
        until = f", good through {spoken(held.last_usable_day)}" if held.last_usable_day else ""
        opened = ", opened" if held.opened_on else ""
        click.echo(
            f"{verb} {counted(take.quantity, held.item.unit)} of {held.item.name}"
            f" ({held.lot.short}{opened}{until}) from {held.box.name}; {left} left there"
        )
    span = f"M{numbers[0]}" if len(numbers) == 1 else f"M{numbers[0]} to M{numbers[-1]}"
    click.echo(f"  {span}; 'stockcheck undo' takes it back")


def _cautions(takes: list[Take], on: date) -> None:
    """The caution of what was taken past its date or without one."""
    from stockcheck.core import shelf_life

    keys = {
        key
        for take in takes
        if not shelf_life.usable(take.holding, on)
        for key in take.holding.kind.cautions
    }
    for take in takes:
        standing = shelf_life.status(take.holding, on)
        if not shelf_life.usable(take.holding, on):
            click.echo(f"  {take.holding.lot.short} is {standing.value.upper()}")
    if keys:
        from stockcheck.data.kinds import cautions

        texts = cautions()
        for key in sorted(keys):
            click.echo(f"  Caution: {texts[key]}")


def _disposal(takes: list[Take]) -> None:
    from stockcheck.data.kinds import disposal_routes

    routes = disposal_routes()
    for key in sorted({take.holding.kind.disposal for take in takes}):
        click.echo(f"  Disposal: {routes[key].name}. {routes[key].text}")


COMMANDS = {
    "use": use,
    "open": open_,
    "move": move,
    "hold": hold,
    "release": release,
    "write-off": write_off,
    "correct": correct,
    "undo": undo,
}
