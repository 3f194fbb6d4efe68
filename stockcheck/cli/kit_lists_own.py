"""``kit-lists`` for one's own: begin, check, keep and let go of lists, and the lists of boxes."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.choosing import lists_alone
from stockcheck.cli.kit_lists_match import MATCHING
from stockcheck.cli.shell import (
    FILE,
    FILE_OR_DASH,
    Shell,
    confirm,
    emit,
    on_option,
    pass_shell,
    put,
    report_options,
    say,
)
from stockcheck.core.errors import BadInput, UnknownName

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.kit_list import BoxKit, KitList
    from stockcheck.store.files import Store


def _has_store(shell: Shell) -> bool:
    from pathlib import Path

    return Path(shell.path).is_file()


def kept(shell: Shell) -> list[KitList]:
    """The person's own lists in the store; none where there is no store."""
    if not _has_store(shell):
        return []
    from stockcheck.cli.kit_choice import one_list
    from stockcheck.store.own_lists import own_list_titles

    with shell.store() as store:
        return [one_list(store.conn, each) for each in own_list_titles(store.conn)]


def named(shell: Shell, name: str) -> KitList:
    """A list by its id or file, of the store's own where there is a store."""
    from stockcheck.cli.kit_choice import one_list

    if not _has_store(shell):
        return one_list(None, name)
    with shell.store() as store:
        return one_list(store.conn, name)


@click.command()
@click.argument("file", type=FILE)
@pass_shell
def check(shell: Shell, file: Path) -> None:
    """Read FILE as a kit list and tell every mistake: row, key, value and remedy.

    \b
    Examples:
      stockcheck kit-lists new crew.toml
      stockcheck kit-lists check crew.toml
    """
    found = _read(shell, file)
    without = sum(line.quantity is None for line in found.lines)
    said = f"{file.name}: no mistake found. {found.id}: {found.title}, {len(found.lines)} lines"
    say(said + (f", {without} of them without a number" if without else ""))
    for line in found.lines:
        if line.scale.words:
            say(f"{line.name}: {line.quantity} {line.unit}, {line.scale.words}", 2)
    if found.notes:
        say(found.notes, 2)


def _read(shell: Shell, file: Path) -> KitList:
    """The list of a file; kinds are those of the store where there is one, else those that ship."""
    from stockcheck.cli.kit_choice import known_to
    from stockcheck.data.kinds import shipped_kinds
    from stockcheck.data.kit_lists import kit_list_file

    if not _has_store(shell):
        return kit_list_file(file, shipped_kinds())
    from stockcheck.store.kinds import kinds_by_key

    with shell.store() as store:
        return kit_list_file(file, kinds_by_key(store.conn), known_to(store.conn))


@click.command()
@click.argument("file", type=FILE_OR_DASH)
@click.option("--extends", "base", metavar="ID", help="A list to start from.")
@click.option("--yes", is_flag=True, help="Write over a file that is there.")
@pass_shell
def new(shell: Shell, file: Path, base: str | None, yes: bool) -> None:
    """Write FILE as the beginning of a list of your own, with every key told in it.

    \b
    Examples:
      stockcheck kit-lists new crew.toml
      stockcheck kit-lists new vehicle.toml --extends de-din-13164-2022
    """
    from stockcheck.data.kit_list_start import start_of

    found = named(shell, base) if base else None
    name = "own-list" if str(file) == "-" else file.stem.casefold().replace(" ", "-")
    if str(file) != "-" and file.exists():
        confirm(f"{file} is there already. Write over it?", yes=yes)
    put(start_of(name, found).encode(), file)


@click.command()
@click.argument("file", type=FILE)
@on_option
@pass_shell
def add(shell: Shell, file: Path, on: date) -> None:
    """Keep the list of FILE in the store, with all that it extends; again to bring it up to date.

    \b
    Examples:
      stockcheck kit-lists new crew.toml --extends uk-hse-low-hazard-box
      stockcheck kit-lists add crew.toml
    """
    from stockcheck.cli.kit_choice import known_to
    from stockcheck.data.kit_lists import kit_list_and_table, kit_list_ids
    from stockcheck.store.kinds import kinds_by_key
    from stockcheck.store.own_lists import keep_list

    with shell.store() as store:
        found, table = kit_list_and_table(file, kinds_by_key(store.conn), known_to(store.conn))
        if found.id in kit_list_ids():
            raise BadInput(
                f"{file.name}, id {found.id!r}: a list that ships has it; choose another"
            )
        with store.writing() as conn:
            there = keep_list(conn, found.id, found.title, table, on)
    said = "brought up to date" if there else "kept"
    say(f"{found.id} {said}: {found.title}, {len(found.lines)} lines")
    say("what it extends is kept as it is now; add it again after a change", 2)


