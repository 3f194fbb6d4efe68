"""What a scanned or typed text is in one store: the values, and the rules that need no store."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

from stockcheck.core.calendar import PartialDate, spoken
from stockcheck.core.words import counted, listed

if TYPE_CHECKING:
    from stockcheck.core.actions import Action
    from stockcheck.core.meaning import Meaning
    from stockcheck.core.model import Item, PrintedExpiry
    from stockcheck.core.recalls import Recall

_LETTERS = {"lot": "L", "box": "B", "item": "I"}


class Sort(StrEnum):
    """The sorts of thing that a text can be."""

    LOT = "lot"
    BOX = "box"
    ITEM = "item"
    ACTION = "action"
    MAKER = "maker's code"
    DATE = "date"
    UNKNOWN = "unknown"


class Match(StrEnum):
    """How a maker's code fits what the store knows."""

    LOT = "known lot"
    NEW = "new batch or date"
    ITEM = "item only"
    UNKNOWN = "unknown GTIN"
    NO_GTIN = "no GTIN"


@dataclass(frozen=True, slots=True)
class Near:
    """Something that exists and may have been meant: ``code`` is what to type, ``name`` its name.

    ``what`` is lot, box, item or action; ``short`` is its short form, empty for an action.
    """

    what: str
    code: str
    name: str
    short: str = ""

    @property
    def words(self) -> str:
        """``1000000420 (L42, threadlocker)``."""
        inside = ", ".join(filter(None, [self.short, self.name]))
        return f"{self.code} ({inside})" if inside else self.code


@dataclass(frozen=True, slots=True)
class KnownLot:
    """A lot that a maker's code may stand for, and how many units of it are on hand anywhere."""

    id: int
    batch: str
    last_usable_day: date | None
    on_hand: int

    @property
    def short(self) -> str:
        """The short form of its code."""
        return f"L{self.id}"


