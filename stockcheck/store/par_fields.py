"""Par levels from text: how the quantity, its basis and its rule go together in one row."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from typing import Any

from stockcheck.core.errors import BadInput
from stockcheck.core.planning import FIXED

BASES = (
    FIXED, "per person", "per day", "per person-day", "per distance", "history", "plan",
)  # fmt: skip
MEASURES = ("days", "km", "person-days")
_RULE = ("basis", "rate", "per_km", "reserve_days", "measure", "lasts", "plan", "assurance")


def rule_columns(
    conn: sqlite3.Connection, number: int | None, values: Mapping[str, Any]
) -> dict[str, Any]:
    """The columns of a par level's rule, checked with those that it has already.

    ``number`` is that of a par level to be changed. BadInput where the texts make no rule; its
    ``field`` is the one to look at.
    """
    row: dict[str, Any] = {"basis": FIXED, "rate": "", "plan": "", "measure": "days"}
    if number is not None:
        columns = ", ".join(_RULE)
        found = conn.execute(
            f"SELECT {columns}, quantity FROM par WHERE par_id = ?", (number,)
        ).fetchone()
        row = dict(zip((*_RULE, "quantity"), found, strict=True))
        if row["basis"] == FIXED:
            row["rate"] = str(row["quantity"])
    row |= {name: value for name, value in values.items() if name in _RULE}
    if row.get("plan") and "basis" not in values:
        row["basis"] = "plan"
    if row["basis"] != "plan" and "plan" not in values:
        row["plan"] = ""
    if row["basis"] == "plan":
        if values.get("rate"):
            raise BadInput("it goes by its plan", "Give --basis too, or change --plan")
        row["rate"] = ""
    row["quantity"] = _quantity(row)
    if row["basis"] == FIXED:
        row["rate"] = ""
    return {name: row[name] for name in (*_RULE, "quantity") if name in row}


def _quantity(row: Mapping[str, Any]) -> int:
    """What stands in the column of quantities: units, and at least 1 where they are worked out."""
    text = row.get("rate") or ""
    if row["basis"] == FIXED:
        if not text:
            raise MissingQuantity
        if not (text.isascii() and text.isdigit() and len(text) <= 9) or int(text) < 1:
            raise BadInput(f"{text!r} is not a whole number from 1 up")
        return int(text)
    from stockcheck.core.model import Box
    from stockcheck.core.par_rules import exact, rule_of
    from stockcheck.core.planning import Par

    given = {name: row[name] for name in _RULE if row.get(name) is not None}
    rule_of(Par(0, Box(0, "", ""), 1, **given))
    return max(1, -int(-exact(text) // 1)) if text else 1


class MissingQuantity(BadInput):
    """A fixed par level, or one by people, days or distance, without its quantity."""
