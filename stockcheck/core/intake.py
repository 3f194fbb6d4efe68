"""Stock as it comes in: a line of text fields becomes a lot's facts and a count, or problems.

Every problem of every line is found before anything is said, so that a file is mended in one go.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar

from stockcheck.core.calendar import PartialDate
from stockcheck.core.codes import read_gtin
from stockcheck.core.errors import BadInput, Problem
from stockcheck.core.intake_dates import (
    DateRules,
    LotDays,
    PrintedMade,
    contradictions,
    read_expiry,
    read_made_date,
    read_printed_made,
)
from stockcheck.core.model import Box, DateContext, Item, PrintedExpiry
from stockcheck.core.names import MOST_TEXT, name_key, nearest, tidy_text
from stockcheck.core.planning import Supplier

__all__ = [
    "COLUMNS", "MOST_BATCH", "MOST_NOTE", "NOT_ASKED", "REQUIRED", "Answers", "Arrival",
    "DateRules", "LotFacts", "PrintedMade", "Shelves", "named", "read_day", "read_expiry",
    "read_lines", "read_made_date", "read_money", "read_quantity",
]  # fmt: skip

COLUMNS = (
    "box", "item", "kind", "quantity", "unit", "expiry", "made", "opened", "received", "batch",
    "gtin", "supplier", "cost", "note",
)  # fmt: skip
REQUIRED = ("box", "item", "quantity")
MOST_BATCH, MOST_NOTE = 60, MOST_TEXT
_LOOK = "Look at the pack again"

T = TypeVar("T")
Named = TypeVar("Named", Box, Item, Supplier)


@dataclass(frozen=True, slots=True)
class LotFacts:
    """The facts of a lot that is about to be written down."""

    item_id: int
    batch: str = ""
    expiry: PrintedExpiry | None = None
    made: PartialDate | None = None
    made_text: str = ""
    received_on: date | None = None
    gtin: str = ""
    supplier_id: int | None = None
    cost_cents: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Arrival:
    """One line of intake, understood: where it goes, how many, opened or not, and the facts.

    ``made_assumed`` is what was assumed in reading the made date; the lot keeps it with its text.
    """

    line: int
    box: Box
    item: Item
    quantity: int
    facts: LotFacts
    opened_on: date | None = None
    made_assumed: str = ""


@dataclass(frozen=True, slots=True)
class Answers:
    """What somebody at a terminal said that the printed dates mean; None where nobody was asked."""

    expiry: PrintedExpiry | None = None
    made: PrintedMade | None = None


NOT_ASKED = Answers()


@dataclass(frozen=True, slots=True)
class Shelves:
    """What the store knows, for telling what a line's names mean; keys are ``name_key`` forms."""

    boxes: Mapping[str, Box] = field(default_factory=dict)
    items: Mapping[str, Item] = field(default_factory=dict)
    suppliers: Mapping[str, Supplier] = field(default_factory=dict)

    @classmethod
    def of(
        cls, boxes: Sequence[Box], items: Sequence[Item], suppliers: Sequence[Supplier]
    ) -> Shelves:
        """Make the look-up: by name, short form, code, and an item's GTINs too."""
        by_item: dict[str, Item] = {}
        for item in items:
            keys = (name_key(item.name), item.short.lower(), item.code, *item.gtins)
            by_item |= dict.fromkeys(keys, item)
        by_box: dict[str, Box] = {}
        for box in boxes:
            by_box |= dict.fromkeys((name_key(box.name), box.short.lower(), box.code), box)
        return cls(by_box, by_item, {name_key(each.name): each for each in suppliers})


def named(known: Mapping[str, Named], text: str) -> Named | None:
    """What a text names on the shelves: by name, short form, code, or an item's GTIN."""
    return known.get(name_key(text)) or known.get(read_gtin(text) or "")


def read_quantity(text: str) -> int:
    """A whole number of units, 1 or more. BadInput for anything else."""
    tidy = text.strip()
    if not re.fullmatch(r"[0-9]{1,7}", tidy) or int(tidy) < 1:
        raise BadInput("a quantity is a whole number of units from 1 to 9999999")
    return int(tidy)


def read_money(text: str) -> int | None:
    """An amount such as 12.40, 12,40 or 12 as whole cents; None for no text."""
    tidy = text.strip()
    if not tidy:
        return None
    found = re.fullmatch(r"([0-9]{1,7})(?:[.,]([0-9]{1,2}))?", tidy)
    if not found:
        raise BadInput("an amount is figures such as 12.40, without a currency sign")
    return int(found[1]) * 100 + int((found[2] or "0").ljust(2, "0"))


def read_day(text: str, today: date) -> date | None:
    """An ISO day or the word today; None for no text or the word unknown. BadInput otherwise."""
    tidy = text.strip().lower()
    if tidy in {"", "unknown"}:
        return None
    if tidy == "today":
        return today
    try:
        return PartialDate(tidy).first_day() if tidy.count("-") == 2 else _not_a_day()
    except ValueError as error:
        raise BadInput("a day is written YYYY-MM-DD, or 'today' or 'unknown'") from error


def _not_a_day() -> date:
    raise ValueError


