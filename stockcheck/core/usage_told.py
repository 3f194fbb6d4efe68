"""Use from before the books, told from memory, beside what the ledger knows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from stockcheck.core.carry import Log, Measure
from stockcheck.core.usage import History
from stockcheck.core.words import counted


@dataclass(frozen=True, slots=True)
class Told:
    """What one item did on one journey that the books know nothing of; 0 used is data too."""

    number: int
    quantity: int
    occasions: int
    days: int
    people: int = 1
    distance_km: int | None = None
    year: int = 0
    note: str = ""

    def exposure(self, measure: Measure) -> int | None:
        """Days, person-days or kilometres; None where no distance was told."""
        if measure is Measure.KM:
            return self.distance_km
        return self.days * self.people if measure is Measure.PERSON_DAYS else self.days

    def words(self, unit: str = "each") -> str:
        """``told from memory, 2024: 3 used in 60 days``."""
        used = counted(self.quantity, unit) if self.quantity else "none"
        times = f" on {self.occasions} occasions" if 1 < self.occasions != self.quantity else ""
        days = "1 day" if self.days == 1 else f"{self.days} days"
        return f"told from memory, {self.year}: {used} used{times} in {days}"


def with_told(history: History, told: Iterable[Told], measure: Measure) -> History:
    """A history with what was told: its log adds up, and what has no exposure is a doubt."""
    exposure = history.log.exposure if history.log else 0
    sizes: Counter[int] = Counter(dict(history.log.sizes) if history.log else {})
    if history.log and history.log.occasions and not history.log.sizes:
        sizes[1] = history.log.occasions
    doubts, any_told = list(history.doubts), False
    for one in told:
        adds = one.exposure(measure)
        if not adds:
            doubts.append(f"{one.words()}: its {measure.value} are not known; it is left out.")
            continue
        any_told = True
        exposure += adds
        if one.occasions:
            each, over = divmod(one.quantity, one.occasions)
            sizes[each + 1] += over
            sizes[each] += one.occasions - over
    if not any_told:
        return replace(history, doubts=tuple(doubts))
    known = tuple(sorted((size, number) for size, number in sizes.items() if size and number))
    log = Log(sum(number for _, number in known), exposure, measure, known)
    return replace(history, log=log, doubts=tuple(doubts))
