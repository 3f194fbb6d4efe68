"""Audits worked by hand, then held against the lists as they ship.

The lists' own sources stand in their files; the stock is invented. Rules assumed by whoever worked
them: an item is good ON its last usable day and not after; a month alone means its last day; usable
is in date, large enough, unopened where sterile, in whole units of the list; a row whose whole
stock is expired is short with 0 usable, and not missing; surplus is information only. "Rest exact"
means every other row at its minimum, good to 2031-12-31 and of the right size.

One figure is told otherwise: packs that need not stay sealed are counted in pieces.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import isqrt

import pytest

from given_kit import FAR, KIT, SERIAL, UNITS, kit_kind
from stockcheck.core.audit import audit
from stockcheck.core.audit_result import AuditResult, Finding, LineResult
from stockcheck.core.calendar import PartialDate
from stockcheck.core.kit_list import KitList, Line, together
from stockcheck.core.kit_list_fit import pieces_per_unit
from stockcheck.core.kit_list_way import Way
from stockcheck.core.model import (
    Holding,
    Item,
    Lot,
    PrintedExpiry,
)
from stockcheck.data.kit_lists import kit_list


@dataclass(frozen=True)
class Of:
    """So many of a line's own thing (or of ``kind``), good through a day; no day, no date."""

    quantity: int
    until: date | None = FAR
    opened: date | None = None
    unit: str = ""
    kind: str = ""
    width_mm: int | None = None
    length_mm: int | None = None
    pack: int = 0


def item_for(line: Line, of: Of, way: Way | None = None) -> Item:
    way = way or line.all_ways[0]
    kind = kit_kind(of.kind or way.kinds[0], dated=of.until is not None)
    side = isqrt(way.minimum_area_mm2 - 1) + 1 if way.minimum_area_mm2 else None
    return Item(
        id=next(SERIAL),
        code="",
        name=line.name,
        kind=kind,
        unit=of.unit or UNITS.get(line.counted_in(), "each"),
        pack=of.pack or line.per_pack or 1,
        size=" ".join(way.size_words[:1]),
        width_mm=of.width_mm or way.width_mm or side,
        length_mm=of.length_mm or way.length_mm or side,
    )


def held(item: Item, of: Of) -> Holding:
    printed = PrintedExpiry("", PartialDate(str(of.until)), of.until) if of.until else None
    lot = Lot(next(SERIAL), "", item, "", printed)
    return Holding(next(SERIAL), lot, KIT, of.quantity, of.opened, last_usable_day=of.until)


def stock(line: Line, *many: Of) -> list[Holding]:
    """Holdings of one item wherever unit, kind and size are the same."""
    items: dict[object, Item] = {}
    found = []
    for of in many:
        look = (of.unit, of.kind, of.width_mm, of.length_mm, of.until is None)
        items.setdefault(look, item_for(line, of))
        found.append(held(items[look], of))
    return found


