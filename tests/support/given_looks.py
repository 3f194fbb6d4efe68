"""An invented sealant that looks may extend twice by six months, and what was found at its lots."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from hypothesis import strategies as st

import given
from stockcheck.core.calendar import Life
from stockcheck.core.model import (
    Certainty,
    DateMeaning,
    Inspection,
    InspectionRule,
    Kind,
    Lot,
    PastDate,
    PrintedExpiry,
)
from stockcheck.core.shelf_life import governing, limits

NOV_2026 = given.printed("EXP 11/2026", "2026-11")
MARCH = date(2027, 3, 12)
DAYS = st.dates(date(2024, 1, 1), date(2030, 12, 31))
RULE = InspectionRule(
    ask=("Is it soft?", "Did a bead cure?"),
    extends=Life(months=6),
    times=2,
    source="the invented sheet",
    certainty=Certainty.PRACTICE,
)
KIND = given.kind(
    past=PastDate.INSPECT,
    sealed=given.life("12 months"),
    opened=given.life("3 months"),
    inspection=RULE,
)
SAFETY = replace(KIND, key="patch", name="patch", meaning=DateMeaning.SAFETY)
LOOKS_ONLY = replace(KIND, inspection=replace(RULE, extends=None, times=0))
SINGLE_USE = replace(KIND, opened=given.life("0 days"))


def lot(
    *looks: Inspection, kind: Kind = KIND, expiry: PrintedExpiry | None = NOV_2026, made: str = ""
) -> Lot:
    """Lot 42 of the sealant, by its printed date good through November 2026."""
    tube = given.item(kind, "sealant, 80 ml tube")
    return given.lot(tube, 42, *looks, expiry=expiry, made=made)


def passed(on: date) -> Inspection:
    """A pass that extended the lot by the rule's six months."""
    return Inspection(on, True, extends_to=Life(months=6).after(on))


def failed(on: date, by: str = "") -> Inspection:
    """A fail, which ends the lot."""
    return Inspection(on, False, by)


def good_through(one: Lot, opened_on: date | None = None) -> date | None:
    """The last usable day by the limit that governs."""
    limit = governing(limits(one, opened_on))
    return limit.last_usable_day if limit else None
