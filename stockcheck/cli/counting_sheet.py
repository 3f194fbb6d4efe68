"""The paper sheet of a count: codes to scan, and places to write."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockcheck.cli.shell import put, say
from stockcheck.labels.form import Cell, Form, FormColumn, FormRow, checked_form

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.cli.counting import Asked
    from stockcheck.core.model import Holding, Lot
    from stockcheck.store.files import Store
    from stockcheck.store.stocktakes import SheetLine, Stocktake

_BLANK = 6
NOT_LISTED = "Found here and not listed"


def print_sheet(store: Store, take: Stocktake, output: Path, asked: Asked) -> None:
    """Number the lines, draw the sheet, read every code back, and write the file."""
    from stockcheck.store import stocktake_reads, stocktakes

    with store.writing() as conn:
        found = stocktake_reads.variances(conn, take)
        stocktakes.number_lines(conn, take.id, stocktake_reads.parts_here(found))
        sheet = stocktakes.sheet(conn, take.id)
        drawn = checked_form(sheet_form(store, take, sheet, asked), page=asked.page, dpi=asked.dpi)
        put(drawn.pdf, output)
    for line in drawn.left_off:
        say(line, err=True)
    pages = "1 page" if drawn.pages == 1 else f"{drawn.pages} pages"
    say(
        f"Sheet of count {take.short}, {len(sheet)} lines on {pages}, all read back at"
        f" {asked.dpi} dpi."
        f' Enter it with: stockcheck count "{take.box.name}" --enter',
        err=True,
    )


def sheet_form(store: Store, take: Stocktake, sheet: list[SheetLine], asked: Asked) -> Form:
    """What the sheet says."""
    from stockcheck.core.calendar import spoken
    from stockcheck.data.kinds import cautions
    from stockcheck.store import reads

    conn = store.conn
    blind = take.blind or asked.blind
    lots = {lot.id: lot for lot in reads.lots(conn, sorted({it.lot_id for it in sheet}))}
    held = reads.holdings(conn, lot_ids=sorted(lots), box_ids=take.covers, empty=True)
    names = {box.id: box.name for box in take.boxes}
    many = len(take.boxes) > 1
    rows = [
        _row(each, lots[each.lot_id], held, names[each.box_id] if many else "", blind=blind)
        for each in sheet
    ]
    columns = _columns(blind=blind)
    blank = FormRow(("",) * len(columns), NOT_LISTED, blank=True)
    keys = {key for lot in lots.values() for key in lot.item.kind.cautions}
    every = reads.boxes(conn, retired=True)
    facts = [
        f"{reads.place(every, take.box)}; {store.name}; printed {spoken(asked.on)}",
        f"{len(sheet)} lines, count {take.short}"
        + (", blind: the expected quantities are left out" if blind else ""),
    ]
    return Form(
        title=f"Count of {take.box.name}",
        columns=columns,
        rows=(*rows, *[blank] * _BLANK),
        facts=tuple(facts),
        fill_in=("counted by", "second person", "day and hour"),
        foot=(
            "Write how many there are, in the unit named; 0 where none is.",
            "Leave out what you did not look at; count opened and held where they have a line.",
            f"Enter it by line number: stockcheck count {take.box.short} --enter",
        ),
        cautions=tuple(text for key, text in cautions().items() if key in keys),
        code=take.box.code,
        code_words=f"{take.box.short}  {take.box.name}",
    )


def _columns(*, blind: bool) -> tuple[FormColumn, ...]:
    expected = () if blind else (FormColumn("books", mm=17, right=True),)
    return (
        FormColumn("line", mm=9, right=True),
        FormColumn("scan", Cell.CODE),
        FormColumn("lot", mm=13, bold=True),
        FormColumn("item", share=3),
        FormColumn("batch", share=1.3),
        FormColumn("good through", mm=23),
        *expected,
        FormColumn("counted", Cell.COUNT),
    )


def _row(line: SheetLine, lot: Lot, held: list[Holding], group: str, *, blind: bool) -> FormRow:
    from stockcheck.core.calendar import spoken
    from stockcheck.core.stocktake import Part, held_as
    from stockcheck.core.words import counted

    here = [each for each in held if (each.lot.id, each.box.id) == (lot.id, line.box_id)]
    mine = [each for each in here if line.part in {Part.ANY, held_as(each)} and each.quantity]
    days = [each.last_usable_day for each in mine if each.last_usable_day]
    parts = {held_as(each) for each in mine} - {Part.SEALED}
    unit = lot.item.unit if lot.item.unit != "each" else ""
    marks = [str(part.value) for part in sorted(parts)]
    marks += [f"packs of {lot.item.pack}"] if lot.item.pack > 1 else []
    name = f"{lot.item.name} ({', '.join(marks)})" if marks else lot.item.name
    expected = () if blind else (counted(line.expected, lot.item.unit),)
    return FormRow(
        (
            str(line.line), lot.code, lot.short, name, lot.batch,
            spoken(min(days)) if days else "", *expected, unit,
        ),
        group,
    )  # fmt: skip
