"""What a scanned or typed text is: one of our codes, a maker's code, a GTIN, a printed date."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from stockcheck.core.calendar import PartialDate, Precision
from stockcheck.core.codes import looks_like_code, read_code, read_gtin
from stockcheck.core.dates import DateText, Outcome, Says, read_date
from stockcheck.core.model import DateContext

UNKNOWN, UNSURE = "unknown", "unsure"


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a text means. ``readings`` are the days it could mean when it is unsure.

    ``precision`` is day, month or year; ``problem`` says what is wrong or left open.
    """

    text: str
    type: str
    last_usable_day: date | None = None
    precision: str | None = None
    readings: tuple[date, ...] = ()
    gtin: str | None = None
    batch: str | None = None
    serial: str | None = None
    made_on: date | None = None
    count: int | None = None
    problem: str | None = None
    why: str = ""

    @property
    def settled(self) -> bool:
        """Whether nothing is left open."""
        return self.type != UNKNOWN and not self.readings


def read_any(text: str, today: date, context: str, order: str | None) -> Meaning:
    """The meaning of a text; ``unknown`` with a problem when it has none."""
    tidy = text.strip()
    code = read_code(tidy)
    if code is not None:
        return Meaning(text, code[0], serial=str(code[1]))
    if gtin := read_gtin(tidy):
        return Meaning(text, "gtin", gtin=gtin)
    if looks_like_code(tidy):
        problem = "it has the length of our codes, but its check digit is wrong: read it again"
        return Meaning(text, UNKNOWN, problem=problem)
    if _may_be_gs1(tidy):
        from stockcheck.core.gs1 import read_gs1

        found = read_gs1(tidy, today)
        if found is not None:
            return replace(found, text=text)
    return _date(text, read_date(tidy, today, context=DateContext(context), order=order))


def _may_be_gs1(text: str) -> bool:
    """Only then is the library for element strings loaded."""
    if text.startswith(("]", "http://", "https://", "(01)", "(02)", "(00)")) or "\x1d" in text:
        return True
    return len(text) >= 16 and text[:2] in {"01", "02", "00"} and text[2:16].isascii()


def _date(text: str, found: DateText) -> Meaning:
    if found.says is Says.MADE and found.reading is not None:
        made = found.reading.date
        return Meaning(
            text, "date", precision=_precision(made), made_on=made.first_day(),
            why=f"a made date, no expiry: {found.reading.why}",
        )  # fmt: skip
    if found.outcome is Outcome.CLEAR and found.reading is not None:
        reading = found.reading
        return Meaning(
            text, "date", last_usable_day=reading.last_usable_day,
            precision=_precision(reading.date), why=reading.why,
            problem=found.note or None,
        )  # fmt: skip
    if found.outcome is Outcome.UNSURE:
        days = tuple(dict.fromkeys(each.last_usable_day for each in found.readings))
        more = f" ({found.note})" if found.note else ""
        return Meaning(
            text, "date", readings=days, problem=f"it can be read in more than one way{more}"
        )
    return Meaning(text, UNKNOWN, problem=found.note or "neither a code nor a date")


def _precision(when: PartialDate) -> str:
    """The contract knows day, month and year; a week's last day is a day."""
    precision = when.precision
    return Precision.DAY.value if precision is Precision.WEEK else precision.value
