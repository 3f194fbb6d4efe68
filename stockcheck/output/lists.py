"""The catalogue as tables: what ``list`` prints, and the facts that ``show`` puts on top."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.calendar import spoken
from stockcheck.core.model import Box, Holding, Item, Kind, Lot
from stockcheck.core.words import counted, money
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

if TYPE_CHECKING:
    from stockcheck.core.planning import Offer, Par, Supplier, Trip

_COLUMNS: dict[str, tuple[Column, ...]] = {
    "box": (
        Column("box", "Box", fixed=True),
        Column("place", "Where", weight=4),
        Column("holdings", "Holdings", right=True, fixed=True),
        Column("climate", "Climate", weight=2),
        Column("note", "Note", weight=3),
    ),
    "item": (
        Column("item", "Item", fixed=True),
        Column("name", "Name", weight=5),
        Column("kind", "Kind", weight=3),
        Column("unit", "Unit", fixed=True),
        Column("pack", "Pack", right=True, fixed=True),
        Column("importance", "Importance", fixed=True),
    ),
    "supplier": (
        Column("supplier", "Supplier", weight=3),
        Column("lead_days", "Lead days", right=True, fixed=True),
        Column("note", "Note", weight=3),
    ),
    "offer": (
        Column("offer", "Offer", fixed=True),
        Column("supplier", "Supplier", weight=3),
        Column("item", "Item", weight=4),
        Column("pack", "Pack", right=True, fixed=True),
        Column("price", "Price", right=True, fixed=True),
        Column("lead_days", "Lead", right=True, fixed=True),
    ),
    "par": (
        Column("par", "Par", fixed=True),
        Column("box", "Box", weight=3),
        Column("wants", "Holds", weight=5),
        Column("quantity", "Quantity", weight=2, right=True),
        Column("importance", "Importance", fixed=True),
    ),
    "trip": (
        Column("trip", "Trip", weight=3),
        Column("departs", "Departs", fixed=True),
        Column("returns", "Returns", fixed=True),
        Column("horizon", "Good through", fixed=True),
        Column("people", "People", right=True, fixed=True),
        Column("distance_km", "km", right=True, fixed=True),
    ),
    "kind": (
        Column("kind", "Kind", fixed=True),
        Column("name", "Name", weight=4),
        Column("sealed", "Sealed", fixed=True),
        Column("opened", "Opened", fixed=True),
        Column("meaning", "Date", fixed=True),
        Column("past", "Past its date", weight=2),
    ),
    "lot": (
        Column("lot", "Lot", fixed=True),
        Column("item", "Item", weight=4),
        Column("batch", "Batch", fixed=True),
        Column("printed", "Printed", weight=2),
        Column("on_hand", "On hand", right=True, fixed=True),
        Column("note", "Note", weight=2),
    ),
}
# What a row of each holds, in order: the CSV header of a list without rows too.
_KEYS = {
    "box": "box name place code holdings climate note retired_on",
    "item": "item name kind unit pack size width_mm length_mm importance gtin code note retired_on",
    "supplier": "supplier lead_days lead_in fee free_from minimum country note retired_on",
    "offer": "offer supplier item pack unit price lead_days packs_left good_days note",
    "par": "par box item kind wants quantity importance basis rate reserve_days plan assurance",
    "trip": "trip departs returns margin_days horizon people distance_km note retired_on",
    "kind": "kind name group sealed opened meaning past disposal origin",
    "lot": "lot code item batch printed read_as made received_on on_hand unit supplier note",
}
_TITLES = {
    "box": "Boxes",
    "item": "Items",
    "supplier": "Suppliers",
    "offer": "Offers",
    "par": "Par levels",
    "trip": "Trips",
    "kind": "Kinds",
    "lot": "Lots",
}


def catalogue(what: str, rows: Sequence[Row], *, on: date, store: str) -> Report:
    """The list of one sort of thing."""
    return Report(
        title=_TITLES[what],
        on=on,
        store=store,
        columns=_COLUMNS[what],
        keys=tuple(_KEYS[what].split()),
        sections=(Section("", tuple(rows)),) if rows else (),
        totals=(f"{len(rows)} in all",) if rows else (),
        empty=f"None yet; 'stockcheck {what} add --help' tells how to make one.",
    )


def _tone(retired_on: date | None) -> Tone:
    return Tone.QUIET if retired_on else Tone.PLAIN


def _gone(note: str, retired_on: date | None) -> str:
    return f"retired {spoken(retired_on)}. {note}".strip() if retired_on else note


def box_row(box: Box, place: str, holdings: int) -> Row:
    """A box in the list."""
    values: dict[str, Json] = {
        "box": box.short,
        "name": box.name,
        "place": place,
        "code": box.code,
        "holdings": holdings,
        "climate": box.climate,
        "note": box.note,
        "retired_on": box.retired_on,
    }
    return Row(values, {"note": _gone(box.note, box.retired_on)}, _tone(box.retired_on))


def item_row(item: Item) -> Row:
    """An item in the list."""
    values: dict[str, Json] = {
        "item": item.short,
        "name": item.name,
        "kind": item.kind.key,
        "unit": item.unit,
        "pack": item.pack,
        "size": item.size,
        "width_mm": item.width_mm,
        "length_mm": item.length_mm,
        "importance": item.importance.value,
        "gtin": " ".join(item.maker_codes),
        "code": item.code,
        "note": item.note,
        "retired_on": item.retired_on,
    }
    shown = {"name": f"{item.name} (retired)"} if item.retired_on else {}
    return Row(values, shown, _tone(item.retired_on))


def supplier_row(supplier: Supplier) -> Row:
    """A supplier in the list."""
    values: dict[str, Json] = {
        "supplier": supplier.name,
        "lead_days": supplier.lead_days,
        "lead_in": "working" if supplier.lead_working else "calendar",
        "fee": supplier.fee_cents / 100,
        "free_from": _units(supplier.free_from_cents),
        "minimum": supplier.minimum_cents / 100,
        "country": supplier.country,
        "note": supplier.note,
        "retired_on": supplier.retired_on,
    }
    shown = {"note": _gone(supplier.note, supplier.retired_on)}
    return Row(values, shown, _tone(supplier.retired_on))


def _units(cents: int | None) -> float | None:
    return None if cents is None else cents / 100


def supplier_facts(supplier: Supplier, currency: str) -> tuple[str, ...]:
    """What stands on top of a supplier's card."""
    days = "working days" if supplier.lead_working else "days"
    lead = "unknown" if supplier.lead_days is None else f"{supplier.lead_days} {days}"
    facts = [f"lead time: {lead}"]
    if supplier.fee_cents:
        free = supplier.free_from_cents
        waived = "" if free is None else f", nothing from {money(free, currency)} on"
        facts.append(f"shipping: {money(supplier.fee_cents, currency)}{waived}")
    if supplier.minimum_cents:
        facts.append(f"least order: {money(supplier.minimum_cents, currency)}")
    facts += [f"holidays of {supplier.country}"] if supplier.country else []
    facts += [supplier.note] if supplier.note else []
    return (*facts, *_retired(supplier.retired_on))


