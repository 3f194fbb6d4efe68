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
from stockcheck.cli.shell import WORDS, Shell, confirm, on_option, pass_shell, say, stamp
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
    from stockcheck.store.ledger import Entry

_SHOWN = 8


@click.command("write-off")
@click.argument("thing")
@quantity_option("all of it, wherever it is")
@from_box_option
@click.option(
    "--reason", type=WORDS, required=True, help="expired, damaged, lost, or in your own words."
)
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
    """Reverse the last command that moved stock, or the MOVEMENT given (M17).

    The ledger keeps both. Undo is about movements of stock: what was changed in the catalogue, or
    of a lot's facts, is changed back by the command that changed it.

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
    """What was taken back: each movement of a few, or how many."""
    from itertools import groupby

    from stockcheck.store import ledger
    from stockcheck.store.closings import still_closed

    lines = [each for each in ledger.history(store.conn) if each.movement_id in undone]
    movements = groupby(lines, lambda each: each.movement_id)
    told = [words for _, entries in movements for words in _taken_back(list(entries))]
    say(f"Undone: {span(undone)}")
    for words in told[:_SHOWN]:
        say(words, 2)
    if len(told) > _SHOWN:
        say(f"and {len(told) - _SHOWN} lines more; 'stockcheck history' shows them", 2)
    for trip in still_closed(store.conn, undone):
        say(f"{trip} stays closed; 'stockcheck trip close \"{trip}\" --undo' opens it again", 2)


def _taken_back(entries: list[Entry]) -> list[str]:
    """A movement that is undone in words: how its stock stands again, or what came back."""
    from stockcheck.core.words import counted

    out, *rest = entries
    if [each.quantity for each in rest] != [-out.quantity] or not out.quantity:
        return [_line_back(each) for each in entries]
    what = f"{counted(-out.quantity, out.unit)} of {out.item} (L{out.lot_id})"
    if out.box != rest[0].box:
        return [f"moved back: {what} from {rest[0].box} to {out.box}"]
    return [f"{_stood(out)} again: {what} in {out.box}"]


def _stood(out: Entry) -> str:
    """How stock stood that a movement took into another state in its box."""
    from stockcheck.core.model import State
    from stockcheck.core.movements import What

    if out.what is What.OPENED:
        return "sealed"
    if out.what is What.HELD:
        return "released"
    return "ordinary stock" if out.state is State.STOCK else "on hold"


def _line_back(entry: Entry) -> str:
    """One line that is undone: what it added or took, or a look that no longer counts."""
    from stockcheck.core.words import counted

    opened = ", opened" if entry.opened_on else ""
    thing = f"{entry.item} (L{entry.lot_id}{opened}) in {entry.box}"
    if not entry.quantity:
        return f"no longer counted: the look at {thing}"
    sign = "+" if entry.quantity < 0 else "-"
    return f"{entry.what.value}: {sign}{counted(abs(entry.quantity), entry.unit)} of {thing}"


COMMANDS = {"write-off": write_off, "correct": correct, "undo": undo}
