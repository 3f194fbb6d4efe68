"""``audit``: a box held against a published kit list."""

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
    on_the_way,
    pass_shell,
    report_options,
    trip_named,
)

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.kit_list import KitList
    from stockcheck.core.planning import Trip
    from stockcheck.output.report import Report
    from stockcheck.store.files import Store

_FINDINGS = (
    "short", "missing", "expired", "undated", "ends on trip", "wrong size", "surplus",
    "not on list",
)  # fmt: skip


@click.command()
@click.argument("box_name", metavar="BOX")
@click.option(
    "--list",
    "lists",
    multiple=True,
    required=True,
    metavar="ID|FILE",
    help="A kit list by its id, or your own TOML file; several add up.",
)
@click.option("--trip", metavar="NAME", help="Also whether the box lasts through this trip.")
@click.option(
    "--people", type=click.IntRange(min=1), help="For lists per person; else the trip's people."
)
@click.option(
    "--given",
    "conditions",
    multiple=True,
    metavar="CONDITION",
    help="A condition of the place that the list asks about, such as running-water.",
)
@fail_on_option(*_FINDINGS)
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def audit(
    shell: Shell,
    box_name: str,
    lists: tuple[str, ...],
    trip: str | None,
    people: int | None,
    conditions: tuple[str, ...],
    fail_on: tuple[str, ...],
    fmt: str,
    output: Path | None,
    page: str,
    on: date,
) -> None:
    """Hold BOX, with the boxes inside it, against a kit list: what is short, expired, too small.

    \b
    Examples:
      stockcheck audit "First aid" --list de-din-13164-2022 --trip "Spring count"
      stockcheck audit B12 --list uk-hse-low-hazard-box --format pdf \\
          --output a.pdf
    """

    with shell.store() as store:
        kit_list = _together(store, lists)
        going = trip_named(store, trip)
        report = audit_of(store, box_name, kit_list, going, people, conditions, on)
    emit(report, fmt, output, page)
    leave_with_findings({str(row.values["finding"]) for row in report.rows}, fail_on)


def _together(store: Store, lists: tuple[str, ...]) -> KitList:
    from pathlib import Path

    from stockcheck.core.kit_list import together
    from stockcheck.data.kit_lists import kit_list, kit_list_file
    from stockcheck.store.kinds import kinds_by_key

    found = [
        kit_list_file(Path(name), kinds_by_key(store.conn))
        if name.endswith(".toml")
        else kit_list(name)
        for name in lists
    ]
    return found[0] if len(found) == 1 else together(found)


def audit_of(
    store: Store,
    box_name: str,
    kit_list: KitList,
    going: Trip | None,
    people: int | None,
    conditions: tuple[str, ...],
    on: date,
) -> Report:
    """The audit of a box as a report."""
    from stockcheck.core.audit import audit as hold_against
    from stockcheck.core.errors import BadInput
    from stockcheck.core.planning import trip_words
    from stockcheck.data.kinds import cautions
    from stockcheck.output.audit_report import audit_report
    from stockcheck.store import reads
    from stockcheck.store.names import find_id, name_of

    for word in conditions:
        if word not in kit_list.conditions:
            asked = ", ".join(kit_list.conditions) or "none"
            raise BadInput(f"{word!r} is no condition of {kit_list.id}; it asks about: {asked}")
    conn = store.conn
    number = find_id(conn, "box", box_name)
    inside = reads.box_and_inside(reads.boxes(conn, retired=True), number)
    result = hold_against(
        kit_list,
        on_the_way(store, reads.holdings(conn, box_ids=inside), going),
        on,
        horizon=going.horizon if going else None,
        people=people or (going.people if going else 1),
        conditions=frozenset(conditions),
    )
    return audit_report(
        result,
        box=name_of(conn, "box", number),
        on=on,
        store=store.name,
        facts=(trip_words(going),) if going else (),
        cautions=cautions(),
    )


COMMANDS = {"audit": audit}
