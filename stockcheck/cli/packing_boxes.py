"""The boxes of a departure pack: their lid sheets, drawn for paper, in words for a screen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from stockcheck.cli.shell import complain
from stockcheck.core.codes import make_code
from stockcheck.core.errors import BadInput
from stockcheck.core.words import counted
from stockcheck.output.bundle import Drawn, Part
from stockcheck.output.pack_parts import BoxLine, BoxSheet, contents_report

if TYPE_CHECKING:
    from stockcheck.cli.packing_parts import Aboard
    from stockcheck.core.model import Holding
    from stockcheck.labels.lid import Lid


def boxes_part(aboard: Aboard) -> tuple[Part, tuple[str, ...]]:
    """What is in each box, and the codes of those whose lid sheets are drawn, in order.

    Where a name has letters that labels cannot print, the boxes are listed instead of drawn.
    """
    if "boxes" in aboard.wish.without:
        return Part("boxes", contents_report((), aboard.where)), ()
    lids = list(_lids(aboard))
    places = [aboard.where.places[box.id] for box in aboard.boxes]
    sheets = [_sheet(lid, place) for lid, place in zip(lids, places, strict=True)]
    report = contents_report(sheets, aboard.where)
    about = counted(len(lids), "box")
    drawn = _drawn(lids, aboard.wish.page) if aboard.wish.page else ()
    return Part("boxes", report, about, drawn), tuple(lid.code for lid in lids) if drawn else ()


def _drawn(lids: list[Lid], page: str) -> tuple[Drawn, ...]:
    from stockcheck.labels.lid_drawn import lid_painters

    try:
        return tuple(Drawn(lid.name, lid_painters(lid, page)) for lid in lids)
    except BadInput as error:
        complain(f"stockcheck: no lid sheets, the boxes are listed instead: {error}")
        return ()


def _lids(aboard: Aboard) -> Iterator[Lid]:
    from stockcheck.core.claims import standing
    from stockcheck.labels.lid import lid_of
    from stockcheck.store import audits, plans

    conn, on = aboard.store.conn, aboard.wish.on
    pars = standing(plans.pars(conn), aboard.held, aboard.every, on)
    inside: dict[int, list[Holding]] = {}
    for each in aboard.held:
        inside.setdefault(each.box.id, []).append(each)
    for box in aboard.boxes:
        yield lid_of(
            box,
            aboard.where.places[box.id],
            inside.get(box.id, []),
            [each for each in pars if each.par.box.id == box.id],
            on,
            inside=[each for each in aboard.boxes if each.parent_id == box.id],
            audit_due=audits.due(conn, box.id),
        )


def _sheet(lid: Lid, place: str) -> BoxSheet:
    lines = tuple(
        BoxLine(
            it.lot,
            make_code("lot", int(it.lot[1:])) if it.lot else "",
            it.name,
            it.quantity,
            it.par,
            it.date,
            it.state,
            it.note,
        )
        for it in lid.lines
    )
    facts = [f"{lid.short}, {lid.code}", *lid.facts]
    facts += [f"boxes inside: {', '.join(lid.inside)}"] if lid.inside else []
    return BoxSheet(place, "; ".join(facts), lines)
