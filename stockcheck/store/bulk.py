"""The catalogue from text: one reader for each field, used by options and by CSV files alike."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeAlias

from stockcheck.core.codes import read_gtin
from stockcheck.core.errors import BadFile, BadInput, Problem, with_remedy
from stockcheck.core.intake import read_day, read_money
from stockcheck.core.model import UNITS, Importance
from stockcheck.core.names import tidy_text
from stockcheck.core.planning import FIXED
from stockcheck.store.catalogue import (
    add,
    add_gtins,
    change,
    drop_gtins,
    own_importance,
    par_item,
)
from stockcheck.store.names import find_id, find_kind
from stockcheck.store.par_fields import BASES, MEASURES, MissingQuantity, rule_columns

Reader: TypeAlias = Callable[[sqlite3.Connection, str], Any]


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a catalogue row: its column, how its text is read, and what to do if wrong.

    ``cleared`` is the value of a field that was emptied.
    """

    column: str
    read: Reader
    remedy: str
    required: bool = False
    cleared: Any = None


def _text(_conn: sqlite3.Connection, text: str) -> str:
    return tidy_text(text)


def _whole(least: int) -> Reader:
    def read(_conn: sqlite3.Connection, text: str) -> int:
        if not (text.isascii() and text.isdigit() and len(text) <= 9) or int(text) < least:
            raise BadInput(f"is not a whole number from {least} up")
        return int(text)

    return read


def _one_of(words: Iterable[str]) -> Reader:
    allowed = tuple(words)

    def read(_conn: sqlite3.Connection, text: str) -> str:
        if text.lower() not in allowed:
            raise BadInput(f"is none of {', '.join(allowed)}")
        return text.lower()

    return read


def _named(what: str) -> Reader:
    def read(conn: sqlite3.Connection, text: str) -> int:
        return find_id(conn, what, text)

    return read


def _kind(conn: sqlite3.Connection, text: str) -> int:
    return find_kind(conn, text)[0]


def _money(_conn: sqlite3.Connection, text: str) -> int | None:
    return read_money(text)


def _climate(conn: sqlite3.Connection, text: str) -> str:
    from stockcheck.store.heat import find_climate

    return find_climate(conn, text).name


def _day(_conn: sqlite3.Connection, text: str) -> str:
    from datetime import date

    day = read_day(text, date.min)
    if day in {None, date.min}:
        raise BadInput("is not a day")
    return str(day)


def _figure(_conn: sqlite3.Connection, text: str) -> str:
    """A figure that may have decimals, kept as it is written."""
    if text.isascii() and text.isdigit() and len(text) <= 9:
        return text
    from stockcheck.core.par_rules import exact

    return str(exact(text))


def _plan(_conn: sqlite3.Connection, text: str) -> str:
    from stockcheck.core.par_rules import read_plan

    read_plan(text)
    return " ".join(text.split())


def _chance(_conn: sqlite3.Connection, text: str) -> str:
    from stockcheck.core.carry import assurance

    assurance(text)
    return text


def _country(_conn: sqlite3.Connection, text: str) -> str:
    from datetime import date

    from stockcheck.data.public_holidays import working_days

    working_days(text, date(2026, 1, 1), date(2026, 1, 1))
    return text.upper()


def _days_in(_conn: sqlite3.Connection, text: str) -> int:
    words = {"calendar": 0, "working": 1}
    if text.lower() not in words:
        raise BadInput("is none of calendar, working")
    return words[text.lower()]


def _gtins(_conn: sqlite3.Connection, text: str) -> list[tuple[str, int | None]]:
    """GTINs from ``09520123456788``, of the usual pack, or ``09520123456788 x10``; several too."""
    found: list[tuple[str, int | None]] = []
    for part in text.replace(";", " ").split():
        if found and re.fullmatch(r"x[1-9][0-9]{0,6}", part, re.IGNORECASE):
            found[-1] = (found[-1][0], int(part[1:]))
            continue
        gtin = read_gtin(part)
        if gtin is None:
            raise BadInput(f"{part!r} is not a GTIN: wrong length or check digit")
        found.append((gtin, None))
    return found


