"""``kit-lists``: contents lists, published and one's own, and which box is held against which."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli import kit_lists_own
from stockcheck.cli.shell import Shell, Tasks, emit, on_option, pass_shell, report_options

if TYPE_CHECKING:
    from pathlib import Path


@click.group("kit-lists", cls=Tasks)
def kit_lists() -> None:
    """Kit lists: published ones, your own, compared. The law of the place decides which applies.

    \b
    Examples:
      stockcheck kit-lists list
      stockcheck kit-lists compare de-din-13164-2014 de-din-13164-2022
    """


@kit_lists.command("list")
@report_options("text", "csv", "json")
@on_option
@pass_shell
def list_(shell: Shell, on: date, fmt: str, output: Path | None) -> None:
    """List the kit lists that ship, and your own that the store keeps.

    \b
    Examples:
      stockcheck kit-lists list
      stockcheck kit-lists list --format csv
    """
    from stockcheck.data.kit_lists import kit_list, kit_list_ids
    from stockcheck.output.kit_list_report import lists_report

    own = kit_lists_own.kept(shell)
    ship = [kit_list(each) for each in kit_list_ids() if each not in {it.id for it in own}]
    emit(lists_report([*own, *ship], on=on), fmt, output)


@kit_lists.command()
@click.argument("list_id", metavar="ID|FILE")
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def show(shell: Shell, list_id: str, on: date, fmt: str, output: Path | None, page: str) -> None:
    """Show a list's lines, where they come from, and how sure they are.

    \b
    Examples:
      stockcheck kit-lists show de-din-13164-2022
      stockcheck kit-lists show us-agency-aircraft-survival --format json
    """
    from stockcheck.data.kinds import kit_cautions, shipped_kinds
    from stockcheck.output.kit_list_report import lines_report

    found = kit_lists_own.named(shell, list_id)
    kinds = shipped_kinds().values()
    emit(lines_report(found, on=on, kit_cautions=kit_cautions(), kinds=kinds), fmt, output, page)


@kit_lists.command()
@click.argument("first", metavar="ID|FILE")
@click.argument("second", metavar="ID|FILE")
@click.option("--people", type=click.IntRange(min=1), default=1, help="For lists per person.")
@click.option("--days", type=click.IntRange(min=1), default=1, help="For lists per day.")
@click.option("--differing", is_flag=True, help="Only the lines that differ.")
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def compare(
    shell: Shell,
    first: str,
    second: str,
    people: int,
    days: int,
    differing: bool,
    on: date,
    fmt: str,
    output: Path | None,
    page: str,
) -> None:
    """Put two lists side by side: lines that are equal, that ask more or fewer, or stand alone.

    What a box lacks to meet another list tells 'audit BOX --list ID', and 'restock --list ID
    --box BOX' what to get for it.

    \b
    Examples:
      stockcheck kit-lists compare de-din-13164-2014 de-din-13164-2022
      stockcheck kit-lists compare uk-hse-low-hazard-box \\
          uk-bs-8599-1-2019-small --differing
    """
    from stockcheck.core.kit_compare import compared
    from stockcheck.output.kit_compare_report import compare_report

    one, other = kit_lists_own.named(shell, first), kit_lists_own.named(shell, second)
    pairs = compared(one, other, people, days)
    emit(compare_report(one, other, pairs, on=on, differing=differing), fmt, output, page)


for command in kit_lists_own.SUBCOMMANDS:
    kit_lists.add_command(command)

COMMANDS = {"kit-lists": kit_lists}
