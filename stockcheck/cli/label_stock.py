"""``label-stock``: label sheets, rolls and tapes by their geometry, and how printers are set."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.choosing import lists_alone
from stockcheck.cli.shell import (
    FILE_OR_DASH,
    WORDS,
    Shell,
    Tasks,
    emit,
    on_option,
    pass_shell,
    put,
    report_options,
    say,
)

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.printer import Printer, Setting
    from stockcheck.labels.stock import Stock
    from stockcheck.output.report import Row
    from stockcheck.store.files import Store


@click.group("label-stock", cls=Tasks)
def label_stock() -> None:
    """Label sheets, rolls and tapes, and printers that print beside them.

    Check and align your own sheet before a long print.

    \b
    Examples:
      stockcheck label-stock list
      stockcheck label-stock align a4-3x7 --output align.pdf
    """


@label_stock.command("list")
@report_options("text", "csv", "json")
@on_option
def list_(on: date, fmt: str, output: Path | None) -> None:
    """List the label stocks that ship."""
    from stockcheck.labels.stock import shipped_stocks
    from stockcheck.output.report import Column, Report, Section

    rows = tuple(_row(stock) for stock in shipped_stocks())
    columns = (
        Column("stock", "Stock", fixed=True),
        Column("labels", "A page", right=True, fixed=True),
        Column("about", "What it is", weight=4),
    )
    emit(Report("Label stock", on, "", columns, (Section("", rows),)), fmt, output)


@label_stock.command(short_help="Show one stock's measures, in millimetres.")
@click.argument("stock", metavar="NAME|FILE")
def show(stock: str) -> None:
    """Show one stock's measures, in millimetres; a file of your own is checked by it."""
    from stockcheck.labels.stock import load_stock

    found = load_stock(stock)
    page = f"{found.page_width:g} × {found.page_height:g} mm"
    say(f"{found.name}: {found.about}")
    say(f"label: {found.size}", 2)
    if found.grows:
        say("page: one label, as long as its words ask", 2)
    elif found.roll:
        say(f"page: one label, {page}", 2)
    else:
        say(f"page: {page}, {found.columns} × {found.rows} = {found.per_page} labels", 2)
        say(f"first label: {found.left:g} mm from the left, {found.top:g} mm from the top", 2)
        say(f"from label to label: {found.pitch_x:g} mm across, {found.pitch_y:g} mm down", 2)
    say(f"source: {found.source or 'your own file'}", 2)


@label_stock.command(short_help="Check a stock file of your own, with its sums in figures.")
@click.argument("stock", metavar="FILE|NAME")
def check(stock: str) -> None:
    """Check that every label lies on the page, none overlap, and the margins add up.

    Everything that is wrong in the file is told at once; exit code 3 then. What a printer may not
    manage is a warning.

    \b
    Examples:
      stockcheck label-stock check my-sheet.toml
      stockcheck label-stock check a4-3x7
    """
    from stockcheck.labels import stock_words
    from stockcheck.labels.stock import load_stock

    found = load_stock(stock)
    say(f"{found.name}: {stock_words.checked(found)}")
    for line in stock_words.sums(found):
        say(line, 2)
    for line in stock_words.warnings(found):
        say(f"warning: {line}", 2)


@label_stock.command(short_help="An alignment page with rulers, to measure a printer by.")
@click.argument("stock", metavar="NAME|FILE")
@click.option("--printer", "printer_name", metavar="NAME", help="Print it as this printer is set.")
@click.option(
    "--output", type=FILE_OR_DASH, default="align.pdf", show_default=True, help="The PDF to write."
)
@pass_shell
def align(shell: Shell, stock: str, printer_name: str | None, output: Path) -> None:
    """Write a page with rulers in mm, corner marks and the outline of every label.

    Print it on plain paper at 100 %, measure it with a steel rule, and give what you measured to
    'label-stock printer'. Then print it again with --printer, to see that it lies true.

    \b
    Examples:
      stockcheck label-stock align a4-3x7
      stockcheck label-stock align roll-62x29 --output roll.pdf
    """
    from stockcheck.core.printer import Setting
    from stockcheck.labels.align import align_page, ruler
    from stockcheck.labels.stock import load_stock

    found, setting = load_stock(stock), Setting()
    if printer_name:
        with shell.store() as store:
            setting = setting_of(store, printer_name)
    put(align_page(found, setting, printer_name or ""), output)
    say("Print it at 100 %, then measure along each edge with a steel rule:", err=True)
    for option, side, way in (
        ("x", found.page_width, "across, from the left edge"),
        ("y", found.page_height, "down, from the top edge"),
    ):
        whole = ruler(side).whole
        of = "MM" if whole == 100 else f"MM/{whole}"
        marks = f"to the mark 10 (--mark-{option} MM)"
        said = f"{way}: {marks}; from mark 10 to {10 + whole} (--ruler-{option} {of})"
        say(said, 2, err=True)


def setting_of(store: Store, name: str) -> Setting:
    """How the printer of that name is set."""
    from stockcheck.store.prints import printer as find_printer

    return find_printer(store.conn, name).setting


