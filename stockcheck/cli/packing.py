"""``pack``: everything about one departure as a PDF for the truck, or as a page for a phone."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import FILE_OR_DASH, Shell, on_option, pass_shell, put, say, trip_named
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from stockcheck.output.bundle import Bundle

_NAMES = {"pdf": "departure-pack.pdf", "html": "departure-pack.html"}
PARTS = ("timeline", "boxes", "audits", "short", "forecast")


@click.command("pack")
@click.argument("trip")
@click.option(
    "--box",
    "boxes",
    multiple=True,
    metavar="NAME",
    help="Only this box and the boxes inside it; may be given several times.",
)
@click.option(
    "--leave",
    "left",
    multiple=True,
    metavar="NAME",
    help="A box that stays at home, with the boxes inside it; may be given several times.",
)
@click.option(
    "--without",
    multiple=True,
    type=click.Choice(PARTS),
    help="A part to leave out; may be given several times.",
)
@click.option(
    "--format",
    "fmt",
    type=click.Choice(["pdf", "html"]),
    default="pdf",
    show_default=True,
    help="On paper, or one file for a phone or any browser.",
)
@click.option(
    "--output",
    type=FILE_OR_DASH,
    help="The file to write, else departure-pack.pdf or .html (- is the screen).",
)
@click.option(
    "--page",
    type=click.Choice(["A4", "Letter"]),
    default="A4",
    show_default=True,
    help="Paper of the PDF.",
)
@on_option
@pass_shell
def pack(
    shell: Shell,
    trip: str,
    boxes: tuple[str, ...],
    left: tuple[str, ...],
    without: tuple[str, ...],
    fmt: str,
    output: Path | None,
    page: str,
    on: date,
) -> None:
    """Put everything about the departure of TRIP into one file, to print or to read on a phone.

    A cover with the verdict; what goes off on the way; the timeline; the lid sheet of each box; the
    audits of boxes with a usual kit list; what was left at risk and decided; what is still short;
    what runs short first on the way; what to check at each stop; disposal on return; cautions. A
    part without anything is told on the cover. The HTML file needs no network.

    \b
    Examples:
      stockcheck pack "Spring count" --leave "Home shelf"
      stockcheck pack "Spring count" --format html --output truck.html
    """
    from stockcheck.cli.packing_parts import Wish, bundle_of

    with shell.store() as store:
        going = trip_named(store, trip)
        if going is None:
            raise BadInput("name a trip; 'trip list' shows them all")
        wish = Wish(on, boxes, left, frozenset(without), page if fmt == "pdf" else "")
        bundle, codes = bundle_of(store, going, wish)
    done = _html(bundle) if fmt == "html" else _pdf(bundle, page, codes)
    put(done, output or Path(_NAMES[fmt]))
    say(f"{bundle.title}: {bundle.cover.verdict}", err=True)
    for reason in bundle.cover.reasons:
        say(reason, 2, err=True)


def _pdf(bundle: Bundle, page: str, codes: tuple[str, ...]) -> bytes:
    """The PDF, handed over only when the codes on its lid sheets read back."""
    from stockcheck.output.pdf_bundle import render_bundle

    done = render_bundle(bundle, page=page)
    if codes:
        from stockcheck.labels.lid_drawn import unreadable

        problems = unreadable(done.pdf, dict(zip(done.drawn, codes, strict=True)))
        if problems:
            raise BadInput("not handed over, codes do not read back: " + "; ".join(problems))
    return done.pdf


def _html(bundle: Bundle) -> bytes:
    from stockcheck.output.html import render_bundle

    return render_bundle(bundle).encode()


COMMANDS = {"pack": pack}
