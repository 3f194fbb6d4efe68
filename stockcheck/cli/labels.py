"""``labels``: labels for lots and boxes, read back before they are handed over."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from stockcheck.cli.shell import FILE_OR_DASH, Shell, on_option, pass_shell, put, say, stamp
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.model import Box, Holding
    from stockcheck.labels.text import LabelText
    from stockcheck.store.files import Store


@click.command()
@click.argument("lots", nargs=-1, metavar="[LOT|BOX]...")
@click.option("--box", "box_name", metavar="NAME", help="All lots in this box and inside it.")
@click.option("--unlabelled", is_flag=True, help="All lots on hand that have no label yet.")
@click.option("--boxes", "all_boxes", is_flag=True, help="A label for every box.")
@click.option(
    "--stock",
    "stock_name",
    default="a4-3x7",
    show_default=True,
    metavar="NAME|FILE",
    help="The label sheet or roll; 'label-stock list' shows them.",
)
@click.option("--copies", type=click.IntRange(1, 1000), default=1, help="How many of each label.")
@click.option("--per-unit", is_flag=True, help="One for each pack of a lot.")
@click.option("--start", type=click.IntRange(min=1), default=1, help="First free label of a sheet.")
@click.option(
    "--dpi",
    type=click.IntRange(150, 2400),
    default=203,
    show_default=True,
    help="The printer's resolution: bars are whole dots of it.",
)
@click.option("--dates", type=click.Choice(["letters", "iso"]), default="letters",
              show_default=True, help="NOV 2027, or 2027-11.")  # fmt: skip
@click.option(
    "--output",
    type=FILE_OR_DASH,
    default="labels.pdf",
    show_default=True,
    help="The PDF to write.",
)
@on_option
@pass_shell
def labels(
    shell: Shell,
    lots: tuple[str, ...],
    box_name: str | None,
    unlabelled: bool,
    all_boxes: bool,
    stock_name: str,
    copies: int,
    per_unit: bool,
    start: int,
    dpi: int,
    dates: str,
    output: Path,
    on: date,
) -> None:
    """Draw labels for lots and boxes as a PDF, and read every code back before it is written.

    Print at 100 %, never fitted to the page. Which labels were made is remembered.

    \b
    Examples:
      stockcheck labels --unlabelled --stock a4-3x7 --start 4
      stockcheck labels L12 B3 --stock roll-62x29 --copies 2 --output new.pdf
    """
    if not (lots or box_name or unlabelled or all_boxes):
        raise click.UsageError("name lots or boxes, or give --box, --unlabelled or --boxes")
    with shell.store() as store:
        held, boxes = _wanted(store, lots, box_name, unlabelled=unlabelled, all_boxes=all_boxes)
        texts = texts_of(store, held, boxes, on, iso=dates == "iso", per_unit=per_unit)
        if not texts:
            say("Nothing to label.", err=True)
            return
        said = draw(store, texts, stock_name, output, on, dpi=dpi, start=start, copies=copies)
    for line in said:
        say(line, err=True)


def draw(
    store: Store,
    texts: list[LabelText],
    stock_name: str,
    output: Path,
    on: date,
    *,
    dpi: int = 203,
    start: int = 1,
    copies: int = 1,
) -> list[str]:
    """Draw, read back, write the file and remember what was printed; tells what was done."""
    from stockcheck.core.codes import read_code
    from stockcheck.labels.printing import label_sheets, verify_sheets
    from stockcheck.labels.stock import load_stock
    from stockcheck.store.lots import note_printed

    stock = load_stock(stock_name)
    sheets = label_sheets(texts, stock, dpi=dpi, start=start, copies=copies)
    unreadable = verify_sheets(sheets, dpi)
    if unreadable:
        raise BadInput("labels not handed over, they do not read back: " + "; ".join(unreadable))
    codes = [read_code(text.code) for text in texts]
    with store.writing() as conn:
        note_printed(
            conn, stamp(on), stock.name, copies,
            lot_ids=sorted({code[1] for code in codes if code and code[0] == "lot"}),
            box_ids=sorted({code[1] for code in codes if code and code[0] == "box"}),
        )  # fmt: skip
        put(sheets.pdf, output)
    count = sum(len(page) for page in sheets.codes)
    labels = "1 label" if count == 1 else f"{count} labels"
    pages = "1 page" if sheets.pages == 1 else f"{sheets.pages} pages"
    return [*sheets.left_off, f"{labels} on {pages} of {stock.name}, all read back at {dpi} dpi"]


def _wanted(
    store: Store,
    named: tuple[str, ...],
    box_name: str | None,
    *,
    unlabelled: bool,
    all_boxes: bool,
) -> tuple[list[Holding], list[Box]]:
    """The holdings and boxes that get a label, in order of box."""
    from stockcheck.core.codes import read_code
    from stockcheck.store import reads
    from stockcheck.store.lots import unlabelled as without_label
    from stockcheck.store.names import find_id

    conn = store.conn
    boxes = reads.boxes(conn)
    box_ids = {box.id for box in boxes} if all_boxes else set()
    lot_ids: set[int] = set()
    for text in named:
        code = read_code(text)
        if code is not None and code[0] == "lot":
            lot_ids.add(find_id(conn, "lot", text))
        else:
            box_ids.add(_box(store, text))
    if unlabelled:
        lot_ids |= set(without_label(conn))
    held = reads.holdings(conn, lot_ids=sorted(lot_ids)) if lot_ids else []
    if box_name:
        inside = reads.box_and_inside(boxes, find_id(conn, "box", box_name))
        held += [each for each in reads.holdings(conn, box_ids=inside) if each not in held]
    if missing := lot_ids - {each.lot.id for each in held}:
        gone = ", ".join(f"L{number}" for number in sorted(missing))
        raise BadInput(f"not on hand, so there is nothing to label: {gone}")
    order = {box.id: place for place, box in enumerate(boxes)}
    held.sort(key=lambda it: (order.get(it.box.id, 0), it.item.name.casefold(), it.lot.id))
    return held, [box for box in boxes if box.id in box_ids]


def _box(store: Store, text: str) -> int:
    from stockcheck.core.errors import UnknownName
    from stockcheck.store.names import find_id

    try:
        return find_id(store.conn, "box", text)
    except UnknownName as error:
        raise UnknownName(f"{error}. Lots are named by their code or short form (L42)") from error


def texts_of(
    store: Store,
    held: list[Holding],
    boxes: list[Box],
    on: date,
    *,
    iso: bool = False,
    per_unit: bool = False,
) -> list[LabelText]:
    """What the labels of these holdings and boxes say."""
    from stockcheck.labels.wording import box_label, lot_label
    from stockcheck.store import reads

    found: list[LabelText] = []
    for holding in held:
        packs = -(-holding.quantity // holding.item.pack)
        found += [lot_label(holding, on, iso=iso)] * (packs if per_unit else 1)
    every = reads.boxes(store.conn)
    counts = reads.holding_counts(store.conn)
    return found + [box_label(box, reads.place(every, box), counts.get(box.id, 0)) for box in boxes]


COMMANDS = {"labels": labels}
