"""Heat: a logger's readings, climates, and what another climate would do to a box's dates."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import (
    DAY,
    FILE,
    Shell,
    Tasks,
    confirm,
    emit,
    on_option,
    pass_shell,
    report_options,
    say,
)

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.climate import Climate
    from stockcheck.core.log_reading import LogRead
    from stockcheck.core.model import Holding
    from stockcheck.output.report import Json, Report, Row
    from stockcheck.store.files import Store

_NAMED = 5  # lots


@click.group(cls=Tasks)
def heat() -> None:
    """Heat in a box: a temperature logger's readings, and what they say.

    \b
    Examples:
      stockcheck heat log "Truck bed" logger.csv --zone +02:00
      stockcheck heat show "Truck bed"
    """


@heat.command()
@click.argument("box_name", metavar="BOX")
@click.argument("file", type=FILE)
@click.option("--map", "maps", multiple=True, metavar="OURS=THEIRS",
              help="The heading of time, date, temperature or unit.")  # fmt: skip
@click.option("--scale", type=click.Choice(["C", "F"]), help="If the file does not name it.")
@click.option("--date-order", type=click.Choice(["dmy", "mdy", "ymd"]), help="Order in its dates.")
@click.option("--zone", metavar="+HH:MM", help="The box's clock, for times with a zone.")
@on_option
@pass_shell
def log(
    shell: Shell,
    box_name: str,
    file: Path,
    maps: tuple[str, ...],
    scale: str | None,
    date_order: str | None,
    zone: str | None,
    on: date,
) -> None:
    """Take a temperature logger's CSV export in for BOX: all or nothing, duplicates ignored.

    Times without a zone are the box's own clock; times with one are shown at --zone, else at the
    zone of the first row. Of two readings at one time the warmer is kept. Readings of days to come
    are refused.

    \b
    Examples:
      stockcheck heat log "Truck bed" logger.csv --zone +02:00
      stockcheck heat log Cab logger.csv --map time="Logged at" --scale F
    """
    from stockcheck.cli import log_file
    from stockcheck.store import heat as hot
    from stockcheck.store.limits import lots_of_box, refreshed
    from stockcheck.store.names import find_id, name_of

    named, offset = log_file.named(maps), log_file.offset(zone)
    with shell.store() as store:
        box = find_id(store.conn, "box", box_name)
        found = log_file.read(file, named, scale, date_order, offset)
        log_file.refuse_days_to_come(found, on, file.name)
        if log_file.is_long(len(found.readings)):
            say("Writing them down, and working out what they do to dates ...", err=True)
        with store.writing() as conn:
            new, known = hot.add_readings(conn, box, found.readings)
            moved = refreshed(conn, lots_of_box(conn, box))
        _tell_read(name_of(store.conn, "box", box), found, new, known, moved)


def _tell_read(box: str, found: LogRead, new: int, known: int, moved: list[Holding]) -> None:
    from stockcheck.core.box_heat import moment, of_gaps

    first, last = found.readings[0].at, found.readings[-1].at
    say(f"{new} new readings for {box}, {moment(first)} to {moment(last)}")
    if found.offset is not None:
        minutes = round(found.offset.total_seconds() / 60)
        sign, (hours, rest) = "-" if minutes < 0 else "+", divmod(abs(minutes), 60)
        say(f"times at {sign}{hours:02d}:{rest:02d}; --zone sets another", 2)
    if known:
        say(f"{known} were there already", 2)
    if found.duplicates:
        warmer = f", {found.conflicts} disagreed: the warmer kept" if found.conflicts else ""
        say(f"{found.duplicates} stood twice in the file{warmer}", 2)
    if found.blanks:
        say(f"{found.blanks} rows without a temperature left out", 2)
    for line in of_gaps(found.gaps):
        say(line, 2)
    say(_moved(moved), 2)


def _moved(held: list[Holding]) -> str:
    """Which lots' dates changed, in a few words."""
    if not held:
        return "no date of what is on hand changes by it"
    lots = list(dict.fromkeys(f"{each.lot.short} {each.item.name}" for each in held))
    left_out = len(lots) - _NAMED
    more = f" and {left_out} more" if left_out > 0 else ""
    return (
        f"the dates of {len(held)} holding{'s' * (len(held) > 1)} changed:"
        f" {', '.join(lots[:_NAMED])}{more}; 'stockcheck why LOT' tells how"
    )


