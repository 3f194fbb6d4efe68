"""Which findings are true of a line, and how the parts of a set make one line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from stockcheck.core.audit_result import Finding, LineResult, Serving
from stockcheck.core.audit_stock import Role
from stockcheck.core.audit_words import why_of


def true_findings(
    servings: Sequence[Serving], *, short: int, through: int, usable: int, surplus: bool
) -> list[Finding]:
    """Every finding that is true of a line, the one that matters most first."""
    held = [finding for role, finding in _ROLE_FINDINGS.items() if _any(servings, role)]
    if not short:
        trip = [Finding.ENDS_ON_TRIP] if through else []
        over = [Finding.SURPLUS] if surplus else []
        size = [it for it in held if it is Finding.WRONG_SIZE]
        return [*trip, *(it for it in held if it not in size), *over, *size] or [Finding.OK]
    if not servings:
        return [Finding.MISSING]
    trip = [Finding.ENDS_ON_TRIP] if _any(servings, Role.ENDS_ON_TRIP) else []
    first = [Finding.SHORT] if usable or not held else [held[0], Finding.SHORT]
    return [*first, *(it for it in held if it not in first), *trip]


_ROLE_FINDINGS = {
    Role.EXPIRED: Finding.EXPIRED,
    Role.UNDATED: Finding.UNDATED,
    Role.HELD: Finding.ON_HOLD,
    Role.WRONG_SIZE: Finding.WRONG_SIZE,
}


def _any(servings: Sequence[Serving], role: Role) -> bool:
    return any(it.role is role for it in servings)


def as_a_set(own: LineResult, parts: Sequence[LineResult], horizon: date | None) -> LineResult:
    """A line that asks for a set: what is ready-made, and the sets that the parts make up."""
    asked = own.required or 1
    short = max((-(-it.short // (it.line.quantity or 1)) for it in parts), default=0)
    through = max((-(-it.short_through // (it.line.quantity or 1)) for it in parts), default=0)
    made = min((it.usable // (it.line.quantity or 1) for it in parts), default=0)
    usable = max(own.usable, min(own.usable + made, asked), asked - short)
    servings = (*own.holdings, *(held for it in parts for held in it.holdings))
    true = true_findings(
        servings, short=short, through=through, usable=usable, surplus=own.usable > asked
    )
    result = replace(
        own,
        usable=usable,
        expired=own.expired + sum(it.expired for it in parts),
        undated=own.undated + sum(it.undated for it in parts),
        ends_on_trip=own.ends_on_trip + sum(it.ends_on_trip for it in parts),
        short=short,
        short_through=through,
        finding=true[0],
        also=tuple(true[1:]),
        holdings=servings,
        parts=tuple(parts),
    )
    return replace(result, why=why_of(result, horizon))
