"""How a holding's date would shift in another climate."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from stockcheck.core.model import Holding


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
