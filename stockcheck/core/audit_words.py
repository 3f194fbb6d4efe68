"""A line of an audit in words and figures."""

from __future__ import annotations

from datetime import date

from stockcheck.core.audit_result import LineResult, Serving
from stockcheck.core.audit_stock import Role
from stockcheck.core.calendar import spoken
from stockcheck.core.kit_list import WHOLE_PACKS
from stockcheck.core.words import counted


def why_of(result: LineResult, horizon: date | None) -> str:
    """The line's figures in words."""
    line = result.line
    if result.required is None:
        parts = ["asked for without a number", "there" if result.met else "none usable"]
    else:
        parts = [f"asks {counted(result.required, result.unit)}", f"usable {result.usable}"]
        if line.per_pack and result.unit in WHOLE_PACKS:
            parts[0] += f" of {line.per_pack}"
    covers = [it for it in result.holdings if it.holding.kind.key in line.covered_by]
    if covers and result.met:
        parts.append(f"met by {covers[0].holding.item.name}")
    parts += _not_usable(result)
    parts += [f"lacks {part}" for part in lacking_parts(result)]
    if result.short and result.required is not None:
        parts.append(f"short {result.short}")
    elif result.met and result.short_through:
        parts.append(f"short {result.short_through} by {spoken(horizon)}")
    elif result.surplus:
        parts.append(f"{result.surplus} over")
    return "; ".join(parts)


def _not_usable(result: LineResult) -> list[str]:
    return [words for it in result.holdings if (words := _told(it))]


def _told(it: Serving) -> str:
    """What is to be said of a holding at a line; "" where it plainly counts."""
    some = f"{it.units or f'{it.quantity} loose'} of {it.holding.lot.short}"
    note = f": {it.note}" if it.note else ""
    match it.role:
        case Role.EXPIRED:
            return f"{some} expired {spoken(it.holding.last_usable_day)}"
        case Role.ENDS_ON_TRIP:
            return f"{some} good to {spoken(it.holding.last_usable_day)}"
        case Role.USABLE:
            return f"{some}{note}" if it.note else ""
        case Role.COVERS:
            return ""
        case _:
            return f"{some} {it.role}{note}"


def lacking_parts(result: LineResult) -> list[str]:
    """What lacks of a set: ``1 gown``, ``2 of 4 gloves``."""
    return [
        f"{part.short} of {part.required} {part.line.name}" for part in result.parts if part.short
    ]