def exactly(line: Line, until: date = FAR) -> list[Holding]:
    day = until if line.dated else None
    asked = line.required() or 1
    item = item_for(line, Of(asked, day))
    pieces = asked * pieces_per_unit(line, item)
    return [held(item, Of(pieces // 2 if item.unit == "pair" else pieces, day))]


def rest_exact(kits: KitList, but: Mapping[str, Sequence[Of]] | None = None) -> list[Holding]:
    """Every line at its minimum; a line named in ``but`` holds what is told there."""
    told = but or {}
    assert {line.name for line in kits.lines} >= set(told)
    return [
        it
        for line in kits.lines
        for it in (stock(line, *told[line.name]) if line.name in told else exactly(line))
    ]


def line_of(result: AuditResult, name: str) -> LineResult:
    return next(line for line in result.lines if line.line.name.startswith(name))


def all_findings(line: LineResult) -> set[Finding]:
    return {line.finding, *line.also}


def shorts(result: AuditResult) -> dict[str, int]:
    return {line.line.name: line.short for line in result.lines if line.short}


def test_case_1_a_german_vehicle_kit_that_must_last_until_the_trip_ends() -> None:
    kits = kit_list("de-din-13164-2022")
    holdings = rest_exact(
        kits,
        {
            "Wound compress": [Of(4, date(2027, 2, 28)), Of(2, date(2029, 1, 31))],
            "Disposable gloves": [Of(2, date(2028, 6, 30))],
            "Face mask": [],
            "Dressing cloth 60 x 80 cm": [Of(1, date(2027, 8, 30))],
            "Dressing packet M (medium)": [Of(2, date(2027, 8, 31))],
            "Triangular bandage": [Of(2, None)],
        },
    )

    result = audit(kits, holdings, date(2027, 3, 1), horizon=date(2027, 8, 31))

    compress = line_of(result, "Wound compress")
    assert (compress.expired, compress.usable, compress.short) == (4, 2, 4)
    assert compress.finding is Finding.SHORT
    assert Finding.EXPIRED in compress.also
    assert shorts(result) == {"Wound compress": 4, "Disposable gloves": 2, "Face mask": 2}
    assert line_of(result, "Face mask").finding is Finding.MISSING
    cloth = line_of(result, "Dressing cloth")
    assert (cloth.finding, cloth.short, cloth.short_through) == (Finding.ENDS_ON_TRIP, 0, 1)
    assert line_of(result, "Dressing packet M").finding is Finding.OK
    assert line_of(result, "Triangular bandage").surplus == 1
    assert (result.met, result.met_through, len(result.lines)) == (18, 17, 21)
    assert audit(kits, holdings, date(2027, 8, 31)).met == 17


def test_case_2_the_same_stock_against_three_editions_or_classes() -> None:
    day = date(2026, 11, 25)
    holdings = rest_exact(kit_list("us-ansi-z308-1-2015-class-a"))

    same, newer, larger = (
        audit(kit_list(f"us-ansi-z308-1-{which}"), holdings, day)
        for which in ("2015-class-a", "2021-class-a", "2015-class-b")
    )

    assert (same.met, len(same.lines), shorts(same)) == (18, 18, {})
    assert {line.finding for line in same.lines} == {Finding.OK}
    assert (newer.met, len(newer.lines)) == (17, 19)
    assert shorts(newer) == {"Hand sanitizer application": 4, "Foil blanket": 1}
    assert line_of(newer, "Foil blanket").finding is Finding.MISSING
    assert (larger.met, len(larger.lines)) == (4, 21)
    missing = {it.line.name for it in larger.lines if it.finding is Finding.MISSING}
    assert missing == {"Roller bandage 4 in", "Splint", "Tourniquet"}
    assert shorts(larger) == {
        "Roller bandage 4 in": 1,
        "Splint": 1,
        "Tourniquet": 1,
        "Adhesive bandage": 34,
        "Adhesive tape": 1,
        "Antibiotic application": 15,
        "Antiseptic application": 40,
        "Burn dressing, gel soaked": 1,
        "Burn treatment application": 15,
        "Cold pack": 1,
        "Eye and skin wash": 89,
        "Hand sanitizer application": 4,
        "Medical exam gloves": 2,
        "Roller bandage 2 in": 1,
        "Sterile pad": 2,
        "Trauma pad": 2,
        "Triangular bandage": 1,
    }


def case_3() -> list[Holding]:
    on = date(2026, 11, 1)
    return rest_exact(
        kit_list("au-first-aid-code-example-kit"),
        {
            "Sterile gauze pieces": [
                Of(12, date(2028, 5, 31)),
                Of(2, date(2028, 5, 31), opened=on),
            ],
            "Nitrile examination gloves": [Of(9, date(2029, 1, 31), unit="each")],
            "Adhesive dressing strips": [Of(20, date(2029, 1, 31), opened=on)],
            "Safety pins": [Of(12, None)],
            "Triangular bandage": [Of(1, None, width_mm=1100), Of(1, None, width_mm=800)],
            "Saline": [Of(5, date(2026, 11, 30)), Of(3, date(2026, 12, 31))],
            "Hydrogel sachet": [],
        },
    )


def test_case_3_packs_pairs_sizes_and_a_conditional_row() -> None:
    kits = kit_list("au-first-aid-code-example-kit")

    dry = audit(kits, case_3(), date(2026, 12, 1))
    watered = audit(kits, case_3(), date(2026, 12, 1), conditions=frozenset({"running-water"}))
    day_before = audit(kits, case_3(), date(2026, 11, 30))

    assert shorts(dry) == {
        "Sterile gauze pieces": 1,
        "Nitrile examination gloves": 1,
        "Adhesive dressing strips": 30,
        "Triangular bandage": 1,
        "Saline": 5,
        "Hydrogel sachet": 5,
    }
    assert line_of(dry, "Nitrile").usable == 4
    assert (line_of(dry, "Safety pins").usable, line_of(dry, "Safety pins").surplus) == (12, 6)
    assert Finding.WRONG_SIZE in line_of(dry, "Triangular bandage").also
    assert (line_of(dry, "Saline").expired, line_of(dry, "Saline").usable) == (5, 3)
    assert line_of(dry, "Hydrogel sachet").finding is Finding.MISSING
    assert (dry.met, len(dry.lines)) == (23, 29)
    assert (watered.met, len(watered.lines)) == (23, 28)
    assert [line.name for line in watered.not_applied] == ["Hydrogel sachet"]
    assert line_of(day_before, "Saline").finding is Finding.OK


def test_case_4_volumes_add_up_over_bottles_and_end_one_by_one() -> None:
    kits = kit_list("us-ansi-z308-1-2015-class-b")
    holdings = rest_exact(
        kits,
        {
            "Eye and skin wash": [
                Of(60, date(2027, 12, 31)),
                Of(60, date(2027, 3, 31)),
                Of(30, date(2027, 1, 14)),
            ]
        },
    )

    wash = line_of(
        audit(kits, holdings, date(2027, 1, 15), horizon=date(2027, 4, 30)), "Eye and skin wash"
    )

    assert (wash.unit, wash.required, wash.usable, wash.expired) == ("ml", 118, 120, 30)
    assert (wash.short, wash.surplus) == (0, 2)
    assert (wash.ends_on_trip, wash.short_through) == (60, 58)
    assert wash.finding is Finding.ENDS_ON_TRIP
    assert Finding.EXPIRED in wash.also


def test_case_4_one_us_fluid_ounce_in_whole_millilitres_meets_class_a() -> None:
    kits = kit_list("us-ansi-z308-1-2015-class-a")
    holdings = rest_exact(kits, {"Eye and skin wash": [Of(29)]})
    assert line_of(audit(kits, holdings, date(2027, 1, 15)), "Eye").finding is Finding.OK


@pytest.mark.parametrize(
    ("gear", "bandages", "bottle", "expected"),
    [
        ("splint-stretcher", 16, False, {"Ammonia ampule": 4}),
        ("splint-stretcher", 16, True, {}),
        (
            "stretcher",
            16,
            True,
            {"Broken-back board": 1, "Triangular bandage": 8},
        ),
    ],
)
def test_case_5a_and_5b_one_piece_of_gear_stands_for_two_rows_and_lowers_a_third(
    gear: str, bandages: int, bottle: bool, expected: dict[str, int]
) -> None:
    kits = kit_list("us-msha-77-1707-surface-coal")
    ammonia = [Of(8)] + ([Of(1, kind="ammonia-solution")] if bottle else [])
    holdings = rest_exact(
        kits,
        {
            "Stretcher": [Of(1, None, kind=gear)],
            "Broken-back board": [],
            "Triangular bandage": [Of(bandages, None)],
            "Ammonia ampule": ammonia,
        },
    )

    result = audit(kits, holdings, date(2026, 11, 25))

    assert shorts(result) == expected
    if gear == "splint-stretcher":
        assert line_of(result, "Triangular bandage").surplus == 1


def test_case_5c_a_gauze_or_an_elastic_bandage_piece_for_piece() -> None:
    kits = kit_list("ru-260n-car-kit")
    elastic = "bandage-elastic"
    holdings = rest_exact(
        kits,
        {
            "Gauze bandage 5 m x 10 cm": [
                Of(2),
                Of(2, kind=elastic, width_mm=100, length_mm=2000),
            ],
            "Gauze bandage 7 m x 14 cm": [
                Of(1),
                Of(1, kind=elastic, width_mm=140, length_mm=2000),
            ],
        },
    )

    result = audit(kits, holdings, date(2026, 11, 25))

    assert shorts(result) == {"Gauze bandage 7 m x 14 cm": 1}
    assert line_of(result, "Gauze bandage 5 m x 10 cm").usable == 4


@pytest.mark.parametrize(
    ("towelettes", "bottle_until", "short", "expired"),
    [(8, None, 4, 0), (0, FAR, 0, 0), (0, date(2026, 1, 31), 12, 1)],
)
def test_case_5d_towelettes_or_one_bottle(
    towelettes: int, bottle_until: date | None, short: int, expired: int
) -> None:
    kits = kit_list("ca-provincial-one-worker")
    bottle = [Of(1, bottle_until, kind="antiseptic-solution")] if bottle_until else []
    some = [Of(towelettes)] if towelettes else []
    holdings = rest_exact(kits, {"Antiseptic towelette": [*some, *bottle]})

    line = line_of(audit(kits, holdings, date(2026, 11, 25)), "Antiseptic towelette")

    assert (line.short, line.expired) == (short, expired)
    assert line.finding is not Finding.MISSING


def test_case_6_two_lists_added_together_ask_for_both_blankets() -> None:
    kits = together(kit_list(it) for it in ("ca-cohsr-type-a", "ca-cohsr-remote-additions"))
    holdings = rest_exact(
        kits,
        {
            "Emergency blanket": [Of(1, None)],
            "Super shears": [],
            "Antiseptic swabs": [Of(10, date(2027, 6, 1))],
            "Burn jelly": [Of(4, date(2027, 4, 30))],
            "Instant cold pack": [Of(3)],
        },
    )

    result = audit(kits, holdings, date(2027, 5, 1), horizon=date(2027, 6, 15))

    assert shorts(result) == {"Emergency blanket": 1, "Super shears": 1, "Burn jelly": 4}
    assert line_of(result, "Super shears").finding is Finding.MISSING
    swabs = line_of(result, "Antiseptic swabs")
    assert (swabs.finding, swabs.short_through) == (Finding.ENDS_ON_TRIP, 10)  # one pack of ten
    jelly = line_of(result, "Burn jelly")
    assert (jelly.expired, jelly.usable) == (4, 0)
    assert all_findings(jelly) == {Finding.EXPIRED, Finding.SHORT}
    assert line_of(result, "Instant cold pack").surplus == 1
    assert (result.met, result.met_through, len(result.lines)) == (28, 27, 31)


def test_case_7_a_list_by_the_person_and_what_it_names_without_a_number() -> None:
    kits = kit_list("us-agency-aircraft-survival")
    holdings = rest_exact(
        kits,
        {
            "Space blanket": [Of(3, None)],
            "Water": [Of(3500, None)],
            "Emergency food": [Of(7)],
            "Matches": [Of(90, None, pack=45)],
            "Whistle": [],
        },
    )

    result = audit(kits, holdings, date(2026, 11, 25), people=4)

    # 4 US quarts are 3785.4 ml (NIST Handbook 44, Appendix C): 285 ml, 0.30 quart, are lacking.
    assert shorts(result) == {"Space blanket": 1, "Water": 285, "Emergency food": 1, "Whistle": 1}
    whistle = line_of(result, "Whistle")
    assert (whistle.required, whistle.finding) == (None, Finding.MISSING)
    assert " of 1" not in whistle.why
    asked = {line.line.name: line.required for line in result.lines}
    assert (asked["Signal flare"], asked["Matches"]) == (6, 2)
