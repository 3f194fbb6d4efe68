"""Quantities, codes and money in words, the same everywhere."""

from __future__ import annotations

Told = tuple[int, str]
"""How far a line is set in, and what it says."""
_PLURALS = {
    "tablet": "tablets",
    "pair": "pairs",
    "pack": "packs",
    "box": "boxes",
    "set": "sets",
    "day": "days",
    "holding": "holdings",
    "line": "lines",
    "route": "routes",
    "stop": "stops",
    "trip": "trips",
    "purchase": "purchases",
    "par level": "par levels",
}


def counted(quantity: int, unit: str) -> str:
    """A quantity with its unit as people say it: ``3``, ``1 tablet``, ``2 packs``, ``250 ml``."""
    if unit == "each":
        return str(quantity)
    return f"{quantity} {unit if abs(quantity) == 1 else _PLURALS.get(unit, unit)}"


def money(cents: int | None, currency: str = "") -> str:
    """Cents as an amount: ``12.40`` or ``12.40 EUR``; empty when not known."""
    if cents is None:
        return ""
    return f"{cents // 100}.{cents % 100:02d}{' ' if currency else ''}{currency}"


def listed(words: list[str], joint: str = "and") -> str:
    """Words in a row: ``a``, ``a and b``, ``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {joint} {words[-1]}"
