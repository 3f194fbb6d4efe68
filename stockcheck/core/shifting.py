"""How a holding's date would shift in another climate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core import shelf_life
from stockcheck.core.ageing import Ageing, ageing
from stockcheck.core.calendar import Precision, spoken
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import HeatLimit, Stay
from stockcheck.core.model import Holding
from stockcheck.core.residence import kept_from
from stockcheck.core.shelf_life import HEAT


@dataclass(frozen=True, slots=True)
class Shift:
    """A holding's last usable day now, and then; ``why`` says why there is no estimate, if so."""

    holding: Holding
    now: date | None
    then: date | None
    why: str = ""

    @property
    def days(self) -> int:
        """By how many days it comes forward (negative) or goes back."""
        return (self.then - self.now).days if self.now and self.then else 0


def shift(
    holding: Holding, been: Sequence[Sequence[Stay]], there: Exposure, on: date
) -> Shift | None:
    """What keeping a holding somewhere else from a day on makes of it; None for the undated.

    ``been`` are the ways that it may have come. What heat did before that day stays done.
    """
    limit = shelf_life.governing(shelf_life.limits(holding.lot, holding.opened_on))
    if limit is None:
        return None
    now = holding.last_usable_day
    if now is not None and now < on:
        used_up = holding.governed_by == HEAT
        return Shift(holding, now, now, "used up by estimate" if used_up else "past its date")
    moved = ageing(holding, [kept_from(stays, on, Stay("", on, None, there)) for stays in been])
    then = min([limit.last_usable_day, *(each.ends for each in moved)])
    return Shift(holding, now, then, _remark(moved))


def _remark(found: Sequence[Ageing]) -> str:
    """Why heat gives no date, in a few words; "" where it does."""
    for each in found:
        estimate = each.estimate
        if isinstance(estimate, HeatLimit):
            if estimate.is_warning and estimate.shortens:
                return f"too warm above {estimate.model.reference_c:g} °C: ask a pharmacist"
        elif estimate.spoilt_from is None:
            return f"no estimate: {estimate.reason}"
        else:
            month = spoken(estimate.spoilt_from, Precision.MONTH)
            return f"out of what can be estimated from {month}: treat as spoilt"
    return ""
