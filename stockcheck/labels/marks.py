"""Which of the standards' symbols a label bears: only where the symbol's meaning is true of it.

| symbol | where it stands | why |
|---|---|---|
| use by | kinds with a safety date, where there is a day | a date of quality is no "use by" |
| batch | lots with a maker's batch | it is the maker's batch code |
| made | lots with a made date | it is the date of manufacture |
| temperature | kinds whose storage gives plain figures | never where the pack alone says them |
| keep dry | kinds whose storage says dry, and nothing of wet | damp spoils them |
| single use | sterile kinds of which nothing is kept once opened | one use, one person |
| first aid | boxes of which most kinds are first aid | it tells where the first-aid kit is |
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from stockcheck.core.calendar import Life
from stockcheck.core.model import DateMeaning, Holding, Kind
from stockcheck.labels import symbols

FIRST_AID_GROUPS = frozenset({"first aid"})
_MEDICAL_GROUPS = FIRST_AID_GROUPS | {"medicines"}
_RANGE = re.compile(r"(-?\d+)\s*(?:-|to)\s*(-?\d+) °C")
_AT_MOST = re.compile(r"(?:at most|below) (\d+)(?:-\d+)? °C")


@dataclass(frozen=True, slots=True)
class Mark:
    """A symbol and the words beside it, which belong to it: "2-8 °C"."""

    symbol: str
    words: str = ""


@lru_cache(maxsize=512)
def kind_marks(kind: Kind) -> tuple[Mark, ...]:
    """How things of a kind want to be kept and used: temperature, dryness, one use."""
    found = [temperature(kind)]
    if keeps_dry(kind):
        found.append(Mark(symbols.KEEP_DRY))
    if single_use(kind):
        found.append(Mark(symbols.SINGLE_USE))
    return tuple(mark for mark in found if mark)


def temperature(kind: Kind) -> Mark | None:
    """The storage range with its figures; None where none is stated for every pack of the kind.

    Of "at most 25-30 °C", as makers differ, the lower figure is safe for all of them.
    """
    for clause in re.split(r"[,;]", kind.storage):
        if both := _RANGE.fullmatch(clause.strip()):
            return Mark(symbols.STORE_BETWEEN, f"{_figure(both[1])} to {_figure(both[2])} °C")
        if most := _AT_MOST.fullmatch(clause.strip()):
            return Mark(symbols.STORE_BELOW, f"max. {most[1]} °C")
    return None


def _figure(digits: str) -> str:
    return digits.replace("-", "\N{MINUS SIGN}")


def keeps_dry(kind: Kind) -> bool:
    """Whether its storage says dry, with no exception for things that are wet."""
    clauses = [clause.strip() for clause in re.split(r"[,;]", kind.storage)]
    return "dry" in clauses and not any("wet" in clause.split() for clause in clauses)


def single_use(kind: Kind) -> bool:
    """Whether it is sterile and nothing of it is kept once it is opened."""
    return "sterile" in kind.cautions and kind.opened is not None and kind.opened.life == Life()


def date_symbol(holding: Holding) -> str:
    """The use-by symbol where the day shown is one after which the thing is not to be used."""
    safety = holding.kind.meaning is DateMeaning.SAFETY
    return symbols.USE_BY if safety and holding.last_usable_day else ""


def is_first_aid(held: Sequence[Holding]) -> bool:
    """Whether a box is first-aid equipment: most of its kinds are for first aid or medicines, and
    at least three of them for first aid.
    """
    kinds = {holding.kind.key: holding.kind.group for holding in held}
    first_aid = _count(kinds.values(), FIRST_AID_GROUPS)
    return first_aid >= 3 and 2 * _count(kinds.values(), _MEDICAL_GROUPS) > len(kinds)


def _count(groups: Iterable[str], wanted: frozenset[str]) -> int:
    return sum(group in wanted for group in groups)
