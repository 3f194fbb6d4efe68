"""``audit``: a box held against a kit list, or every box against its usual one."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    Shell,
    emit,
    fail_on_option,
    leave_with_findings,
    on_option,
    pass_shell,
    report_options,
    trip_named,
)

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.cli.auditing import Asked, Audited
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store

_FINDINGS = (
    "short", "missing", "expired", "undated", "ends on trip", "wrong size", "surplus",
    "not on list", "on hold",
)  # fmt: skip


@click.command()
@click.argument("box_name", metavar="[BOX]", required=False)
@click.option(
    "--list",
    "lists",
    multiple=True,
    metavar="ID|FILE",
    help="A kit list by its id, or your own TOML file; several add up. Else the box's usual one.",
)
@click.option(
    "--all", "every", is_flag=True, help="Every box that has a usual list, one line each."
)
@click.option("--trip", metavar="NAME", help="Also whether the box lasts through this trip.")
@click.option(
    "--people", type=click.IntRange(min=1), help="For lists per person; else the trip's people."
)
@click.option("--days", type=click.IntRange(min=1), help="For lists per day; else the trip's days.")
@click.option(
    "--given",
    "conditions",
    multiple=True,
    metavar="CONDITION",
    help="A condition of the place that the list asks about, such as running-water.",
)
@click.option("--explain", is_flag=True, help="Why stock stands at the line where it stands.")
@click.option("--match", is_flag=True, help="Say which line an item serves, or does not; it asks.")
@fail_on_option(*_FINDINGS)
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def audit(
    shell: Shell,
    box_name: str | None,
    lists: tuple[str, ...],
    every: bool,
    trip: str | None,
    people: int | None,
    days: int | None,
    conditions: tuple[str, ...],
    explain: bool,
    match: bool,
    fail_on: tuple[str, ...],
    fmt: str,
    output: Path | None,
    page: str,
    on: date,
) -> None:
    """Hold BOX, with the boxes inside it, against a kit list: what is short, expired, too small.

    Without --list the box's usual list is taken ('kit-lists usual' remembers one). What is short
    goes on a list to buy with 'restock --list ID --box BOX'. Audits done at the box itself are
    kept: 'round do', and 'round history' for what changed since.

    \b
    Examples:
      stockcheck audit "First aid" --list de-din-13164-2022 --trip "Spring count"
      stockcheck audit B12 --list uk-hse-low-hazard-box --format pdf \\
          --output a.pdf
      stockcheck audit --all
    """
    from stockcheck.cli.auditing import Asked

    if every == (box_name is not None):
        raise click.UsageError("name one BOX, or give --all for every box with a usual list")
    if every and (match or lists):
        raise click.UsageError("--all takes each box's own usual list: no --list and no --match")
    with shell.store() as store:
        asked = Asked(on, trip_named(store, trip), lists, people, days, conditions)
        if box_name is None:
            from stockcheck.cli.audit_several import summary_of

            report = summary_of(store, asked)
        else:
            if match:
                from stockcheck.cli.audit_matching import match_by_hand

                match_by_hand(store, box_name, asked)
            report = audit_of(store, box_name, asked, explain=explain)
    report = emit(report, fmt, output, page)
    leave_with_findings(_found(report), fail_on)


def _found(report: Report) -> set[str]:
    """The findings of the rows; of a summary those that its rows count."""
    found = set()
    for row in report.rows:
        if "finding" in row.values:
            found.add(str(row.values["finding"]))
        counts = row.values.get("findings")
        if isinstance(counts, dict):
            found |= {word for word, count in counts.items() if count}
    return found


def audit_of(store: Store, box_name: str, asked: Asked, *, explain: bool = False) -> Report:
    """The audit of a box as a report."""
    from stockcheck.cli.auditing import audited

    return told(store, audited(store, box_name, asked), asked, explain=explain)


def told(store: Store, done: Audited, asked: Asked, *, explain: bool = False) -> Report:
    """An audit that is done, as a report."""
    from stockcheck.cli.auditing import scale_facts
    from stockcheck.core.planning import trip_words
    from stockcheck.data.kinds import cautions, kit_cautions
    from stockcheck.output.audit_report import audit_report
    from stockcheck.store.kinds import kinds_by_key

    facts = (trip_words(asked.going),) if asked.going else ()
    return audit_report(
        done.result,
        box=done.box,
        store=store.name,
        facts=(*facts, *scale_facts(done.kit_list, asked)),
        cautions=cautions(),
        kit_cautions=kit_cautions(),
        kinds=kinds_by_key(store.conn).values(),
        explain=explain,
    )


COMMANDS = {"audit": audit}