@dataclass(frozen=True, slots=True)
class MakerCode:
    """A maker's code held against the store.

    ``pack`` is how many units one pack with this GTIN holds, ``units`` that times the count in the
    code (AI 30 or 37). ``lots`` agree with all that the code says, those on hand first; for a code
    that says neither batch nor date they are the lots of the item that are on hand.
    ``other_dates`` have its batch but another printed date. ``level_of`` is the item that another
    packing level of an unknown GTIN belongs to. ``recall`` calls its batch back, ``held_lots`` have
    its batch and are on hold, ``expired`` is whether its date is past.
    """

    meaning: Meaning
    match: Match
    item: Item | None = None
    pack: int = 1
    units: int = 1
    lots: tuple[KnownLot, ...] = ()
    other_dates: tuple[KnownLot, ...] = ()
    level_of: Item | None = None
    recall: Recall | None = None
    held_lots: tuple[int, ...] = ()
    expired: bool = False

    @property
    def gtin(self) -> str:
        """Fourteen digits, empty where the code has none."""
        return self.meaning.gtin or ""

    @property
    def key(self) -> str:
        """Equal for two packs with one GTIN, batch and date, whatever their serials."""
        told = self.meaning
        return f"maker:{self.gtin or told.text}/{told.batch or ''}/{told.last_usable_day or ''}"

    @property
    def says(self) -> str:
        """What the code says of the pack: ``batch 7C21-B, good through 28 FEB 2029``."""
        told = self.meaning
        parts = [f"batch {told.batch}"] if told.batch else []
        if told.last_usable_day:
            parts.append(f"good through {spoken(told.last_usable_day)}")
        parts += [f"made {told.made_on}"] if told.made_on else []
        parts += [f"serial {told.serial}"] if told.serial else []
        return ", ".join(parts)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What somebody must know before this pack is taken in or used, the worst first."""
        found = []
        if self.recall is not None:
            found.append(f"RECALLED: {self.recall.words}. Do not use it")
        if self.held_lots:
            lots = listed([f"L{number}" for number in self.held_lots])
            found.append(f"this batch is ON HOLD as {lots}")
        if self.expired and self.meaning.last_usable_day:
            found.append(f"EXPIRED: was good through {spoken(self.meaning.last_usable_day)}")
        if self.item is not None and self.item.retired_on:
            found.append(f"{self.item.name} is out of use since {self.item.retired_on}")
        for lot in self.other_dates:
            day = spoken(lot.last_usable_day) if lot.last_usable_day else "no date"
            found.append(f"{lot.short} has the same batch with another date ({day}): look again")
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Recognised:
    """What a text is in a store.

    ``id`` and ``name`` are of a lot (its item's name), box or item; ``maker`` is there for a
    maker's code, ``meaning`` for it and for a printed date. ``problem`` says why nothing was
    recognised or what is worth a second look; ``near`` may have been meant instead.
    """

    text: str
    sort: Sort
    id: int | None = None
    name: str = ""
    action: Action | None = None
    retired_on: date | None = None
    maker: MakerCode | None = None
    meaning: Meaning | None = None
    near: tuple[Near, ...] = ()
    problem: str = ""

    @property
    def known(self) -> bool:
        """Whether the store knows it: a thing of ours, an action, or a maker's code of an item."""
        if self.maker is not None:
            return self.maker.item is not None
        return self.sort not in {Sort.UNKNOWN, Sort.DATE}

    @property
    def short(self) -> str:
        """``L42``; empty for what has no short form."""
        return f"{_LETTERS[self.sort.value]}{self.id}" if self.id is not None else ""

    @property
    def title(self) -> str:
        """What it is in a line: ``L42 threadlocker``, ``eye drops, new batch or date: ...``."""
        if self.maker is not None:
            return _maker_title(self.maker)
        if self.action is not None:
            return f"action {self.action.value}"
        if self.sort is Sort.DATE and self.meaning is not None:
            last = self.meaning.last_usable_day
            return f"a date, good through {spoken(last)}" if last else "a date"
        return f"{self.short} {self.name}".strip() or "unknown"

    @property
    def complaint(self) -> str:
        """The problem with what may have been meant, as one sentence; empty where all is well."""
        if not self.near:
            return self.problem
        meant = listed([each.words for each in self.near], "or")
        return f"{self.problem}; did you mean {meant}?".lstrip("; ")


def _maker_title(maker: MakerCode) -> str:
    said = f": {maker.says}" if maker.says else ""
    if maker.item is None:
        return f"GTIN {maker.gtin}, unknown{said}" if maker.gtin else f"a maker's code{said}"
    units = f" ({counted(maker.units, maker.item.unit)})" if maker.units != 1 else ""
    if maker.match is Match.LOT:
        lots = listed([lot.short for lot in maker.lots], "or")
        return f"{lots} {maker.item.name}{units}{said}"
    return f"{maker.item.name}{units}, {maker.match.value}{said}"


def units_of(pack: int, count: int | None) -> int:
    """How many units a code stands for: the pack's own quantity times AI 30 or 37.

    A count of 0, which some makers print for "not given", counts as one.
    """
    return pack * (count or 1)


def is_expired(meaning: Meaning, on: date) -> bool:
    """Whether the date in the code is past."""
    return meaning.last_usable_day is not None and meaning.last_usable_day < on


def printed_expiry(meaning: Meaning) -> PrintedExpiry | None:
    """The date of a maker's code as a lot keeps it; None where the code has none.

    The text reads the same again by the rules for printed dates; that it was scanned is noted.
    """
    from stockcheck.core.model import PrintedExpiry

    last = meaning.last_usable_day
    if last is None:
        return None
    best = "best before" in meaning.why and "expiry" not in meaning.why.replace("not an expiry", "")
    iso = last.isoformat()
    reading = PartialDate(iso[:7] if meaning.precision == "month" else iso)
    word = "BEST BEFORE END" if best else "EXP"
    return PrintedExpiry(f"{word} {reading}", reading, last, "from the maker's code")


def packing_levels(gtin: str) -> tuple[str, ...]:
    """The GTINs of the same thing at other packing levels: only the first digit differs.

    GS1 General Specifications, section 2.1.6: indicator digits 1 to 8 on a GTIN-14 mean groupings
    of the trade item within; 9, a variable measure, is none of them.
    """
    from stockcheck.core.codes import gtin_check_digit

    bodies = (f"{level}{gtin[1:13]}" for level in "012345678" if level != gtin[0])
    return tuple(body + gtin_check_digit(body) for body in bodies)