def offer_row(offer: Offer, currency: str) -> Row:
    """An offer in the list."""
    values: dict[str, Json] = {
        "offer": f"O{offer.id}",
        "supplier": offer.supplier.name,
        "item": offer.item.name,
        "pack": offer.pack,
        "unit": offer.item.unit,
        "price": offer.price_cents / 100,
        "lead_days": offer.lead_days if offer.lead_days is not None else offer.supplier.lead_days,
        "packs_left": offer.packs_left,
        "good_days": offer.good_days,
        "note": offer.note,
    }
    shown = {
        "pack": counted(offer.pack, offer.item.unit),
        "price": money(offer.price_cents, currency),
    }
    return Row(values, shown)


def par_row(par: Par) -> Row:
    """A par level in the list."""
    values: dict[str, Json] = {
        "par": f"P{par.id}",
        "box": par.box.name,
        "item": par.item.name if par.item else None,
        "kind": par.kind.key if par.kind else None,
        "wants": par.wants,
        "quantity": par.quantity if par.fixed else None,
        "importance": par.importance.value,
        "basis": par.basis,
        "rate": par.rate,
        "reserve_days": par.reserve_days,
        "plan": par.plan,
        "assurance": par.assurance,
    }
    return Row(values, {"quantity": par.worded})


def trip_row(trip: Trip) -> Row:
    """A trip in the list."""
    values: dict[str, Json] = {
        "trip": trip.name,
        "departs": trip.departs,
        "returns": trip.returns,
        "margin_days": trip.margin_days,
        "horizon": trip.horizon,
        "people": trip.people,
        "distance_km": trip.distance_km,
        "note": trip.note,
        "retired_on": trip.retired_on,
    }
    shown = {name: spoken(day) for name, day in (
        ("departs", trip.departs), ("returns", trip.returns), ("horizon", trip.horizon)
    )}  # fmt: skip
    return Row(values, shown, _tone(trip.retired_on))