@label_stock.command("printer", short_help="List printers; set one by what was measured.")
@click.argument("name", required=False)
@click.option("--mark-x", type=float, metavar="MM", help="Left edge to the mark 10, as measured.")
@click.option("--mark-y", type=float, metavar="MM", help="Top edge to the mark 10, as measured.")
@click.option("--ruler-x", metavar="MM[/OF]", help="From 10 to 110 across; 49.8/50 for 50 mm.")
@click.option("--ruler-y", metavar="MM[/OF]", help="The same down the page.")
@click.option("--offset-x", type=float, metavar="MM", help="Move all to the right by so much.")
@click.option("--offset-y", type=float, metavar="MM", help="Move all down by so much.")
@click.option("--scale-x", type=float, metavar="FACTOR", help="Stretch across, such as 1.004.")
@click.option("--scale-y", type=float, metavar="FACTOR", help="Stretch down.")
@click.option("--note", type=WORDS, help="Which tray, which paper.")
@click.option("--retire", is_flag=True, help="Take it out of use.")
@report_options("text", "csv", "json")
@on_option
@pass_shell
def printer_(
    shell: Shell,
    /,
    name: str | None,
    note: str | None,
    retire: bool,
    on: date,
    fmt: str,
    output: Path | None,
    **measured: float | str | None,
) -> None:
    """Remember how a printer must be set so that its labels lie true; without options, list them.

    Give what you measured on its alignment page (the 100 mm ruler came out as 99.6 mm, the mark 10
    lies 11.2 mm from the edge) and the correction is worked out; or give offset and scale as they
    are. 'labels --printer NAME' prints with it. Measures are of a print without --printer.

    \b
    Examples:
      stockcheck label-stock printer office --mark-x 11.2 --ruler-x 99.6
      stockcheck label-stock printer
    """
    given = {option: value for option, value in measured.items() if value is not None}
    if name is None:
        if given or note is not None or retire:
            raise click.UsageError("name the printer first: label-stock printer NAME")
        _list_printers(shell, on, fmt, output)
        return
    lists_alone("nothing else, to see the list")
    if retire:
        _retire(shell, name, on, given)
    else:
        with shell.store() as store:
            if given or note is not None:
                _set(store, name, given, note, on)
            _tell(store, name)


def _set(
    store: Store, name: str, given: dict[str, float | str], note: str | None, on: date
) -> None:
    from stockcheck.core.errors import UnknownName
    from stockcheck.core.printer import Setting, with_measures
    from stockcheck.store import prints

    with store.writing() as conn:
        try:
            was = prints.printer(conn, name, retired=True).setting
        except UnknownName:
            was = Setting()
        prints.set_printer(conn, name, with_measures(was, given), on, note)


def _retire(shell: Shell, name: str, on: date, given: dict[str, float | str]) -> None:
    from stockcheck.store import prints

    if given:
        raise click.UsageError("--retire goes without measures")
    with shell.store() as store, store.writing() as conn:
        found = prints.printer(conn, name)
        prints.retire_printer(conn, found.id, on)
    say(f"Retired printer {found.name!r}")


def _tell(store: Store, name: str) -> None:
    from stockcheck.store.prints import printer as find_printer

    found = find_printer(store.conn, name)
    setting = found.setting
    say(f"{found.name}: {found.note or 'printer'}, set on {found.set_on}")
    say(f"moved {_moved(setting.offset_x, 'right', 'left')}, "
        f"{_moved(setting.offset_y, 'down', 'up')}", 2)  # fmt: skip
    say(f"scaled by {setting.scale_x:.4f} across, {setting.scale_y:.4f} down", 2)


def _moved(offset: float, one: str, other: str) -> str:
    return f"{abs(offset):.2f} mm {other if offset < 0 else one}"


def _list_printers(shell: Shell, on: date, fmt: str, output: Path | None) -> None:
    from stockcheck.output.report import Column, Report, Section
    from stockcheck.store.prints import printers

    with shell.store() as store:
        rows, of = tuple(_printer_row(each) for each in printers(store.conn)), store.name
    columns = (
        Column("printer", "Printer", weight=2),
        Column("offset_x", "Right", right=True, fixed=True),
        Column("offset_y", "Down", right=True, fixed=True),
        Column("scale_x", "Across", right=True, fixed=True),
        Column("scale_y", "Lengthways", right=True, fixed=True),
        Column("note", "Note", weight=2),
    )
    empty = "no printer is set yet; 'label-stock align' prints a page to measure it by"
    keys = ("printer", "offset_x", "offset_y", "scale_x", "scale_y", "set_on", "note")
    report = Report("Printers", on, of, columns, (Section("", rows),), empty=empty, keys=keys)
    emit(report, fmt, output)


def _printer_row(printer: Printer) -> Row:
    from stockcheck.output.report import Row

    it = printer.setting
    values = {"offset_x": it.offset_x, "offset_y": it.offset_y}
    scales = {"scale_x": it.scale_x, "scale_y": it.scale_y}
    return Row(
        {"printer": printer.name, **values, **scales, "set_on": printer.set_on,
         "note": printer.note},
        {key: f"{value:+.2f} mm" for key, value in values.items()}
        | {key: f"{value:.4f}" for key, value in scales.items()},
    )  # fmt: skip


def _row(stock: Stock) -> Row:
    from stockcheck.output.report import Row

    return Row(
        {
            "stock": stock.name,
            "about": stock.about,
            "media": stock.media,
            "labels": stock.per_page,
            "columns": stock.columns,
            "rows": stock.rows,
            "page_width": stock.page_width,
            "page_height": stock.page_height,
            "label_width": stock.label_width,
            "label_height": stock.label_height,
            "pitch_x": stock.pitch_x,
            "pitch_y": stock.pitch_y,
            "left": stock.left,
            "top": stock.top,
            "source": stock.source,
        }
    )


COMMANDS = {"label-stock": label_stock}
