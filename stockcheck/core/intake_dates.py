"""Printed dates of stock that comes in: taken, refused, or taken with a note that stays on the lot.

Dates of one lot must agree with each other as well: nothing is bought before it was made.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from stockcheck.core.calendar import PartialDate, in_words, spoken
from stockcheck.core.dates import DateText, Outcome, Reading, Says, earliest, read_date, read_made
from stockcheck.core.errors import BadInput, UnsureDate
from stockcheck.core.model import DateContext, PrintedExpiry

_NO_DATE = "Write it as printed, or leave it empty and put the words into the note"
_FOR_ORDER = "Give --date-order if you know how these packs are dated, else --when-unsure earliest"
_FOR_REACH = "Find out how far these words reach, or give --when-unsure earliest"
_PUT_ELSEWHERE = {
    Says.MADE: "Put it into the made date and leave the expiry empty",
    Says.BATCH: "Put it into the batch and leave the date empty",
    Says.OPENED_LIFE: "It counts from the opening: leave the date empty and put it into the note",
    Says.EXPIRY: "Put it into the expiry and leave the made date empty",
}
_LOOK_AGAIN = "Look at the pack again"
_BOTH_DAYS = "Look at both again"


@dataclass(frozen=True, slots=True)
class DateRules:
    """How dates are read: the day it is, the order of figures, and what to do when unsure."""

    today: date
    order: str | None = None
    when_unsure: str = "ask"


@dataclass(frozen=True, slots=True)
class PrintedMade:
    """The made date as printed, how it was read, and what was assumed in reading it."""

    text: str
    reading: PartialDate
    assumed: str = ""

    @property
    def noted(self) -> str:
        """The text with what was assumed, as the lot keeps it."""
        return f"{self.text} ({self.assumed})" if self.assumed else self.text


def read_expiry(text: str, context: DateContext, rules: DateRules) -> PrintedExpiry | None:
    """The maker's date of a pack; None for no text. BadInput if no date, UnsureDate if many.

    What is taken though it wants confirming, or by the order of figures, is noted in ``assumed``.
    """
    if not text.strip():
        return None
    found = read_date(text, rules.today, context=context, order=rules.order)
    if found.says in {Says.MADE, Says.BATCH, Says.OPENED_LIFE}:
        raise _of_another_field(found.says, "an expiry")
    reading, assumed = _settled(found, rules)
    if rules.order and found.reading is not None:
        open_ = read_date(text, rules.today, context=context)
        if open_.outcome is Outcome.UNSURE:
            by_order = f"its figures taken as {'-'.join(rules.order)}: {_choices(open_)}"
            assumed = "; ".join(filter(None, [by_order, assumed]))
    return PrintedExpiry(found.text, reading.date, reading.last_usable_day, assumed)


def read_printed_made(text: str, context: DateContext, rules: DateRules) -> PrintedMade | None:
    """The made date of a pack; None for no text. BadInput if no date, UnsureDate if many."""
    if not text.strip():
        return None
    found = read_made(text, rules.today, context=context, order=rules.order)
    if found.says in {Says.EXPIRY, Says.BATCH, Says.OPENED_LIFE}:
        raise _of_another_field(found.says, "a made date")
    ahead = [reading for reading in found.readings if reading.date.first_day() > rules.today]
    if ahead and len(ahead) == len(found.readings):
        raise BadInput(f"a made date of {ahead[0].date} is in the future", _LOOK_AGAIN)
    reading, assumed = _settled(found, rules)
    return PrintedMade(found.text, reading.date, assumed)


def read_made_date(text: str, context: DateContext, rules: DateRules) -> PartialDate | None:
    """The day, week, month or year of making; None for no text."""
    made = read_printed_made(text, context, rules)
    return made.reading if made else None


def _of_another_field(says: Says, wanted: str) -> BadInput:
    article = "a" if says in {Says.MADE, Says.BATCH} else "an"
    return BadInput(f"that is {article} {says} text, not {wanted}", _PUT_ELSEWHERE[says])


def _settled(found: DateText, rules: DateRules) -> tuple[Reading, str]:
    """The reading to take and what is assumed in taking it."""
    more = f" ({found.note})" if found.note else ""
    if found.outcome is Outcome.NOT_A_DATE:
        raise BadInput(f"{found.text!r} is not a date that can be read{more}", _NO_DATE)
    if found.reading is not None:
        return found.reading, taken_as(found)
    first = earliest(found)
    if rules.when_unsure == "earliest" and first is not None:
        return first, f"unsure, the earliest reading taken: {_choices(found)}"
    orders = {reading.order for reading in found.readings}
    remedy = _FOR_ORDER if len(orders) > 1 else _FOR_REACH
    raise UnsureDate(f"{found.text!r} can be read as {_choices(found)}{more}", remedy)


def taken_as(found: DateText) -> str:
    """What is to be confirmed about a clear reading: ``taken as JUN 2027; as month ...``; or ""."""
    if found.reading is None or not (found.confirm or found.note):
        return ""
    note = found.note.removesuffix(": confirm")
    return "; ".join(filter(None, [f"taken as {in_words(found.reading.date)}", note]))


def _choices(found: DateText) -> str:
    return " or ".join(spoken(each.last_usable_day) for each in found.readings)


@dataclass(frozen=True, slots=True)
class LotDays:
    """The days of one lot that must agree."""

    expiry: PrintedExpiry | None = None
    made: PartialDate | None = None
    received_on: date | None = None
    opened_on: date | None = None


def contradictions(days: LotDays) -> Iterator[tuple[str, str, str]]:
    """What cannot be true of one lot: the field, what is wrong with it, and the remedy.

    A made month or year is taken at its first day, so only what cannot be at all is refused.
    """
    made = days.made.first_day() if days.made else None
    expiry = days.expiry.last_usable_day if days.expiry else None
    later = (
        ("the day it was received", days.received_on),
        ("the day it was opened", days.opened_on),
        ("its expiry, good through", expiry),
    )
    for name, day in later:
        if made and day and made > day:
            yield "made", f"is after {name} {spoken(day)}", _BOTH_DAYS
    if days.opened_on and days.received_on and days.opened_on < days.received_on:
        what = f"is before the day it was received {spoken(days.received_on)}"
        yield "opened", what, f"{_BOTH_DAYS}; for a pack that came open leave received empty"
