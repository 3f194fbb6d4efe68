"""Setting the books right: stock written off, counts corrected, movements undone."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.picking import (
    from_box_option,
    named,
    of_one_box,
    on_hand,
    post,
    quantity_option,
    reason_option,
)
from stockcheck.cli.shell import Shell, confirm, on_option, pass_shell, say, stamp
from stockcheck.cli.telling import (
    called,
    span,
    tell_cautions,
    tell_disposal,
    tell_takes,
    tell_undo,
)

if TYPE_CHECKING:
    from stockcheck.core.fefo import Take
    from stockcheck.store.files import Store

_SHOWN = 8


@click.command("write-off")
@click.argument("thing")
@quantity_option("all of it, wherever it is")
@from_box_option
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
      stockcheck write-off L4 --reason expired --yes
      stockcheck write-off L34 -n 2 --from Electrical --reason leaking --yes
    """
    from stockcheck.core.movements import write_off as plan

    with shell.store() as store:
        takes = of_one_box(on_hand(store, thing, from_box, "write off"), quantity, "write off")
        confirm(f"Write off {_summed(takes, on)}?", yes=yes)
        with store.writing():
            found = on_hand(store, thing, from_box, "write off")
            takes = of_one_box(found, quantity, "write off")
            plans = [plan(t.holding, t.quantity, reason) for t in takes]
            numbers = post(store, plans, on, reason)
        tell_takes(store, "Written off: {what} from {box}; {left}", takes, on)
        tell_undo(numbers)
        tell_disposal(take.holding for take in takes)
        tell_cautions(take.holding for take in takes)


def _summed(takes: list[Take], on: date) -> str:
    from stockcheck.core.words import counted, listed

    return listed(
        [
            f"{counted(t.quantity, t.holding.item.unit)} of {called(t.holding, on)}"
            f" in {t.holding.box.name}"
            for t in takes
        ]
    )


@click.command()
@click.argument("thing")
@click.option("--count", type=click.IntRange(min=0), required=True, help="What you counted.")
@click.option("--box", "from_box", metavar="BOX", help="Where; needed if it is in several.")
@reason_option
@on_option
@pass_shell
def correct(
    shell: Shell, thing: str, count: int, from_box: str | None, reason: str, on: date
) -> None:
    """Set the books to what was counted; the difference is neither a use nor a write-off.

    \b
    Examples:
      stockcheck correct L50 --count 12
      stockcheck correct L11 --box "Tyre kit" --count 0 --reason "not found"
    """
    from stockcheck.core.selecting import corrections

    with shell.store() as store:
        with store.writing():
            plans, takes = corrections(named(store, thing, from_box, empty=True), count, reason)
            numbers = post(store, plans, on, reason)
        _tell_corrected(takes, count, on)
        tell_undo(numbers)


def _tell_corrected(takes: list[Take], count: int, on: date) -> None:
    from stockcheck.core.words import counted

    changed = sum(take.quantity for take in takes)
    held = takes[0].holding
    say(
        f"Corrected {called(held, on)} in {held.box.name}:"
        f" {count - changed} became {counted(count, held.item.unit)}"
    )


@click.command()
@click.argument("movement", required=False)
@reason_option
@on_option
@pass_shell
def undo(shell: Shell, movement: str | None, reason: str, on: date) -> None:
    """Reverse the last command, or the MOVEMENT given (M17): the ledger keeps both.

    \b
    Examples:
      stockcheck undo
      stockcheck undo M117 --reason "wrong batch"
    """
    from stockcheck.store import ledger

    number = None if movement is None else _movement(movement)
    with shell.store() as store:
        with store.writing() as conn:
            undone = set(ledger.undo(conn, number, stamp(on), reason))
        _tell_undone(store, undone)


def _movement(text: str) -> int:
    from stockcheck.core.errors import BadInput

    digits = text.strip().upper().removeprefix("M")
    if not (digits.isascii() and digits.isdigit() and len(digits) < 10):
        raise BadInput(f"{text!r} is not a movement; history shows them as M17")
    return int(digits)


def _tell_undone(store: Store, undone: set[int]) -> None:
    """What was taken back: each line of a few, or how many."""
    from stockcheck.core.words import counted
    from stockcheck.store import ledger

    lines = [each for each in ledger.history(store.conn) if each.movement_id in undone]
    say(f"Undone: {span(undone)}")
    for each in lines[:_SHOWN]:
        sign = "+" if each.quantity < 0 else "-"
        say(
            f"{each.what.value}: {sign}{counted(abs(each.quantity), each.unit)} of {each.item}"
            f" (L{each.lot_id}{', opened' if each.opened_on else ''}) in {each.box}",
            2,
        )
    if len(lines) > _SHOWN:
        say(f"and {len(lines) - _SHOWN} lines more; 'stockcheck history' shows them", 2)


COMMANDS = {"write-off": write_off, "correct": correct, "undo": undo}
