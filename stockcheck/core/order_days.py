"""By when to order, in calendar or working days, and what can still be had when it is late.

What is ordered must be there some days before departure, to check, label and stow; deliveries come
on working days only. The day of ordering is day 0 and is a working day of the supplier; the last
delivery day is rolled back to a working day, never forward.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from stockcheck.core.calendar import spoken
from stockcheck.core.errors import BadInput
from stockcheck.core.offers import HANDLING_DAYS

_DAY = timedelta(days=1)
SATURDAY, SUNDAY = 5, 6


@dataclass(frozen=True, slots=True)
class WorkingDays:
    """On which days goods are handed in and out: not on ``weekend`` (Monday 0) nor on holidays.

    Holidays are those of the supplier and of the carrier together. The European definition of a
    working day is the same: no public holiday, Saturday or Sunday (Regulation 1182/71, article 2,
    from memory).
    """

    weekend: frozenset[int] = frozenset({SATURDAY, SUNDAY})
    holidays: frozenset[date] = frozenset()

    def __post_init__(self) -> None:
        if len(self.weekend & set(range(7))) == 7:
            raise ValueError("a week has at least one working day")

    def includes(self, day: date) -> bool:
        """Whether a day is a working day."""
        return day.weekday() not in self.weekend and day not in self.holidays

    def on_or_before(self, day: date) -> date:
        """The last working day up to and with a day."""
        while not self.includes(day):
            day -= _DAY
        return day

    def on_or_after(self, day: date) -> date:
        """The first working day from a day on."""
        while not self.includes(day):
            day += _DAY
        return day

    def before(self, day: date, number: int) -> date:
        """So many working days before a day."""
        for _ in range(number):
            day = self.on_or_before(day - _DAY)
        return day

    def after(self, day: date, number: int) -> date:
        """So many working days after a day."""
        for _ in range(number):
            day = self.on_or_after(day + _DAY)
        return day


EVERY_DAY = WorkingDays(weekend=frozenset())
"""Where weekends and holidays are not looked at."""


@dataclass(frozen=True, slots=True)
class Lead:
    """How long from order to delivery: working days or calendar days.

    What is ordered after the day's cut-off hour goes out a working day later (common practice):
    that day is for whoever knows the hour to add.
    """

    days: int
    working: bool = False

    def __post_init__(self) -> None:
        if self.days < 0:
            raise ValueError("a lead time is 0 days or more")


@dataclass(frozen=True, slots=True)
class OrderBy:
    """The last day to order, the last day of delivery before ``must_have``, and how it came."""

    day: date
    last_delivery: date
    must_have: date
    departs: date
    lead: Lead
    handling_days: int

    @property
    def why(self) -> str:
        """The sum in words."""
        days = "working days'" if self.lead.working else "days'"
        one = "1 working day's" if self.lead.working else "1 day's"
        lead = one if self.lead.days == 1 else f"{self.lead.days} {days}"
        rolled = ""
        if self.last_delivery != self.must_have:
            rolled = f", so delivered by {spoken(self.last_delivery)}"
        return (
            f"order by {spoken(self.day)}: departure {spoken(self.departs)}, there by"
            f" {spoken(self.must_have)} to stow{rolled}, {lead} delivery"
        )


@dataclass(frozen=True, slots=True)
class Prospect:
    """What an offer can still do when ordered on a day: ``key`` is the caller's.

    ``arrives`` and ``order_by`` are None where the lead time is not known; ``days_late`` is how
    many days it comes after it must be there, 0 in time.
    """

    key: int
    arrives: date | None
    order_by: OrderBy | None
    days_late: int = 0

    @property
    def in_time(self) -> bool:
        """Whether it comes in time; what has no known lead time may not."""
        return self.arrives is not None and not self.days_late


def order_by(
    departs: date,
    lead: Lead,
    working: WorkingDays = EVERY_DAY,
    handling_days: int = HANDLING_DAYS,
) -> OrderBy:
    """The last day on which to order, so that it comes so many days before departure.

    BadInput when that lies before the calendar begins.
    """
    try:
        must_have = departs - timedelta(days=handling_days)
        last = working.on_or_before(must_have)
        if lead.working:
            day = working.before(last, lead.days)
        else:
            day = working.on_or_before(last - timedelta(days=lead.days))
    except OverflowError as error:
        raise BadInput(
            f"lead time {lead.days} days: no day to order by; give the days from order to delivery"
        ) from error
    return OrderBy(day, last, must_have, departs, lead, handling_days)


def arrival(ordered: date, lead: Lead, working: WorkingDays = EVERY_DAY) -> date:
    """When something comes that is ordered on a day; an order on a holiday waits for its end."""
    try:
        day = working.on_or_after(ordered)
        if lead.working:
            return working.after(day, lead.days)
        return working.on_or_after(day + timedelta(days=lead.days))
    except OverflowError as error:
        raise BadInput(
            f"lead time {lead.days} days: no such day; give the days from order to delivery"
        ) from error


def prospects(
    on: date,
    departs: date,
    leads: Mapping[int, Lead | None],
    working: Mapping[int, WorkingDays] | None = None,
    handling_days: int = HANDLING_DAYS,
) -> tuple[Prospect, ...]:
    """What each offer can still do when ordered today, the first to come first, unknown ones last.

    ``working`` are the working days of an offer's supplier, every day where none are given.
    """
    found = []
    for key, lead in leads.items():
        days = (working or {}).get(key, EVERY_DAY)
        if lead is None:
            found.append(Prospect(key, None, None))
            continue
        comes = arrival(on, lead, days)
        latest = order_by(departs, lead, days, handling_days)
        late = max(0, (comes - latest.must_have).days)
        found.append(Prospect(key, comes, latest, late))
    return tuple(sorted(found, key=lambda it: (it.arrives or date.max, it.key)))


def with_holidays(working: WorkingDays, more: Iterable[date]) -> WorkingDays:
    """The same week with more holidays: a carrier's, or a shop's own."""
    return WorkingDays(working.weekend, working.holidays | frozenset(more))
