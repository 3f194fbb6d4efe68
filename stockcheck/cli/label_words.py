"""What the labels of a store say: each lot by its state, boxes with what is in them, items."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.gs1_make import element_string
from stockcheck.core.model import Box, Holding, Item, State
from stockcheck.labels import wording
from stockcheck.store import audits, plans, prints, reads

if TYPE_CHECKING:
    from stockcheck.labels.text import LabelText
    from stockcheck.store.files import Store

LOT, OPENED, HOLD, LAST_RESORT = "lot", "opened", "hold", "last-resort"


class Wording:
    """Gives each thing its label; reads of the store what is needed, once."""

    def __init__(
        self, store: Store, on: date, *, iso: bool = False, sort: str = "", gs1: bool = False
    ) -> None:
        self._conn, self._on, self._iso, self._sort = store.conn, on, iso, sort
        self._gs1 = gs1
        self._boxes = reads.boxes(store.conn, retired=True)
        self._counts = reads.holding_counts(store.conn)
        self._pars: dict[int, list[tuple[str, int]]] | None = None

    def lot(self, holding: Holding) -> tuple[str, LabelText]:
        """The sort of label and the label of a lot as it is held.

        BadInput where the maker's data was asked for and cannot stand in a code.
        """
        sort, text = self._lot(holding)
        if self._gs1 and holding.item.gtins:
            gtin = prints.gtin_of(self._conn, holding.lot.id)
            text = replace(text, gs1=element_string(holding.lot, self._on, gtin).encoded)
        return sort, text

    def _lot(self, holding: Holding) -> tuple[str, LabelText]:
        sort = self._sort or _sort_of(holding)
        match sort:
            case "opened":
                return sort, wording.opened_label(holding, self._on, iso=self._iso)
            case "last-resort":
                return sort, wording.last_resort_label(holding, self._on, iso=self._iso)
            case "hold":
                since, reason = self._held(holding)
                return sort, wording.hold_label(holding, since, reason=reason, iso=self._iso)
        return LOT, wording.lot_label(holding, self._on, iso=self._iso)

    def _held(self, holding: Holding) -> tuple[date, str]:
        """Since when it is on hold and why; for a label made beforehand today, and no reason."""
        if holding.state is not State.HELD:
            return self._on, ""
        return prints.held_since(self._conn, holding.lot.id, holding.box.id) or (self._on, "")

    def audit_due(self, box: Box) -> date | None:
        """The day by which it is to be audited next, where it has one."""
        return audits.due(self._conn, box.id)

    def place(self, box: Box) -> str:
        """Where a box is, from the outermost in."""
        return reads.place(self._boxes, box)

    def box(self, box: Box) -> LabelText:
        """The label of a box, with what is in it."""
        return wording.box_label(
            box,
            self.place(box),
            self._counts.get(box.id, 0),
            contents=reads.holdings(self._conn, box_ids=[box.id]),
            audit_due=self.audit_due(box),
            iso=self._iso,
        )

    def item(self, item: Item) -> LabelText:
        """The label of an item, with the box and par level that it has where that is only one."""
        if self._pars is None:
            self._pars = {}
            for par in plans.pars(self._conn):
                if par.item is not None and par.fixed:
                    self._pars.setdefault(par.item.id, []).append((par.box.name, par.quantity))
        pars = self._pars.get(item.id, [])
        place, keep = pars[0] if len(pars) == 1 else ("", None)
        return wording.item_label(item, place=place, keep=keep)


def _sort_of(holding: Holding) -> str:
    if holding.state is State.HELD:
        return HOLD
    if holding.state is State.LAST_RESORT:
        return LAST_RESORT
    return OPENED if holding.opened_on else LOT