@heat.command()
@click.argument("box_name", metavar="BOX")
@click.option("--from", "first", type=DAY, metavar="DATE", help="From this day; else all before.")
@click.option("--until", "last", type=DAY, metavar="DATE", help="Through this day; else all after.")
@click.option("--yes", is_flag=True, help="Do not ask.")
@pass_shell
def forget(shell: Shell, box_name: str, first: date | None, last: date | None, yes: bool) -> None:
    """Take out readings of BOX that never were its own, such as those of another box's logger.

    \b
    Examples:
      stockcheck heat forget Cab --from 2026-11-01 --until 2026-11-20 --yes
      stockcheck heat forget "Truck bed" --yes
    """
    from stockcheck.store import heat as hot
    from stockcheck.store.limits import lots_of_box, refreshed
    from stockcheck.store.names import find_id, name_of

    with shell.store() as store:
        box = find_id(store.conn, "box", box_name)
        name = name_of(store.conn, "box", box)
        with store.writing() as conn:
            gone = hot.drop_readings(conn, box, first, last)
            if gone:
                confirm(f"Forget {gone} readings of {name}?", yes=yes)
            moved = refreshed(conn, lots_of_box(conn, box)) if gone else []
        say(f"{gone} readings of {name} are forgotten")
        say(_moved(moved), 2)


@heat.command()
@click.argument("box_name", metavar="BOX")
@on_option
@pass_shell
def show(shell: Shell, box_name: str, on: date) -> None:
    """Show what is known of the heat in BOX: climate, readings, gaps, times that were too warm.

    \b
    Examples:
      stockcheck heat show "Truck bed"
      stockcheck heat show Medicines
    """
    from stockcheck.core.box_heat import told
    from stockcheck.store import heat as hot
    from stockcheck.store import reads
    from stockcheck.store.names import find_id, name_of

    with shell.store() as store:
        number = find_id(store.conn, "box", box_name)
        exposure = hot.heat_of(store.conn, [number]).exposures.get(number)
        held = reads.holdings(store.conn, box_ids=[number])
        name = name_of(store.conn, "box", number)
    if exposure is None:
        say(f"{name}: neither a climate nor readings are known")
        say(f'name a climate: stockcheck box change "{name}" --climate "house shelf"', 2)
        say(f'or take readings in: stockcheck heat log "{name}" FILE', 2)
        return
    say(f"{name}")
    for indent, words in told(exposure, {each.kind for each in held}, on.year):
        say(words, indent + 2)


@click.group(cls=Tasks)
def climate() -> None:
    """Climates that a box can be kept in: list, show, add your own.

    \b
    Examples:
      stockcheck climate list
      stockcheck box change "Truck bed" --climate "truck bed, hot dry"
    """


@climate.command("list")
@report_options("text", "csv", "json")
@on_option
@pass_shell
def list_(shell: Shell, on: date, fmt: str, output: Path | None) -> None:
    """List the climates, shipped and your own, with their mean kinetic temperature.

    \b
    Examples:
      stockcheck climate list
      stockcheck climate list --format csv
    """
    from stockcheck.store import heat as hot

    with shell.store() as store:
        report = _climates(store, list(hot.known_climates(store.conn).values()), on)
    emit(report, fmt, output)


def _climates(store: Store, found: list[Climate], on: date) -> Report:
    from stockcheck.output.report import Column, Report, Section

    columns = (
        Column("climate", "Climate", weight=3),
        Column("low_c", "Low", right=True, fixed=True),
        Column("high_c", "High", right=True, fixed=True),
        Column("mkt_c", "MKT", right=True, fixed=True),
        Column("note", "Note", weight=6),
    )
    rows = tuple(_climate_row(each, on.year) for each in found)
    return Report("Climates", on, store.name, columns, (Section("", rows),))