def read_lines(
    file: str,
    lines: Sequence[tuple[int, Mapping[str, str]]],
    shelves: Shelves,
    rules: DateRules,
    answers: Answers = NOT_ASKED,
) -> tuple[list[Arrival], list[Problem]]:
    """Every line of an intake file, understood, and every problem, in order of line.

    ``answers`` stand in place of the dates of the lines.
    """
    arrivals: list[Arrival] = []
    problems: list[Problem] = []
    for number, fields in lines:
        reader = _LineReader(file, number, fields, shelves, rules, answers)
        arrival = reader.read()
        problems += reader.problems
        if arrival is not None:
            arrivals.append(arrival)
    return arrivals, problems


class _LineReader:
    """Reads the fields of one line and gathers what is wrong with them."""

    def __init__(
        self,
        file: str,
        line: int,
        fields: Mapping[str, str],
        shelves: Shelves,
        rules: DateRules,
        answers: Answers,
    ) -> None:
        self.file, self.line, self.fields = file, line, fields
        self.shelves, self.rules, self.answers = shelves, rules, answers
        self.problems: list[Problem] = []

    def read(self) -> Arrival | None:
        """The line's meaning; None when there is any problem."""
        box = self._named("box", self.shelves.boxes)
        item = self._named("item", self.shelves.items)
        quantity = self._field("quantity", read_quantity, "Write how many units there are")
        context = item.kind.dates if item else DateContext.GENERAL
        made = self._made(context)
        facts = self._facts(item, self._expiry(context), made)
        opened_on = self._past_day("opened")
        self._agree(LotDays(facts.expiry, facts.made, facts.received_on, opened_on))
        if item is not None:
            self._agrees(item)
        if self.problems or box is None or item is None or quantity is None:
            return None
        assumed = made.assumed if made else ""
        return Arrival(self.line, box, item, quantity, facts, opened_on, assumed)

    def _facts(
        self, item: Item | None, expiry: PrintedExpiry | None, made: PrintedMade | None
    ) -> LotFacts:
        supplier = self._named("supplier", self.shelves.suppliers)
        return LotFacts(
            item_id=item.id if item else 0,
            batch=self._short_text("batch", MOST_BATCH),
            expiry=expiry,
            made=made.reading if made else None,
            made_text=made.noted if made else "",
            received_on=self._past_day("received"),
            gtin=self._field("gtin", _gtin, "Look at the digits again, or leave it empty") or "",
            supplier_id=supplier.id if supplier else None,
            cost_cents=self._field("cost", read_money, "Write it as 12.40"),
            note=self._short_text("note", MOST_NOTE),
        )

    def _expiry(self, context: DateContext) -> PrintedExpiry | None:
        return self.answers.expiry or self._field(
            "expiry", lambda text: read_expiry(text, context, self.rules), _LOOK
        )

    def _made(self, context: DateContext) -> PrintedMade | None:
        return self.answers.made or self._field(
            "made", lambda text: read_printed_made(text, context, self.rules), _LOOK
        )

    def _agree(self, days: LotDays) -> None:
        for name, what, remedy in contradictions(days):
            self._wrong(name, what, remedy)

    def _text(self, name: str) -> str:
        return " ".join(self.fields.get(name, "").split())

    def _short_text(self, name: str, most: int) -> str:
        try:
            return tidy_text(self.fields.get(name, ""), most)
        except BadInput as error:
            self._wrong(name, error.what, error.remedy)
            return ""

    def _wrong(self, name: str, what: str, remedy: str) -> None:
        value = self.fields.get(name, "")
        self.problems.append(Problem(self.file, self.line, name, value, what, remedy))

    def _field(self, name: str, read: Callable[[str], T], remedy: str) -> T | None:
        try:
            return read(self._text(name))
        except BadInput as error:
            self._wrong(name, error.what, error.remedy or remedy)
            return None

    def _named(self, name: str, known: Mapping[str, Named]) -> Named | None:
        text = self._text(name)
        if not text:
            if name in REQUIRED:
                what = "is empty" if name in self.fields else "is missing"
                self._wrong(name, what, f"Write the name of the {name}")
            return None
        found = named(known, text)
        if found is None:
            names = {each.name for each in known.values()}
            near = nearest(text, sorted(names), f"make it first with '{name} add'").lstrip("; ")
            self._wrong(name, f"there is no such {name}", near[0].upper() + near[1:])
        return found

    def _past_day(self, name: str) -> date | None:
        day = self._field(
            name, lambda text: read_day(text, self.rules.today), "Write it as 2026-08-31"
        )
        if day is not None and day > self.rules.today:
            self._wrong(name, f"is after today, {self.rules.today}", "Look at the year again")
        return day

    def _agrees(self, item: Item) -> None:
        unit, kind = self._text("unit"), self._text("kind")
        if unit and unit.lower() != item.unit:
            self._wrong(
                "unit", f"{item.name} is counted in {item.unit}", f"Give the number of {item.unit}"
            )
        if kind and name_key(kind) not in {item.kind.key, name_key(item.kind.name)}:
            self._wrong(
                "kind", f"{item.name} is of kind {item.kind.key}", "Change the item, or this line"
            )


def _gtin(text: str) -> str:
    if not text:
        return ""
    gtin = read_gtin(text)
    if gtin is None:
        raise BadInput("is not a GTIN: wrong length or check digit")
    return gtin
