"""``action-card``: our action codes on a page, so that a session is worked with a scanner alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import FILE_OR_DASH, Shell, pass_shell, put, say
from stockcheck.core.actions import Action

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.labels.form_card import CardPart

_MEANINGS = {
    Action.USE_ONE: "Takes one of the lot scanned last off the books.",
    Action.OPEN: "Its pack is opened today; the opened life begins.",
    Action.COUNT: "How many there are: type the number after it.",
    Action.WRITE_OFF: "Off the books, unfit for use. Scan it again for yes.",
    Action.MOVE: "Into another box: scan that box next.",
    Action.LABEL: "A new label is wanted for the lot scanned last.",
    Action.UNDO: "Takes back what was done last.",
    Action.DONE: "Ends the session, or the count; again for yes.",
}


@click.command("action-card")
@click.option("--boxes", is_flag=True, help="Add pages with the codes of all boxes.")
@click.option("--page", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True,
              help="Paper of the PDF.")  # fmt: skip
@click.option("--dpi", type=click.IntRange(150, 2400), default=300, show_default=True,
              help="The printer's resolution: bars are whole dots of it.")  # fmt: skip
@click.option("--output", type=FILE_OR_DASH, default="action-card.pdf", show_default=True,
              help="The PDF to write.")  # fmt: skip
@pass_shell
def action_card(shell: Shell, boxes: bool, page: str, dpi: int, output: Path) -> None:
    """Print the action codes, large, with what each does; every code is read back first.

    Scan a lot, then an action: 'scan' and 'count' take both. Print at 100 %.

    \b
    Examples:
      stockcheck action-card
      stockcheck action-card --boxes --page Letter --output cards.pdf
    """
    from stockcheck.labels.form_card import card_sheets

    parts = [_actions()]
    if boxes:
        parts += _boxes(shell)
    sheets = card_sheets(parts, page=page, dpi=dpi)
    put(sheets.pdf, output)
    count = sum(len(codes) for codes in sheets.codes)
    pages = "1 page" if sheets.pages == 1 else f"{sheets.pages} pages"
    say(f"{count} codes on {pages}, all read back at {dpi} dpi", err=True)


def _actions() -> CardPart:
    from stockcheck.labels.form_card import CardCode, CardPart

    codes = tuple(CardCode(each.code, each.value, _MEANINGS[each]) for each in Action)
    words = (
        "Scan a box, then a lot, then what is to be done with it. Hold the scanner level.",
        "Medicines, sterile goods and whatever is on hold: read the leaflet or ask before use.",
    )
    return CardPart("Actions", codes, words)


def _boxes(shell: Shell) -> list[CardPart]:
    """The boxes in use, each with where it is; none where there are none."""
    from stockcheck.labels.form_card import CardCode, CardPart
    from stockcheck.store import reads

    with shell.store() as store:
        found = reads.boxes(store.conn)
        places = reads.places(found)
        codes = tuple(
            CardCode(each.code, each.name, _where(each.short, places[each.id])) for each in found
        )
        name = store.name
    return [CardPart("Boxes", codes, (name,))] if codes else []


def _where(short: str, place: str) -> str:
    outer = place.rpartition(" / ")[0]
    return f"{short}, in {outer}" if outer else short


COMMANDS = {"action-card": action_card}
