"""Lots: listing them, showing one, and correcting a fact with a record of what it was."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from stockcheck.cli.shell import Shell, emit, on_option, pass_shell, report_options, stamp
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from stockcheck.core.model import Lot
    from stockcheck.store.files import Store


@click.group()
def lot() -> None:
    """Lots: what came in together, with its batch and dates.

    \b
    Examples:
      stockcheck lot list --item "water tablet"
      stockcheck lot change L12 --expiry "EXP 11/2028" --reason "misread"
    """


@lot.command("list")
@click.option("--item", "item_name", metavar="NAME", help="Only lots of this item.")
@click.option("--all", "everything", is_flag=True, help="Also lots of which none is left.")
@report_options("text", "csv", "json")
@on_option
@pass_shell
def list_(
    shell: Shell,
    item_name: str | None,
    everything: bool,
    on: date,
    fmt: str,
    output: Path | None,
) -> None:
    """List the lots on hand."""
    from stockcheck.output import lists
    from stockcheck.store import reads
    from stockcheck.store.names import find_id

    with shell.store() as store:
        conn = store.conn
        only = [find_id(conn, "item", item_name)] if item_name else None
        held: dict[int, list[Any]] = {}
        for each in reads.holdings(conn, item_ids=only):
            held.setdefault(each.lot.id, []).append(each)
        rows = [
            lists.lot_row(each, held.get(each.id, []))
            for each in reads.lots(conn)
            if (everything or each.id in held) and (only is None or each.item.id in only)
        ]
        report = lists.catalogue("lot", rows, on=on, store=store.name)
    emit(report, fmt, output)


@lot.command()
@click.argument("thing", metavar="LOT")
@report_options("text", "csv", "json")
@on_option
@pass_shell
def show(shell: Shell, thing: str, on: date, fmt: str, output: Path | None) -> None:
    """Show a lot's facts, its holdings, and the corrections made to it."""
    from stockcheck.cli.cards import on_hand
    from stockcheck.store import reads
    from stockcheck.store.lots import changes_of
    from stockcheck.store.names import find_id

    with shell.store() as store:
        number = find_id(store.conn, "lot", thing)
        one = reads.lots(store.conn, [number])[0]
        facts = _facts(one, store.currency)
        facts += [
            f"corrected {day}: {field} {was!r} became {became!r}{f' ({why})' if why else ''}"
            for day, field, was, became, why in changes_of(store.conn, number)
        ]
        held = reads.holdings(store.conn, lot_ids=[number])
        report = on_hand(store, f"{one.short}  {one.item.name}", tuple(facts), held, on)
    emit(report, fmt, output)


def _facts(one: Lot, currency: str) -> list[str]:
    from stockcheck.core.calendar import spoken
    from stockcheck.core.words import money

    facts = [f"code {one.code}, kind {one.item.kind.name}"]
    facts += [f"batch {one.batch}"] if one.batch else []
    if one.expiry:
        facts.append(
            f"printed {one.expiry.text!r}, read as {one.expiry.reading},"
            f" good through {spoken(one.expiry.last_usable_day)}"
        )
        facts += [one.expiry.assumed] if one.expiry.assumed else []
    facts += [f"made {one.made} ({one.made_text!r} as written)"] if one.made else []
    if one.received_on:
        facts.append(f"received {spoken(one.received_on)}")
    facts += [f"from {one.supplier}"] if one.supplier else []
    facts += [f"cost {money(one.cost_cents, currency)}"] if one.cost_cents is not None else []
    facts += [one.note] if one.note else []
    return facts


@lot.command()
@click.argument("thing", metavar="LOT")
@click.option("--expiry", metavar="TEXT", help="The maker's date as printed; empty for none.")
@click.option("--made", metavar="TEXT", help="The made date as printed; empty for none.")
@click.option("--received", metavar="DATE", help="The day it was bought; empty for unknown.")
@click.option("--batch", metavar="TEXT", help="Batch as printed.")
@click.option("--note", metavar="TEXT", help="Anything else.")
@click.option("--date-order", type=click.Choice(["dmy", "mdy", "ymd"]), help="Order of figures.")
@click.option(
    "--when-unsure",
    type=click.Choice(["ask", "earliest"]),
    default="ask",
    help="earliest: take the earliest reading and note it on the lot.",
)
@click.option("--reason", default="", help="Why, for the record.")
@on_option
@pass_shell
def change(
    shell: Shell,
    /,
    thing: str,
    date_order: str | None,
    when_unsure: str,
    reason: str,
    on: date,
    **given: str | None,
) -> None:
    """Correct facts of a lot; what they were stays on record, and its limits follow."""
    from stockcheck.core.intake import DateRules
    from stockcheck.store import reads
    from stockcheck.store.lots import change_lot
    from stockcheck.store.names import find_id

    rules = DateRules(on, date_order, when_unsure)
    with shell.store() as store:
        with store.writing() as conn:
            number = find_id(conn, "lot", thing)
            one = reads.lots(conn, [number])[0]
            changes = _changes(one, given, rules)
            if not changes:
                raise BadInput("nothing to change: give at least one of --expiry, --made, --note")
            change_lot(conn, number, changes, stamp(on), reason)
        _tell_limits(store, number)


def _changes(one: Lot, given: dict[str, str | None], rules: Any) -> dict[str, Any]:
    from stockcheck.core.intake import read_day, read_expiry, read_made_date

    context = one.item.kind.dates
    changes: dict[str, Any] = {
        name: " ".join(text.split())
        for name in ("batch", "note")
        if (text := given[name]) is not None
    }
    if (text := given["expiry"]) is not None:
        printed = read_expiry(text, context, rules)
        changes |= {
            "expiry_text": printed.text if printed else "",
            "expiry": printed.reading.iso if printed else None,
            "printed_last_day": printed.last_usable_day.isoformat() if printed else None,
            "expiry_assumed": printed.assumed if printed else "",
        }
    if (text := given["made"]) is not None:
        made = read_made_date(text, context, rules)
        changes |= {"made_text": text, "made": made.iso if made else None}
    if (text := given["received"]) is not None:
        day = read_day(text, rules.today)
        changes["received_on"] = day.isoformat() if day else None
    return changes


def _tell_limits(store: Store, number: int) -> None:
    from stockcheck.core.calendar import spoken
    from stockcheck.store import reads

    click.echo(f"Changed L{number}")
    for each in reads.holdings(store.conn, lot_ids=[number]):
        until = (
            spoken(each.last_usable_day) if each.last_usable_day else each.governed_by or "no date"
        )
        click.echo(f"  in {each.box.name}: now {until}")


COMMANDS = {"lot": lot}
