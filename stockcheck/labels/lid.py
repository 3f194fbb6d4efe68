"""The sheet for a box's lid: what is in it, until when, how many belong there, and its cautions.

A sheet may be folded: a folded A4 has two A5 or four A6 panels, each laid out for itself, with
lines to fold along. All measures are millimetres; it is drawn in black, but for a first-aid sign.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.claims import Counted
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Box, Holding, Kind, Status
from stockcheck.core.planning import Par
from stockcheck.core.printer import Setting
from stockcheck.core.shelf_life import status
from stockcheck.core.words import counted
from stockcheck.labels import marks, symbols
from stockcheck.labels.wording import EXPIRED, LAST_RESORT, box_label, day_words, label_date

if TYPE_CHECKING:
    from stockcheck.data.kinds import Route
    from stockcheck.labels.printing import Sheets

PAPERS = {
    "a4": (210.0, 297.0),
    "a5": (148.5, 210.0),
    "a6": (105.0, 148.5),
    "letter": (215.9, 279.4),
}
"""Panels and sheets upright. Halves are exact halves, so that folds and panels agree."""
FOLDS = {("a4", "a5"): (2, 1), ("a4", "a6"): (2, 2), ("a5", "a6"): (2, 1)}
"""Panels across and down for a sheet and what it is folded to; with two, the sheet lies turned."""
_STATES = {
    Status.HELD: "ON HOLD",
    Status.LAST_RESORT: LAST_RESORT,
    Status.EXPIRED: EXPIRED,
    Status.UNDATED: "NOT COUNTED",
}


@dataclass(frozen=True, slots=True)
class LidLine:
    """One line: how many of what, until when; ``par`` and ``note`` once for a thing.

    ``state`` is what keeps it from being used: expired, on hold, missing. ``note`` says what lacks.
    """

    name: str
    quantity: str = ""
    par: str = ""
    date: str = ""
    lot: str = ""
    state: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Lid:
    """All that one lid sheet says. ``disposal`` pairs a route's name with what to do there."""

    code: str
    short: str
    name: str
    lines: tuple[LidLine, ...]
    place: str = ""
    facts: tuple[str, ...] = ()
    inside: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    disposal: tuple[tuple[str, str], ...] = ()
    sign: str = ""

    def strings(self) -> tuple[str, ...]:
        """Every text of the sheet that is to be printed."""
        cells = [
            cell
            for it in self.lines
            for cell in (it.name, it.quantity, it.par, it.date, it.state, it.note)
        ]
        routes = [word for route in self.disposal for word in route]
        single = (self.name, self.place, *self.facts, *self.inside, *self.cautions)
        return (*single, *cells, *routes)


def lid_of(  # what a lid is told of, each by its name
    box: Box,
    place: str,
    held: Sequence[Holding],
    pars: Sequence[Counted],
    on: date,
    *,
    inside: Sequence[Box] = (),
    audit_due: date | None = None,
    iso: bool = False,
) -> Lid:
    """The lid sheet of a box on a day: what it holds and should hold, and the boxes inside it.

    ``pars`` are the box's own par levels as they stand on that day: what lies in the boxes inside
    counts for them too, and no unit counts for two.

    Cautions and disposal routes are those of the kinds that it holds or should hold.
    """
    from stockcheck.data.kinds import cautions, disposal_routes

    label = box_label(box, place, len(held), contents=held, audit_due=audit_due, iso=iso)
    kinds = [it.kind for it in held]
    kinds += [it.par.item.kind for it in pars if it.par.item]
    kinds += [it.par.kind for it in pars if it.par.kind]
    return Lid(
        code=box.code,
        short=box.short,
        name=box.name,
        place=label.place,
        facts=(*label.lines, f"as of {day_words(on, iso)}"),
        lines=tuple(_lines(held, pars, on, iso)),
        inside=tuple(f"{it.name} ({it.short})" for it in inside),
        cautions=_cautions(kinds, cautions()),
        disposal=_routes(kinds, disposal_routes()),
        sign=symbols.FIRST_AID if marks.is_first_aid(held) else "",
    )


