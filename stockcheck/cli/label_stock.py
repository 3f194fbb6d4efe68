"""``label-stock``: the label sheets and rolls that ship, by their geometry."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import Tasks, emit, on_option, report_options, say

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.labels.stock import Stock
    from stockcheck.output.report import Row


@click.group("label-stock", cls=Tasks)
def label_stock() -> None:
    """Label sheets and rolls: list and show. Measure your own sheet before a long print.

    \b
    Examples:
      stockcheck label-stock list
      stockcheck label-stock show a4-3x7
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
    say(f"label: {found.label_width:g} × {found.label_height:g} mm", 2)
    if found.roll:
        say(f"page: one label, {page}", 2)
    else:
        say(f"page: {page}, {found.columns} × {found.rows} = {found.per_page} labels", 2)
        say(f"first label: {found.left:g} mm from the left, {found.top:g} mm from the top", 2)
        say(f"from label to label: {found.pitch_x:g} mm across, {found.pitch_y:g} mm down", 2)
    say(f"source: {found.source or 'your own file'}", 2)


def _row(stock: Stock) -> Row:
    from stockcheck.output.report import Row

    return Row(
        {
            "stock": stock.name,
            "about": stock.about,
            "media": "roll" if stock.roll else "sheet",
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
