"""``order`` and ``purchase``: purchases made from the restock list, and what became of them."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    DAY,
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
    trip_named,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from stockcheck.core.purchasing import Order
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store


@click.command("order")
@click.argument("trip", required=False)
@click.option("--by", type=DAY, help="Without a trip: the day through which stock must last.")
@click.option("--box", "box_name", metavar="NAME", help="Only for this box and the boxes inside.")
@click.option("--supplier", "names", multiple=True, metavar="NAME", help="Only from this one.")
@click.option("--budget", metavar="AMOUNT", help="No more than this: vital things come first.")
@click.option("--expected", type=DAY, help="When it comes, if not by the usual lead time.")
@click.option("--dry-run", is_flag=True, help="Show what would be ordered; change nothing.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@report_options("text", "csv", "json", "pdf", lists=False)
@on_option
@pass_shell
def order(
    shell: Shell,
    trip: str | None,
    by: date | None,
    box_name: str | None,
    names: tuple[str, ...],
    budget: str | None,
    expected: date | None,
    dry_run: bool,
    yes: bool,
    fmt: str,
    output: Path | None,
    page: str,
    on: date,
) -> None:
    """Make purchases of what the restock list for TRIP buys, one for each supplier.

    It writes down that you ordered; it sends nothing. What is on order counts in the next list.

    \b
    Examples:
      stockcheck order "Spring count" --dry-run
      stockcheck order "Spring count" --supplier "Corner pharmacy" --yes
    """
    from dataclasses import replace

    from stockcheck.store import purchases

    if (trip is None) == (by is None):
        raise click.UsageError("give the TRIP or --by DATE, one of both")
    with shell.store() as store:
        made = _planned(store, trip, (by, box_name, budget), on)
        wanted = _only_from(store, made, names)
        if expected is not None:
            wanted = [replace(one, expected_on=expected) for one in wanted]
        if dry_run or not wanted:
            emit(_report(store, wanted, on, "To order"), fmt, output, page)
            return
        if not yes:
            emit(_report(store, wanted, on, "To order"), "text", None)
        many = "this purchase" if len(wanted) == 1 else f"these {len(wanted)} purchases"
        confirm(f"Write down {many}?", yes=yes)
        with store.writing() as conn:
            numbers = [purchases.write_order(conn, one, stamp(on)) for one in wanted]
        done = [one for one in purchases.orders(store.conn) if one.id in numbers]
        emit(_report(store, done, on, "Ordered"), fmt, output, page)


def _planned(
    store: Store, name: str | None, limits: tuple[date | None, str | None, str | None], on: date
) -> tuple[Order, ...]:
    """What the restock list buys, as purchases that are not yet written."""
    from stockcheck.cli.restock import cents_of, planned, sources_of
    from stockcheck.core.purchasing import orders_of

    by, box_name, budget = limits
    going = trip_named(store, name)
    horizon = going.horizon if going else by or on
    needs = planned(store, going, by, box_name, on, cents_of(budget))
    sources = sources_of(store, (on, horizon))
    return orders_of(needs, sources, on, horizon, going.id if going else None)


def _only_from(store: Store, made: Sequence[Order], names: tuple[str, ...]) -> list[Order]:
    from stockcheck.store.names import find_id

    wanted = {find_id(store.conn, "supplier", name) for name in names}
    return [one for one in made if not wanted or one.supplier_id in wanted]


def _report(store: Store, orders: Sequence[Order], on: date, title: str) -> Report:
    from stockcheck.output.order_report import order_report

    return order_report(
        orders,
        on=on,
        store=store.name,
        currency=store.currency,
        title=title,
        empty="Nothing to order: all that lacks is there, on order, or sold by nobody.",
    )


@click.group(cls=Tasks)
def purchase() -> None:
    """Purchases: list, show, cancel. 'order' makes them, 'receive --order N' books them in.

    \b
    Examples:
      stockcheck purchase list
      stockcheck purchase list --format csv
    """


@purchase.command("list")
@click.option("--all", "everything", is_flag=True, help="Those delivered and cancelled too.")
@report_options("text", "csv", "json")
@on_option
@pass_shell
def list_(shell: Shell, everything: bool, fmt: str, output: Path | None, on: date) -> None:
    """List what is on order."""
    from stockcheck.output.order_report import purchases_report
    from stockcheck.store import purchases

    with shell.store() as store:
        found = [
            one
            for one in purchases.orders(store.conn)
            if everything or one.state in {"open", "partly delivered"}
        ]
        report = purchases_report(found, on=on, store=store.name, currency=store.currency)
    emit(report, fmt, output)


@purchase.command("show")
@click.argument("number")
@report_options("text", "csv", "json", "pdf", lists=False)
@on_option
@pass_shell
def show(shell: Shell, number: str, fmt: str, output: Path | None, page: str, on: date) -> None:
    """Show a purchase line by line, as a list to send or to check a delivery against."""
    from stockcheck.store import purchases

    with shell.store() as store:
        report = _report(store, [purchases.order(store.conn, number)], on, "Purchase")
    emit(report, fmt, output, page)


@purchase.command("cancel")
@click.argument("number")
@click.option("--reason", type=WORDS, default="", help="Why nothing more will come.")
@on_option
@pass_shell
def cancel(shell: Shell, number: str, reason: str, on: date) -> None:
    """Nothing more of a purchase will come; what came of it stays."""
    from stockcheck.store import purchases

    with shell.store() as store, store.writing() as conn:
        one = purchases.order(conn, number)
        purchases.end_order(conn, one.id, stamp(on), reason)
    say(f"Purchase {one.id} from {one.supplier} is cancelled; it no longer counts as on order")


COMMANDS = {"order": order, "purchase": purchase}
