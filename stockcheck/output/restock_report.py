"""The restock list as a table: what to move, then what to buy from each supplier, with ticks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.offers import order_by_words
from stockcheck.core.planning import Par
from stockcheck.core.restock import Group, Need, grouped_by_supplier
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
        sections=tuple(_section(group, currency) for group in groups),
        facts=(*facts, f"what is bought must be good through {spoken(horizon)} or later"),
        totals=_totals(needs, lacking, currency, only_box),
        cautions=tuple(said),
        empty="Every par level is met through that day." if needs else "",
        ticks=True,
    )


def with_asked(report: Report, unknown: Sequence[tuple[Par, str]]) -> Report:
    """The list with the par levels that could not be worked out, and what to ask of each."""
    asked = tuple(f"P{par.id} {par.wants} in {par.box.name}: {ask}" for par, ask in unknown)
    return replace(report, totals=(*report.totals, *asked))


def _section(group: Group, currency: str) -> Section:
    heading = group.heading[0].upper() + group.heading[1:]
    prices = [need.price_cents for need in group.needs if need.price_cents is not None]
    notes = [money(sum(prices), currency)] if prices else []
    days = [(need.order_by, need.offer) for need in group.needs if need.order_by and need.offer]
    if days:
        latest, offer = min(days, key=lambda it: it[0])
        notes.append(order_by_words(offer, latest))
    return Section(heading, tuple(_row(need) for need in group.needs), ", ".join(notes))


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
    }
    shown = {
        "item": _called(need),
        "short": counted(need.short, unit),
        "buy": _get(need, unit),
        "price": money(need.price_cents) if need.packs else "",
    }
    return Row(values, shown, _tone(need), (need.reason,))


def _called(need: Need) -> str:
    name = need.item.name if need.item else need.wants
    return f"{name} ({need.importance.value})" if need.importance.value == "vital" else name


def _get(need: Need, unit: str) -> str:
    parts = [
        f"move {counted(move.quantity, unit)} ({move.holding.lot.short}) from"
        f" {move.holding.box.name}"
        for move in need.move_from
    ]
    if need.buy:
        parts.append(_purchase(need, unit))
    return "; ".join(parts)


def _purchase(need: Need, unit: str) -> str:
    bought = need.purchase
    if bought.shared_with:
        return f"{counted(need.buy, unit)} out of the packs for {bought.shared_with}"
    if bought.packs and bought.pack > 1:
        packs = "pack" if bought.packs == 1 else "packs"
        return f"buy {bought.packs} {packs} of {counted(bought.pack, unit)}"
    return f"buy {counted(need.buy, unit)}"


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
    nobody = sum(1 for need in lacking if need.buy and need.offer is None)
    words = [
        f"{len(needs)} par levels: {len(needs) - len(lacking)} met, {len(lacking)} short",
        f"to buy {money(cents, currency)}",
    ]
    words += [f"{nobody} without a supplier"] if nobody else []
    return ("; ".join(words),)
