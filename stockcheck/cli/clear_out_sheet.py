"""The sheet of ``clear-out``: what goes where, with codes to scan and boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from stockcheck.cli.shell import put, say
from stockcheck.core.calendar import spoken
from stockcheck.core.clearing import Clearing
from stockcheck.core.words import counted


def write_sheet(
    store_name: str, found: Sequence[Clearing], on: date, page: str, output: Path
) -> None:
    """Write the sheet, its codes read back."""
    from stockcheck.data.kinds import cautions, disposal_routes
    from stockcheck.labels.form import Cell, Form, FormColumn, FormRow, checked_form
    from stockcheck.output.clear_out_report import cautions_to_show

    routes = disposal_routes()
    rows = tuple(
        FormRow(_cells(each), group=f"{routes[each.route].name.capitalize()}") for each in found
    )
    used = dict.fromkeys(each.route for each in found)
    form = Form(
        title="What to get rid of",
        columns=(
            FormColumn("gone", Cell.TICK),
            FormColumn("code", Cell.CODE),
            FormColumn("lot", mm=13, bold=True),
            FormColumn("item", share=2.2),
            FormColumn("quantity", mm=20, right=True),
            FormColumn("why, box", share=1.8),
        ),
        rows=rows,
        facts=(store_name, f"as of {spoken(on)}", counted(len(found), "holding")),
        fill_in=("taken by", "on", "to"),
        foot=tuple(f"{routes[key].name.capitalize()}: {routes[key].text}" for key in used),
        cautions=cautions_to_show(found, cautions()),
        empty="Nothing is to be got rid of.",
    )
    sheets = checked_form(form, page=page)
    put(sheets.pdf, output)
    for left in sheets.left_off:
        say(left, err=True)


def _cells(each: Clearing) -> tuple[str, ...]:
    holding = each.holding
    opened = " (opened)" if holding.opened_on else ""
    return (
        "",
        holding.lot.code,
        holding.lot.short,
        holding.item.name + opened,
        counted(holding.quantity, holding.item.unit),
        f"{each.why.value}; {holding.box.name}",
    )
