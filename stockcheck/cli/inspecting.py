"""``inspect``: look at a lot that is past its date, or near it, and write down what was found."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import Shell, at_terminal, on_option, pass_shell, say, stamp
from stockcheck.core.errors import BadInput, Declined

if TYPE_CHECKING:
    from stockcheck.core.model import Holding, Inspection, Lot
    from stockcheck.store.files import Store


@click.command()
@click.argument("thing", metavar="LOT")
@click.option("--pass/--fail", "passed", default=None, help="What was found, without questions.")
@click.option("--by", default="", metavar="NAME", help="Who looked.")
@click.option("--note", default="", metavar="TEXT", help="What was seen.")
@on_option
@pass_shell
def inspect(shell: Shell, thing: str, passed: bool | None, by: str, note: str, on: date) -> None:
    """Look at LOT as its kind's rule says, and write down whether it passed.

    At a terminal, without --pass or --fail, the kind's own questions are asked. A pass extends a
    date only where the kind's rule allows it, never a safety date; one fail ends the lot.

    \b
    Examples:
      stockcheck inspect L12 --pass --by Ana --note "bead skinned in 10 minutes"
      stockcheck inspect L22 --fail --note "crumbs"
    """
    from stockcheck.store import inspections, reads
    from stockcheck.store.names import find_id

    with shell.store() as store:
        number = find_id(store.conn, "lot", thing)
        lot = reads.lots(store.conn, [number])[0]
        held = reads.holdings(store.conn, lot_ids=[number])
        if not held:
            raise BadInput(f"{lot.short} ({lot.item.name}): none on hand to inspect")
        found = _found(lot, held, passed, by, note, on)
        with store.writing() as conn:
            movement = inspections.record(conn, number, held, found, stamp(on))
        _tell(store, number, found, movement, on)


def _found(
    lot: Lot, held: list[Holding], passed: bool | None, by: str, note: str, on: date
) -> Inspection:
    from stockcheck.core.inspection import inspect as look

    answers: tuple[bool, ...] | None = None
    if passed is None:
        if not at_terminal():
            raise Declined("whether it passed cannot be asked here; give --pass or --fail")
        answers = ask(lot)
        passed = all(answers)
        note = note or click.prompt("Note", default="", show_default=False)
    opened = {each.opened_on for each in held}
    found = [
        look(lot, day, on=on, passed=passed, by=by, note=note, answers=answers) for day in opened
    ]
    return max(found, key=lambda each: each.extends_to or date.min)


def ask(lot: Lot) -> tuple[bool, ...]:
    """The kind's own questions, one by one; yes is always good."""
    rule = lot.item.kind.inspection
    if rule is None:
        return (click.confirm(f"Does {lot.item.name} look and work as it should?"),)
    return tuple(click.confirm(question) for question in rule.ask)


def _tell(store: Store, number: int, found: Inspection, movement: int, on: date) -> None:
    from stockcheck.core import shelf_life
    from stockcheck.core.calendar import spoken
    from stockcheck.core.inspection import extensions_left
    from stockcheck.store import reads

    lot = reads.lots(store.conn, [number])[0]
    word = "passed" if found.passed else "FAILED"
    say(f"{lot.short} {lot.item.name}: {word} on {spoken(on)} (M{movement})")
    for each in reads.holdings(store.conn, lot_ids=[number]):
        standing = shelf_life.status(each, on)
        until = f", good through {spoken(each.last_usable_day)}" if each.last_usable_day else ""
        say(f"in {each.box.name}: {standing.value}{until}", 2)
    left = extensions_left(lot)
    if found.passed and found.extends_to:
        say(f"{left} more {'extension' if left == 1 else 'extensions'} by inspection", 2)
    elif found.passed:
        say("looked at only: no date was extended", 2)
    else:
        say(
            f"the lot is finished: stockcheck write-off {lot.short} --reason 'failed inspection'", 2
        )


COMMANDS = {"inspect": inspect}
