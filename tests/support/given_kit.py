"""Invented stock that is exactly what a line of a kit list asks for, or a little less."""

from __future__ import annotations

from datetime import date
from itertools import count
from math import isqrt

from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.kit_list_fit import pieces_per_unit
from stockcheck.core.model import (
    Box,
    Certainty,
    DateContext,
    DateMeaning,
    Holding,
    Item,
    Kind,
    Lot,
    PastDate,
)

FAR = date(2031, 12, 31)
KIT = Box(1, "0200000019", "first aid")
SERIAL = count(1)
UNITS = {"ml": "ml", "g": "g", "cm": "cm", "pair": "pair"}


def kit_kind(key: str, *, dated: bool = True, group: str = "first aid") -> Kind:
    """A kind of that key, with a date that is one of safety, or without any life."""
    meaning = DateMeaning.SAFETY if dated else DateMeaning.NONE
    general, discard = DateContext.GENERAL, PastDate.DISCARD
    return Kind(key, key, group, general, meaning, discard, "", "", Certainty.PRACTICE)


def item_for(line: Line) -> Item:
    """The line's own thing, just large enough; any package where anything of a group will do."""
    way = line.all_ways[0]
    key, group = (way.kinds[0], "first aid") if way.kinds else ("any", way.groups[0])
    side = isqrt(way.minimum_area_mm2 - 1) + 1 if way.minimum_area_mm2 else None
    words = [*way.size_words[:1], *way.name_words[:1]]
    return Item(
        id=next(SERIAL),
        code="",
        name=" ".join([line.name, *words]),
        kind=kit_kind(key, dated=line.dated, group=group),
        unit=UNITS.get(line.counted_in(), "each"),
        pack=line.per_pack or 1,
        width_mm=way.width_mm or side,
        length_mm=way.length_mm or side,
    )


def exactly(line: Line, until: date = FAR, less: int = 0, people: int = 1) -> list[Holding]:
    """What the line asks, ``less`` so many pieces; of a set, of every part of it."""
    if line.parts:
        sets = line.required(people) or 1
        return [it for part in line.parts for it in _held(part, until, less, sets)]
    return _held(line, until, less, people=people)


def _held(line: Line, until: date, less: int, times: int = 1, people: int = 1) -> list[Holding]:
    item = item_for(line)
    pieces = (line.required(people) or 1) * pieces_per_unit(line, item) * times
    quantity = (pieces // 2 if item.unit == "pair" else pieces) - less
    lot, day = Lot(next(SERIAL), "", item), until if line.dated else None
    held = Holding(next(SERIAL), lot, KIT, quantity, last_usable_day=day)
    return [held] if quantity > 0 else []


def all_of(kits: KitList, until: date = FAR) -> list[Holding]:
    """What a list asks for one person, line by line, and nothing more."""
    return [it for line in kits.lines for it in exactly(line, until)]
