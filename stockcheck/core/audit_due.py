"""When a kit is to be looked at again: its box's own interval, its list's, or common practice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from stockcheck.core.calendar import spoken
from stockcheck.core.kit_list import KitList

USUAL_DAYS = 182
"""Half a year, where neither box nor list says anything: common practice; the advice that was read
for private vehicles in Germany ranges from half-yearly to yearly, and no law sets it."""


@dataclass(frozen=True, slots=True)
class Due:
    """The day by which to look again, the interval in days, and where the interval comes from."""

    on: date
    every_days: int
    why: str


def next_due(last: date, kit_list: KitList, every_days: int | None = None) -> Due:
    """When to look again after ``last``; ``every_days`` is the box's own interval, if it has one.

    OverflowError for a day past the year 9999.
    """
    if every_days is not None:
        days, why = every_days, "the box's own interval"
    elif kit_list.check_every_days is not None:
        days, why = kit_list.check_every_days, kit_list.check_source or f"list {kit_list.id}"
    else:
        days, why = USUAL_DAYS, "half a year, common practice: the list says nothing"
    return Due(last + timedelta(days=days), days, why)


@dataclass(frozen=True, slots=True)
class Overdue:
    """A box that should have been looked at; without a last day it never was."""

    box_id: int
    box: str
    due: date | None
    last: date | None

    @property
    def words(self) -> str:
        """In words: ``First aid: audit was due 24 MAY 2027, last done 23 NOV 2026``."""
        if self.due is None or self.last is None:
            return f"{self.box}: has a kit list, but was never audited at the box"
        return f"{self.box}: audit was due {spoken(self.due)}, last done {spoken(self.last)}"
