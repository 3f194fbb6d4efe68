"""``read``: what a scanned code or a printed date means, without touching a store."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from stockcheck.cli.shell import on_option, put, report_options
from stockcheck.core.codes import read_code
from stockcheck.core.errors import BadInput

_SHORT = {"lot": "L", "box": "B", "item": "I", "action": ""}


@click.command()
@click.argument("texts", nargs=-1, metavar="TEXT...")
@click.option(
    "--dates",
    "context",
    type=click.Choice(["general", "medicine", "food", "cosmetic", "tyre"]),
    default="general",
    show_default=True,
    help="On what sort of goods the date is printed.",
)
@click.option(
    "--date-order", type=click.Choice(["dmy", "mdy", "ymd"]), help="Order of dates in figures."
)
@report_options("text", "csv", "json")
@on_option
def read(
    texts: tuple[str, ...],
    context: str,
    date_order: str | None,
    fmt: str,
    output: Path | None,
    on: date,
) -> None:
    """Tell what each TEXT is: one of our codes, a maker's code, or a printed date.

    Leaves with exit code 3 when any text stays unsure or unknown. Without TEXT it reads lines.

    \b
    Examples:
      stockcheck read "USE BEFORE 11/2027" 1000000129
      stockcheck read "03/04/27" --date-order dmy --format json
    """
    if not texts:
        texts = tuple(line.rstrip("\n") for line in click.get_text_stream("stdin"))
    if fmt == "text" and output is None and all(read_code(text) for text in texts):
        for text in texts:  # the quick way of a scanner: nothing else is loaded
            click.echo(_own_code(text))
        return
    from stockcheck.cli.reading_report import reading_report, unsettled
    from stockcheck.core.reading import read_any

    found = [read_any(text, on, context, date_order) for text in texts]
    put(reading_report(found, fmt, on), output)
    if left := unsettled(found):
        raise BadInput(f"{left} of {len(found)} texts unsure or unknown; nothing was assumed")


def _own_code(text: str) -> str:
    code = read_code(text)
    if code is None:
        return f"{text}: unknown"
    kind, serial = code
    short = f" {_SHORT[kind]}{serial}" if _SHORT[kind] else f" {serial}"
    return f"{text.strip()}: our code of {kind}{short}"


COMMANDS = {"read": read}
