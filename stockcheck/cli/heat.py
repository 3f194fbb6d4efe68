"""Heat: a logger's readings, climates, and what another climate would do to a box's dates."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import Shell, Tasks, emit, on_option, pass_shell, report_options, say
from stockcheck.core.errors import BadFile, BadInput

if TYPE_CHECKING:
    from stockcheck.core.climate import Climate
    from stockcheck.core.log_reading import LogRead
    from stockcheck.core.temperature_log import TemperatureLog
    from stockcheck.output.report import Json, Report, Row
    from stockcheck.store.files import Store

_PROGRESS_FROM = 20_000
_MOST_ROWS = 2_000_000


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
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--map", "maps", multiple=True, metavar="OURS=THEIRS",
              help="The heading of time, date, temperature or unit.")  # fmt: skip
@click.option("--scale", type=click.Choice(["C", "F"]), help="If the file does not name it.")
@click.option("--date-order", type=click.Choice(["dmy", "mdy", "ymd"]), help="Order in its dates.")
@click.option("--zone", metavar="+HH:MM", help="The box's clock, for times with a zone.")
@pass_shell
def log(
    shell: Shell,
    box_name: str,
    file: Path,
    maps: tuple[str, ...],
    scale: str | None,
    date_order: str | None,
    zone: str | None,
) -> None:
    """Take a temperature logger's CSV export in for BOX: all or nothing, duplicates ignored."""
    from stockcheck.store import heat as hot
    from stockcheck.store.limits import refresh_limits
    from stockcheck.store.names import find_id

    told = dict(_pair(text) for text in maps)
    with shell.store() as store:
        box = find_id(store.conn, "box", box_name)
        found = _read(file, told, scale, date_order, _offset(zone))
        if found.problems:
            raise BadFile(list(found.problems))
        if not found.readings:
            raise BadInput(f"{file} has no readings; look at its columns and --map")
        with store.writing() as conn:
            new, known = hot.add_readings(conn, box, found.readings)
            moved = refresh_limits(conn)
        first, last = found.readings[0].at, found.readings[-1].at
        say(f"{new} readings for {box_name}, {first:%Y-%m-%d %H:%M} to {last:%Y-%m-%d %H:%M}")
        again = known + found.duplicates
        say(f"{again} were there already or twice in the file, {found.blanks} rows blank", 2)
        for gap in found.gaps[:5]:
            say(f"gap: {gap.after:%Y-%m-%d %H:%M} to {gap.before:%Y-%m-%d %H:%M}", 2)
        if len(found.gaps) > 5:
            say(f"and {len(found.gaps) - 5} more gaps", 2)
        say(f"the limits of {moved} holdings moved", 2)


def _pair(text: str) -> tuple[str, str]:
    ours, sign, theirs = text.partition("=")
    if not sign or not theirs:
        raise click.UsageError(f"--map {text!r} is not OURS=THEIRS")
    return ours, theirs


def _offset(zone: str | None) -> timedelta | None:
    if zone is None:
        return None
    sign, hours, minutes = zone[:1], zone[1:3], zone[4:6] or "00"
    if sign not in "+-" or not (hours.isdigit() and minutes.isdigit()) or len(zone) not in {3, 6}:
        raise click.UsageError(f"--zone {zone!r} is not an offset such as +02:00")
    found = timedelta(hours=int(hours), minutes=int(minutes))
    return -found if sign == "-" else found


def _read(
    file: Path,
    told: dict[str, str],
    scale: str | None,
    date_order: str | None,
    offset: timedelta | None,
) -> LogRead:
    from stockcheck.cli.files import read_table
    from stockcheck.core.log_reading import Scale, find_columns, read_log
    from stockcheck.core.log_time import DateOrder

    headings, rows = read_table(file, _MOST_ROWS)
    columns = find_columns(headings, told, Scale(scale) if scale else None)
    order = DateOrder(date_order) if date_order else None
    return read_log(_watched(rows), columns, file=file.name, order=order, offset=offset)


def _watched(
    rows: list[tuple[int, dict[str, str]]],
) -> Iterable[tuple[int, dict[str, str]]]:
    import sys

    if len(rows) < _PROGRESS_FROM or not sys.stderr.isatty():
        return rows
    return _with_bar(rows)


def _with_bar(rows: list[tuple[int, dict[str, str]]]) -> Iterator[tuple[int, dict[str, str]]]:
    import sys

    with click.progressbar(rows, label="Reading", file=sys.stderr, update_min_steps=2000) as bar:
        yield from bar