_MEND = "Mend this line"
_NAME = "Write a name"
_NUMBER = "Write a whole number"
_COUNT, _POSITIVE = _whole(0), _whole(1)
_NOTE = Field("note", _text, "Write a shorter note", cleared="")
_LEAD = Field("lead_days", _COUNT, "Write the calendar days from order to delivery")
_IMPORTANCE = Field(
    "importance",
    _one_of(Importance),
    "Write vital, essential or desirable",
    cleared=Importance.ESSENTIAL.value,
)
_DAY = "Write it as 2027-02-08"
_BASIS = f"Write one of {', '.join(BASES)}"
_MEASURE = f"Write one of {', '.join(MEASURES)}"
RULE_FIELDS = (
    "quantity", "basis", "per_km", "reserve_days", "measure", "lasts", "plan", "assurance",
)  # fmt: skip
FIELDS: dict[str, dict[str, Field]] = {
    "box": {
        "box": Field("name", _text, _NAME, required=True),
        "inside": Field("parent_id", _named("box"), "Name a box that is there"),
        "climate": Field("climate", _text, "Write a few words", cleared=""),
        "note": _NOTE,
    },
    "item": {
        "item": Field("name", _text, _NAME, required=True),
        "kind": Field("kind_id", _kind, "Name a kind that is there", required=True),
        "unit": Field("unit", _one_of(UNITS), f"Write one of {', '.join(UNITS)}", cleared="each"),
        "pack": Field("pack", _POSITIVE, "Write how many units its usual pack holds", cleared=1),
        "size": Field("size", _text, "Write a few words", cleared=""),
        "width_mm": Field("width_mm", _POSITIVE, _NUMBER),
        "length_mm": Field("length_mm", _POSITIVE, _NUMBER),
        "importance": _IMPORTANCE,
        "gtin": Field("gtin", _gtins, "Write the digits under the maker's bar code", cleared=[]),
        "note": _NOTE,
    },
    "par": {
        "box": Field("box_id", _named("box"), "Name a box that is there", required=True),
        "item": Field("item_id", _named("item"), "Name an item that is there"),
        "kind": Field("kind_id", _kind, "Name a kind that is there"),
        "quantity": Field("rate", _figure, _NUMBER, cleared=""),
        "importance": replace(_IMPORTANCE, cleared=None),  # then the item's own
        "basis": Field("basis", _one_of(BASES), _BASIS, cleared=FIXED),
        "per_km": Field("per_km", _POSITIVE, _NUMBER),
        "reserve_days": Field("reserve_days", _COUNT, _NUMBER),
        "measure": Field("measure", _one_of(MEASURES), _MEASURE, cleared="days"),
        "lasts": Field("lasts", _figure, "Write how many days one lasts you", cleared=""),
        "plan": Field("plan", _plan, "Write it as 'water litres=3 tablet=1'", cleared=""),
        "assurance": Field("assurance", _chance, "Write it as 95%", cleared=""),
    },
    "supplier": {
        "supplier": Field("name", _text, _NAME, required=True),
        "lead_days": _LEAD,
        "lead_in": Field("lead_working", _days_in, "Write calendar or working", cleared=0),
        "fee": Field("fee_cents", _money, "Write it as 4.90", cleared=0),
        "free_from": Field("free_from_cents", _money, "Write it as 50"),
        "minimum": Field("minimum_cents", _money, "Write it as 20", cleared=0),
        "country": Field("country", _country, "Write it as DE or DE-BY", cleared=""),
        "note": _NOTE,
    },
    "offer": {
        "supplier": Field("supplier_id", _named("supplier"), "Name a supplier", required=True),
        "item": Field("item_id", _named("item"), "Name an item that is there", required=True),
        "pack": Field("pack", _POSITIVE, "Write how many units the pack holds", required=True),
        "price": Field("price_cents", _money, "Write it as 12.40", required=True),
        "lead_days": _LEAD,
        "packs_left": Field("packs_left", _COUNT, "Write how many packs can be had"),
        "good_days": Field("good_days", _COUNT, "Write how many days it is good on delivery"),
        "note": _NOTE,
    },
    "trip": {
        "trip": Field("name", _text, _NAME, required=True),
        "departs": Field("departs", _day, _DAY, required=True),
        "returns": Field("returns", _day, _DAY, required=True),
        "people": Field("people", _POSITIVE, _NUMBER, cleared=1),
        "distance_km": Field("distance_km", _COUNT, _NUMBER),
        "margin_days": Field("margin_days", _COUNT, _NUMBER, cleared=0),
        "climate": Field("climate", _climate, "'climate list' shows them", cleared=""),
        "note": _NOTE,
    },
}


def add_text(conn: sqlite3.Connection, what: str, fields: Mapping[str, str]) -> int:
    """One new catalogue row from text fields. BadFile names every field that is wrong."""
    numbers, problems = _add(conn, what, "the options", [(1, fields)])
    if problems:
        raise BadInput("\n".join(_by_option(what, problem) for problem in problems))
    return numbers[0]


