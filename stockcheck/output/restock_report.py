"""The restock list as a table: what to move, then what to buy from each supplier, with ticks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.offers import fee_for, order_by_words
from stockcheck.core.planning import Par, Supplier
from stockcheck.core.restock import Group, Need, grouped_by_supplier
from stockcheck.core.restock_buying import Part
from stockcheck.core.words import counted, money
from stockcheck.output.expiry_report import cautions_of
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

COLUMNS = (
    Column("item", "Item", weight=5),
    Column("box", "For box", weight=3),
    Column("short", "Short", right=True, fixed=True),
    Column("buy", "Get", weight=5),
    Column("price", "Price", right=True, fixed=True),
)

KEYS = (
    "box", "item", "importance", "needed", "usable", "short", "reason", "move_from", "on_order",
    "buy", "packs", "offer", "supplier", "price", "use_by_not_before", "order_by", "basis",
    "late", "uncovered", "substitutes", "purchases",
)  # fmt: skip


def restock_report(
    needs: Sequence[Need],
    *,
    on: date,
    horizon: date,
    store: str,
    currency: str,
    facts: tuple[str, ...],
    cautions: Mapping[str, str],
    only_box: str = "",
) -> Report:
    """Lay the needs that lack something out by supplier; those that nobody sells come last.

    ``only_box`` is the box that the list is limited to.
    """
    groups = grouped_by_supplier(needs)
    lacking = [need for group in groups for need in group.needs]
    moved = [move.holding for need in lacking for move in need.move_from]
    kinds = {need.item.kind.key: need.item.kind for need in lacking if need.item}
    keys = {key for kind in kinds.values() for key in kind.cautions}
    keys |= {key for need in lacking if need.worked for key in need.worked.cautions}
    said = dict.fromkeys(cautions_of(moved, cautions))
    said |= {text: None for key, text in cautions.items() if key in keys}
    return Report(
        title="Restock list",
        on=on,
        store=store,
        columns=COLUMNS,
        keys=KEYS,
        sections=tuple(_section(group, _goods(lacking), currency) for group in groups),
        facts=(*facts, f"what is bought must be good through {spoken(horizon)} or later"),
        totals=_totals(needs, lacking, currency, only_box),
        cautions=tuple(said),
        empty="Every par level is met through that day." if needs else "",
        ticks=True,
        grouped="From",
    )


def with_asked(report: Report, unknown: Sequence[tuple[Par, str]]) -> Report:
    """The list with the par levels that could not be worked out, and what to ask of each."""
    asked = tuple(f"P{par.id} {par.wants} in {par.box.name}: {ask}" for par, ask in unknown)
    return replace(report, totals=(*report.totals, *asked))


def _goods(needs: Iterable[Need]) -> dict[int, tuple[Supplier, int]]:
    """What is bought from each supplier altogether, also for lines that stand under another."""
    found: dict[int, tuple[Supplier, int]] = {}
    for need in needs:
        bought = [(it.offer.supplier, it.price_cents) for it in need.purchase.parts]
        if not bought and need.offer is not None:
            bought = [(need.offer.supplier, need.price_cents or 0)]
        for supplier, cents in bought:
            before = found.get(supplier.id, (supplier, 0))[1]
            found[supplier.id] = (supplier, before + cents)
    return found


def _section(group: Group, goods: Mapping[int, tuple[Supplier, int]], currency: str) -> Section:
    heading = group.heading[0].upper() + group.heading[1:]
    notes: list[str] = []
    if group.supplier is not None:
        supplier, cents = goods[group.supplier.id]
        notes.append(money(cents, currency))
        fee = fee_for(supplier, cents)
        notes += [f"{money(fee, currency)} shipping"] if fee else []
    days = [(need.order_by, _order_why(need)) for need in group.needs if need.order_by]
    if days:
        notes.append(min(days)[1])
    return Section(heading, tuple(_row(need) for need in group.needs), ", ".join(notes), True)


def _order_why(need: Need) -> str:
    if need.order_why or need.offer is None or need.order_by is None:
        return need.order_why
    return order_by_words(need.offer, need.order_by)


def _row(need: Need) -> Row:
    offer, item = need.offer, need.item
    unit = item.unit if item else need.par.unit
    values: dict[str, Json] = {
        "box": need.box.name,
        "item": item.name if item else need.wants,
        "importance": need.importance.value,
        "needed": need.needed,
        "usable": need.usable,
        "short": need.short,
        "reason": need.reason,
        "move_from": [
            {
                "box": move.holding.box.name,
                "lot": move.holding.lot.short,
                "quantity": move.quantity,
            }
            for move in need.move_from
        ],
        "on_order": need.on_order,
        "buy": need.buy,
        "packs": need.packs if need.purchase.pack or not need.buy else None,
        "offer": f"O{offer.id}" if offer else None,
        "supplier": offer.supplier.name if offer else None,
        "price": need.price_cents / 100 if need.price_cents is not None else None,
        "use_by_not_before": need.use_by_not_before,
        "order_by": need.order_by,
        "basis": need.par.basis,
        "late": need.late,
        "uncovered": need.purchase.uncovered,
    }
    values |= _filled(need)
    shown = {
        "item": _called(need),
        "short": counted(need.short, unit),
        "buy": _get(need, unit),
        "price": money(need.price_cents) if need.packs else "",
    }
    return Row(values, shown, _tone(need), (need.reason,))


def _filled(need: Need) -> dict[str, Json]:
    """What stands in, and every pack that is bought."""
    return {
        "substitutes": [
            {
                "item": it.holding.item.name,
                "box": it.holding.box.name,
                "lot": it.holding.lot.short,
                "quantity": it.quantity,
                "covers": it.covers,
            }
            for it in need.stand_ins
        ],
        "purchases": [
            {
                "offer": f"O{it.offer.id}",
                "supplier": it.offer.supplier.name,
                "item": it.offer.item.name,
                "pack": it.offer.pack,
                "packs": it.packs,
                "price": it.price_cents / 100,
            }
            for it in need.purchase.parts
        ],
    }


def _called(need: Need) -> str:
    name = need.item.name if need.item else need.wants
    return f"{name} ({need.importance.value})" if need.importance.value == "vital" else name


def _get(need: Need, unit: str) -> str:
    parts = [
        f"move {counted(move.quantity, unit)} ({move.holding.lot.short}) from"
        f" {move.holding.box.name}"
        for move in need.move_from
    ]
    parts += [
        f"use {counted(it.quantity, it.holding.item.unit)} of {it.holding.item.name}"
        f" ({it.holding.lot.short}) from {it.holding.box.name} in its place"
        for it in need.stand_ins
    ]
    if need.on_order:
        parts.append(f"{counted(need.on_order, unit)} on order")
    if need.buy:
        parts.append(_purchase(need, unit))
    return "; ".join(parts)


def _purchase(need: Need, unit: str) -> str:
    bought = need.purchase
    if bought.shared_with:
        return f"{counted(need.buy, unit)} out of the packs for {bought.shared_with}"
    if bought.parts:
        return "; ".join(_part(it, need) for it in bought.parts)
    if bought.packs and bought.pack > 1:
        packs = "pack" if bought.packs == 1 else "packs"
        return f"buy {bought.packs} {packs} of {counted(bought.pack, unit)}"
    return f"buy {counted(need.buy, unit)}"


def _part(part: Part, need: Need) -> str:
    """One offer's packs; with the supplier's and the item's name where they are others."""
    offer = part.offer
    size = counted(offer.pack, offer.item.unit)
    packs = "pack" if part.packs == 1 else "packs"
    said = (
        f"buy {part.packs} {packs} of {size}"
        if offer.pack > 1
        else (f"buy {counted(part.packs, offer.item.unit)}")
    )
    if need.par.item is not None and offer.item.id != need.par.item.id:
        said += f" of {offer.item.name} in its place"
    if need.offer is not None and offer.supplier.id != need.offer.supplier.id:
        said += f" from {offer.supplier.name}"
    return said


