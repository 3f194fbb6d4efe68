"""Boxes, items, par levels, suppliers, offers and trips: add, list, show, change, retire.

The six groups are made from one table, so that they work alike; each field has one reader, whether
it comes from an option or from a CSV file.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.catalogue_sorts import SORTS, Sort
from stockcheck.cli.shell import (
    DAY,
    FILE,
    Shell,
    Tasks,
    emit,
    on_option,
    pass_shell,
    report_options,
    say,
)

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.output.report import Report, Row
    from stockcheck.store.files import Store


def _group(sort: Sort) -> click.Group:
    group = Tasks(
        sort.what,
        help=f"{sort.plural.capitalize()}: add, list, show, change, retire."
        f"\n\n\b\nExamples:\n  stockcheck {sort.examples[0]}\n  stockcheck {sort.examples[1]}",
    )
    for command in (_add(sort), _list(sort), _show(sort), _change(sort), _retire(sort)):
        group.add_command(command)
    if sort.what == "trip":
        from stockcheck.cli.forecasting import stop
        from stockcheck.cli.trips import close

        group.add_command(close)
        group.add_command(stop)
    if sort.what == "item":
        from stockcheck.cli.substitutes import substitute

        group.add_command(substitute)
    if sort.what == "par":
        group.add_command(_assurance())
    return group


def _assurance() -> click.Command:
    @pass_shell
    def assurance(shell: Shell, /, **given: str | None) -> None:
        from stockcheck.core.carry_words import percent
        from stockcheck.core.model import Importance
        from stockcheck.core.par_rules import assurances_from
        from stockcheck.store import usage

        with shell.store() as store:
            with store.writing() as conn:
                for name, text in _fields(given).items():
                    assurances_from({name: text})
                    usage.set_assurance(conn, name, text)
            now = assurances_from(usage.assurance_settings(store.conn))
        for each in Importance:
            say(f"{each.value}: {percent(now.of(each))}")

    names = ("vital", "essential", "desirable")
    return click.Command(
        "assurance",
        callback=assurance,
        params=[
            click.Option([f"--{name}"], metavar="99%", help=f"Of {name} things; empty: the usual.")
            for name in names
        ],
        help="The chance of not running out that par levels from history aim at; without an option"
        " it shows them.",
    )


def _field_options(sort: Sort) -> list[click.Parameter]:
    return [
        click.Option([f"--{name}"], metavar="TEXT", help=text)
        for name, text in sort.options.items()
    ]


def _fields(given: dict[str, str | None]) -> dict[str, str]:
    return {name: text for name, text in given.items() if text is not None}


def _add(sort: Sort) -> click.Command:
    @pass_shell
    def add(
        shell: Shell, /, file: Path | None, name: str | None = None, **given: str | None
    ) -> None:
        from stockcheck.store import bulk

        fields = _fields(given)
        if file is not None:
            if name or fields:
                raise click.UsageError("--from takes all from the file; give nothing else")
            _add_file(shell, sort, file)
            return
        if sort.named:
            if name is None:
                raise click.UsageError(f"give the name of the {sort.what}, or --from FILE")
            fields[sort.what] = name
        with shell.store() as store:
            with store.writing() as conn:
                number = bulk.add_text(conn, sort.what, fields)
            click.echo(f"Added {_called(store, sort, number)}")
            _tell_climate(store, sort, fields)

    params: list[click.Parameter] = [
        *([click.Argument(["name"], required=False)] if sort.named else []),
        *_field_options(sort),
        click.Option(
            ["--from", "file"],
            type=FILE,
            help="A CSV file of many, all or nothing.",
        ),
    ]
    columns = [sort.what] if sort.named else []
    columns += [name.replace("-", "_") for name in sort.options]
    return click.Command(
        "add",
        callback=add,
        params=params,
        short_help=f"Add {_one(sort)}, or many from a file.",
        help=f"Add {_one(sort)}, or many from a CSV file with the columns {', '.join(columns)}.",
    )


def _one(sort: Sort) -> str:
    return f"an {sort.one}" if sort.one[0] in "aio" else f"a {sort.one}"


def _add_file(shell: Shell, sort: Sort, file: Path) -> None:
    from stockcheck.cli.files import read_csv
    from stockcheck.store import bulk

    fields = bulk.FIELDS[sort.what]
    required = [name for name, field in fields.items() if field.required]
    lines = read_csv(file, tuple(fields), required)
    with shell.store() as store, store.writing() as conn:
        count = bulk.add_lines(conn, sort.what, file.name, lines)
    click.echo(f"Added {count} {sort.plural} from {file.name}")


def _list(sort: Sort) -> click.Command:
    @pass_shell
    def list_(shell: Shell, retired: bool, on: date, fmt: str, output: Path | None) -> None:
        with shell.store() as store:
            report = _rows(store, sort, on, retired=retired)
        emit(report, fmt, output)

    command = click.Command(
        "list",
        callback=list_,
        params=[click.Option(["--retired"], is_flag=True, help="Those retired too.")],
        help=f"List the {sort.plural}.",
    )
    return report_options("text", "csv", "json")(on_option(command))


def _show(sort: Sort) -> click.Command:
    @pass_shell
    def show(shell: Shell, thing: str, on: date, fmt: str, output: Path | None) -> None:
        from stockcheck.cli.cards import card

        with shell.store() as store:
            report = card(store, sort.what, _number(store, sort, thing), on, table=fmt != "text")
        emit(report, fmt, output)

    command = click.Command(
        "show",
        callback=show,
        params=[click.Argument(["thing"])],
        help=f"Show all that is known of {_one(sort)}.",
    )
    return report_options("text", "csv", "json", lists=False)(on_option(command))


def _change(sort: Sort) -> click.Command:
    @pass_shell
    def change(shell: Shell, /, thing: str, rename: str | None = None, **given: str | None) -> None:
        from stockcheck.store import bulk

        fields = _fields(given)
        if rename is not None:
            fields[sort.what] = rename
        if not fields:
            raise click.UsageError(f"nothing to change: give at least one fact of the {sort.one}")
        with shell.store() as store:
            with store.writing() as conn:
                number = _number(store, sort, thing)
                moved = bulk.change_text(conn, sort.what, number, fields)
            click.echo(f"Changed {_called(store, sort, number)}")
            if moved:
                holdings = "1 holding" if moved == 1 else f"{moved} holdings"
                say(f"the dates of {holdings} changed; 'stockcheck why LOT' tells why", 2)
            _tell_climate(store, sort, fields)

    rename = click.Option(["--rename"], metavar="NAME", help="Its new name.")
    params = [rename] if sort.named else []
    return click.Command(
        "change",
        callback=change,
        params=[click.Argument(["thing"]), *params, *_field_options(sort)],
        help=f"Change some facts of {_one(sort)}; an empty text clears one.",
    )


def _tell_climate(store: Store, sort: Sort, fields: dict[str, str]) -> None:
    """Say when a box's climate is only a note: a mistyped one would be missed without a word."""
    words = fields.get("climate", "").strip()
    if sort.what != "box" or not words:
        return
    from stockcheck.core.names import name_key
    from stockcheck.store.heat import known_climates

    if name_key(words) not in known_climates(store.conn):
        say(f"{words!r} names no climate and is kept as a note; 'climate list' shows them", 2)


