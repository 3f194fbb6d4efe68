"""What a look through a whole store finds, and which dates and codes in it are out of reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from stockcheck.core.calendar import spoken
from stockcheck.core.codes import TYPES, make_code, read_code, read_gtin

# Common practice: what these boxes hold is printed with ten years at the most; water and tyres may
# say more. Past these a date is far likelier a slip of the finger than true.
_FARTHEST_YEARS, _OLDEST_YEAR = 30, 1970
_APART = 8  # so many places of one finding are told apart


class Weight(StrEnum):
    """``wrong``: the store contradicts itself. ``look``: it may be true, and is worth a look."""

    WRONG = "wrong"
    LOOK = "look"


class Part(StrEnum):
    """The steps of a check, in their order."""

    FILE = "file"
    REFERENCES = "references"
    SCHEMA = "schema"
    ON_HAND = "on hand"
    LIMITS = "limits"
    SEARCH = "search"
    SETTINGS = "settings"
    CODES = "codes"
    RECORDS = "records"
    DATES = "dates"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found: where it stands, what it is, and what to do.

    ``mends``: it is worked out from other facts, so that --mend may set it right.
    """

    part: Part
    place: str
    what: str
    remedy: str
    weight: Weight = Weight.WRONG
    mends: bool = False


MENDS = "'stockcheck check --mend' works it out anew"


def code_findings(sort: str, number: int, code: str) -> Iterator[Finding]:
    """Whether a code is one of ours, of the right sort, and that of this very number."""
    place = f"{sort} {sort[0].upper()}{number}"
    remedy = f"print its label anew and keep to {sort[0].upper()}{number}; report how it came about"
    read = read_code(code)
    if read is None:
        yield Finding(Part.CODES, place, f"its code {code} has a wrong check digit", remedy)
    elif read[0] != sort:
        what = f"its code {code} is that of a {read[0]}, type {TYPES[read[0]]}"
        yield Finding(Part.CODES, place, what, remedy)
    elif code != make_code(sort, number):
        what = f"its code {code} belongs to number {read[1]}"
        yield Finding(Part.CODES, place, what, remedy)


def gtin_findings(place: str, gtin: str, remedy: str) -> Iterator[Finding]:
    """Whether a GTIN has fourteen digits and a right check digit."""
    if gtin and read_gtin(gtin) != gtin:
        yield Finding(Part.CODES, place, f"{gtin} is no GTIN: its check digit is wrong", remedy)


@dataclass(frozen=True, slots=True)
class LotDates:
    """The dates of a lot as they stand; what was printed counts by its first or last day."""

    number: int
    made_from: date | None
    printed_last: date | None
    received_on: date | None
    opened_first: date | None


def date_findings(lot: LotDates, on: date) -> Iterator[Finding]:
    """What of a lot's dates cannot be, or hardly can be, on the day ``on``."""
    place = f"lot L{lot.number}"
    fix = f"correct it: stockcheck lot change L{lot.number} --help"
    made, last, received = lot.made_from, lot.printed_last, lot.received_on
    for what, day in (("made", made), ("received", received), ("opened", lot.opened_first)):
        if day is not None and day > on:
            said = f"{what} on {spoken(day)}, which is still to come on {spoken(on)}"
            yield Finding(Part.DATES, place, said, fix, Weight.LOOK)
        elif day is not None and day.year < _OLDEST_YEAR:
            yield Finding(
                Part.DATES, place, f"{what} on {spoken(day)}, decades ago", fix, Weight.LOOK
            )
    if made and received and received < made:
        said = f"received on {spoken(received)}, before it was made on {spoken(made)}"
        yield Finding(Part.DATES, place, said, fix)
    if made and lot.opened_first and lot.opened_first < made:
        said = f"opened on {spoken(lot.opened_first)}, before it was made on {spoken(made)}"
        remedy = f"{fix}; or write it off and receive it anew"
        yield Finding(Part.DATES, place, said, remedy)
    if made and last and last < made:
        yield Finding(
            Part.DATES,
            place,
            f"good through {spoken(last)}, before it was made on {spoken(made)}",
            fix,
        )
    since = made or received or on
    if last and (last.year > since.year + _FARTHEST_YEARS or last.year < _OLDEST_YEAR):
        said = f"good through {spoken(last)}, decades away from {spoken(since)}"
        yield Finding(Part.DATES, place, said, fix, Weight.LOOK)


def gathered(findings: Iterable[Finding]) -> list[Finding]:
    """The same found in very many places as one finding, which names the first places."""
    alike: dict[Finding, list[Finding]] = {}
    for each in findings:
        alike.setdefault(replace(each, place=""), []).append(each)
    found = []
    for group in alike.values():
        if len(group) <= _APART:
            found += group
        else:
            first = ", ".join(each.place for each in group[:_APART])
            found.append(replace(group[0], place=f"{first} and {len(group) - _APART} more"))
    return found
