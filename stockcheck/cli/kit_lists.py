"""``kit-lists``: the published contents lists that ship, with source and certainty."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import Tasks, emit, on_option, report_options

if TYPE_CHECKING:
    from pathlib import Path


@click.group("kit-lists", cls=Tasks)
def kit_lists() -> None:
    """Published kit lists: list and show. The law of the place decides which one applies.

    \b
    Examples:
      stockcheck kit-lists list
      stockcheck kit-lists show de-din-13164-2022
    """


@kit_lists.command("list")
@report_options("text", "csv", "json")
@on_option
def list_(on: date, fmt: str, output: Path | None) -> None:
    """List the kit lists that ship."""
    from stockcheck.data.kit_lists import kit_list, kit_list_ids
    from stockcheck.output.kit_list_report import lists_report

    emit(lists_report([kit_list(each) for each in kit_list_ids()], on=on), fmt, output)


@kit_lists.command()
@click.argument("list_id", metavar="ID")
@report_options("text", "csv", "json", "pdf")
@on_option
def show(list_id: str, on: date, fmt: str, output: Path | None, page: str) -> None:
    """Show a list's lines, where they come from, and how sure they are."""
    from stockcheck.data.kit_lists import kit_list
    from stockcheck.output.kit_list_report import lines_report

    emit(lines_report(kit_list(list_id), on=on), fmt, output, page)


COMMANDS = {"kit-lists": kit_lists}
