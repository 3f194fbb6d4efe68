"""``export`` and ``import``: everything as plain files, and a store made of them again."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import FILE, FOLDER, Shell, pass_shell, say

if TYPE_CHECKING:
    from pathlib import Path


@click.command()
@click.argument("folder", type=FOLDER)
@click.option(
    "--format",
    "form",
    type=click.Choice(["csv", "jsonl"]),
    default="csv",
    show_default=True,
    help="CSV for spreadsheets, or JSON Lines.",
)
@pass_shell
def export(shell: Shell, folder: Path, form: str) -> None:
    """Write everything in the store into a new FOLDER: one file for each table, and a manifest.

    'import' makes an equal store of it. A text that a spreadsheet would take for a formula gets a
    leading apostrophe, which 'import' takes off again.

    \b
    Examples:
      stockcheck export everything
      stockcheck export everything-as-lines --format jsonl
    """
    from stockcheck.store.exporting import export as write

    with shell.store() as store:
        done = write(store, folder, form)
    tables = sum(1 for count in done.rows.values() if count)
    say(f"Exported {sum(done.rows.values())} rows of {tables} tables into {folder}")
    for name in done.left_out:
        say(f"left out: {name}, a table of another program", 2)


@click.command("import")
@click.argument("folder", type=FOLDER)
@click.option("--to", "new", type=FILE, required=True, help="The new store's file.")
@click.option("--edited", is_flag=True, help="Take files that were changed after the export.")
def import_(folder: Path, new: Path, edited: bool) -> None:
    """Make a new store of an exported FOLDER, equal to the one it came from.

    All or nothing: what is missing, damaged or contradicts itself is told with its file, line and
    field. On hand and limits are worked out anew from the movements.

    \b
    Examples:
      stockcheck export everything
      stockcheck import everything --to copy.db
    """
    from stockcheck.store.importing import import_folder

    counts = import_folder(folder, new, edited=edited)
    say(f"Made {new} of {folder}: {sum(counts.values())} rows")


COMMANDS = {"export": export, "import": import_}
