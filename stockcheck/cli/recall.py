"""``recall``: batches that a maker called back, held wherever they are, listed, and lifted."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    WORDS,
    Shell,
    Tasks,
    confirm,
    emit,
    on_option,
    pass_shell,
    report_options,
    say,
    stamp,
)
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Sequence
    from pathlib import Path

    from stockcheck.core.model import Holding
    from stockcheck.core.recalls import Recall
    from stockcheck.store.files import Store


class _Recalls(Tasks):
    """``recall THING`` is ``recall add THING``: what is not one of our words is a thing."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """As click does it, with the word add put before a thing."""
        first = args[0] if args else "--help"
        if not first.startswith("-") and first not in self.list_commands(ctx):
            args = ["add", *args]
        return super().parse_args(ctx, args)


@click.group(cls=_Recalls)
def recall() -> None:
    """Recalled batches: hold them wherever they are, and warn whenever more of them comes in.

    'recall THING --batch B' is short for 'recall add'. THING is an item, or a GTIN, known here or
    not. A recall is remembered until it is lifted, and read by receive and scan.

    \b
    Examples:
      stockcheck recall "tyre sealant, 450 ml bottle" --batch TS0931
      stockcheck recall 9506000134352 --batch 7C21-B --reason "maker's letter"
      stockcheck recall list
    """


@recall.command()
@click.argument("thing")
@click.option(
    "--batch", "batches", type=WORDS, multiple=True, metavar="B", help="The batch called back."
)
@click.option("--every-batch", is_flag=True, help="All of it, whatever its batch.")
@click.option("--reason", type=WORDS, default="", help="What is wrong, and who says so.")
@on_option
@pass_shell
def add(
    shell: Shell, thing: str, batches: tuple[str, ...], every_batch: bool, reason: str, on: date
) -> None:
    """Hold every lot of THING with this batch, wherever it is, and remember the recall.

    Batches are compared without case, blanks or the word LOT before them. --batch may be given
    several times.

    \b
    Examples:
      stockcheck recall add "tyre sealant, 450 ml bottle" --batch TS0931
      stockcheck recall add I7 --every-batch --reason "seals leak, maker's letter"
    """
    if bool(batches) == every_batch:
        raise click.UsageError("give --batch as printed on the pack, or --every-batch")
    if any(not batch.strip() for batch in batches):
        raise BadInput("--batch is empty; --every-batch calls all of it back")
    from stockcheck.core.words import listed

    with shell.store() as store:
        with store.writing() as conn:
            item_id, gtin = _named(conn, thing)
            recalls, held = [], []
            for batch in batches or ("",):
                one, numbers = _add(store, item_id, gtin, batch, reason, on)
                recalls.append(one)
                held += numbers
        for one in recalls:
            _tell_held(store, one)
    if held:
        say(f"{listed([f'M{number}' for number in held])}; 'stockcheck recall lift' takes it back")


def _named(conn: sqlite3.Connection, thing: str) -> tuple[int | None, str]:
    """The item, or the GTIN: an item's own GTIN calls back what has that one."""
    from stockcheck.core.codes import read_gtin
    from stockcheck.core.names import name_key
    from stockcheck.store.names import find_id

    if (gtin := read_gtin(thing)) and name_key(thing).isdigit():
        return None, gtin
    return find_id(conn, "item", thing), ""


def _add(
    store: Store, item_id: int | None, gtin: str, batch: str, reason: str, on: date
) -> tuple[Recall, list[int]]:
    from stockcheck.core.model import State
    from stockcheck.core.movements import hold
    from stockcheck.store import ledger, recalls

    conn = store.conn
    number = recalls.add_recall(conn, item_id, gtin, batch, reason, stamp(on))
    one = recalls.find_recall(conn, str(number))
    why = f"recalled, {one.short}" + (f": {reason}" if reason else "")
    free = [each for each in recalls.concerned(conn, one) if each.state is State.STOCK]
    plans = [hold(each, each.quantity, why) for each in free]
    return one, ledger.post(conn, plans, stamp(on)) if plans else []