@heat.command()
@click.argument("box_name", metavar="BOX")
@pass_shell
def show(shell: Shell, box_name: str) -> None:
    """Show what is known of the heat in BOX: climate, readings, mean kinetic temperature, gaps."""
    from stockcheck.store import heat as hot
    from stockcheck.store import reads
    from stockcheck.store.names import find_id

    with shell.store() as store:
        number = find_id(store.conn, "box", box_name)
        boxes = reads.boxes(store.conn, retired=True)
        exposure = hot.heat_of(store.conn, boxes).exposures.get(number)
        held = reads.holdings(store.conn, box_ids=[number])
        if exposure is None:
            say(f"{box_name}: neither a climate nor readings are known.")
            say("'box change BOX --climate NAME' names one, 'heat log BOX FILE' takes readings.", 2)
            return
        if exposure.climate is not None:
            _tell_climate(exposure.climate)
        if exposure.log is not None:
            _tell_log(exposure.log, [each.kind for each in held])


def _tell_climate(climate: Climate) -> None:
    say(f"climate {climate.name} ({climate.basis.value}): {climate.source}")
    if climate.note:
        say(climate.note, 2)


def _tell_log(found: TemperatureLog, kinds: list[object]) -> None:
    from stockcheck.core.heat_models import heat_model
    from stockcheck.core.model import Kind
    from stockcheck.core.temperature_log import ROOM_WINDOW, excursions_above, log_mkt, worst_mkt

    low = min(each.celsius for each in found.readings)
    high = max(each.celsius for each in found.readings)
    say(f"{len(found.readings)} readings from {found.readings[0].at:%Y-%m-%d}"
        f" to {found.readings[-1].at:%Y-%m-%d}: {low:.1f} to {high:.1f} °C")  # fmt: skip
    if len(found.readings) < 2:
        return
    say(f"mean kinetic temperature {log_mkt(found):.1f} °C"
        " (activation energy 83.144 kJ/mol, USP <1160>)", 2)  # fmt: skip
    if found.readings[-1].at - found.readings[0].at >= ROOM_WINDOW:
        worst, when = worst_mkt(found, ROOM_WINDOW)
        say(f"worst {ROOM_WINDOW.days} days: {worst:.1f} °C, from {when:%Y-%m-%d}", 2)
    if gaps := found.gaps():
        say(f"{len(gaps)} gaps, the longest of {max(gap.length for gap in gaps)}", 2)
    ceilings = sorted(
        {c for kind in kinds if isinstance(kind, Kind)
         and (c := heat_model(kind).storage.high_c) is not None}
    )  # fmt: skip
    for ceiling in ceilings:
        if over := excursions_above(found, ceiling):
            worst_one = max(over, key=lambda each: each.peak_c)
            peak = f"{worst_one.peak_c:.1f} °C from {worst_one.start:%Y-%m-%d %H:%M}"
            times = "once" if len(over) == 1 else f"{len(over)} times"
            say(
                f"above {ceiling:g} °C, a storage ceiling of what is here: {times}, up to {peak}", 2
            )


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
    """List the climates, shipped and your own, with their mean kinetic temperature."""
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
@pass_shell
def show_climate(shell: Shell, name: str) -> None:
    """Show a climate's twelve months and where its figures come from."""
    from stockcheck.core.calendar import MONTHS
    from stockcheck.store import heat as hot

    with shell.store() as store:
        found = hot.find_climate(store.conn, name)
    _tell_climate(found)
    for month, day in zip(MONTHS, found.months, strict=True):
        click.echo(f"  {month}  {day.low_c:5.1f} to {day.high_c:5.1f} °C")


@climate.command()
@click.option(
    "--from",
    "file",
    required=True,
    type=click.Path(path_type=Path, dir_okay=False),
    help="A TOML file: name, source, then fixed_c or twelve low_c and high_c.",
)
@pass_shell
def add(shell: Shell, file: Path) -> None:
    """Add a climate of your own, or renew its figures."""
    import tomllib

    from stockcheck.cli.files import read_text
    from stockcheck.store import heat as hot
    from stockcheck.store.limits import refresh_limits

    try:
        table = tomllib.loads(read_text(file))
    except tomllib.TOMLDecodeError as error:
        raise BadInput(f"{file} is not TOML: {error}") from error
    with shell.store() as store:
        with store.writing() as conn:
            made = hot.add_climate(conn, table, file.name)
            moved = refresh_limits(conn)
        say(f"Climate {made.name}; the limits of {moved} holdings moved")


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
