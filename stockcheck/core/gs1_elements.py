"""GS1 element strings taken apart and checked one by one and against each other.

The table of application identifiers (AIs) and the form of each are biip's. What it lets pass is
checked here: check digits, separators, times and days, AIs that exclude each other, an AI given
twice. Pairing rules from the GS1 Syntax Dictionary; the places of check digits in AIs other than
00 to 03 and 41n from the same dictionary, from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.core.codes import gtin_check_digit
from stockcheck.core.gs1_dates import WHOLE_DATES, Malformed, element_date
from stockcheck.core.scanned import SEPARATOR
from stockcheck.core.words import listed

if TYPE_CHECKING:
    from biip.gs1_application_identifiers import GS1ApplicationIdentifier

# The number with a check digit at the start of the value: its length, digit included.
_CHECKED = {
    "00": 18, "01": 14, "02": 14, "03": 14, "253": 13, "255": 13, "402": 17, "8003": 14,
    "8006": 14, "8017": 18, "8018": 18, "8026": 14,
} | {f"41{n}": 13 for n in range(8)}  # fmt: skip

_EXCLUDES = {"01": {"02", "37", "255"}, "02": {"03"}}

_GOODS = ("01", "02", "03", "8006", "8026")
_NEEDS: dict[str, tuple[str, ...]] = {  # any one of the entries; joined by + all of them
    "02": ("37",),
    "10": _GOODS, "11": _GOODS, "13": _GOODS, "15": _GOODS, "16": _GOODS, "20": _GOODS,
    "12": ("8020",),
    "17": (*_GOODS, "255"),
    "21": ("01", "03", "8006"),
    "22": ("01",),
    "30": ("01", "02"),
    "37": ("00+02", "00+8026"),
    "250": ("21",),
    "7003": ("01", "02", "03"),
    "8200": ("01",),
} | {f"71{n}": ("01",) for n in range(8)} | {f"433{n}": ("00",) for n in range(4)}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Element:
    """One application identifier with its value; ``amount`` is the value with its decimals."""

    ai: str
    value: str
    title: str = ""
    amount: str = ""


def scanned(data: str, today: date) -> tuple[Element, ...]:
    """The elements of scanned data; Malformed when it breaks a rule.

    A separator after a field of predefined length and one at the end are tolerated.
    """
    found: list[Element] = []
    rest = data.lstrip(SEPARATOR)
    while rest:
        element = _first(rest, today)
        found.append(element)
        rest = rest[len(element.ai) + len(element.value) :].lstrip(SEPARATOR)
    return together(found)


def one(ai: str, value: str, today: date) -> Element:
    """The element of an AI and its value, checked by itself; Malformed."""
    return _element(_known(ai), ai + value, today)


def together(found: list[Element]) -> tuple[Element, ...]:
    """The elements, checked against each other; the same one given twice is kept once."""
    values: dict[str, Element] = {}
    for element in found:
        first = values.setdefault(element.ai, element)
        if first.value != element.value:
            raise Malformed(
                f"AI {element.ai} stands there twice, with {first.value} and {element.value}"
            )
    for ai, others in _EXCLUDES.items():
        if ai in values and (bad := sorted(others & values.keys())):
            raise Malformed(f"AI {ai} must not stand beside AI {bad[0]}")
    return tuple(values.values())


def missing(elements: tuple[Element, ...]) -> str:
    """What an AI needs beside it and lacks, in words; empty when nothing is missing."""
    present = {element.ai for element in elements}
    for element in elements:
        wanted = _NEEDS.get(element.ai, ())
        if wanted and not any(present.issuperset(each.split("+")) for each in wanted):
            names = listed([each.replace("+", " with ") for each in wanted], "or")
            return f"incomplete: AI {element.ai} needs AI {names} beside it"
    return ""


def _refuse_foreign(value: str) -> None:
    """Figures of other scripts would pass as digits; what a field forbids in ASCII biip sees."""
    bad = [char for char in value if not "!" <= char <= "~"]
    if bad:
        raise Malformed(f"the character {bad[0]!r} is not in the set of GS1 data")
    for word in ("<GS>", "<FNC1>"):
        if word in value.upper():
            raise Malformed(
                f"{word} may be a scanner's word for the separator or part of a batch:"
                " let the scanner send ASCII 29, or {GS}"
            )


def _first(rest: str, today: date) -> Element:
    """The first element; a field that is not of predefined length ends at the separator."""
    ai = _known(rest)
    field = rest.split(SEPARATOR, 1)[0]
    if not ai.separator_required:
        field = field[: len(ai.ai) + _fixed_length(ai)]
    return _element(ai, field, today)


def _fixed_length(ai: GS1ApplicationIdentifier) -> int:
    """The length of a value of predefined length, from its format ``N2+N14``."""
    return int(ai.format.rpartition("N")[2])


def _known(text: str) -> GS1ApplicationIdentifier:
    from biip import ParseError
    from biip.gs1_application_identifiers import GS1ApplicationIdentifier

    try:
        return GS1ApplicationIdentifier.extract(text)
    except ParseError as error:
        raise Malformed(f"{text[:4]!r} does not begin with an AI that is assigned") from error


def _element(ai: GS1ApplicationIdentifier, field: str, today: date) -> Element:
    from biip import ParseConfig, ParseError
    from biip.gs1_element_strings import GS1ElementString

    name, value = f"AI {ai.ai} ({ai.data_title})", field[len(ai.ai) :]
    _refuse_foreign(value)
    if ai.ai in WHOLE_DATES and re.fullmatch(r"[0-9]{6}", value):
        element_date(ai.ai, value, today)  # names the day that there is not
    config = ParseConfig(gs1_element_strings_verify_date=False)  # the dates are read here
    try:
        found = GS1ElementString.parse(field, config=config)
    except ParseError as error:
        raise Malformed(f"{name} cannot hold {value!r}: its form is {ai.format}") from error
    if found.ai.ai != ai.ai or not found.value:
        raise Malformed(f"{name} is empty")
    checked = found.value[: _CHECKED.get(ai.ai, 0)]
    if checked and gtin_check_digit(checked[:-1]) != checked[-1]:
        raise Malformed(f"{name}: the check digit of {checked} is wrong, scan it again")
    element_date(ai.ai, found.value, today)
    amount = "" if found.decimal is None else str(found.decimal)
    return Element(ai.ai, found.value, ai.data_title, amount)