def _lines(held: Sequence[Holding], pars: Sequence[Counted], on: date, iso: bool) -> list[LidLine]:
    """Things by name, of each the earliest first; then what should be there and is not."""
    ordered = sorted(held, key=lambda it: (it.item.name.casefold(), it.item.id, _day_order(it)))
    said: set[int] = set()
    lines: list[LidLine] = []
    by_item = {it.par.item.id: it for it in pars if it.par.item}
    first: set[int] = set()
    for it in ordered:
        counted_par = by_item.get(it.item.id) if it.item.id not in first else None
        first.add(it.item.id)
        if counted_par:
            said.add(counted_par.par.id)
        lines.append(_line(it, counted_par, on, iso))
    return lines + [_wanted(it) for it in pars if it.par.id not in said]


def _day_order(it: Holding) -> tuple[date, int]:
    return it.last_usable_day or date.max, it.lot.id


def _line(it: Holding, wanted: Counted | None, on: date, iso: bool) -> LidLine:
    state = _STATES.get(status(it, on), "")
    return LidLine(
        name=f"{it.item.name}, opened" if it.opened_on else it.item.name,
        quantity=counted(it.quantity, it.item.unit),
        par=wanted.par.worded if wanted else "",
        date=label_date(it, iso=iso),
        lot=it.lot.short,
        state=state,
        note=_short(wanted) if wanted else "",
    )


def _wanted(it: Counted) -> LidLine:
    """A line for a par level that no line of a thing shows: of a kind, or of what is not there."""
    return LidLine(
        name=it.par.wants,
        quantity=counted(it.usable, _unit(it.par)),
        par=it.par.worded,
        state="" if it.usable or not it.par.fixed else "MISSING",
        note=_short(it) if it.usable else "",
    )


def _short(it: Counted) -> str:
    short = it.short if it.par.fixed else 0
    return f"short {counted(short, _unit(it.par))}" if short else ""


def _unit(par: Par) -> str:
    return par.item.unit if par.item else "each"


def _cautions(kinds: Sequence[Kind], texts: Mapping[str, str]) -> tuple[str, ...]:
    """The cautions of all kinds, each once, in the order in which the texts stand."""
    wanted = {key for kind in kinds for key in kind.cautions}
    return tuple(text for key, text in texts.items() if key in wanted)


def _routes(kinds: Sequence[Kind], routes: Mapping[str, Route]) -> tuple[tuple[str, str], ...]:
    wanted = {kind.disposal for kind in kinds}
    return tuple((it.name, it.text) for key, it in routes.items() if key in wanted)


def lid_sheet(
    lids: Sequence[Lid],
    *,
    paper: str = "a4",
    fold: str = "",
    dpi: int = 203,
    code: str = "bars",
    title: str = "Lid sheets",
    setting: Setting | None = None,
) -> Sheets:
    """The sheets of some boxes, each on paper of its own, folded to ``fold`` where that is given.

    ``code`` is "bars", "matrix" or "qr", ``setting`` the printer's correction. BadInput for
    paper that cannot be folded so, for a code that does not fit, and for characters that cannot be
    printed.
    """
    from stockcheck.labels.fonts import check_carried
    from stockcheck.labels.lid_pages import sheets

    paper, fold = paper.lower(), fold.lower()
    if not lids:
        raise BadInput("lid sheets: there is nothing to print. Name a box")
    if paper not in PAPERS:
        raise BadInput(f"paper {paper!r}: give {', '.join(PAPERS)}")
    if fold and fold != paper and (paper, fold) not in FOLDS:
        known = ", ".join(f"{large} to {small}" for large, small in FOLDS)
        raise BadInput(f"fold {paper} to {fold}: sheets fold {known}")
    for lid in lids:
        check_carried(lid.strings(), lid.name)
    return sheets(lids, paper, fold or paper, dpi, code, title, setting or Setting())
