"""What ``labels`` is asked: its options in groups, and all of them as one value."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any, TypeVar

import click

from stockcheck.cli.choosing import CHOOSING
from stockcheck.cli.shell import FILE_OR_DASH, WORDS, on_option

if TYPE_CHECKING:
    from pathlib import Path

F = TypeVar("F", bound=Callable[..., Any])
STOCK, DPI, CODE = "a4-3x7", 203, "bars"
PDF = "labels.pdf"
SORTS = ("lot", "item", "opened", "hold", "last-resort")


@dataclass(frozen=True, slots=True)
class Ask:
    """All that the command was given; None where an option was left out.

    ``stock``, ``dpi``, ``code`` and ``printer`` of a print that is made again are those of then.
    """

    named: tuple[str, ...]
    on: date
    box_name: str | None = None
    all_boxes: bool = False
    all_items: bool = False
    new: bool = False
    changed: bool = False
    again: bool = False
    from_label: int | None = None
    printed: bool = False
    lid: bool = False
    paper: str | None = None
    fold: str | None = None
    sort: str | None = None
    per_unit: bool = False
    copies: int = 1
    dates: str = "letters"
    code: str | None = None
    stock: str | None = None
    printer: str | None = None
    pile: str = ""
    start: int | None = None
    fresh_sheet: bool = False
    dpi: int | None = None
    output: Path | None = None
    queue: str | None = None
    preview: str | None = None
    dry_run: bool = False
    verify: bool = True
    report: bool = False
    fmt: str = "text"

    @property
    def iso(self) -> bool:
        """Whether dates are written as ISO ones."""
        return self.dates == "iso"

    @property
    def names_things(self) -> bool:
        """Whether lots, boxes or items were named, one by one or all of a sort."""
        return bool(self.named or self.box_name or self.all_boxes or self.all_items)


_WHICH = (
    click.option("--new", is_flag=True,
                 help="What has no label yet: of all lots, unless some are named."),
    click.option("--changed", is_flag=True,
                 help="Whose label is out of date: moved, opened, a new date, on hold."),
    click.option("--box", "box_name", metavar="NAME", help="All lots in this box and inside it."),
    click.option("--boxes", "all_boxes", is_flag=True, help="Every box."),
    click.option("--items", "all_items", is_flag=True, help="Every item, for shelf or bag."),
    click.option("--again", is_flag=True, help="The last print once more, as after a jam."),
    click.option("--from-label", type=click.IntRange(min=1), metavar="N",
                 help="With --again: from its Nth label on."),
    click.option("--lid", is_flag=True, help="The lid sheet of each box named: all that is in it."),
    click.option("--printed", is_flag=True, help="Print nothing: list what was printed, and when."),
)  # fmt: skip
_HOW = (
    click.option("--as", "sort", type=click.Choice(SORTS),
                 help="Another label than the one that the state of each asks for."),
    click.option("--per-unit", is_flag=True, help="One for each pack of a lot, not one a lot."),
    click.option("--copies", type=click.IntRange(1, 1000), default=1, help="How many of each."),
    click.option("--dates", type=click.Choice(["letters", "iso"]), default="letters",
                 show_default=True, help="NOV 2027, or 2027-11."),
    click.option("--code", type=click.Choice(["bars", "matrix", "qr", "auto", "gs1"]),
                 help="Bars (else), Data Matrix, QR; auto: a matrix where bars do not fit; gs1:"
                 " the maker's data."),
)  # fmt: skip
_PAPER = (
    click.option("--stock", metavar="NAME|FILE",
                 help=f"The label sheet, roll or tape (else {STOCK}); 'label-stock list'."),
    click.option("--start", type=click.IntRange(min=1), metavar="N",
                 help="First free label; else where the last print on this stock stopped."),
    click.option("--fresh-sheet", is_flag=True, help="Start on a new sheet."),
    click.option("--pile", type=WORDS, default="", metavar="NAME",
                 help="Which pile of part-used sheets, where there are several."),
    click.option("--printer", metavar="NAME",
                 help="Move and scale as 'label-stock printer' has it."),
    click.option("--paper", type=click.Choice(["a4", "a5", "a6", "letter"]),
                 help="Of --lid (else a4)."),
    click.option("--fold", type=click.Choice(["a5", "a6"]), help="Fold --lid to this size."),
    click.option("--dpi", type=click.IntRange(150, 2400), metavar="DOTS",
                 help=f"The printer's dots an inch (else {DPI}): bars are whole dots."),
)  # fmt: skip
_WHERE = (
    click.option("--output", type=FILE_OR_DASH, help=f"The PDF to write (else {PDF})."),
    click.option("--queue", metavar="NAME", help="Print at once on this queue, through lp."),
    click.option("--preview", metavar="text|FILE.png",
                 help="Print nothing: show the labels here, or as a picture a page."),
    click.option("--dry-run", is_flag=True, help="Print nothing: tell what would be printed."),
    click.option("--verify/--no-verify", default=True, show_default=True,
                 help="Read every code back, and refuse what does not read."),
    click.option("--report", is_flag=True, help="Tell contrast and module of the codes."),
    click.option("--format", "fmt", type=click.Choice(["text", "csv", "json"]), default="text",
                 show_default=True, help="How to write --printed."),
    *CHOOSING,
)  # fmt: skip
GROUPS = {
    "Which labels": _WHICH,
    "What they look like": _HOW,
    "On what": _PAPER,
    "Where they go": (*_WHERE, on_option),
}


def ask_options(command: F) -> F:
    """All options of the command, in the order of their groups."""
    for options in reversed(GROUPS.values()):
        for option in reversed(options):
            command = option(command)
    return command


class Grouped(click.Command):
    """A command whose help shows its options by what they are about."""

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """As click does it, group by group."""
        options = [each for each in self.get_params(ctx) if isinstance(each, click.Option)]
        for heading, group in GROUPS.items():
            mine, options = options[: len(group)], options[len(group) :]
            records = [record for each in mine if (record := each.get_help_record(ctx))]
            with formatter.section(heading):
                formatter.write_dl(records, 24)
        rest = [record for each in options if (record := each.get_help_record(ctx))]
        with formatter.section("Help"):
            formatter.write_dl(rest, 24)


def check(ask: Ask) -> None:
    """Usage errors for options that make no sense together."""
    if ask.printed:
        return
    if ask.lid and not (ask.named or ask.box_name or ask.all_boxes):
        raise click.UsageError("--lid: name boxes, or give --box or --boxes")
    if not (ask.names_things or ask.new or ask.changed or ask.again):
        raise click.UsageError(
            "name lots, boxes or items, or give --new, --changed, --box, --boxes, --items or"
            " --again"
        )
    if ask.again and (ask.names_things or ask.new or ask.changed):
        raise click.UsageError("--again prints the last print once more; name nothing with it")
    if ask.from_label is not None and not ask.again:
        raise click.UsageError("--from-label goes with --again")
    if (ask.paper or ask.fold) and not ask.lid:
        raise click.UsageError("--paper and --fold are of --lid; labels go onto --stock")
    if ask.new and ask.changed:
        raise click.UsageError("--new and --changed are two prints; give one of them")
    if ask.start is not None and ask.fresh_sheet:
        raise click.UsageError("--start and --fresh-sheet each tell where to begin; give one")
    if ask.preview and ask.preview != "text" and not ask.preview.lower().endswith(".png"):
        raise click.UsageError("--preview: write text, or the name of a .png file")
