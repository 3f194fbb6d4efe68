"""What a scanned or typed text is: one of our codes, a maker's code, a GTIN, a printed date."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

from stockcheck.core.calendar import PartialDate, Precision, in_words, spoken
from stockcheck.core.codes import looks_like_code, read_code, read_gtin
from stockcheck.core.dates import DateText, Outcome, Says, read_date
from stockcheck.core.meaning import UNKNOWN, Meaning
from stockcheck.core.model import DateContext
from stockcheck.core.scanned import may_be_gs1, split_identifier

__all__ = ["LONGEST", "UNKNOWN", "Meaning", "read_any"]

LONGEST = 400
_NEITHER = "neither a code nor a date"
_SHORT = {"lot": "L", "box": "B", "item": "I", "action": ""}
_OUR_SYMBOLS = {"C0", "d1", "Q1"}  # Code 128, Data Matrix and QR without the flag of GS1
_IN_STORE_PREFIXES = ("0", "2")  # of GTIN-8s: restricted circulation, never on a maker's pack


def read_any(text: str, today: date, context: str, order: str | None) -> Meaning:
    """The meaning of a text; ``unknown`` with a problem when it has none.

    ``context`` is a DateContext by its value, ``order`` dmy, mdy, ymd or None: both matter to
    printed dates alone. Texts longer than 400 characters are not looked into.
    """
    if len(text) > LONGEST:
        return Meaning(text, UNKNOWN, problem=f"longer than {LONGEST} characters")
    tidy = text.strip()
    identifier, data = split_identifier(tidy)
    if own := _own(text, identifier, data):
        return own
    if identifier:
        return _gs1(text, tidy, today) or Meaning(text, UNKNOWN, problem=_NEITHER)
    printed = read_date(tidy, today, context=DateContext(context), order=order)
    if gtin := read_gtin(tidy):
        return _gtin(text, gtin, printed, today)
    if looks_like_code(tidy):
        problem = "it has the length of our codes, but its check digit is wrong: read it again"
        return Meaning(text, UNKNOWN, problem=problem)
    if may_be_gs1(tidy) and (found := _gs1(text, tidy, today)):
        return found
    return _date(text, printed)


def _own(text: str, identifier: str, data: str) -> Meaning | None:
    """One of our codes; under an identifier only the ten digits that our symbols hold."""
    code = read_code(data)
    ours = not identifier or (identifier in _OUR_SYMBOLS and looks_like_code(data))
    if code is None or not ours:
        return None
    return Meaning(text, code[0], short=f"{_SHORT[code[0]]}{code[1]}")


def _gs1(text: str, tidy: str, today: date) -> Meaning | None:
    """The library for makers' codes takes long to load, so only here."""
    from stockcheck.core.gs1 import read_gs1

    found = read_gs1(tidy, today)
    return None if found is None else replace(found, text=text)


def _gtin(text: str, gtin: str, printed: DateText, today: date) -> Meaning:
    """A GTIN, unless its eight digits are a date as well: one in ten of those has the check digit.

    GTIN-8s that begin with 0 or 2 are for use within a company (GS1 General Specifications, as in
    biip's table of GS1-8 prefixes), so such digits are taken for the date.
    """
    if not printed.readings:
        return Meaning(text, "gtin", gtin=gtin, problem=_as_element(text, today))
    found = _date(text, printed)
    if text.strip().startswith(_IN_STORE_PREFIXES):
        return found
    days = found.readings or tuple(one.last_usable_day for one in printed.readings)
    problem = "a date, or a GTIN-8: write the date as YYYY-MM-DD, or the GTIN with 14 digits"
    return Meaning(text, "date", readings=days, gtin=gtin, problem=problem, why=found.why)


def _as_element(text: str, today: date) -> str | None:
    """Eight digits can be a date of GS1 standing alone as well: it is said, and not taken."""
    if not may_be_gs1(text.strip()):
        return None
    other = _gs1(text, text.strip(), today)
    return f"taken for a GTIN-8; it could also be {other.why} alone" if other else None


def _date(text: str, found: DateText) -> Meaning:
    if found.outcome is Outcome.UNSURE:
        return _unsure(text, found)
    reading = found.reading
    if reading is None:
        return Meaning(text, UNKNOWN, problem=_why_unknown(text, found))
    precision = _precision(reading.date)
    problem = found.note or ("worth a second look at the pack" if found.confirm else None)
    if found.says is Says.MADE:
        return Meaning(
            text, "date", precision=precision, made_on=reading.date,
            problem=problem, why=f"a made date, not an expiry: {reading.why}",
        )  # fmt: skip
    return Meaning(
        text, "date", last_usable_day=reading.last_usable_day, precision=precision,
        problem=problem, why=reading.why,
    )  # fmt: skip


def _why_unknown(text: str, found: DateText) -> str:
    """With a word for a date beside it the note is enough; else it might have been a code."""
    if found.says is not Says.NOTHING:
        return found.note
    if re.fullmatch(r"[0-9]{12,14}", text.strip()):
        return "it has the length of a GTIN, but its check digit is wrong: read it again"
    return f"{_NEITHER}: {found.note}{_upc_e_hint(text.strip())}"


def _upc_e_hint(tidy: str) -> str:
    """Eight digits that are a UPC-E are a GTIN-8 of another number as well, so only said."""
    if not re.fullmatch(r"[01][0-9]{7}", tidy):
        return ""
    found = _gs1(tidy, f"]E0{tidy}", date.min)
    return f"; if it is a UPC-E, its GTIN is {found.gtin}" if found and found.gtin else ""


def _unsure(text: str, found: DateText) -> Meaning:
    made = found.says is Says.MADE
    whys = [
        f"{in_words(one.date) if made else spoken(one.last_usable_day)} as {one.why}"
        for one in found.readings
    ]
    return Meaning(
        text, "date",
        readings=tuple(
            dict.fromkeys(one.date if made else one.last_usable_day for one in found.readings)
        ),
        problem=f"{'a made date; ' if made else ''}{found.note}", why="\n".join(whys),
    )  # fmt: skip


def _precision(when: PartialDate) -> str:
    """The contract knows day, month and year; a week's last day is a day."""
    precision = when.precision
    return Precision.DAY.value if precision is Precision.WEEK else precision.value
