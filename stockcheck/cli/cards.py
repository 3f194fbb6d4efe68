"""What ``show`` prints: the facts of one thing, and what is on hand of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from stockcheck.core.expiry import standings
from stockcheck.core.model import Holding
from stockcheck.output import lists
from stockcheck.output.expiry_report import expiry_report
from stockcheck.output.report import Report, Row, Section
from stockcheck.store import reads
from stockcheck.store.files import Store


def card(store: Store, what: str, number: int, on: date, *, table: bool) -> Report:
    """All that is known of a box, item, par, supplier, offer or trip.

    ``table`` wants the values in a row, for scripts, where people get words.
    """
    makers = {
        "box": _box,
        "item": _item,
        "par": _par,
        "supplier": _supplier,
        "offer": _offer,
        "trip": _trip,
    }
    report = makers[what](store, number, on)
    return report if table or report.columns else replace(report, sections=())


def on_hand(
    store: Store, title: str, facts: tuple[str, ...], held: Sequence[Holding], on: date
) -> Report:
    """Facts on top, and the holdings with their standing below."""
    from stockcheck.data.kinds import cautions

    boxes = reads.boxes(store.conn, retired=True)
    places = reads.places(boxes)
    report = expiry_report(
        standings(held, on), boxes, places, on=on, store=store.name, facts=facts,
        cautions=cautions(),
    )  # fmt: skip
    return replace(report, title=title, empty="None on hand.")


def _box(store: Store, number: int, on: date) -> Report:
    from stockcheck.core.calendar import spoken
    from stockcheck.store import plans
    from stockcheck.store.stocktake_due import last_counted

    boxes = reads.boxes(store.conn, retired=True)
    box = next(each for each in boxes if each.id == number)
    pars = [par for par in plans.pars(store.conn) if par.box.id == number]
    inside = reads.box_and_inside(boxes, number)
    held = reads.holdings(store.conn, box_ids=inside)
    facts = lists.box_facts(box, reads.place(boxes, box), pars)
    if counted_on := last_counted(store.conn, number):
        facts += (f"last counted {spoken(counted_on)}",)
    return on_hand(store, box.name, facts, held, on)


def _item(store: Store, number: int, on: date) -> Report:
    from stockcheck.store import plans

    conn = store.conn
    item = reads.items(conn, only=[number])[0]
    pars = [par for par in plans.pars(conn) if par.item and par.item.id == number]
    offers = [offer for offer in plans.offers(conn) if offer.item.id == number]
    facts = lists.item_facts(item, pars, offers, store.currency)
    return on_hand(store, item.name, facts, reads.holdings(conn, item_ids=[number]), on)


def _trip(store: Store, number: int, on: date) -> Report:
    from stockcheck.store import plans

    trip = plans.trip(store.conn, number)
    return _words(store, trip.name, lists.trip_facts(trip), lists.trip_row(trip), on)


def _supplier(store: Store, number: int, on: date) -> Report:
    from stockcheck.store import plans

    suppliers = plans.suppliers(store.conn, retired=True)
    supplier = next(each for each in suppliers if each.id == number)
    rows = [
        lists.offer_row(offer, store.currency)
        for offer in plans.offers(store.conn)
        if offer.supplier.id == number
    ]
    report = lists.catalogue("offer", rows, on=on, store=store.name)
    facts = lists.supplier_facts(supplier, store.currency)
    return replace(report, title=supplier.name, facts=facts, empty="No offers of it.")


def _par(store: Store, number: int, on: date) -> Report:
    from stockcheck.store import plans

    par = next((each for each in plans.pars(store.conn) if each.id == number), None)
    row = lists.par_row(par) if par else None
    return _words(store, f"Par level P{number}", _facts(row, "box", "wants"), row, on)


def _offer(store: Store, number: int, on: date) -> Report:
    from stockcheck.store import plans

    offer = next((each for each in plans.offers(store.conn) if each.id == number), None)
    row = lists.offer_row(offer, store.currency) if offer else None
    return _words(store, f"Offer O{number}", _facts(row, "supplier", "item"), row, on)


def _facts(row: Row | None, *first: str) -> tuple[str, ...]:
    """A row's values in words, those named first in front; what is empty is left out."""
    if row is None:
        return ("retired",)
    told = {"box": "in", "wants": "holds", "lead_days": "lead days"}
    rest = ("quantity", "plan", "pack", "price", "lead_days", "importance", "note")
    return tuple(
        f"{told.get(name, name)}: {text}"
        for name in (*first, *rest)
        if (text := row.shown.get(name, row.values.get(name))) not in {None, ""}
    )


def _words(store: Store, title: str, facts: tuple[str, ...], row: Row | None, on: date) -> Report:
    return Report(
        title=title,
        on=on,
        store=store.name,
        columns=(),
        sections=(Section("", (row,)),) if row else (),
        facts=facts,
        empty="",
    )