def _retire(sort: Sort) -> click.Command:
    @pass_shell
    def retire(shell: Shell, thing: str, on: date, undo: bool) -> None:
        from stockcheck.store import catalogue

        with shell.store() as store:
            with store.writing() as conn:
                number = _number(store, sort, thing)
                called = _called(store, sort, number)
                if undo:
                    catalogue.take_back(conn, sort.what, number)
                else:
                    catalogue.retire(conn, sort.what, number, on)
            click.echo(
                f"{called[0].upper()}{called[1:]} is in use again"
                if undo
                else f"Retired {called}; its history stays"
            )

    return click.Command(
        "retire",
        callback=retire,
        params=[
            click.Argument(["thing"]),
            click.Option(["--on"], type=DAY, envvar="STOCKCHECK_TODAY", default="today",
                         help="The day from which it is out of use."),
            click.Option(["--undo"], is_flag=True, help="Take it back into use."),
        ],
        short_help=f"Take {_one(sort)} out of use.",
        help=f"Take {_one(sort)} out of use; what the ledger mentions stays readable.",
    )  # fmt: skip


def _number(store: Store, sort: Sort, thing: str) -> int:
    """The number of the thing meant: by name, short form or code; P3 and O4 for the nameless."""
    from stockcheck.core.errors import UnknownName
    from stockcheck.store.names import exists, find_id

    if sort.named:
        return find_id(store.conn, sort.what, thing)
    digits = thing.strip().upper().removeprefix(sort.letter)
    if digits.isascii() and digits.isdigit() and exists(store.conn, sort.what, int(digits)):
        return int(digits)
    raise UnknownName(
        f"there is no {sort.one} {thing!r}; '{sort.what} list' shows them as {sort.letter}3"
    )


def _called(store: Store, sort: Sort, number: int) -> str:
    """What a thing is called in messages."""
    if not sort.named:
        return f"{sort.one} {sort.letter}{number}"
    from stockcheck.store.names import name_of

    short = {"box": f" (B{number})", "item": f" (I{number})"}.get(sort.what, "")
    return f"{sort.what} {name_of(store.conn, sort.what, number)!r}{short}"


def _rows(store: Store, sort: Sort, on: date, *, retired: bool) -> Report:
    from stockcheck.output import lists
    from stockcheck.store import reads

    conn = store.conn
    if sort.what == "box":
        everything = reads.boxes(conn, retired=retired)
        counts, places = reads.holding_counts(conn), reads.places(everything)
        rows = [lists.box_row(box, places[box.id], counts.get(box.id, 0)) for box in everything]
    elif sort.what == "item":
        rows = [lists.item_row(each) for each in reads.items(conn, retired=retired)]
    else:
        rows = _planning_rows(store, sort.what, retired=retired)
    return lists.catalogue(sort.what, rows, on=on, store=store.name)


def _planning_rows(store: Store, what: str, *, retired: bool) -> list[Row]:
    from stockcheck.output import lists
    from stockcheck.store import plans

    conn = store.conn
    match what:
        case "par":
            return [lists.par_row(each) for each in plans.pars(conn)]
        case "supplier":
            return [lists.supplier_row(each) for each in plans.suppliers(conn, retired=retired)]
        case "offer":
            return [lists.offer_row(each, store.currency) for each in plans.offers(conn)]
        case _:
            return [lists.trip_row(each) for each in plans.trips(conn, retired=retired)]


COMMANDS = {sort.what: _group(sort) for sort in SORTS}