def _tone(need: Need) -> Tone:
    if need.buy and (need.offer is None or need.late):
        return Tone.BAD
    return Tone.WARN if need.importance.value == "vital" else Tone.PLAIN


def _totals(
    needs: Sequence[Need], lacking: Sequence[Need], currency: str, only_box: str
) -> tuple[str, ...]:
    if not needs and only_box:
        return (f"there are no par levels for {only_box}: 'stockcheck par add' sets one",)
    if not needs:
        return ("there are no par levels yet: 'stockcheck par add' says what a box should hold",)
    cents = sum(need.price_cents or 0 for need in lacking)
    cents += sum(fee_for(*it) for it in _goods(lacking).values())
    nobody = sum(1 for need in lacking if need.buy and need.offer is None)
    beyond = sum(1 for need in lacking if need.purchase.uncovered and need.purchase.sold)
    nobody -= sum(1 for need in lacking if need.purchase.sold and need.offer is None)
    words = [
        f"{len(needs)} par levels: {len(needs) - len(lacking)} met, {len(lacking)} short",
        f"to buy {money(cents, currency)}",
    ]
    words += [f"{nobody} without a supplier"] if nobody else []
    words += [f"{beyond} beyond the money or what is sold"] if beyond else []
    if not all(need.purchase.proven for need in lacking):
        words.append("not proven: a better way to buy may exist, not all were tried")
    return ("; ".join(words),)
