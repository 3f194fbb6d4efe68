"""``inspect``: look at a lot that is past its date, or near it, and write down what was found."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.asking import asked_words
from stockcheck.cli.shell import (
    WORDS,
    Shell,
    at_terminal,
    on_option,
    pass_shell,
    say,
    stamp,
)
from stockcheck.core.errors import BadInput, Declined

if TYPE_CHECKING:
    from stockcheck.core.inspection import Outlook
    from stockcheck.core.model import Holding, Inspection, Lot
    from stockcheck.store.files import Store


@click.command()
@click.argument("thing", metavar="LOT")
@click.option("--pass/--fail", "passed", default=None, help="What was found, without questions.")
@click.option("--by", type=WORDS, default="", metavar="NAME", help="Who looked.")
@click.option("--note", type=WORDS, default="", metavar="TEXT", help="What was seen.")
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
    from stockcheck.cli.telling import tell_cautions, tell_undo
    from stockcheck.store import inspections, reads
    from stockcheck.store.names import find_id

    with shell.store() as store:
        number = find_id(store.conn, "lot", thing)
        lot = reads.lots(store.conn, [number])[0]
        held = reads.holdings(store.conn, lot_ids=[number])
        if not held:
            raise BadInput(f"{lot.short} ({lot.item.name}): none on hand to inspect")
        ahead = best_outlook(held, on)
        found = look(held, on, passed=passed, by=by, note=note)
        with store.writing() as conn:
            movement = inspections.record(conn, number, held, found, stamp(on))
        tell_found(store, number, found, ahead, on)
        tell_undo([movement])
        tell_cautions(held)


def best_outlook(held: list[Holding], on: date) -> Outlook:
    """What a pass would do for the holdings of a lot, told of the one that it does most for."""
    from stockcheck.core.inspection import outlook

    return max(
        (outlook(each.lot, each.opened_on, on) for each in held),
        key=lambda each: each.extends_to or date.min,
    )


def look(
    held: list[Holding], on: date, *, passed: bool | None = None, by: str = "", note: str = ""
) -> Inspection:
    """The record of a look at a lot: as it is told, else as the person at the terminal answers."""
    from stockcheck.core.inspection import inspect as found_by

    lot = held[0].lot
    found_by(lot, held[0].opened_on, on=on, passed=False)  # refuses before anything is asked
    if passed is None:
        if not at_terminal():
            raise Declined("whether it passed cannot be asked here; give --pass or --fail")
        passed, by, note = _ask(lot, best_outlook(held, on), by, note)
    found = [
        found_by(lot, day, on=on, passed=passed, by=by, note=note)
        for day in {each.opened_on for each in held}
    ]
    return max(found, key=lambda each: each.extends_to or date.min)


def _ask(lot: Lot, ahead: Outlook, by: str, note: str) -> tuple[bool, str, str]:
    """The kind's own questions, one by one; yes is always good, and one no is a fail."""
    rule = lot.item.kind.inspection
    questions = rule.ask if rule else (f"Does {lot.item.name} look and work as it should?",)
    say(f"{lot.short} {lot.item.name}: {ahead.why}")
    noes = [question for question in questions if not click.confirm(question, default=None)]
    if noes and not click.confirm(
        "A no is a fail, and one fail ends the whole lot. Write that down?", default=None
    ):
        raise Declined("left as it was")
    by = by or asked_words("Who looked (Enter for nobody named)")
    note = note or asked_words("Note (Enter for none)")
    failed = f"no to: {' '.join(noes)}" if noes else ""
    return not noes, by, " ".join(filter(None, [failed, note]))


def tell_found(store: Store, number: int, found: Inspection, ahead: Outlook, on: date) -> None:
    """What came of a look, how each holding of the lot stands now, how many extensions are left."""
    from stockcheck.cli.telling import stands
    from stockcheck.core.calendar import spoken
    from stockcheck.core.inspection import extensions_left
    from stockcheck.store import reads

    lot = reads.lots(store.conn, [number])[0]
    word = "passed" if found.passed else "FAILED"
    say(f"{lot.short} {lot.item.name}: {word} on {spoken(on)}")
    for each in reads.holdings(store.conn, lot_ids=[number]):
        opened = ", opened" if each.opened_on else ""
        say(f"in {each.box.name}{opened}: {stands(each, on)}", 2)
    left = extensions_left(lot)
    if not found.passed:
        say("one fail ends the lot: do not use it", 2)
        say(f'stockcheck write-off {lot.short} --reason "failed inspection"', 2)
    elif found.extends_to:
        say(f"{left or 'no'} more extension{'' if left == 1 else 's'} by inspection", 2)
    else:
        say(ahead.why, 2)


COMMANDS = {"inspect": inspect}
