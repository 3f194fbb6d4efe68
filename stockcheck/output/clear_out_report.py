"""What to get rid of as a table: a section for each disposal route, with what to beware of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.clearing import Clearing, by_route
from stockcheck.core.words import counted, listed
from stockcheck.output.expiry_report import cautions_of, marks_of, until
from stockcheck.output.report import Column, Report, Row, Section, Tone

if TYPE_CHECKING:
    from stockcheck.data.kinds import Route

COLUMNS = (
    Column("why", "Why", fixed=True),
    Column("item", "Item", weight=4),
    Column("lot", "Lot", fixed=True),
    Column("quantity", "Qty", right=True, fixed=True),
    Column("last_usable_day", "Was good through", fixed=True),
    Column("box", "Box", weight=3),
)
KEYS = (
    "route", "box", "item", "kind", "lot", "code", "batch", "quantity", "unit", "last_usable_day",
    "why", "disposal", "cautions",
)  # fmt: skip
CONTROLLED = (
    "Controlled medicines (those on a special prescription or kept in a register): the pharmacy"
    " and local rules say how they are handed over, witnessed and written down, not this list."
    " Ask before anything leaves the box, and keep the receipt."
)


def clear_out_report(
    found: Sequence[Clearing],
    routes: Mapping[str, Route],
    cautions: Mapping[str, str],
    *,
    on: date,
    store: str,
    notes: Sequence[str] = (),
) -> Report:
    """Lay out what is to go; ``notes`` say what was not asked for and so left out."""
    sections = tuple(
        Section(
            routes[key].name.capitalize(),
            tuple(_row(each, routes[key], cautions) for each in group),
            routes[key].text.rstrip("."),
        )
        for key, group in by_route(found).items()
    )
    word = counted(len(found), "holding")
    return Report(
        title="What to get rid of",
        on=on,
        store=store,
        columns=COLUMNS,
        keys=KEYS,
        sections=sections,
        facts=marks_of(each.holding for each in found),
        totals=(*([f"{word} on {counted(len(sections), 'route')}"] if found else []), *notes),
        cautions=cautions_to_show(found, cautions),
        empty="Nothing is to be got rid of.",
        ticks=True,
        grouped="Route",
    )


def cautions_to_show(found: Sequence[Clearing], texts: Mapping[str, str]) -> tuple[str, ...]:
    """Those of all that is to go; of controlled medicines first, where any medicine is there."""
    controlled = (CONTROLLED,) if any(each.medicine for each in found) else ()
    return (*controlled, *cautions_of((each.holding for each in found), texts))


def _row(each: Clearing, route: Route, cautions: Mapping[str, str]) -> Row:
    holding = each.holding
    leads = [
        text.partition(":")[0] for key, text in cautions.items() if key in holding.kind.cautions
    ]
    opened = " (opened)" if holding.opened_on else ""
    return Row(
        values={
            "route": each.route,
            "box": holding.box.name,
            "item": holding.item.name,
            "kind": holding.kind.key,
            "lot": holding.lot.short,
            "code": holding.lot.code,
            "batch": holding.lot.batch or None,
            "quantity": holding.quantity,
            "unit": holding.item.unit,
            "last_usable_day": holding.last_usable_day,
            "why": each.why.value,
            "disposal": route.name,
            "cautions": [key for key in cautions if key in holding.kind.cautions],
        },
        shown={
            "item": holding.item.name + opened,
            "quantity": counted(holding.quantity, holding.item.unit),
            "last_usable_day": until(holding),
        },
        tone=Tone.BAD,
        details=(f"caution: {listed(leads)}",) if leads else (),
    )
