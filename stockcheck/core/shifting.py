"""How a holding's date would shift in another climate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stockcheck.core import shelf_life
from stockcheck.core.ageing import Ageing, ageing
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import HeatLimit, NoEstimate, Stay
from stockcheck.core.model import Holding
from stockcheck.core.residence import kept_from
from stockcheck.core.shelf_life import HEAT


@dataclass(frozen=True, slots=True)
class Shift:
    """A holding's last usable day now, and then; ``why`` is a remark where that says too little.

    ``spoilt`` tells that it would have to be treated as spoilt, ``doubtful`` that it could not be
    relied on though no limit says so: a medicine's in a climate. Then ``then`` is None.
    """

    holding: Holding
    now: date | None
    then: date | None
    why: str = ""
    spoilt: bool = False
    doubtful: bool = False

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
        return Shift(holding, now, now, _over(holding, been))
    moved = ageing(holding, [kept_from(stays, on, Stay("", on, None, there)) for stays in been])
    ends = [limit.last_usable_day, *(each.ends for each in moved)]
    refused = [each.estimate for each in moved if isinstance(each.estimate, NoEstimate)]
    if any(it.only_warns for it in refused) and min(ends) == limit.last_usable_day:
        return Shift(holding, now, None, _remark(moved), doubtful=True)
    spoilt = any(it.limit() is not None for it in refused)
    return Shift(holding, now, min(ends), _remark(moved), spoilt=spoilt)


def _over(holding: Holding, been: Sequence[Sequence[Stay]]) -> str:
    """Why a holding is no longer good."""
    if holding.governed_by != HEAT:
        return "past its date"
    measured = any(each.is_measured for each in ageing(holding, been))
    return "too hot or frozen by its logger" if measured else "used up by estimate"


def _remark(found: Sequence[Ageing]) -> str:
    """What heat says beside a date or in place of one, in a few words; "" where a date says all."""
    for each in found:
        estimate = each.estimate
        if isinstance(estimate, HeatLimit):
            if each.only_warns:
                return f"too warm above {estimate.model.reference_c:g} °C: ask a pharmacist"
        else:
            return estimate.why or f"no estimate: {estimate.reason}"
    return ""