def change_text(conn: sqlite3.Connection, what: str, number: int, fields: Mapping[str, str]) -> int:
    """Change the named fields of a row, an empty text clears one; returns how many limits moved."""
    values, problems = _understood(conn, what, "the options", 1, fields, partial=True)
    if problems:
        raise BadInput("\n".join(_by_option(what, each, new="--rename") for each in problems))
    if what == "par" and values.get("importance", "") is None:
        item = values["item_id"] if "item_id" in values else par_item(conn, number)
        values["importance"] = own_importance(conn, item)
    if what == "par":
        values |= _rule(conn, number, values)
    gtins = values.pop("gtin", None)
    if gtins is not None and not gtins:
        drop_gtins(conn, number)
    add_gtins(conn, number, gtins or ())
    if values or gtins is None:
        return change(conn, what, number, values)
    return 0


def add_lines(
    conn: sqlite3.Connection, what: str, file: str, lines: Sequence[tuple[int, Mapping[str, str]]]
) -> int:
    """Every line of a file as a new row; BadFile with all problems when there is any."""
    numbers, problems = _add(conn, what, file, lines)
    if problems:
        raise BadFile(problems)
    return len(numbers)


def _add(
    conn: sqlite3.Connection, what: str, file: str, lines: Sequence[tuple[int, Mapping[str, str]]]
) -> tuple[list[int], list[Problem]]:
    numbers: list[int] = []
    problems: list[Problem] = []
    for line, fields in lines:
        values, wrong = _understood(conn, what, file, line, fields)
        problems += wrong
        if wrong:
            continue
        try:
            gtins = values.pop("gtin", ())
            numbers.append(add(conn, what, values))
            if gtins:
                add_gtins(conn, numbers[-1], gtins)
        except BadInput as error:
            name = next(iter(FIELDS[what]))
            text = fields.get(name, "")
            problems.append(Problem(file, line, name, text, str(error), _MEND))
    return numbers, problems


def _understood(
    conn: sqlite3.Connection,
    what: str,
    file: str,
    line: int,
    fields: Mapping[str, str],
    *,
    partial: bool = False,
) -> tuple[dict[str, Any], list[Problem]]:
    values: dict[str, Any] = {}
    problems: list[Problem] = []
    for name, field in FIELDS[what].items():
        text = " ".join(fields.get(name, "").split())
        if not text:
            if name in fields and partial and not field.required:
                values[field.column] = field.cleared
            elif field.required and (name in fields or not partial):
                wrong = "is empty" if name in fields else "is missing"
                problems.append(Problem(file, line, name, text, wrong, field.remedy))
            continue
        try:
            values[field.column] = field.read(conn, text)
        except BadInput as error:
            remedy = error.remedy or field.remedy
            problems.append(Problem(file, line, name, text, error.what, remedy))
    if what == "par" and not partial and not problems:
        problems += _item_or_kind(file, line, values)
        values.setdefault("importance", own_importance(conn, values.get("item_id")))
        try:
            values |= rule_columns(conn, None, values)
        except MissingQuantity:
            wrong = "is empty" if "quantity" in fields else "is missing"
            problems.append(Problem(file, line, "quantity", "", wrong, _NUMBER))
        except BadInput as error:
            text = fields.get("quantity", "")
            problems.append(Problem(file, line, "quantity", text, error.what, error.remedy))
    return values, problems


def _rule(conn: sqlite3.Connection, number: int, values: Mapping[str, Any]) -> dict[str, Any]:
    """The rule of a par level that is changed; unchanged where nothing of it was named."""
    if not values.keys() & {FIELDS["par"][name].column for name in RULE_FIELDS}:
        return {}
    try:
        return rule_columns(conn, number, values)
    except MissingQuantity as error:
        raise BadInput(f"--quantity is missing. {_NUMBER}") from error


def _item_or_kind(file: str, line: int, values: Mapping[str, Any]) -> list[Problem]:
    if ("item_id" in values) != ("kind_id" in values):
        return []
    return [Problem(file, line, "item", "", "give an item or a kind, one of both", _MEND)]


def _by_option(what: str, problem: Problem, new: str = "the name") -> str:
    """The problem to somebody who gave options and no file; its name is no option when added."""
    if problem.remedy == _MEND:
        return problem.what
    if problem.field == what:
        return with_remedy(f"{new} {problem.what}", problem.remedy)
    return problem.by_option
