"""``read``: what a scanned code or a printed date means, without touching a store."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import on_option, put, report_options
from stockcheck.core.codes import read_code
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path


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
@report_options("text", "csv", "json", lists=False)
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

    Without TEXT it reads lines. Leaves with exit code 3 when any text stays unsure or unknown.

    \b
    Examples:
      stockcheck read "USE BEFORE 11/2027" 1000000128
      stockcheck read "03/04/27" --date-order dmy --format json
      stockcheck read "(01)09506000134352(17)290200(10)7C21-B"
    """
    found = list(texts) or _lines()
    if fmt == "text" and output is None and all(read_code(text) for text in found):
        _say_own(found)  # the quick way of a scanner: nothing else is loaded
        return
    from stockcheck.cli.reading_report import reading_report, unsettled
    from stockcheck.cli.shell import screen_width
    from stockcheck.core.reading import read_any

    meanings = [read_any(text, on, context, date_order) for text in found]
    told = reading_report(meanings, fmt, on, 80 if output else screen_width())
    put(told if fmt == "text" else told.encode(), output)
    if left := unsettled(meanings):
        texts_are = f"{'text' if len(found) == 1 else 'texts'} {'is' if left == 1 else 'are'}"
        raise BadInput(f"{left} of {len(found)} {texts_are} unsure or unknown; nothing is assumed")


def own_words(kind: str, serial: int) -> str:
    """What is said of one of our codes."""
    return f"{kind} {_SHORT[kind]}{serial}, one of our codes"


def _say_own(texts: list[str]) -> None:
    width = max(len(text.strip()) for text in texts)
    for text in texts:
        code = read_code(text)
        if code is not None:
            click.echo(f"{text.strip():{width}}  {own_words(*code)}")


def _lines() -> list[str]:
    """The lines of standard input, empty ones left out; bytes that are no UTF-8 are spelt out."""
    data = sys.stdin.buffer.read()
    if not data:
        raise click.UsageError("there is nothing to read; give a TEXT, or lines by standard input")
    lines = [line.decode("utf-8", "backslashreplace") for line in data.splitlines()]
    texts = [line for line in lines if line.strip()]
    if not texts:
        raise BadInput("standard input holds empty lines only; give one text a line")
    return texts


COMMANDS = {"read": read}
