"""The paper form of a round: every line of the list, its lots to scan, tick and count."""

from __future__ import annotations

from typing import TYPE_CHECKING

from stockcheck.cli.auditing import Asked, Audited, audited
from stockcheck.cli.shell import put, say
from stockcheck.labels.form import Cell, Form, FormColumn, FormRow, checked_form

if TYPE_CHECKING:
    from pathlib import Path

    from stockcheck.core.model import Holding
    from stockcheck.store.files import Store

_BLANK = 4


def print_form(store: Store, box_name: str, asked: Asked, output: Path, page: str) -> None:
    """Draw the form, read every code on it back, and write the file."""
    done = audited(store, box_name, asked)
    sheets = checked_form(form_of(store, done, asked), page=page)
    put(sheets.pdf, output)
    for line in sheets.left_off:
        say(line, err=True)
    pages = "1 page" if sheets.pages == 1 else f"{sheets.pages} pages"
    say(f'{pages}, every code read back. Enter it with: stockcheck round do "{done.box}"', err=True)


def form_of(store: Store, done: Audited, asked: Asked) -> Form:
    """What the form says; lots stand at the line that they serve."""
    from stockcheck.core.audit_round import line_words, walk
    from stockcheck.core.calendar import spoken
    from stockcheck.core.words import listed
    from stockcheck.data.kinds import kit_cautions
    from stockcheck.output.audit_report import NOT_A_CERTIFICATE
    from stockcheck.store import reads

    box = next(it for it in reads.boxes(store.conn, retired=True) if it.id == done.box_id)
    lines = {it.line.name: it for it in done.result.lines}
    rows: list[FormRow] = []
    for step in walk(done.result):
        heading = line_words(lines[step.line]) if step.line else "In the box, not on the list"
        heading += f" (also {listed(list(step.above))}, above)" if step.above else ""
        here = [_row(it, heading, done.box_id) for it in step.look_at]
        rows += here or [FormRow(("",) * 7, heading, blank=True)]
    rows += [FormRow(("",) * 7, "Found here and not listed", blank=True)] * _BLANK
    texts = kit_cautions()
    return Form(
        title=f"Audit of {done.box}",
        columns=(
            FormColumn("scan", Cell.CODE),
            FormColumn("lot", mm=13, bold=True),
            FormColumn("item", share=3),
            FormColumn("good through", mm=24),
            FormColumn("books", mm=17, right=True),
            FormColumn("there", Cell.TICK),
            FormColumn("found, damaged", Cell.WRITE, share=1.2),
        ),
        rows=tuple(rows),
        facts=(
            f"{done.kit_list.id}: {done.kit_list.title_with_certainty}",
            f"{len(done.result.lines)} lines; printed {spoken(asked.on)}, {store.name}",
            "Tick what is there as the books say; else write how many are there, how many damaged.",
        ),
        fill_in=("looked at by", "on", "seal", "last used"),
        foot=(f"Enter it with: stockcheck round do {box.short}",),
        cautions=(NOT_A_CERTIFICATE, texts["expired-dressings"]),
        code=box.code,
        code_words=f"{box.short}  {box.name}",
    )


def _row(held: Holding, group: str, box_id: int) -> FormRow:
    from stockcheck.core.audit_round import until_of
    from stockcheck.core.calendar import spoken
    from stockcheck.core.words import counted

    marks = f" (opened {spoken(held.opened_on)})" if held.opened_on else ""
    marks += " (on hold)" if held.state.value == "held" else ""
    marks += f" (in {held.box.name})" if held.box.id != box_id else ""
    amount = counted(held.quantity, held.item.unit)
    name = f"{held.item.name}{marks}"
    return FormRow((held.lot.code, held.lot.short, name, until_of(held), amount, "", ""), group)
