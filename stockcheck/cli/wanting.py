"""``wanted`` and ``remember``: use that no movement of stock can tell."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    FILE,
    WORDS,
    Shell,
    on_option,
    pass_shell,
    say,
    stamp,
)

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.usage_told import Told
    from stockcheck.store.files import Store

_COLUMNS = ("item", "used", "days", "year", "times", "people", "km", "note")
_TELL = "'stockcheck carry' counts it"


@click.command()
@click.argument("item", required=False)
@click.option(
    "--quantity",
    "-n",
    type=click.IntRange(1, 10**6),
    default=1,
    show_default=True,
    help="How many units lacked.",
)
@click.option("--trip", metavar="NAME", help="On which trip; without it the one under way.")
@click.option("--more", is_flag=True, help="It adds to the last use: some were left, too few.")
@click.option("--note", type=WORDS, default="", help="What for.")
@click.option("--list", "listing", is_flag=True, help="Show what was wanted.")
@click.option("--take-back", metavar="W3", help="Withdraw a line.")
@on_option
@pass_shell
def wanted(
    shell: Shell,
    item: str | None,
    quantity: int,
    trip: str | None,
    more: bool,
    note: str,
    listing: bool,
    take_back: str | None,
    on: date,
) -> None:
    """Write down that ITEM was reached for when none, or not enough, was left.

    It counts as a use: without it a thing that ran out would look as if it had sufficed.

    \b
    Examples:
      stockcheck wanted "tweezers, fine" --note "thorn, left hand"
      stockcheck wanted --list
    """  # fmt: skip
    if sum((item is not None, listing, take_back is not None)) != 1:
        raise click.UsageError("give an ITEM, --list or --take-back")
    with shell.store() as store:
        if listing:
            _list(store, "wanted_in_vain")
        elif take_back is not None:
            _take_back(store, "wanted", "W", take_back, on)
        elif item is not None:
            _want(store, item, quantity, (trip, more, note), on)


def _want(
    store: Store, item: str, quantity: int, more: tuple[str | None, bool, str], on: date
) -> None:
    from stockcheck.core.usage import Wanted
    from stockcheck.core.words import counted
    from stockcheck.store import reads, usage
    from stockcheck.store.names import find_id, name_of

    conn = store.conn
    trip, adds, note = more
    number = find_id(conn, "item", item)
    thing = reads.items(conn, only=[number])[0]
    with store.writing():
        trip_id = find_id(conn, "trip", trip) if trip else usage.trip_on(conn, on)
        together = _last_use(store, number, on) if adds else None
        line = Wanted(on, quantity, trip_id, together, note)
        written = usage.note_wanted(conn, number, line, stamp(on).recorded_at)
    where = f" on {name_of(conn, 'trip', trip_id)}" if trip_id else ", on no trip"
    say(f"W{written}: {counted(quantity, thing.unit)} of {thing.name} wanted in vain{where}")
    if trip_id is None:
        say("what is wanted on no trip does not count for the next one; --trip names it", 2)


def _last_use(store: Store, item_id: int, on: date) -> int:
    from stockcheck.core.errors import BadInput
    from stockcheck.core.movements import What
    from stockcheck.store.usage import entries

    found = [it for it in entries(store.conn, [item_id]) if it.what is What.ISSUED and it.on <= on]
    if not found:
        raise BadInput("there is no use of it to add to; leave --more away")
    return found[-1].together


@click.command()
@click.argument("item", required=False)
@click.option("--used", type=click.IntRange(0, 10**6), help="How many units were used; 0 counts.")
@click.option(
    "--times",
    type=click.IntRange(0, 10**6),
    help="On how many occasions; without it, one for each unit.",
)
@click.option("--days", type=click.IntRange(1, 10**5), help="How long the journey was.")
@click.option("--year", type=click.IntRange(1900, 9999), help="When; without it, this year.")
@click.option(
    "--people", type=click.IntRange(1, 10**4), default=1, show_default=True, help="How many went."
)
@click.option("--km", type=click.IntRange(0, 10**7), help="How far.")
@click.option("--note", type=WORDS, default="", help="Anything else.")
@click.option("--from", "file", type=FILE, help="A CSV file of many, all or nothing.")
@click.option("--list", "listing", is_flag=True, help="Show what was told.")
@click.option("--take-back", metavar="T3", help="Withdraw a line.")
@on_option
@pass_shell
def remember(
    shell: Shell,
    /,
    item: str | None,
    file: Path | None,
    listing: bool,
    take_back: str | None,
    on: date,
    **told: int | str | None,
) -> None:
    """Write down from memory what a journey before the books used of ITEM, none included.

    It counts as told, beside what the ledger knows. Files have the columns item, used, days, year,
    times, people, km and note.

    \b
    Examples:
      stockcheck remember "superglue, 3 g tube" --used 3 --days 60 --year 2024
      stockcheck remember --list
    """  # fmt: skip
    if sum((item is not None, file is not None, listing, take_back is not None)) != 1:
        raise click.UsageError("give an ITEM, --from FILE, --list or --take-back")
    with shell.store() as store:
        if listing:
            _list(store, "told_uses")
        elif take_back is not None:
            _take_back(store, "told_use", "T", take_back, on)
        elif file is not None:
            remember_file(store, file, on)
        elif item is not None:
            if told["used"] is None or told["days"] is None:
                raise click.UsageError("give --used (0 counts too) and --days")
            texts = {name: "" if value is None else str(value) for name, value in told.items()}
            _remember(store, item, _told(texts, on), on)


def _remember(store: Store, item: str, one: Told, on: date) -> None:
    from stockcheck.store import reads, usage
    from stockcheck.store.names import find_id

    number = find_id(store.conn, "item", item)
    with store.writing() as conn:
        written = usage.note_told(conn, number, one, stamp(on).recorded_at)
    thing = reads.items(store.conn, only=[number])[0]
    say(f"T{written}: {thing.name}, {one.words(thing.unit)}; {_TELL}")


def remember_file(store: Store, file: Path, on: date) -> int:
    """Take a file of what is told from memory in; BadFile with all problems, and then nothing."""
    from stockcheck.cli.files import read_csv
    from stockcheck.core.errors import BadFile, BadInput, Problem
    from stockcheck.store import usage
    from stockcheck.store.names import find_id

    problems: list[Problem] = []
    lines = read_csv(file, _COLUMNS, ("item", "used", "days"))
    with store.writing() as conn:
        for line, fields in lines:
            try:
                number = find_id(conn, "item", fields["item"])
                usage.note_told(conn, number, _told(fields, on), stamp(on).recorded_at)
            except BadInput as error:
                said = fields["item"]
                problems.append(
                    Problem(file.name, line, "item", said, error.what, error.remedy or "Mend it")
                )
        if problems:
            raise BadFile(problems)
    click.echo(f"{file.name}: {len(lines)} lines")
    return len(lines)


def _told(fields: dict[str, str], on: date) -> Told:
    """One line of memory from its texts; BadInput names the figure that is wrong."""
    from stockcheck.core.errors import BadInput
    from stockcheck.core.usage_told import Told

    def whole(name: str, usual: int | None, least: int = 0, most: int = 10**6) -> int | None:
        text = (fields.get(name) or "").strip()
        if not text:
            return usual
        if not (text.isascii() and text.isdigit()) or not least <= int(text[:9]) <= most:
            raise BadInput(f"{name} {text!r} is not a whole number from {least} to {most}")
        return int(text)

    used, days = whole("used", None), whole("days", None, 1)
    if used is None or days is None:
        raise BadInput("used or days is empty", "Write how many were used, 0 counts, in how long")
    times = whole("times", used)
    if times is None or times > used or (used and not times):
        raise BadInput(f"used {used} on {times} occasions: an occasion takes 1 unit or more")
    year = whole("year", on.year, 1900, 9999) or on.year
    if year > on.year:
        raise BadInput(f"year {year} is yet to come")
    people, km = whole("people", 1, 1) or 1, whole("km", None)
    return Told(0, used, times, days, people, km, year, _note(fields.get("note") or ""))


def _note(text: str) -> str:
    from stockcheck.core.errors import BadInput
    from stockcheck.core.names import tidy_text

    try:
        return tidy_text(text)
    except BadInput as error:
        raise BadInput(f"the note {error.what}", error.remedy) from error


def _take_back(store: Store, table: str, letter: str, text: str, on: date) -> None:
    from stockcheck.core.errors import UnknownName
    from stockcheck.store.usage import take_back

    digits = text.strip().upper().removeprefix(letter)
    if not (digits.isascii() and digits.isdigit() and len(digits) <= 9):
        raise UnknownName(f"there is no line {text!r}; --list shows them as {letter}3")
    with store.writing() as conn:
        take_back(conn, table, int(digits), stamp(on).recorded_at)
    say(f"{letter}{digits} is taken back; it counts no longer")


def _list(store: Store, view: str) -> None:
    from stockcheck.store.usage import lines_of

    lines = lines_of(store.conn, view)
    for number, item, words in lines:
        say(f"{number}  {item}: {words}")
    if not lines:
        say("None yet.")


COMMANDS = {"wanted": wanted, "remember": remember}