def _tell_held(store: Store, one: Recall) -> None:
    """What is on hold now, what else must be looked at, and the cautions."""
    from stockcheck.cli.telling import tell_cautions
    from stockcheck.core.model import State
    from stockcheck.core.words import counted
    from stockcheck.store import recalls

    say(f"{one.short}  RECALLED: {one.words}")
    concerned = recalls.concerned(store.conn, one)
    for each in concerned:
        amount = counted(each.quantity, each.item.unit)
        opened = ", opened" if each.opened_on else ""
        what = f"{amount} of {each.item.name} ({each.lot.short}{opened}) in {each.box.name}"
        kept = each.state is State.LAST_RESORT
        say(f"LAST RESORT: {what}: write it off" if kept else f"on hold: {what}", 2)
    if not concerned:
        say("none of it is on hand; it is warned of when it comes in", 2)
    unsure = recalls.without_batch(store.conn, one)
    for each in unsure:
        amount = counted(each.quantity, each.item.unit)
        say(f"LOOK: {amount} ({each.lot.short}) in {each.box.name} has no batch written down", 2)
    tell_cautions([*concerned, *unsure])


@recall.command("list")
@click.option("--all", "everything", is_flag=True, help="Those that were lifted too.")
@report_options("text", "csv", "json")
@on_option
@pass_shell
def list_(shell: Shell, everything: bool, fmt: str, output: Path | None, on: date) -> None:
    """List the recalls that stand, with what of it is still on hand.

    \b
    Examples:
      stockcheck recall list
      stockcheck recall list --all --format json
    """
    from stockcheck.output.recall_report import recall_report
    from stockcheck.store import recalls

    with shell.store() as store:
        found = recalls.all_recalls(store.conn, lifted=everything)
        held = {each.id: recalls.concerned(store.conn, each) for each in found}
        report = recall_report(found, held, on=on, store=store.name)
    emit(report, fmt, output)


@recall.command()
@click.argument("number", metavar="RECALL")
@click.option(
    "--reason", type=WORDS, required=True, help="Why it counts no longer, and who says so."
)
@click.option("--release", is_flag=True, help="Take what it holds off hold too.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@on_option
@pass_shell
def lift(shell: Shell, number: str, reason: str, release: bool, yes: bool, on: date) -> None:
    """Lift a RECALL (R3): no more warnings. What it put on hold stays so without --release.

    \b
    Examples:
      stockcheck recall lift R1 --reason "maker: other plant" --yes
      stockcheck recall lift R1 --reason "entered by mistake" --release --yes
    """
    from stockcheck.core.model import State
    from stockcheck.store import recalls

    with shell.store() as store:
        one = recalls.find_recall(store.conn, number)
        if one.lifted_on is None:
            confirm(f"Lift {one.short}, {one.words}?", yes=yes)
        with store.writing() as conn:
            recalls.lift(conn, one, reason, stamp(on))
            held = [it for it in recalls.concerned(conn, one) if it.state is State.HELD]
            others = recalls.recalled_among(conn, [each.lot.id for each in held])
            still = {lot for lot, _ in others}
            free = [each for each in held if each.lot.id not in still] if release else []
            _release(store, free, f"{one.short} lifted: {reason}", on)
        say(f"Lifted {one.short}: {one.words}")
        _tell_released(held, free)


def _release(store: Store, held: Sequence[Holding], reason: str, on: date) -> None:
    from stockcheck.core.movements import release
    from stockcheck.store import ledger

    if held:
        plans = [release(each, each.quantity, reason) for each in held]
        ledger.post(store.conn, plans, stamp(on))


def _tell_released(held: Sequence[Holding], free: Sequence[Holding]) -> None:
    from stockcheck.core.words import counted

    for each in held:
        what = f"{counted(each.quantity, each.item.unit)} of {each.item.name} ({each.lot.short})"
        if each in free:
            say(f"released: {what} in {each.box.name}", 2)
        else:
            say(f"still on hold: {what} in {each.box.name}; 'release' takes it off hold", 2)


COMMANDS = {"recall": recall}
