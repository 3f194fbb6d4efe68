"""What an audit finds: a line's finding with its figures and holdings, and the verdict."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from stockcheck.core.audit_stock import Role
from stockcheck.core.calendar import spoken
from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.kit_list_fit import Match
from stockcheck.core.model import Holding

BY_HAND = "by hand"
"""The note of a holding that stands at a line because a person said so."""


class Finding(StrEnum):
    """What an audit says of a line, or of a holding that no line asks for."""

    OK = "ok"
    SHORT = "short"
    MISSING = "missing"
    EXPIRED = "expired"
    UNDATED = "undated"
    ENDS_ON_TRIP = "ends on trip"
    WRONG_SIZE = "wrong size"
    SURPLUS = "surplus"
    NOT_ON_LIST = "not on list"
    ON_HOLD = "on hold"


@dataclass(frozen=True, slots=True)
class Serving:
    """A holding, or part of it, at a line: ``units`` in the line's unit, and in which role.

    ``quantity`` is the same in units of the item, an odd half of a pair left out.
    """

    holding: Holding
    units: int
    role: Role
    quantity: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class LineResult:
    """How one line of the list stands. All figures are in ``unit``, the line's own.

    ``usable`` is all that counts for the line, surplus included: in date, right size, not held,
    unopened where sterile. ``ends_on_trip`` is the part of it that ends before the horizon.
    ``short`` is what is lacking on the day and ``short_through`` at the horizon; for a line that
    names no number (``required`` is None) both are 1 while none is usable.

    ``finding`` is the first of these that is true:

    - not met: ``missing`` (none held at all); with nothing usable, ``expired``, ``undated``,
      ``on hold`` or ``wrong size`` (what is held); else ``short``;
    - met: ``ends on trip`` (no longer met at the horizon), ``expired``, ``undated`` or ``on hold``
      (met without the stock of that sort, which should come out of the box), ``surplus``, ``ok``.

    ``also`` holds everything else that is true of the line. Of a line that asks for a set, usable
    are whole sets; the expired, undated and ending are counted in pieces of its parts, which stand
    in ``parts``.
    """

    line: Line
    required: int | None
    unit: str
    usable: int
    expired: int
    undated: int
    ends_on_trip: int
    short: int
    short_through: int
    finding: Finding
    also: tuple[Finding, ...]
    holdings: tuple[Serving, ...]
    why: str
    parts: tuple[LineResult, ...] = ()

    @property
    def met(self) -> bool:
        """Whether the line is met on the day."""
        return self.short == 0

    @property
    def surplus(self) -> int:
        """How many more are usable than asked; 0 where no number is asked."""
        return max(0, self.usable - self.required) if self.required is not None else 0


@dataclass(frozen=True, slots=True)
class AuditResult:
    """An audit's lines, what no line asks for, and the lines that do not apply here.

    It says how a box stands against a list on a day. It is no certificate. ``said`` are the matches
    that a person made and that were followed.
    """

    kit_list: KitList
    on: date
    horizon: date | None
    lines: tuple[LineResult, ...]
    not_on_list: tuple[Holding, ...]
    not_applied: tuple[Line, ...] = ()
    said: tuple[Match, ...] = ()

    @property
    def met(self) -> int:
        """How many lines are met on the day."""
        return sum(line.met for line in self.lines)

    @property
    def met_through(self) -> int:
        """How many lines are still met at the horizon (on the day, without one)."""
        return sum(line.short_through == 0 for line in self.lines)

    @property
    def verdict(self) -> str:
        """The audit in one line, such as ``meets the list on that day: no; 4 lines short``."""
        if self.met < len(self.lines):
            parts = "; ".join(("no", ", ".join(self._unmet())))
            return f"meets the list on that day: {parts}"
        ending = len(self.lines) - self.met_through
        if ending:
            until = (
                f"but not through {spoken(self.horizon)}: {lines_in_words(ending)} by then short"
            )
            return f"meets the list on that day: yes, {until}"
        return "meets the list on that day: yes"

    def _unmet(self) -> list[str]:
        words = {
            Finding.MISSING: "missing",
            Finding.SHORT: "short",
            Finding.EXPIRED: "only with expired stock",
            Finding.UNDATED: "only with undated stock",
            Finding.ON_HOLD: "only with stock on hold",
            Finding.WRONG_SIZE: "only with the wrong size",
        }
        unmet = [line.finding for line in self.lines if not line.met]
        return [
            f"{lines_in_words(unmet.count(finding))} {text}"
            for finding, text in words.items()
            if finding in unmet
        ]


def lines_in_words(number: int) -> str:
    """So many lines: ``1 line``, ``4 lines``."""
    return f"{number} line{'' if number == 1 else 's'}"
