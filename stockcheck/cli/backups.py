"""``backup`` and ``restore``: a verified copy of the store, and the way back to one."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import FILE, Shell, confirm, pass_shell, say
from stockcheck.core.errors import StoreTrouble

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.store.going_back import Comparison

_SHOWN = 10


@click.command()
@click.argument("file", type=FILE, required=False)
@click.option("--list", "list_", is_flag=True, help="List the dated backups of this store.")
@pass_shell
def backup(shell: Shell, file: Path | None, list_: bool) -> None:
    """Copy the store into FILE, or into a dated file in a folder beside it.

    The copy is made while others may read, held against the store fact by fact, and readable by
    you alone. Dated backups are also made before a change of the schema, a mend and a CSV file of
    50 lines or more. Of these the ten newest are kept, and the last one of each of the last twelve
    months; a FILE that you name is never let go.

    \b
    Examples:
      stockcheck backup
      stockcheck backup before-the-trip.db
    """
    from stockcheck.store.backups import by_hand

    if list_:
        _list(shell)
        return
    with shell.store() as store:
        done = by_hand(store, file)
    say(f"Backed up {done.rows} rows, {done.size // 1024} KiB, read back and equal:")
    click.echo(f"  {done.path}")


def _list(shell: Shell) -> None:
    from stockcheck.store.backups import dated, folder_of

    found = dated(shell.path)
    for each in found:
        click.echo(f"{each.moment}  {each.reason:9}  {folder_of(shell.path) / each.name}")
    if not found:
        say(f"No dated backup lies in {folder_of(shell.path)}; 'stockcheck backup' makes one")


@click.command()
@click.argument("file", type=FILE)
@click.option("--yes", is_flag=True, help="Do not ask.")
@pass_shell
def restore(shell: Shell, file: Path, yes: bool) -> None:
    """Go back to the backup in FILE; what would be lost is shown first, and asked about.

    The store as it is now is kept aside, so that nothing is lost for good.

    \b
    Examples:
      stockcheck restore truck.db --yes
      stockcheck --store stock.db restore truck.db --yes
    """
    from pathlib import Path

    from stockcheck.store.backups import go_back, opened_as_it_is, refuse_no_backup, to_place
    from stockcheck.store.files import trouble
    from stockcheck.store.going_back import compare

    shell.no_folder()
    if not file.exists():
        raise StoreTrouble(f"there is no file {file}; 'stockcheck backup --list' shows backups")
    refuse_no_backup(file)
    if not Path(shell.path).exists():
        with opened_as_it_is(file) as store:
            to_place(store, shell.path)
        say(f"There was no store at {shell.path}; now it is {file}")
        return
    try:
        found = compare(shell.path, file, _SHOWN)
    except sqlite3.Error as error:
        raise trouble(error, shell.path) from error
    same = _tell(found, file)
    if same:
        return
    confirm(f"Go back to {file}?", yes=yes)
    aside = go_back(shell.path, file)
    say(f"{shell.path} is now as {file}. What it was is kept:")
    click.echo(f"  {aside}")


def _tell(found: Comparison | None, file: Path) -> bool:
    """What would be lost; True where there is nothing to go back from."""
    from stockcheck.core.calendar import spoken
    from stockcheck.core.words import counted

    if found is None:
        say("The store cannot be read any more, so that nothing tells what would be lost.")
        return False
    if not found.differences:
        say(f"The store has every fact as {file} has it; nothing was changed")
        return True
    gone = len(found.movements)
    say(f"Lost would be {gone} movement{'' if gone == 1 else 's'} written since:")
    for each in found.last:
        amount = counted(abs(each.quantity), each.unit)
        what = f"{each.what.value}, {amount} of {each.item} (L{each.lot_id}) in {each.box}"
        say(f"M{each.movement_id}  {spoken(each.on_day)}: {what}", 2)
    say("Rows that are otherwise in the backup:")
    for one in found.differences:
        say(f"{one.table}: {one.lost} only here, {one.back} only in the backup", 2)
    return False


COMMANDS = {"backup": backup, "restore": restore}
