"""Makers' codes: GS1 element strings, Digital Links and the numbers of retail symbols.

An expiry (AI 17, 7003) is good through the end of its day; a best-before date (AI 15) counts only
where there is no expiry, and is called what it is; sell-by, packing and due dates never count. A
made date with day 00 counts from the first of its month, the safer end. What breaks a rule of GS1
is refused with the rule; what is only odd is read, with a ``problem`` beside it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from stockcheck.core.calendar import PartialDate, Precision
from stockcheck.core.codes import read_gtin
from stockcheck.core.gs1_brackets import bracketed
from stockcheck.core.gs1_dates import WHOLE_DATES, Malformed, element_date
from stockcheck.core.gs1_elements import Element, missing, scanned
from stockcheck.core.gs1_link import linked
from stockcheck.core.meaning import UNKNOWN, Meaning
from stockcheck.core.scanned import (
    ELEMENT_SYMBOLS,
    is_bracketed,
    is_surely_gs1,
    is_web_address,
    split_identifier,
    with_separators,
)

_FAR_BACK_YEARS, _FAR_AHEAD_YEARS = 10, 20  # our own choice: no pack's date is likely to lie there
_WORDS = {
    "01": "GTIN",
    "02": "GTIN of the contents",
    "10": "batch",
    "11": "made",
    "12": "payment due, not an expiry,",
    "13": "packed, not an expiry,",
    "15": "best before",
    "16": "sell by, not an expiry,",
    "17": "expiry",
    "21": "serial",
    "30": "count",
    "37": "count",
    "7003": "expiry to the minute",
}
_LINK_SYMBOLS = {"d1", "Q1"}
_RETAIL_LENGTHS = {"E0": 13, "E3": 13, "E4": 8}
_HIDDEN_DATE = re.compile(r"1[157][0-9]{6}")


def read_gs1(text: str, today: date) -> Meaning | None:
    """What a maker's code says; None when the text is no such code at all.

    A code that breaks a rule is ``unknown``, with the rule as its problem. ``today`` decides the
    century (from 49 years back to 50 ahead) and nothing else that would change what is read.
    """
    identifier, data = split_identifier(text.strip())
    try:
        if identifier:
            return _scanned_symbol(text, identifier, data, today)
        return _without_identifier(text, data, today)
    except Malformed as error:
        return Meaning(text, UNKNOWN, problem=f"not readable as a maker's code: {error}")


def _scanned_symbol(text: str, identifier: str, data: str, today: date) -> Meaning:
    """By the symbology identifier: elements are looked for only where GS1 puts them."""
    if identifier in ELEMENT_SYMBOLS:
        if is_bracketed(data):
            raise Malformed("brackets are print and are never scanned")
        return _meaning(text, scanned(with_separators(data), today), today)
    if identifier[0] == "E" or identifier in {"I0", "I1"}:
        return _retail(text, identifier, data)
    if identifier in _LINK_SYMBOLS and is_web_address(data):
        return _meaning(text, linked(data, today), today)
    problem = (
        f"data of a symbol ]{identifier} that is not GS1's: what it means only its maker knows"
    )
    return Meaning(text, UNKNOWN, problem=problem)


def _without_identifier(text: str, data: str, today: date) -> Meaning | None:
    if is_web_address(data):
        return _meaning(text, linked(data, today), today)
    if is_bracketed(data):
        return _meaning(text, bracketed(with_separators(data), today), today)
    marked = with_separators(data)
    try:
        elements = scanned(marked, today)
    except Malformed:
        if is_surely_gs1(marked):
            raise
        return None
    named = {"00", "01", "02", "03"}.intersection(each.ai for each in elements)
    dated = bool(elements) and elements[0].ai in WHOLE_DATES
    return _meaning(text, elements, today) if named or dated else None


def _retail(text: str, identifier: str, data: str) -> Meaning:
    """EAN, UPC and ITF symbols hold a GTIN and nothing else; an add-on is left out."""
    wanted = _RETAIL_LENGTHS.get(identifier, 0)
    number = data[:wanted] if identifier == "E3" else data
    if identifier == "E0" and len(number) in {6, 7, 8}:
        number = _upc_a(number)
    gtin = read_gtin(number)
    if gtin is None or identifier in {"E1", "E2"}:
        raise Malformed(f"{number!r} under ]{identifier} is no GTIN, or its check digit is wrong")
    return Meaning(text, "gtin", gtin=gtin, why=f"by its symbol ]{identifier}")


def _upc_a(number: str) -> str:
    """The twelve digits that a UPC-E leaves out zeros of (GS1 GenSpecs, section 5.2.2.4.2)."""
    from biip import ParseError
    from biip.upc import Upc

    if not re.fullmatch(r"[0-9]+", number):
        raise Malformed(f"{number!r} is no UPC-E")
    try:
        return Upc.parse(number).as_upc_a()
    except ParseError as error:
        raise Malformed(f"{number!r} is no UPC-E, or its check digit is wrong") from error


@dataclass(frozen=True, slots=True)
class _Expiry:
    """The last usable day, how precisely it is given, and what is worth saying about it."""

    day: date
    precision: Precision
    note: str = ""


def _meaning(text: str, elements: tuple[Element, ...], today: date) -> Meaning:
    if not elements:
        raise Malformed("it holds no data")
    values = {each.ai: each.value for each in elements}
    dates = {each.ai: found for each in elements if (found := _date(each, today))}
    expiry = _expiry(values, dates)
    made = dates["11"].first_day() if "11" in dates else None
    count = values.get("30") or values.get("37")
    notes = [missing(elements), *_oddities(values, expiry, made, today)]
    return Meaning(
        text,
        "gs1",
        last_usable_day=expiry.day if expiry else None,
        precision=expiry.precision.value if expiry else None,
        gtin=values.get("01") or values.get("03") or values.get("02"),
        batch=values.get("10"),
        serial=values.get("21"),
        made_on=dates.get("11"),
        count=int(count) if count else None,
        problem="; ".join(filter(None, notes)) or None,
        why="; ".join(_worded(each, dates.get(each.ai)) for each in elements),
    )


def _date(element: Element, today: date) -> PartialDate | None:
    return element_date(element.ai, element.value, today)


def _expiry(values: dict[str, str], dates: dict[str, PartialDate]) -> _Expiry | None:
    """The earlier of AI 17 and 7003; else the best-before date."""
    found = []
    if "17" in dates:
        found.append(_Expiry(dates["17"].last_day(), dates["17"].precision))
    if "7003" in dates:
        found.append(_to_the_minute(values["7003"], dates["7003"].last_day()))
    if not found and "15" in dates:
        note = "a best-before date, not an expiry"
        found.append(_Expiry(dates["15"].last_day(), dates["15"].precision, note))
    return min(found, key=lambda each: each.day, default=None)


def _to_the_minute(figures: str, day: date) -> _Expiry:
    time = f"{figures[6:8]}:{figures[8:10]}"
    if time == "00:00":
        note = f"it expires as {day} begins, so good through the day before"
        return _Expiry(day - timedelta(days=1), Precision.DAY, note)
    return _Expiry(day, Precision.DAY, f"on {day} good only until {time}")


def _oddities(
    values: dict[str, str], expiry: _Expiry | None, made: date | None, today: date
) -> list[str]:
    notes = [] if expiry else [_no_expiry(values)]
    if expiry:
        notes += [expiry.note, _far_off(expiry.day, today)]
    if made and made > today:
        notes.append(f"made on {made}, which is still to come")
    if made and expiry and made > expiry.day:
        notes.append("made after it expires")
    return notes


def _no_expiry(values: dict[str, str]) -> str:
    """Said where an expiry could be expected: beside a batch, a serial or another date."""
    if not values.keys() & ({"10", "21"} | WHOLE_DATES):
        return ""
    for ai in ("10", "21"):
        if _HIDDEN_DATE.search(values.get(ai, "")):
            word = _WORDS[ai]
            return (
                f"no expiry read; the {word} {values[ai]} may have swallowed one"
                " where a separator was lost: look at the pack"
            )
    return "no expiry read"


def _far_off(day: date, today: date) -> str:
    if day.year < today.year - _FAR_BACK_YEARS:
        return f"more than {_FAR_BACK_YEARS} years back, not likely: look at the pack"
    if day.year > today.year + _FAR_AHEAD_YEARS:
        return f"more than {_FAR_AHEAD_YEARS} years ahead, not likely: look at the pack"
    return ""


def _worded(element: Element, when: PartialDate | None) -> str:
    """``expiry (17) 2029-02, through the end of the month``."""
    name = _WORDS.get(element.ai, element.title or "AI")
    if when is None:
        return f"{name} ({element.ai}) {element.amount or element.value}"
    time = f" {element.value[6:8]}:{element.value[8:10]}" if element.ai == "7003" else ""
    whole = ""
    if when.precision is Precision.MONTH:
        counted = "counted from the 1st" if element.ai == "11" else "through the end of the month"
        whole = f", day 00, {counted}"
    return f"{name} ({element.ai}) {when}{time}{whole}"
