"""What may be said of heat for a kind, read from the words of its catalogue entry; never guessed.

The words have two forms: ``Q10 2 rule of thumb may be shown`` with what goes with it, and
``no estimate: reason``. Anything else, a person's own text or nothing, gives no estimate and says
so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from stockcheck.core.model import DateContext, Kind

REFERENCE_C = 25.0
"""The temperature at which a label life is taken to run, where storage asks for nothing cooler."""
CAP_C, MEDICINE_CAP_C = 60.0, 40.0
"""Above these no rule of thumb is used: common practice, from the ceiling of ASTM F1980 and from
the excursions allowed for controlled room temperature."""
BANDS = {2.0: (1.5, 3.0), 3.0: (2.0, 4.0)}
"""For each Q10 the lower and the upper one that is shown beside it. Around 2: common practice.
Around 3: pharmacy texts give 2 to 4 with 3 as the usual."""
_SPREAD = 1.5  # for a person's own Q10: the band around 2 reaches up by the same factor

_RULE = re.compile(r"Q10 (\d(?:\.\d+)?) rule of thumb may be shown(?: as a band)?(?:[,;]\s*(.*))?")
_CEILING = re.compile(r"(?:no estimate above|must not pass) (\d+) °C")
_NO_ESTIMATE = re.compile(r"no estimate:\s*(.+)")
_NUMBER = r"(-?\d+(?:\.\d+)?)"
_UP_TO = re.compile(rf"\b(?:at most|below) {_NUMBER}(?:(?:-| or | to ){_NUMBER})? °C")
_FROM_TO = re.compile(rf"(?<![\d-]){_NUMBER}(?:-| to ){_NUMBER} °C")


class HeatUse(StrEnum):
    """What an estimate may be used for."""

    LIMIT = "limit"
    WARNING = "warning"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class StorageRange:
    """The temperatures in °C between which a kind wants to be kept; None where it names none."""

    low_c: float | None = None
    high_c: float | None = None
    never_frozen: bool = False


@dataclass(frozen=True, slots=True)
class HeatModel:
    """How heat uses up a kind's life.

    ``q10`` is the factor for 10 K with ``mildest`` and ``harshest`` beside it; ``reference_c`` the
    temperature at which the label life runs; above ``cap_c`` there is no estimate. ``condition``
    is what the estimate holds for, ``reason`` why there is none.
    """

    use: HeatUse
    storage: StorageRange
    q10: float = 1.0
    mildest: float = 1.0
    harshest: float = 1.0
    reference_c: float = REFERENCE_C
    cap_c: float = CAP_C
    condition: str = ""
    reason: str = ""


def heat_model(kind: Kind) -> HeatModel:
    """The kind's heat model. A medicine's is a warning at most, never a limit to rely on."""
    if not kind.has_life and not _NO_ESTIMATE.fullmatch(kind.heat):
        return HeatModel(
            HeatUse.NONE, storage_range(kind.storage), reason="it has no fixed shelf life"
        )
    return _model(kind.heat, kind.storage, kind.dates is DateContext.MEDICINE)


@lru_cache(maxsize=1024)
def _model(heat: str, storage: str, is_medicine: bool) -> HeatModel:
    kept = storage_range(storage)
    if found := _RULE.fullmatch(heat):
        q10 = float(found[1])
        if q10 > 1:
            return _estimating(q10, found[2] or "", kept, is_medicine=is_medicine)
    if found := _NO_ESTIMATE.fullmatch(heat):
        return HeatModel(HeatUse.NONE, kept, reason=found[1])
    reason = (
        f"its heat rule {heat!r} is not one to reckon with" if heat else "no heat rule is known"
    )
    return HeatModel(HeatUse.NONE, kept, reason=reason)


def _estimating(q10: float, rest: str, kept: StorageRange, *, is_medicine: bool) -> HeatModel:
    mildest, harshest = BANDS.get(q10, (max(1.0, q10 / _SPREAD), q10 * _SPREAD))
    ceiling = _CEILING.search(rest)
    caps = [CAP_C, *([MEDICINE_CAP_C] if is_medicine else [])]
    caps += [float(ceiling[1])] if ceiling else []
    return HeatModel(
        use=HeatUse.WARNING if is_medicine else HeatUse.LIMIT,
        storage=kept,
        q10=q10,
        mildest=mildest,
        harshest=harshest,
        reference_c=_reference(kept),
        cap_c=min(caps),
        condition=rest,
    )


def _reference(kept: StorageRange) -> float:
    """25 °C, or the ceiling of the kind's storage where that is cooler: the hasty side of both."""
    return REFERENCE_C if kept.high_c is None else min(REFERENCE_C, kept.high_c)


@lru_cache(maxsize=1024)
def storage_range(storage: str) -> StorageRange:
    """Read a kind's storage words; of two ceilings (``25 or 30 °C as labelled``) the lower.

    The first range named counts: ``0-25 °C best, -20 to 45 °C tolerable`` is 0 to 25.
    """
    never_frozen = bool(re.search(r"\b(?:never|not) frozen\b(?! once)", storage))
    ranges = [it for it in (_UP_TO.search(storage), _FROM_TO.search(storage)) if it]
    if not ranges:
        return StorageRange(never_frozen=never_frozen)
    first = min(ranges, key=lambda it: it.start())
    if first.re is _UP_TO:
        return StorageRange(None, float(first[1]), never_frozen)
    return StorageRange(float(first[1]), float(first[2]), never_frozen)
