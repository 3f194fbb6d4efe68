"""What a scanned or typed text means, as one value."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from stockcheck.core.calendar import PartialDate

UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a text means. ``readings`` are the last usable days, or the made dates, that it
    could mean when it is unsure.

    ``type`` is lot, box, item or action (our own codes), gs1, gtin, date or unknown. ``precision``
    is day, month or year. ``made_on`` is as precise as it was printed (``2024-11``), never padded
    to a day; a week is as ISO 8601 writes it. ``gtin`` has fourteen digits. ``serial`` and
    ``count`` are the maker's; the short form of one of our own codes is ``short``. ``problem`` says
    what is wrong or worth a look, ``why`` how it was read, a line for each reading.
    """

    text: str
    type: str
    last_usable_day: date | None = None
    precision: str | None = None
    readings: tuple[date | PartialDate, ...] = ()
    gtin: str | None = None
    batch: str | None = None
    serial: str | None = None
    made_on: PartialDate | None = None
    count: int | None = None
    problem: str | None = None
    why: str = ""
    short: str = ""

    @property
    def settled(self) -> bool:
        """Whether nothing is left open."""
        return self.type != UNKNOWN and not self.readings
