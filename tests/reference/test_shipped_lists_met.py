"""Every shipped list is met by exactly what it asks, and by nothing less. The stock is invented.

"Exactly" is every row at its minimum, of the right size, good to 2031-12-31.
"""

from __future__ import annotations

from datetime import date
from itertools import count
from math import isqrt

import pytest

from stockcheck.core.audit import Finding, audit
from stockcheck.core.kit_list import KitList, Line, pieces_per_unit
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
from stockcheck.data.kit_lists import kit_list, kit_list_ids

FAR = date(2031, 12, 31)
BOX = Box(1, "0200000019", "first aid")
SERIAL = count(1)
METRIC = {"ml": "ml", "g": "g", "cm": "cm", "pair": "pair"}


def item_for(line: Line) -> Item:
    """The line's own thing, just large enough."""
    way = line.all_ways[0]
    key, meaning = way.kinds[0], DateMeaning.SAFETY if line.dated else DateMeaning.NONE
    kind = Kind(
        key, key, "first aid", DateContext.GENERAL, meaning, PastDate.DISCARD, "", "",
        Certainty.PRACTICE,
    )  # fmt: skip
    side = isqrt(way.minimum_area_mm2 - 1) + 1 if way.minimum_area_mm2 else None
    return Item(
        id=next(SERIAL),
        code="",
        name=line.name,
        kind=kind,
        unit=METRIC.get(line.counted_in(), "each"),
        pack=line.per_pack or 1,
        size=" ".join(way.size_words[:1]),
        width_mm=way.width_mm or side,
        length_mm=way.length_mm or side,
    )


def exactly(line: Line, until: date = FAR) -> Holding:
    item = item_for(line)
    pieces = (line.required() or 1) * pieces_per_unit(line, item)
    quantity = pieces // 2 if item.unit == "pair" else pieces
    lot, day = Lot(next(SERIAL), "", item), until if line.dated else None
    return Holding(next(SERIAL), lot, BOX, quantity, last_usable_day=day)


def all_of(kits: KitList, until: date = FAR) -> list[Holding]:
    return [exactly(line, until) for line in kits.lines]


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_every_shipped_list_is_met_by_exactly_what_it_asks(list_id: str) -> None:
    kits = kit_list(list_id)
    conditions = frozenset(line.when for line in kits.lines if line.when)
    result = audit(kits, all_of(kits), date(2026, 11, 25), conditions=conditions)
    assert {it.line.name: it.why for it in result.lines if it.finding is not Finding.OK} == {}
    assert not result.not_on_list


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_no_line_of_any_shipped_list_is_met_by_an_empty_kit(list_id: str) -> None:
    result = audit(kit_list(list_id), [], date(2026, 11, 25))
    assert result.met == 0
    assert {line.finding for line in result.lines} == {Finding.MISSING}
    assert result.verdict.startswith("meets the list on that day: no")


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_one_thing_less_leaves_exactly_that_line_of_a_shipped_list_short(list_id: str) -> None:
    kits = kit_list(list_id)
    conditions = frozenset(line.when for line in kits.lines if line.when)
    holdings = all_of(kits)
    for gone, line in enumerate(kits.lines):
        piece = holdings[gone]
        fewer = Holding(piece.id, piece.lot, BOX, piece.quantity - 1, last_usable_day=FAR)
        stocked = [*holdings[:gone], fewer, *holdings[gone + 1 :]]
        result = audit(kits, stocked, date(2026, 11, 25), conditions=conditions)
        [lacking] = [it for it in result.lines if it.short]
        # Two lines that ask for the same kinds and sizes cannot be told apart.
        assert (lacking.short, lacking.line.all_ways) == (1, line.all_ways), line.name


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_a_kit_that_is_all_past_its_date_has_no_dated_line_met_and_none_missing(
    list_id: str,
) -> None:
    kits = kit_list(list_id)
    conditions = frozenset(line.when for line in kits.lines if line.when)
    old = all_of(kits, date(2026, 11, 24))
    result = audit(kits, old, date(2026, 11, 25), conditions=conditions)
    for line in result.lines:
        expected = Finding.EXPIRED if line.line.dated else Finding.OK
        assert line.finding is expected, line.line.name
