"""Lots: listing them, showing one, and correcting a fact with a record of what it was."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from stockcheck.cli.shell import (
    WORDS,
    Shell,
    Tasks,
    emit,
    on_option,
    pass_shell,
    report_options,
    say,
    stamp,
)
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.intake import DateRules
    from stockcheck.core.model import DateContext, Lot
    from stockcheck.store.files import Store

# What the corrected columns are called.
_FIELDS = {
    "expiry_text": "the date as printed",
    "expiry": "its reading",
    "printed_last_day": "its last usable day",
    "expiry_assumed": "what was assumed",
    "made_text": "the made date as written",
    "made": "the made date",
    "received_on": "the day it was bought",
    "batch": "the batch",
    "note": "the note",
}


@click.group(cls=Tasks)
def lot() -> None:
    """Lots: what came in together, with its batch and dates.

    \b
    Examples:
      stockcheck lot list --item "AA cells, alkaline"
      stockcheck lot change L59 --expiry "EXP 04/2027" --reason misread
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
    emit(replace(report, empty="None on hand; 'stockcheck receive' takes stock in."), fmt, output)


@lot.command()
@click.argument("thing", metavar="LOT")
@report_options("text", "csv", "json", lists=False)
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
        facts += [_correction(*change) for change in changes_of(store.conn, number)]
        held = reads.holdings(store.conn, lot_ids=[number])
        report = on_hand(store, f"{one.short}  {one.item.name}", tuple(facts), held, on)
    emit(report, fmt, output)


def _correction(day: str, field: str, was: str, became: str, why: str) -> str:
    because = f" ({why})" if why else ""
    return f"corrected {day}: {_FIELDS[field]} was {was or 'unknown'}, is {became or 'unknown'}" + (
        because
    )


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


@lot.command(short_help="Correct facts of a lot; what they were stays on record.")
@click.argument("thing", metavar="LOT")
@click.option("--expiry", metavar="TEXT", help="The maker's date as printed; empty for none.")
@click.option("--made", metavar="TEXT", help="The made date as printed; empty for none.")
@click.option("--received", metavar="DATE", help="The day it was bought; empty for unknown.")
@click.option("--batch", type=WORDS, metavar="TEXT", help="Batch as printed.")
@click.option("--note", type=WORDS, metavar="TEXT", help="Anything else.")
@click.option("--date-order", type=click.Choice(["dmy", "mdy", "ymd"]), help="Order of figures.")
@click.option(
    "--when-unsure",
    type=click.Choice(["ask", "earliest"]),
    default="ask",
    help="earliest: take the earliest reading and note it on the lot.",
)
@click.option("--reason", type=WORDS, default="", help="Why, for the record.")
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

    if not any(text is not None for text in given.values()):
        names = ", ".join(f"--{name}" for name in given)
        raise click.UsageError(f"nothing to change: give at least one of {names}")
    rules = DateRules(on, date_order, when_unsure)
    with shell.store() as store:
        one = reads.lots(store.conn, [find_id(store.conn, "lot", thing)])[0]
        changes = _changes(one, given, rules)
        with store.writing() as conn:
            change_lot(conn, one.id, changes, stamp(on), reason)
        _tell_limits(store, one.id, on)


def _changes(one: Lot, given: dict[str, str | None], rules: DateRules) -> dict[str, Any]:
    """The lot's columns as the options want them; an unsure date is asked at a terminal."""
    from stockcheck.cli.asking import ask_made
    from stockcheck.core.intake_dates import read_printed_made

    context = one.item.kind.dates
    changes: dict[str, Any] = {
        name: " ".join(text.split())
        for name in ("batch", "note")
        if (text := given[name]) is not None
    }
    if (text := given["expiry"]) is not None:
        changes |= _expiry(text, context, rules)
    if (text := given["made"]) is not None:
        made = ask_made(text, context, rules) or read_printed_made(text, context, rules)
        changes |= {
            "made_text": made.noted if made else "",
            "made": made.reading.iso if made else None,
        }
    if (text := given["received"]) is not None:
        changes["received_on"] = _past_day(text, rules.today)
    _refuse_contradictions(one, changes)
    return changes


def _refuse_contradictions(one: Lot, changes: dict[str, Any]) -> None:
    """BadInput when the lot's days, as they would be, cannot all be true."""
    from stockcheck.core.calendar import PartialDate
    from stockcheck.core.errors import with_remedy
    from stockcheck.core.intake_dates import LotDays, contradictions
    from stockcheck.core.model import PrintedExpiry

    made, received, expiry = one.made, one.received_on, one.expiry
    if "made" in changes:
        made = PartialDate(changes["made"]) if changes["made"] else None
    if "received_on" in changes:
        received = date.fromisoformat(changes["received_on"]) if changes["received_on"] else None
    if "expiry" in changes:
        expiry = None
        if changes["expiry"]:
            last = date.fromisoformat(changes["printed_last_day"])
            reading = PartialDate(changes["expiry"])
            expiry = PrintedExpiry(changes["expiry_text"], reading, last)
    for field, what, remedy in contradictions(LotDays(expiry, made, received)):
        raise BadInput(with_remedy(f"{field} {what}", remedy))


def _expiry(text: str, context: DateContext, rules: DateRules) -> dict[str, Any]:
    from stockcheck.cli.asking import ask_expiry
    from stockcheck.core.intake import read_expiry

    printed = ask_expiry(text, context, rules) or read_expiry(text, context, rules)
    return {
        "expiry_text": printed.text if printed else "",
        "expiry": printed.reading.iso if printed else None,
        "printed_last_day": printed.last_usable_day.isoformat() if printed else None,
        "expiry_assumed": printed.assumed if printed else "",
    }


def _past_day(text: str, today: date) -> str | None:
    from stockcheck.core.intake import read_day

    day = read_day(text, today)
    if day is not None and day > today:
        raise BadInput(f"--received {text!r} is after today, {today}; look at the year again")
    return day.isoformat() if day else None


def _tell_limits(store: Store, number: int, on: date) -> None:
    from stockcheck.cli.telling import stands
    from stockcheck.store import reads

    click.echo(f"Changed L{number}")
    for each in reads.holdings(store.conn, lot_ids=[number]):
        opened = ", opened" if each.opened_on else ""
        say(f"in {each.box.name}{opened}: now {stands(each, on)}", 2)


COMMANDS = {"lot": lot}
