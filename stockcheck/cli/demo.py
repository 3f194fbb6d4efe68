"""``demo``: build a store from the shipped scenario and do the whole job on it."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import FOLDER, may_colour, put, say, screen_width, stamp
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store

DEMO_DAY = date(2026, 11, 25)
TRIP = "Spring count"
FIRST_AID = "First aid"
KIT_LIST = "de-din-13164-2022"
_CATALOGUE = ("box", "item", "supplier", "offer", "par", "trip")
_FILES = {"box": "boxes", "item": "items", "supplier": "suppliers", "offer": "offers"}
_MADE = (
    "stock.db", "expiry.txt", "expiry.pdf", "restock.txt", "restock.pdf", "labels.pdf",
    "audit.txt", "audit.pdf",
)  # fmt: skip


@click.command()
@click.argument("folder", type=FOLDER, default="stockcheck-demo")
@click.option("--replace", is_flag=True, help="Make the demo anew in a folder that has one.")
def demo(folder: Path, replace: bool) -> None:
    """Build the demo store in FOLDER (./stockcheck-demo) and do the four tasks on it.

    Everything in it is invented: a crew of three counting desert birds for eleven weeks from a
    light truck. Its day is 25 November 2026, so that its output is the same every day.

    \b
    Examples:
      stockcheck demo
      stockcheck demo practice --replace
    """
    from stockcheck.store.files import opened
    from stockcheck.store.migrate import create

    _make_room(folder, replace=replace)
    path = folder / "stock.db"
    create(path, "Demo truck (invented)", demo=True)
    with opened(path) as store:
        _load(store)
        _tell(store, folder)
    _next(folder)


def _make_room(folder: Path, *, replace: bool) -> None:
    """Take the old demo out; BadInput for anything that is not the demo's or not to be replaced.

    Its store goes last: without it nobody could tell any more that the rest is a demo's.
    """
    there = [name for name in _MADE if (folder / name).exists()]
    if not there:
        return
    _refuse_others(folder, there[0])
    if not replace:
        raise BadInput(
            f"{folder} has a demo already; give --replace to make it anew, or name another folder"
        )
    for name in reversed(there):
        (folder / name).unlink()


def _refuse_others(folder: Path, found: str) -> None:
    """Whose the files in a folder are: only a store that the demo marked as its own may go."""
    from stockcheck.store.files import settings_of

    path = folder / found
    settings = settings_of(path) if found == _MADE[0] else None
    if settings is None:
        raise BadInput(f"{path} is there, and no demo made it; name another folder")
    if "demo" not in settings:
        raise BadInput(
            f"{path} is a store of your own, {settings.get('name', '')!r}, which no demo replaces;"
            " name another folder"
        )


def _load(store: Store) -> None:
    """Read the scenario's files the way a person's own files are read, all in one transaction."""
    from stockcheck.cli.files import read_csv
    from stockcheck.core.errors import BadFile
    from stockcheck.core.intake import COLUMNS, REQUIRED, DateRules, Shelves, read_lines
    from stockcheck.data import shipped
    from stockcheck.store import bulk, plans, reads
    from stockcheck.store.receiving import receive

    source = shipped("demo_db")
    rules = DateRules(DEMO_DAY, order="dmy", when_unsure="earliest")
    with store.writing() as conn:
        for what in _CATALOGUE:
            file = source / f"{_FILES.get(what, what)}.csv"
            lines = read_csv(file, tuple(bulk.FIELDS[what]), ())
            count = bulk.add_lines(conn, what, file.name, lines)
            click.echo(f"{file.name}: {count} lines")
        shelves = Shelves.of(reads.boxes(conn), reads.items(conn), plans.suppliers(conn))
        lines = read_csv(source / "stock.csv", COLUMNS, REQUIRED)
        arrivals, problems = read_lines("stock.csv", lines, shelves, rules)
        if problems:
            raise BadFile(problems)
        done = receive(conn, arrivals, stamp(DEMO_DAY))
        click.echo(f"stock.csv: {len(arrivals)} lines, {len(done.new_lots)} lots")
        held = _hold(store, source / "holds.csv")
        click.echo(f"holds.csv: {held} holdings put on hold")
    _plans(store, source)


def _plans(store: Store, source: Path) -> None:
    """What the crew remembers, where they can buy on the way, and what is on order."""
    from stockcheck.cli.demo_plans import order_file, stops_file
    from stockcheck.cli.wanting import remember_file

    remember_file(store, source / "told.csv", DEMO_DAY)
    stops_file(store, source / "stops.csv")
    order_file(store, source / "purchases.csv")


def _hold(store: Store, file: Path) -> int:
    """Put every holding of the recalled batches on hold."""
    from stockcheck.cli.files import read_csv
    from stockcheck.core.movements import hold
    from stockcheck.store import ledger, reads
    from stockcheck.store.names import find_id

    holds = []
    for _, fields in read_csv(file, ("item", "batch", "reason"), ("item", "batch", "reason")):
        item = find_id(store.conn, "item", fields["item"])
        holds += [
            hold(holding, holding.quantity, fields["reason"])
            for holding in reads.holdings(store.conn, item_ids=[item])
            if holding.lot.batch == fields["batch"]
        ]
    ledger.post(store.conn, holds, stamp(DEMO_DAY))
    return len(holds)


def _tell(store: Store, folder: Path) -> None:
    """The four tasks: printed here, whole in the files."""
    from stockcheck.cli.audit import audit_of
    from stockcheck.cli.auditing import Asked
    from stockcheck.cli.expiry import expiry_of
    from stockcheck.cli.label_ask import Ask
    from stockcheck.cli.labels import print_labels
    from stockcheck.cli.restock import restock_of
    from stockcheck.store import plans
    from stockcheck.store.names import find_id

    trip = plans.trip(store.conn, find_id(store.conn, "trip", TRIP))
    whole = expiry_of(store, trip, DEMO_DAY)
    bad = expiry_of(store, trip, DEMO_DAY, statuses=("expired", "undated", "held", "ends on trip"))
    _task("1. What is expired, undated, on hold, or ends on the trip")
    _both(whole, folder / "expiry", shown=bad)
    _task("2. What to move and to buy before leaving")
    _both(restock_of(store, trip, None, None, DEMO_DAY), folder / "restock")
    _task("3. Labels for everything")
    ask = Ask((), DEMO_DAY, new=True, all_boxes=True, output=folder / "labels.pdf")
    for line in print_labels(store, ask):
        say(line)
    _task("4. The first-aid box against a published vehicle list")
    audit = audit_of(store, FIRST_AID, Asked(DEMO_DAY, trip, (KIT_LIST,)))
    _both(audit, folder / "audit")


def _task(heading: str) -> None:
    click.echo()
    click.secho(heading, bold=may_colour())
    click.echo()


def _both(report: Report, stem: Path, shown: Report | None = None) -> None:
    """Print a report, and leave it as text and PDF."""
    from stockcheck.output.write import render

    click.echo(render(shown or report, "text", width=screen_width(), colour=may_colour()), nl=False)
    for fmt, ending in (("text", ".txt"), ("pdf", ".pdf")):
        put(render(report, fmt), stem.with_suffix(ending))


def _next(folder: Path) -> None:
    click.echo()
    say(f"Everything above is invented and lies in {folder}. Next, try:")
    store = f"stockcheck --store {quote(str(folder / 'stock.db'))}"
    for words in ("find pain tablets", "use L50 -n 2", "why L58"):
        click.echo(f"  {store} {words} --on {DEMO_DAY}")


COMMANDS = {"demo": demo}