def kind_row(kind: Kind) -> Row:
    """A kind in the list."""
    values: dict[str, Json] = {
        "kind": kind.key,
        "name": kind.name,
        "group": kind.group,
        "sealed": str(kind.sealed.life) if kind.sealed else None,
        "opened": str(kind.opened.life) if kind.opened else None,
        "meaning": kind.meaning.value,
        "past": kind.past.value,
        "disposal": kind.disposal,
        "origin": kind.origin,
    }
    shown = {
        "kind": kind.key if kind.origin == "shipped" else f"{kind.key} ({kind.origin})",
        "sealed": str(kind.sealed.life) if kind.sealed else ("as dated" if kind.has_life else "-"),
        "opened": str(kind.opened.life) if kind.opened else "-",
    }
    return Row(values, shown)


def lot_row(lot: Lot, held: Iterable[Holding]) -> Row:
    """A lot in the list."""
    on_hand = sum(each.quantity for each in held)
    values: dict[str, Json] = {
        "lot": lot.short,
        "code": lot.code,
        "item": lot.item.name,
        "batch": lot.batch,
        "printed": lot.expiry.text if lot.expiry else "",
        "read_as": lot.expiry.reading.iso if lot.expiry else None,
        "made": lot.made.iso if lot.made else None,
        "received_on": lot.received_on,
        "on_hand": on_hand,
        "unit": lot.item.unit,
        "supplier": lot.supplier,
        "note": lot.note,
    }
    return Row(values, {"on_hand": counted(on_hand, lot.item.unit)})


def box_facts(box: Box, place: str, pars: Sequence[Par]) -> tuple[str, ...]:
    """What stands on top of a box's card."""
    facts = [f"{box.short}, code {box.code}, {place}"]
    facts += [f"climate: {box.climate}"] if box.climate else []
    facts += [box.note] if box.note else []
    wanted = [f"{par.worded} of {par.wants}" for par in pars]
    facts += [f"par: {'; '.join(wanted)}"] if wanted else ["no par levels yet"]
    return (*facts, *_retired(box.retired_on))


def item_facts(
    item: Item, pars: Sequence[Par], offers: Sequence[Offer], currency: str
) -> tuple[str, ...]:
    """What stands on top of an item's card."""
    size = f", {item.size}" if item.size else ""
    facts = [
        f"{item.short}, code {item.code}",
        f"kind: {item.kind.name} ({item.kind.key}); {item.importance.value}",
        f"counted in {item.unit}, usual pack {counted(item.pack, item.unit)}{size}",
    ]
    facts += [f"GTIN {code}" for code in item.maker_codes]
    facts += [item.note] if item.note else []
    facts += [f"par: {par.worded} in {par.box.name}" for par in pars]
    facts += [
        f"sold by {offer.supplier.name}: {counted(offer.pack, item.unit)} for"
        f" {money(offer.price_cents, currency)}"
        for offer in offers
    ]
    return (*facts, *_retired(item.retired_on))


def trip_facts(trip: Trip) -> tuple[str, ...]:
    """What stands on top of a trip's card."""
    from stockcheck.core.planning import trip_words

    distance = [f"{trip.distance_km} km"] if trip.distance_km is not None else []
    note = [trip.note] if trip.note else []
    distance += [f"climate: {trip.climate}"] if trip.climate else []
    return (trip_words(trip), *distance, *note, *_retired(trip.retired_on))


def _retired(day: date | None) -> tuple[str, ...]:
    return (f"retired on {spoken(day)}",) if day else ()
