"""Orders as lists to send or to shop by, one section a supplier; and purchases as a table."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from stockcheck.core.calendar import spoken
from stockcheck.core.purchasing import Order, OrderLine
from stockcheck.core.words import counted, money
from stockcheck.output.report import Column, Json, Report, Row, Section, Tone

_LINES = (
    Column("item", "Item", weight=5),
    Column("packs", "Packs", weight=2),
    Column("box", "For box", weight=3),
    Column("received", "Came", right=True, fixed=True),
    Column("price", "Price", right=True, fixed=True),
)
_LINE_KEYS = (
    "purchase", "supplier", "item", "box", "pack", "packs", "units", "unit", "received", "open",
    "price", "expected_on", "good_through",
)  # fmt: skip
_ORDERS = (
    Column("purchase", "No.", right=True, fixed=True),
    Column("supplier", "Supplier", weight=4),
    Column("ordered_on", "Ordered", fixed=True),
    Column("expected_on", "Expected", fixed=True),
    Column("status", "State", fixed=True),
    Column("total", "Total", right=True, fixed=True),
)
_ORDER_KEYS = (
    "purchase", "supplier", "ordered_on", "expected_on", "status", "lines", "open_lines", "total",
    "good_through", "note",
)  # fmt: skip
_TONES = {"open": Tone.PLAIN, "partly delivered": Tone.WARN, "delivered": Tone.GOOD}


def order_report(
    orders: Sequence[Order], *, on: date, store: str, currency: str, title: str, empty: str
) -> Report:
    """Purchases line by line, a section each, with ticks: to send, to shop by, to check against."""
    return Report(
        title=title,
        on=on,
        store=store,
        columns=_LINES,
        keys=_LINE_KEYS,
        sections=tuple(_section(one, currency) for one in orders),
        facts=_until(orders),
        totals=(_total(orders, currency),) if orders else (),
        empty=empty,
        ticks=True,
    )


def _until(orders: Sequence[Order]) -> tuple[str, ...]:
    days = {one.good_through for one in orders if one.good_through}
    return tuple(f"everything must be good through {spoken(day)} or later" for day in sorted(days))


def _section(one: Order, currency: str) -> Section:
    number = f"{one.id}: " if one.id else ""
    notes = [f"goods {money(one.goods_cents, currency)}"]
    notes += [f"shipping {money(one.fee_cents, currency)}"] if one.fee_cents else []
    notes.append(f"expected {spoken(one.expected_on)}" if one.expected_on else "day unknown")
    notes += [one.state] if one.id else []
    rows = tuple(_line_row(one, line) for line in one.lines)
    return Section(f"{number}{one.supplier}", rows, ", ".join(notes))


def _line_row(one: Order, line: OrderLine) -> Row:
    values: dict[str, Json] = {
        "purchase": one.id or None,
        "supplier": one.supplier,
        "item": line.item.name,
        "box": line.box.name if line.box else None,
        "pack": line.pack,
        "packs": line.packs,
        "units": line.ordered,
        "unit": line.item.unit,
        "received": line.received,
        "open": line.open if one.ended_on is None else 0,
        "price": line.packs * line.price_cents / 100,
        "expected_on": one.expected_on,
        "good_through": one.good_through,
    }
    pack = f" of {counted(line.pack, line.item.unit)}" if line.pack > 1 else ""
    shown = {
        "packs": f"{line.packs}{pack}",
        "received": str(line.received) if one.id else "",
        "price": money(line.packs * line.price_cents),
    }
    tone = Tone.GOOD if one.id and not line.open else Tone.PLAIN
    return Row(values, shown, tone)


def _total(orders: Sequence[Order], currency: str) -> str:
    cents = sum(one.goods_cents + one.fee_cents for one in orders)
    many = "1 purchase" if len(orders) == 1 else f"{len(orders)} purchases"
    return f"{many}, {money(cents, currency)} with shipping"


def purchases_report(orders: Sequence[Order], *, on: date, store: str, currency: str) -> Report:
    """Every purchase as one row, with how far it came."""
    rows = tuple(_order_row(one, on, currency) for one in orders)
    return Report(
        title="Purchases",
        on=on,
        store=store,
        columns=_ORDERS,
        keys=_ORDER_KEYS,
        sections=(Section("", rows),) if rows else (),
        totals=(f"{len(rows)} in all",) if rows else (),
        empty="None yet; 'stockcheck order TRIP' makes them from the restock list.",
    )


def _order_row(one: Order, on: date, currency: str) -> Row:
    total = one.goods_cents + one.fee_cents
    overdue = (
        one.expected_on is not None
        and one.expected_on < on
        and one.state in {"open", "partly delivered"}
    )
    values: dict[str, Json] = {
        "purchase": one.id,
        "supplier": one.supplier,
        "ordered_on": one.ordered_on,
        "expected_on": one.expected_on,
        "status": "overdue" if overdue else one.state,
        "lines": len(one.lines),
        "open_lines": sum(1 for line in one.lines if line.open and one.ended_on is None),
        "total": total / 100,
        "good_through": one.good_through,
        "note": one.note or one.reason,
    }
    shown = {
        "ordered_on": spoken(one.ordered_on),
        "expected_on": spoken(one.expected_on) if one.expected_on else "unknown",
        "total": money(total, currency),
    }
    return Row(values, shown, Tone.BAD if overdue else _TONES.get(one.state, Tone.QUIET))