def _climate_row(each: Climate, year: int) -> Row:
    from stockcheck.core.climate import climate_mkt
    from stockcheck.output.report import Row

    low = min(day.low_c for day in each.months)
    high = max(day.high_c for day in each.months)
    values: dict[str, Json] = {
        "climate": each.name,
        "low_c": low,
        "high_c": high,
        "mkt_c": round(climate_mkt(each, year), 1),
        "basis": each.basis.value,
        "source": each.source,
        "note": each.note,
    }
    return Row(
        values,
        {"low_c": f"{low:g}", "high_c": f"{high:g}", "note": f"{each.note} ({each.basis.value})"},
    )


@climate.command("show")
@click.argument("name")
@on_option
@pass_shell
def show_climate(shell: Shell, name: str, on: date) -> None:
    """Show a climate's twelve months and where its figures come from.

    \b
    Examples:
      stockcheck climate show "house shelf"
      stockcheck climate show "truck bed, hot dry"
    """
    from stockcheck.core.box_heat import of_climate
    from stockcheck.core.calendar import MONTHS
    from stockcheck.store import heat as hot

    with shell.store() as store:
        found = hot.find_climate(store.conn, name)
    for indent, words in of_climate(found, on.year):
        say(words, indent)
    if not found.is_fixed:
        for month, day in zip(MONTHS, found.months, strict=True):
            click.echo(f"  {month}  {day.low_c:5.1f} to {day.high_c:5.1f} °C")


@climate.command()
@click.option(
    "--from",
    "file",
    required=True,
    type=FILE,
    help="A TOML file: name, source, then fixed_c or twelve low_c and high_c.",
)
@pass_shell
def add(shell: Shell, file: Path) -> None:
    """Add a climate of your own, or renew its figures; the limits of what is kept in it follow.

    \b
    The file, for a box whose temperature you know:
      name = "roof box"
      source = "logger, summer 2026"
      low_c = [5, 7, 10, 13, 17, 20, 22, 22, 19, 15, 10, 6]
      high_c = [14, 16, 20, 24, 30, 35, 38, 38, 33, 26, 19, 15]

    \b
    Examples:
      stockcheck climate add --from climate.toml
      stockcheck box change "Truck bed" --climate "roof box"
    """
    from stockcheck.data.given_files import read_toml
    from stockcheck.store import heat as hot
    from stockcheck.store.limits import refreshed

    table = read_toml(file)
    with shell.store() as store:
        with store.writing() as conn:
            made = hot.add_climate(conn, table, file.name)
            moved = refreshed(conn)
        say(f"Climate {made.name!r} is known")
        say(_moved(moved), 2)


@click.command()
@click.argument("box_name", metavar="BOX")
@click.option("--climate", "name", required=True, metavar="NAME", help="Kept there instead.")
@report_options("text", "csv", "json", "pdf")
@on_option
@pass_shell
def whatif(
    shell: Shell, box_name: str, name: str, fmt: str, output: Path | None, page: str, on: date
) -> None:
    """Show how the dates in BOX would shift if it were kept in another climate from now on.

    \b
    Examples:
      stockcheck whatif "Sealants and adhesives" --climate "house shelf"
      stockcheck whatif Medicines --climate "truck bed, hot dry" --format csv
    """
    from stockcheck.output.whatif_report import whatif_report
    from stockcheck.store import reads
    from stockcheck.store.names import find_id
    from stockcheck.store.shifts import shifts

    with shell.store() as store:
        boxes = reads.boxes(store.conn, retired=True)
        inside = reads.box_and_inside(boxes, find_id(store.conn, "box", box_name))
        rows = shifts(store.conn, inside, name, on)
        report = whatif_report(rows, box=box_name, climate=name, on=on, store=store.name)
    emit(report, fmt, output, page)


COMMANDS = {"heat": heat, "climate": climate, "whatif": whatif}
