"""``decide``: go through a box and take a decision for everything expired, due or undated."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import Shell, at_terminal, on_option, pass_shell, say, stamp
from stockcheck.core.deciding import Decided
from stockcheck.core.errors import BadInput, Declined

if TYPE_CHECKING:
    from stockcheck.core.expiry import Standing
    from stockcheck.core.model import Holding
    from stockcheck.store.files import Store
    from stockcheck.store.ledger import Stamp

_WORDS = {
    Decided.REPLACE: "replace: put it on the restock list",
    Decided.INSPECT: "inspect it now",
    Decided.LAST_RESORT: "keep as last resort, never counted as stock",
    Decided.WRITE_OFF: "write it off",
    Decided.NO_LONGER: "no longer carried: write it off and drop its par level",
}


@click.command()
@click.argument("box_name", metavar="BOX")
@click.option("--lot", "lot_name", metavar="LOT", help="Only this lot, without going round.")
@click.option(
    "--as",
    "decided",
    type=click.Choice([each.value for each in Decided if each is not Decided.INSPECT]),
    help="With --lot: the decision, without being asked.",
)
@click.option("--reason", default="", metavar="TEXT", help="With --lot: why.")
@click.option("--trip", metavar="NAME", help="Also what ends on this trip.")
@click.option("--again", is_flag=True, help="Ask about what was decided before, too.")
@on_option
@pass_shell
def decide(
    shell: Shell,
    box_name: str,
    lot_name: str | None,
    decided: str | None,
    reason: str,
    trip: str | None,
    again: bool,
    on: date,
) -> None:
    """Walk what is expired, due or undated in BOX, one by one, and take a decision for each.

    Each decision is kept at once, so that the round can be left and taken up again. Last resort is
    refused for kinds where it is dangerous.

    \b
    Examples:
      stockcheck decide "Tyre kit"
      stockcheck decide Fluids --lot L43 --as "last resort" --reason smooth
    """
    if (lot_name is None) != (decided is None):
        raise click.UsageError("--lot and --as go together")
    with shell.store() as store:
        rows = _open_questions(store, box_name, trip, on, again=again or lot_name is not None)
        if lot_name is not None and decided is not None:
            _one(store, rows, lot_name, Decided(decided), reason, on)
            return
        if not rows:
            click.echo(f"Nothing in {box_name} waits for a decision.")
            return
        if not at_terminal():
            raise Declined(
                f"{len(rows)} holdings wait for a decision, and nobody can be asked here;"
                " give --lot and --as"
            )
        for number, standing in enumerate(rows, 1):
            click.echo(f"\n{number} of {len(rows)}")
            _ask(store, standing, on)


def _open_questions(
    store: Store, box_name: str, trip: str | None, on: date, *, again: bool
) -> list[Standing]:
    """What stands so that it wants a decision and has none yet, the worst first."""
    from stockcheck.core.deciding import TO_DECIDE
    from stockcheck.core.expiry import standings
    from stockcheck.store import reads
    from stockcheck.store.inspections import decisions
    from stockcheck.store.names import find_id

    conn = store.conn
    inside = reads.box_and_inside(reads.boxes(conn, retired=True), find_id(conn, "box", box_name))
    held = reads.holdings(conn, box_ids=inside)
    horizon = reads.trip(conn, find_id(conn, "trip", trip)).horizon if trip else None
    made = decisions(conn, {each.lot.id for each in held})
    found = [each for each in standings(held, on, horizon=horizon) if each.status in TO_DECIDE]
    return [
        each
        for each in found
        if again
        or (known := made.get((each.holding.lot.id, each.holding.box.id))) is None
        or known.standing is not each.status
    ]


def _one(
    store: Store,
    rows: list[Standing],
    lot_name: str,
    decided: Decided,
    reason: str,
    on: date,
) -> None:
    from stockcheck.store.names import find_id

    number = find_id(store.conn, "lot", lot_name)
    chosen = [each for each in rows if each.holding.lot.id == number]
    if not chosen:
        raise BadInput(f"{lot_name} does not wait for a decision in that box on that day")
    for standing in chosen:
        _carry_out(store, standing, decided, reason, on)


def _ask(store: Store, standing: Standing, on: date) -> None:
    from stockcheck.cli.look import tell
    from stockcheck.core.deciding import choices

    holding = standing.holding
    tell(holding, on)
    offered = choices(holding)
    for number, choice in enumerate(offered, 1):
        click.echo(f"  {number}  {_WORDS[choice]}")
    click.echo("  0  leave it for now")
    number = click.prompt("Which", type=click.IntRange(0, len(offered)), default=1)
    if number == 0:
        return
    decided = offered[number - 1]
    reason = click.prompt("Why", default="", show_default=False)
    _carry_out(store, standing, decided, reason, on)


def _carry_out(store: Store, standing: Standing, decided: Decided, reason: str, on: date) -> None:
    """Do what was decided and write the decision down, in one transaction."""
    from stockcheck.store.inspections import Decision
    from stockcheck.store.inspections import decide as write_down

    holding = standing.holding
    when = stamp(on)
    with store.writing() as conn:
        movement, said = _do(store, holding, decided, reason, when)
        decision = Decision(
            holding.lot.id, holding.box.id, decided.value, standing.status, reason, on
        )
        write_down(conn, decision, movement, when)
    say(f"{holding.lot.short} {holding.item.name}: {decided.value}. {said}")


def _do(
    store: Store, holding: Holding, decided: Decided, reason: str, when: Stamp
) -> tuple[int | None, str]:
    """The movement that a decision makes, if any, and what to say of it."""
    from stockcheck.core.deciding import keep_as_last_resort
    from stockcheck.core.movements import write_off
    from stockcheck.store.ledger import post

    match decided:
        case Decided.REPLACE:
            return None, _replace(store, holding)
        case Decided.LAST_RESORT:
            number = post(store.conn, [keep_as_last_resort(holding, reason)], when)[0]
            return number, f"Print its label: stockcheck labels {holding.lot.short}"
        case Decided.INSPECT:
            return _inspect(store, holding, reason, when)
    number = post(store.conn, [write_off(holding, holding.quantity, reason or decided)], when)[0]
    dropped = _drop_par(store, holding, when) if decided is Decided.NO_LONGER else ""
    return number, f"M{number} takes {holding.quantity} off the books. {dropped}".strip()


def _replace(store: Store, holding: Holding) -> str:
    """See that a par level asks for it, so that it comes onto the restock list."""
    from stockcheck.core.deciding import covering_par
    from stockcheck.store import catalogue, reads

    boxes = reads.boxes(store.conn, retired=True)
    around = [each.id for each in boxes if holding.box.id in reads.box_and_inside(boxes, each.id)]
    known = covering_par(reads.pars(store.conn), holding, around)
    if known is not None:
        return f"On the restock list by par level P{known.id} of {known.box.name}"
    values = {
        "box_id": holding.box.id,
        "item_id": holding.item.id,
        "quantity": holding.quantity,
        "importance": holding.item.importance.value,
    }
    number = catalogue.add(store.conn, "par", values)
    return f"On the restock list by a new par level P{number} of {holding.quantity}"


def _inspect(store: Store, holding: Holding, reason: str, when: Stamp) -> tuple[int, str]:
    from stockcheck.cli.inspecting import ask
    from stockcheck.core.calendar import spoken
    from stockcheck.core.inspection import inspect
    from stockcheck.store import reads
    from stockcheck.store.inspections import record

    answers = ask(holding.lot)
    found = inspect(
        holding.lot, holding.opened_on, on=when.on_day, passed=all(answers), note=reason,
        answers=answers,
    )  # fmt: skip
    held = reads.holdings(store.conn, lot_ids=[holding.lot.id])
    number = record(store.conn, holding.lot.id, held, found, when)
    if not found.passed:
        return number, "It failed, and one fail ends the lot"
    until = f", good through {spoken(found.extends_to)}" if found.extends_to else ""
    return number, f"It passed{until}"


def _drop_par(store: Store, holding: Holding, when: Stamp) -> str:
    from stockcheck.store import catalogue, reads

    for par in reads.pars(store.conn):
        if par.item and par.item.id == holding.item.id and par.box.id == holding.box.id:
            catalogue.retire(store.conn, "par", par.id, when.on_day)
            return f"Par level P{par.id} is dropped"
    return "It had no par level there"


COMMANDS = {"decide": decide}
