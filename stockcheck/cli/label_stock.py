"""``label-stock``: the label sheets and rolls that ship, by their geometry."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import emit, on_option, report_options

if TYPE_CHECKING:
    from stockcheck.labels.stock import Stock
    from stockcheck.output.report import Row


@click.group("label-stock")
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


@label_stock.command()
@click.argument("stock", metavar="NAME|FILE")
def show(stock: str) -> None:
    """Show one stock's measures, in millimetres; a file of your own is checked by it."""
    from stockcheck.labels.stock import load_stock

    found = load_stock(stock)
    for key, value in _row(found).values.items():
        click.echo(f"{key}: {value}")


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
