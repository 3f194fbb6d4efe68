"""``decide``: go through a box and take a decision for everything expired, due or undated."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.asking import asked_words
from stockcheck.cli.shell import (
    WORDS,
    Shell,
    at_terminal,
    on_option,
    on_the_way,
    pass_shell,
    say,
    stamp,
    trip_named,
)
from stockcheck.core.deciding import TO_DECIDE, Decided, asked_again, choices
from stockcheck.core.errors import BadInput, Declined

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stockcheck.core.expiry import Standing
    from stockcheck.core.model import Holding
    from stockcheck.core.planning import Par, Trip
    from stockcheck.store.files import Store
    from stockcheck.store.inspections import Decision
    from stockcheck.store.ledger import Stamp

_WORDS = {
    Decided.REPLACE: "replace: onto the restock list; this one stays until the new one is in",
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
@click.option("--reason", type=WORDS, default="", metavar="TEXT", help="With --lot: why.")
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
    from stockcheck.store.names import find_id

    if (lot_name is None) != (decided is None):
        raise click.UsageError("--lot and --as go together")
    with shell.store() as store:
        going = trip_named(store, trip)
        walk = _Round(store, find_id(store.conn, "box", box_name), going, on)
        if lot_name is not None and decided is not None:
            _one(walk, lot_name, Decided(decided), reason)
        else:
            _go_round(walk, box_name, again=again)


@dataclass(frozen=True, slots=True)
class _Round:
    """A round through a box and those inside it, on a day, perhaps before a trip."""

    store: Store
    box_id: int
    going: Trip | None
    on: date

    def waiting(self) -> list[Standing]:
        """What stands so that it wants a decision, the worst first."""
        from stockcheck.store import reads

        boxes = reads.boxes(self.store.conn, retired=True)
        inside = reads.box_and_inside(boxes, self.box_id)
        return self._standing(reads.holdings(self.store.conn, box_ids=inside))

    def now(self, standing: Standing) -> Standing | None:
        """The same holding as it stands by now; None when it wants no decision any more."""
        from stockcheck.store import reads

        held = reads.holdings(self.store.conn, lot_ids=[standing.holding.lot.id])
        same = [each for each in held if each.id == standing.holding.id]
        return next(iter(self._standing(same)), None)

    def command(self, box_name: str) -> str:
        """How the round is taken up again."""
        trip = f' --trip "{self.going.name}"' if self.going else ""
        return f'stockcheck decide "{box_name}"{trip}'

    def _standing(self, held: list[Holding]) -> list[Standing]:
        from stockcheck.core.expiry import standings

        horizon = self.going.horizon if self.going else None
        found = standings(on_the_way(self.store, held, self.going), self.on, horizon=horizon)
        return [each for each in found if each.status in TO_DECIDE]


def _one(walk: _Round, lot_name: str, decided: Decided, reason: str) -> None:
    from stockcheck.cli.telling import tell_cautions
    from stockcheck.store.names import find_id

    number = find_id(walk.store.conn, "lot", lot_name)
    chosen = [each for each in walk.waiting() if each.holding.lot.id == number]
    if not chosen:
        raise BadInput(
            f"{lot_name} does not wait for a decision in that box on that day;"
            f" 'stockcheck why {lot_name}' tells how it stands"
        )
    _carry_out(walk, chosen, decided, reason)
    tell_cautions([each.holding for each in chosen])


def _go_round(walk: _Round, box_name: str, *, again: bool) -> None:
    from stockcheck.store.inspections import decisions

    every = walk.waiting()
    made = decisions(walk.store.conn, {each.holding.lot.id for each in every})
    rows = [each for each in every if again or not _settled(each, made.get(_key(each.holding)))]
    before = len(every) - len(rows)
    if not rows:
        say(f"Nothing in {box_name} waits for a decision." + (
            f" {before} decided before; --again asks anew." if before else ""))  # fmt: skip
        return
    if not at_terminal():
        raise Declined(
            f"{len(rows)} holdings wait for a decision, and nobody can be asked here;"
            " give --lot and --as"
        )
    left = 0
    for number, standing in enumerate(rows, 1):
        try:
            left += not _ask(walk, standing, f"{number} of {len(rows)}")
        except (_Enough, click.Abort, KeyboardInterrupt) as stopped:
            done = number - 1 - left
            still = f"{len(rows) - done} still wait: {walk.command(box_name)}"
            say(f"\n{done} decided and kept, {still}")
            if isinstance(stopped, _Enough):
                return
            if isinstance(stopped.__context__, KeyboardInterrupt):  # at a question
                raise KeyboardInterrupt from stopped
            raise
    say(f"\nThat was all of {box_name}." + (f" {left} left for later." if left else ""))


class _Enough(Exception):
    """The person leaves the round."""


def _key(holding: Holding) -> tuple[int, int, date | None]:
    return holding.lot.id, holding.box.id, holding.opened_on


def _settled(standing: Standing, decision: Decision | None) -> bool:
    return decision is not None and not asked_again(decision.standing, standing.status)


def _ask(walk: _Round, standing: Standing, place: str) -> bool:
    """Ask what to do with one holding, and do it; False when it is left for later."""
    from stockcheck.cli.look import tell
    from stockcheck.cli.telling import tell_cautions
    from stockcheck.store.limits import ageing_by_heat

    now = walk.now(standing)
    if now is None:
        return True
    click.echo(f"\n{place}")
    held = now.holding
    tell(held, walk.on, ageing_by_heat(walk.store.conn, [held]).get(held.id, ()))
    tell_cautions([held])
    while now is not None:
        decided = _choose(choices(now.holding))
        if decided is None:
            return False
        if decided is not Decided.INSPECT:
            reason = asked_words("Why (Enter for no reason)")
            _carry_out(walk, [now], decided, reason)
            return True
        _inspect(walk, now)
        now = walk.now(standing)
        if now is not None:
            say(f"It still is {now.status.value}. What then?")
    return True


def _choose(offered: Sequence[Decided]) -> Decided | None:
    """The decision that somebody takes by its number; None to leave it for later."""
    for number, choice in enumerate(offered, 1):
        click.echo(f"  {number}  {_WORDS[choice]}")
    later = len(offered) + 1
    click.echo(f"  {later}  leave this one for later\n  0  stop here; what is decided is kept")
    number = click.prompt("Which", type=click.IntRange(0, later))
    if number == 0:
        raise _Enough
    return None if number == later else offered[number - 1]


def _inspect(walk: _Round, standing: Standing) -> None:
    from stockcheck.cli.inspecting import best_outlook, look, tell_found
    from stockcheck.cli.telling import tell_undo
    from stockcheck.store import inspections, reads

    store, lot = walk.store, standing.holding.lot
    held = reads.holdings(store.conn, lot_ids=[lot.id])
    ahead = best_outlook(held, walk.on)
    try:
        found = look(held, walk.on)
    except Declined:
        return
    when = stamp(walk.on)
    with store.writing() as conn:
        movement = inspections.record(conn, lot.id, held, found, when)
        _write_down(store, standing, Decided.INSPECT, found.note, movement, when)
    tell_found(store, lot.id, found, ahead, walk.on)
    tell_undo([movement])


def _carry_out(walk: _Round, chosen: Sequence[Standing], decided: Decided, reason: str) -> None:
    """Do what was decided and write the decision down, in one transaction."""
    from stockcheck.cli.telling import tell_disposal, tell_undo

    store, when = walk.store, stamp(walk.on)
    done = []
    with store.writing():
        for standing in chosen:
            movement, said = _do(store, standing, decided, reason, when)
            _write_down(store, standing, decided, reason, movement, when)
            done.append((movement, said))
    for standing, (_, said) in zip(chosen, done, strict=True):
        say(f"{standing.holding.lot.short} {standing.holding.item.name}: {said}")
    tell_undo([movement for movement, _ in done])
    if decided in {Decided.WRITE_OFF, Decided.NO_LONGER}:
        tell_disposal([each.holding for each in chosen])


def _write_down(
    store: Store, standing: Standing, decided: Decided, reason: str, movement: int, when: Stamp
) -> None:
    from stockcheck.store.inspections import Decision
    from stockcheck.store.inspections import decide as write_down

    lot_id, box_id, opened_on = _key(standing.holding)
    decision = Decision(
        lot_id, box_id, opened_on, decided.value, standing.status, reason, when.on_day
    )
    write_down(store.conn, decision, movement, when)


def _do(
    store: Store, standing: Standing, decided: Decided, reason: str, when: Stamp
) -> tuple[int, str]:
    """The movement that a decision makes, and what to say of it."""
    from stockcheck.core.deciding import keep_as_last_resort, to_be_replaced
    from stockcheck.core.movements import write_off
    from stockcheck.core.words import counted
    from stockcheck.store.ledger import post

    holding = standing.holding
    if decided is Decided.REPLACE:
        movement, said = to_be_replaced(holding, reason), _replace(store, holding)
    elif decided is Decided.LAST_RESORT:
        movement = keep_as_last_resort(holding, reason)
        said = f"last resort. Its own label: stockcheck labels {holding.lot.short}"
    else:
        movement = write_off(holding, holding.quantity, reason or standing.status.value)
        amount = counted(holding.quantity, holding.item.unit)
        said = f"{amount} written off. {_after_write_off(store, holding, decided, when)}"
    return post(store.conn, [movement], when)[0], said


def _covering(store: Store, holding: Holding) -> Par | None:
    from stockcheck.core.claims import Places
    from stockcheck.core.deciding import covering_par
    from stockcheck.store import plans, reads

    outwards = Places(reads.boxes(store.conn, retired=True)).outwards(holding.box)
    return covering_par(plans.pars(store.conn), holding, outwards)


def _replace(store: Store, holding: Holding) -> str:
    """See that a par level asks for it, so that it comes onto the restock list."""
    from stockcheck.core.words import counted
    from stockcheck.store import catalogue

    known = _covering(store, holding)
    if known is not None:
        amount = counted(known.quantity, holding.item.unit)
        return (
            f"to be replaced. Par level P{known.id} asks for {amount} of {known.wants} in"
            f" {known.box.name}, so restock lists what is short of that"
        )
    values = {
        "box_id": holding.box.id,
        "item_id": holding.item.id,
        "quantity": holding.quantity,
        "importance": holding.item.importance.value,
    }
    number = catalogue.add(store.conn, "par", values)
    amount = counted(holding.quantity, holding.item.unit)
    return (
        f"to be replaced. New par level P{number} asks for {amount} in {holding.box.name}, so"
        f" restock lists it; 'stockcheck par change P{number} --quantity N' asks for another amount"
    )


def _after_write_off(store: Store, holding: Holding, decided: Decided, when: Stamp) -> str:
    """What becomes of the par level that asks for it."""
    from stockcheck.core.words import listed
    from stockcheck.store import catalogue

    par = _covering(store, holding)
    if par is None:
        return "No par level asks for another one"
    if decided is not Decided.NO_LONGER:
        return f"Par level P{par.id} of {par.box.name} asks for another one"
    if par.item is None:
        return f"Par level P{par.id} asks for {par.wants} and stays"
    if others := _others_of(store, holding, when.on_day):
        return f"Par level P{par.id} stays: {listed(others)} of the same item there serves it"
    catalogue.retire(store.conn, "par", par.id, when.on_day)
    return (
        f"Par level P{par.id} ({par.importance.value}) is dropped;"
        f" 'stockcheck par retire P{par.id} --undo' brings it back, undo does not"
    )


def _others_of(store: Store, holding: Holding, on: date) -> list[str]:
    """Other lots of the same item in the same box that can still be used."""
    from stockcheck.core.shelf_life import usable
    from stockcheck.store import reads

    held = reads.holdings(store.conn, item_ids=[holding.item.id], box_ids=[holding.box.id])
    others = {each.lot.short for each in held if usable(each, on)}
    return sorted(others - {holding.lot.short})


COMMANDS = {"decide": decide}
