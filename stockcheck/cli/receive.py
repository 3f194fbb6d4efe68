"""``receive``: one lot by options or questions, or many from a CSV file."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.arrival_form import one_arrival
from stockcheck.cli.shell import (
    FILE,
    Shell,
    confirm,
    on_option,
    pass_shell,
    say,
    stamp,
)
from stockcheck.core.errors import BadFile, BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.intake import Arrival, DateRules, Shelves
    from stockcheck.core.model import Holding
    from stockcheck.store.files import Store
    from stockcheck.store.receiving import Received

_PROGRESS_FROM = 300
BACKUP_FROM = 50  # lines of a file: more than anybody would take back one by one
_LINES_SHOWN = 12
_NOTES_SHOWN = 40
_FIELDS = ("box", "item", "kind", "quantity", "unit", "expiry", "made", "opened", "received")
_MORE = ("batch", "gtin", "supplier", "cost", "note")
_HELP = {
    "box": "The box it goes into.",
    "item": "The item, by name, code or GTIN.",
    "kind": "Its kind, only to check the item.",
    "quantity": "How many units.",
    "unit": "Its unit, only to check the item.",
    "expiry": "The maker's date as printed, with the words beside it.",
    "made": "The made date as printed.",
    "opened": "The day it was opened, YYYY-MM-DD.",
    "received": "The day it was bought, YYYY-MM-DD or today; unknown if left out.",
    "batch": "Batch as printed.",
    "gtin": "The maker's bar code.",
    "supplier": "Where it came from.",
    "cost": "What it cost in all, such as 12.40.",
    "note": "Anything else.",
}


def _field_options(command: Callable[..., None]) -> Callable[..., None]:
    for name in reversed(_FIELDS + _MORE):
        command = click.option(f"--{name}", metavar="TEXT", help=_HELP[name])(command)
    return command


@click.command()
@_field_options
@click.option(
    "--from",
    "file",
    type=FILE,
    help="A CSV file of many lots, all or nothing.",
)
@click.option("--map", "maps", multiple=True, metavar="OURS=THEIRS", help="A column's other name.")
@click.option(
    "--date-order",
    type=click.Choice(["dmy", "mdy", "ymd"]),
    help="How dates in figures only are ordered on these packs.",
)
@click.option(
    "--when-unsure",
    type=click.Choice(["ask", "earliest"]),
    default="ask",
    show_default=True,
    help="earliest: take the earliest reading and note it on the lot.",
)
@click.option("--order", metavar="N", help="It came of this purchase; 'purchase list' shows them.")
@click.option(
    "--instead-of", metavar="ITEM", help="With --order: the item that it came in place of."
)
@click.option("--dry-run", is_flag=True, help="Show what would happen; change nothing.")
@click.option("--yes", is_flag=True, help="Take in what is expired or recalled without asking.")
@on_option
@pass_shell
def receive(
    shell: Shell,
    /,
    file: Path | None,
    maps: tuple[str, ...],
    date_order: str | None,
    when_unsure: str,
    order: str | None,
    instead_of: str | None,
    dry_run: bool,
    yes: bool,
    on: date,
    **fields: str | None,
) -> None:
    """Take stock in. A date is read as its printer meant it, asked about, or refused.

    A CSV file has the options from --box to --note as its columns, in any order; only box, item
    and quantity are required. At a terminal what is missing is asked.

    \b
    Examples:
      stockcheck receive --box Water --item "bleach, plain, 1 l bottle" \\
          --quantity 2 --expiry "EXP 11/2027" --batch W113 --received today
      stockcheck receive --from stock.csv --date-order dmy --dry-run
    """
    from stockcheck.core.intake import DateRules

    rules = DateRules(on, date_order, when_unsure)
    given = {name: text for name, text in fields.items() if text is not None}
    if file is not None and given:
        raise click.UsageError(f"--from takes all from the file; leave out --{next(iter(given))}")
    if file is None and maps:
        raise click.UsageError("--map names the columns of a file; give --from FILE too")
    if instead_of is not None and order is None:
        raise click.UsageError("--instead-of goes with --order N")
    with shell.store() as store:
        shelves = _shelves(store)
        if file is None:
            arrivals = [one_arrival(given, shelves, rules)]
        else:
            arrivals = _many(file, maps, shelves, rules)
        unasked = yes or file is not None or dry_run
        _ask_about_recalled(store, arrivals, yes=unasked)
        _ask_about_expired(arrivals, on, yes=unasked)
        if len(arrivals) >= BACKUP_FROM and not dry_run:
            _keep(store)
        _take_in(store, arrivals, on, dry_run=dry_run, order=(order, instead_of))


def _keep(store: Store) -> None:
    from stockcheck.store.backups import automatic

    kept = automatic(store, "import").path
    say("The store as it was is kept:")
    click.echo(f"  {kept}")


def _shelves(store: Store) -> Shelves:
    from stockcheck.core.intake import Shelves
    from stockcheck.store import plans, reads

    conn = store.conn
    return Shelves.of(reads.boxes(conn), reads.items(conn), plans.suppliers(conn))


def _many(file: Path, maps: tuple[str, ...], shelves: Shelves, rules: DateRules) -> list[Arrival]:
    from stockcheck.cli.files import read_csv
    from stockcheck.core.intake import COLUMNS, REQUIRED, read_lines

    renamed = {}
    for text in maps:
        ours, sign, theirs = text.partition("=")
        if not sign or ours not in COLUMNS or not theirs:
            raise click.UsageError(f"--map {text!r} is not OURS=THEIRS with one of our columns")
        renamed[ours] = theirs
    lines = read_csv(file, COLUMNS, REQUIRED, renamed)
    if not lines:
        raise BadInput(f"{file} has no lines under its headings; nothing was received")
    arrivals, problems = read_lines(file.name, lines, shelves, rules)
    if problems:
        raise BadFile(problems)
    return arrivals


def _ask_about_expired(arrivals: Sequence[Arrival], on: date, *, yes: bool) -> None:
    from stockcheck.core.calendar import spoken

    for arrival in arrivals:
        printed = arrival.facts.expiry
        if printed is not None and printed.last_usable_day < on:
            confirm(
                f"{arrival.item.name} was good through {spoken(printed.last_usable_day)}, which is"
                " past. Take it in all the same?",
                yes=yes,
            )


def _ask_about_recalled(store: Store, arrivals: Sequence[Arrival], *, yes: bool) -> None:
    from stockcheck.store.recalls import of_stock

    for arrival in arrivals if not yes else ():
        facts = arrival.facts
        recall = of_stock(store.conn, facts.item_id, facts.gtin, facts.batch)
        if recall is not None:
            confirm(
                f"RECALLED ({recall.short}): {recall.words}."
                " Take it in all the same, to be put on hold at once?",
                yes=False,
            )


def _take_in(
    store: Store,
    arrivals: list[Arrival],
    on: date,
    *,
    dry_run: bool,
    order: tuple[str | None, str | None],
) -> None:
    from stockcheck.cli.telling import tell_undo
    from stockcheck.store.receiving import receive as take_in

    with store.trying() if dry_run else store.writing() as conn:
        done = take_in(conn, arrivals, stamp(on), _progress)
        said = _summary(store, arrivals, done, on)
        if order[0] is not None:
            from stockcheck.cli.delivering import booked_in

            said += booked_in(store, (order[0], order[1]), arrivals, done)
    if dry_run:
        say("This is only a try; nothing was changed. It would be:")
    for line in said:
        say(line.lstrip(), len(line) - len(line.lstrip()))
    if not dry_run:
        tell_undo(done.movement_ids)
        if done.new_lots:
            say("'stockcheck labels --new' prints the labels that are lacking", 2)


def _progress(arrivals: Sequence[Arrival]) -> Iterable[Arrival]:
    """A progress bar on stderr past a few hundred lines, at a terminal."""
    if len(arrivals) < _PROGRESS_FROM or not sys.stderr.isatty():
        yield from arrivals
        return
    with click.progressbar(arrivals, label="Receiving", file=sys.stderr) as bar:
        yield from bar


def _summary(store: Store, arrivals: list[Arrival], done: Received, on: date) -> list[str]:
    """What came in: each line of a few, else how it stands in numbers; and what to look at."""
    from stockcheck.store import reads
    from stockcheck.store.recalls import recalled_among
    from stockcheck.store.receiving import held_batches

    held = reads.holdings(store.conn, lot_ids=sorted(set(done.lot_ids)))
    held.sort(key=_free)  # what a recall put on hold at once is told where there is no other
    by_key = {(each.lot.id, each.box.id, each.opened_on): each for each in held}
    found = [
        by_key[lot_id, arrival.box.id, arrival.opened_on]
        for arrival, lot_id in zip(arrivals, done.lot_ids, strict=True)
    ]
    if len(arrivals) > _LINES_SHOWN:
        lines = _in_numbers(arrivals, found, done, on)
    else:
        lines = [
            _line(arrival, holding, on, more=holding.lot.id not in done.new_lots)
            for arrival, holding in zip(arrivals, found, strict=True)
        ]
    lines += _assumptions(arrivals, found)
    recalled = dict(recalled_among(store.conn, done.lot_ids))
    lines += [
        f"  RECALLED: L{lot} is on hold at once, {recall.short}: {recall.words}"
        for lot, recall in recalled.items()
    ]
    lines += [
        f"  WARNING: batch {batch} of L{lot} is on hold elsewhere; see 'stockcheck find {batch}'"
        for lot, batch in held_batches(store.conn, done.lot_ids)
        if lot not in recalled
    ]
    return lines


def _assumptions(arrivals: list[Arrival], found: list[Holding]) -> list[str]:
    """What was assumed in reading dates, a line for each lot and date; of very many the first."""
    said: dict[str, None] = {}
    for arrival, holding in zip(arrivals, found, strict=True):
        lot = holding.lot
        for what, assumed in (
            ("", lot.expiry.assumed if lot.expiry else ""),
            ("made date ", arrival.made_assumed),
        ):
            if assumed:
                said[f"  {lot.short} {lot.item.name}: {what}{assumed}"] = None
    lines = list(said)
    if len(lines) > _NOTES_SHOWN:
        more = f"  and {len(lines) - _NOTES_SHOWN} more such notes; 'stockcheck lot show' has each"
        return [*lines[:_NOTES_SHOWN], more]
    return lines


def _free(holding: Holding) -> bool:
    from stockcheck.core.model import State

    return holding.state is State.STOCK


def _line(arrival: Arrival, holding: Holding, on: date, *, more: bool) -> str:
    from stockcheck.cli.telling import stands
    from stockcheck.core.words import counted

    unit = arrival.item.unit
    governed = f" ({holding.governed_by})" if holding.last_usable_day else ""
    now = f"; more of that lot, now {counted(holding.quantity, unit)} there" if more else ""
    return (
        f"{holding.lot.short}  {counted(arrival.quantity, unit)} of {arrival.item.name} into"
        f" {arrival.box.name}: {stands(holding, on)}{governed}{now}"
    )


def _in_numbers(
    arrivals: list[Arrival], found: list[Holding], done: Received, on: date
) -> list[str]:
    from stockcheck.core import shelf_life

    tally: dict[str, int] = {}
    for holding in found:
        word = shelf_life.status(holding, on).value
        tally[word] = tally.get(word, 0) + 1
    boxes = len({arrival.box.id for arrival in arrivals})
    into = f"{boxes} {'box' if boxes == 1 else 'boxes'}"
    return [
        f"Received {len(arrivals)} lines as {len(done.new_lots)} new lots into {into}:",
        "  " + ", ".join(f"{count} {word}" for word, count in sorted(tally.items())),
    ]


COMMANDS = {"receive": receive}