@click.command()
@click.argument("list_id", metavar="ID")
@click.option("--yes", is_flag=True, help="Do not ask.")
@on_option
@pass_shell
def remove(shell: Shell, list_id: str, yes: bool, on: date) -> None:
    """Let go of a list of your own; audits that were recorded against it stay.

    \b
    Examples:
      stockcheck kit-lists list
      stockcheck kit-lists remove crew --yes
    """
    from stockcheck.store.own_lists import boxes_held_against, own_list_titles, retire_list

    with shell.store() as store:
        if list_id not in own_list_titles(store.conn):
            own = ", ".join(own_list_titles(store.conn)) or "none"
            raise UnknownName(f"there is no list of your own {list_id!r}; kept are: {own}")
        boxes = boxes_held_against(store.conn, list_id)
        if boxes:
            raise BadInput(
                f"{list_id} is the usual list of {', '.join(boxes)};"
                " give those another first: stockcheck kit-lists usual BOX ID"
            )
        confirm(f"Let go of {list_id}?", yes=yes)
        with store.writing() as conn:
            retire_list(conn, list_id, on)
    say(f"{list_id} is no longer kept")


@click.command()
@click.argument("box_name", metavar="[BOX]", required=False)
@click.argument("lists", metavar="[ID]...", nargs=-1)
@click.option("--given", "conditions", multiple=True, metavar="CONDITION",
              help="A condition of the box's place, such as running-water.")  # fmt: skip
@click.option("--every", "every_days", type=click.IntRange(1, 3660), metavar="DAYS",
              help="How often to look; else the list's own interval.")  # fmt: skip
@click.option("--none", "forget", is_flag=True, help="Forget the box's list.")
@report_options("text", "csv", "json")
@on_option
@pass_shell
def usual(
    shell: Shell,
    box_name: str | None,
    lists: tuple[str, ...],
    conditions: tuple[str, ...],
    every_days: int | None,
    forget: bool,
    fmt: str,
    output: Path | None,
    on: date,
) -> None:
    """Remember which list a box is held against, and how often; without IDs, show what is.

    \b
    Examples:
      stockcheck kit-lists usual "First aid" de-din-13164-2022 --every 90
      stockcheck kit-lists usual
    """
    from stockcheck.core.kit_list import BoxKit
    from stockcheck.output.kit_list_report import usual_report
    from stockcheck.store.names import find_id, name_of
    from stockcheck.store.own_lists import kits

    if any(name.endswith(".toml") for name in lists):
        raise BadInput("a file may move: keep it with 'kit-lists add FILE', then give its id")
    if forget and (lists or conditions or every_days or box_name is None):
        raise click.UsageError("--none takes a BOX and nothing else")
    if not lists and (conditions or every_days):
        raise click.UsageError("name the list as well: kit-lists usual BOX ID")
    with shell.store() as store:
        conn = store.conn
        box_id = find_id(conn, "box", box_name) if box_name is not None else None
        if box_id is not None and (lists or forget):
            lists_alone("nothing else, to see the list")
            _remember(store, BoxKit(box_id, lists, conditions, every_days))
            return
        rows = [
            (name_of(conn, "box", each.box_id), each)
            for each in kits(conn).values()
            if box_id in {None, each.box_id}
        ]
        report = usual_report(rows, on=on, store=store.name)
    emit(report, fmt, output)


def _remember(store: Store, kit: BoxKit) -> None:
    """Remember what a box is held against, or forget it where there is no list."""
    from stockcheck.cli.auditing import conditions_of
    from stockcheck.cli.kit_choice import chosen
    from stockcheck.store.names import name_of
    from stockcheck.store.own_lists import set_kit

    if kit.lists:
        conditions_of(chosen(store.conn, kit.lists), kit.given)
    with store.writing() as conn:
        set_kit(conn, kit)
    lists = " and ".join(kit.lists)
    box = name_of(store.conn, "box", kit.box_id)
    say(f"{box} is held against {lists}" if lists else f"{box}: list forgotten")


SUBCOMMANDS = (check, new, add, remove, usual, *MATCHING)
