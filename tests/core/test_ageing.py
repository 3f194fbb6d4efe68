"""What heat makes of a holding: which of its lives ends first, by which way it may have come.

Kinds, boxes and climates are invented; a life of 100 days is used up in 50 at 10 K above reference.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.ageing import Heat, ageing, counts_from, day_by_heat, harm, heat_limit_of
from stockcheck.core.calendar import Life, PartialDate
from stockcheck.core.climate import Climate, DailyRange, fixed_climate
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import NOWHERE, HeatLimit, NoEstimate, Stay
from stockcheck.core.model import (
    Box,
    Certainty,
    CountsFrom,
    DateContext,
    DateMeaning,
    Holding,
    Inspection,
    InspectionRule,
    Item,
    Kind,
    LifeRule,
    Lot,
    PastDate,
    PrintedExpiry,
)
from stockcheck.core.shelf_life import limits
from stockcheck.core.temperature_log import Reading, TemperatureLog

START = date(2027, 1, 1)
KIND = Kind(
    key="sealant",
    name="sealant",
    group="invented",
    dates=DateContext.GENERAL,
    meaning=DateMeaning.QUALITY,
    past=PastDate.INSPECT,
    disposal="d2",
    source="invented",
    certainty=Certainty.OWN,
    opened=LifeRule(Life(days=100), "invented", Certainty.PRACTICE),
    storage="at most 27 °C",
    heat="Q10 2 rule of thumb may be shown",
    inspection=InspectionRule(("Is it soft?",), Life(days=100), 2, "x", Certainty.PRACTICE),
)
WARM = Exposure(fixed_climate("warm", 35))
COOL = Exposure(fixed_climate("cool", 20))
BOX = Box(1, "2000000018", "Bed")


def printed(days: int) -> PrintedExpiry:
    last = START + timedelta(days=days)
    return PrintedExpiry(str(last), PartialDate(str(last)), last)


TUBE = Lot(
    1, "1000000013", Item(1, "3000000016", "tube", KIND), expiry=printed(100), received_on=START
)


def held(lot: Lot = TUBE, opened_on: date | None = None) -> Holding:
    return Holding(1, lot, BOX, 1, opened_on)


def of_kind(**rules: object) -> Lot:
    changes: dict[str, Any] = dict(rules)
    return replace(TUBE, item=replace(TUBE.item, kind=replace(KIND, **changes)))


def stay(exposure: Exposure, since: date = START, until: date | None = None) -> Stay:
    return Stay("Bed", since, until, exposure)


def day(days: int) -> date:
    return START + timedelta(days=days)


def test_a_sealed_lot_ends_by_heat_before_its_printed_date() -> None:
    limit = heat_limit_of(ageing(held(), [[stay(WARM)]]))
    assert limit is not None
    assert (limit.name, limit.last_usable_day) == ("heat", day(50))


def test_heat_that_shortens_nothing_sets_no_limit() -> None:
    (found,) = ageing(held(), [[stay(COOL)]])
    assert (found.limit, found.ends) == (None, day(100))


def test_of_several_ways_the_one_that_ends_first_counts() -> None:
    moved = [stay(COOL, until=day(41)), stay(WARM, since=day(41))]  # day 0 is not counted
    found = ageing(held(), [[stay(COOL)], moved, [stay(WARM)]])
    assert [each.ends for each in found] == [day(50), day(70), day(100)]
    assert day_by_heat(held(), [[stay(COOL)], moved]) == day(70)


def test_opening_a_cooked_tube_makes_it_no_younger() -> None:
    """Opened on day 60, good for 100 more when opened; sealed it was used up on day 50."""
    opened = held(replace(TUBE, expiry=printed(100)), opened_on=day(60))
    found = ageing(opened, [[stay(WARM, until=day(60)), stay(COOL, since=day(60))]])
    assert [(each.life.name, each.ends) for each in found] == [
        ("printed", day(50)),
        ("opened", day(160)),
    ]


def test_a_passed_look_starts_a_life_of_its_own() -> None:
    looked = Inspection(day(110), True, extends_to=day(210))
    lot = replace(TUBE, inspections=(looked,))
    (found,) = ageing(held(lot), [[stay(WARM)]])
    assert (found.life.name, found.start, found.ends) == ("inspected", day(110), day(160))


def test_a_failed_lot_has_no_life_left_for_heat_to_shorten() -> None:
    lot = replace(TUBE, inspections=(Inspection(day(20), False),))
    assert ageing(held(lot), [[stay(WARM)]]) == []
    assert day_by_heat(held(lot), [[stay(WARM)]]) is None


MEDICINE = of_kind(dates=DateContext.MEDICINE, meaning=DateMeaning.SAFETY)


def test_a_medicine_is_only_warned_of() -> None:
    (found,) = ageing(held(MEDICINE), [[stay(WARM)]])
    assert isinstance(found.estimate, HeatLimit)
    assert found.estimate.is_warning
    assert found.limit is None
    assert day_by_heat(held(MEDICINE), [[stay(WARM)]]) is None


def test_a_medicine_that_its_logger_found_too_hot_ends_the_day_before() -> None:
    noon = datetime.combine(day(30), time(12))
    hot = Exposure(fixed_climate("hot", 50), TemperatureLog((Reading(noon, 40.5),)))
    (found,) = ageing(held(MEDICINE), [[stay(hot)]])
    assert (found.ends, found.is_measured, found.only_warns) == (day(29), True, False)
    assert day_by_heat(held(MEDICINE), [[stay(hot)]]) == day(29)


def test_too_hot_for_any_estimate_is_a_limit_too() -> None:
    baked = [stay(COOL, until=day(30)), stay(Exposure(fixed_climate("baked", 65)), since=day(30))]
    (found,) = ageing(held(), [baked])
    assert (found.ends, found.is_measured) == (day(29), False)
    assert day_by_heat(held(), [baked]) == day(29)


def test_a_kind_without_a_rule_says_why_there_is_no_estimate() -> None:
    lot = of_kind(heat="no estimate: moisture comes first")
    (found,) = ageing(held(lot), [[stay(WARM)]])
    assert isinstance(found.estimate, NoEstimate)
    assert found.estimate.reason == "moisture comes first"
    assert day_by_heat(held(lot), [[stay(WARM)]]) is None


def test_the_time_above_the_storage_ceiling_is_told_up_to_a_day() -> None:
    (found,) = ageing(held(), [[stay(COOL, until=day(10)), stay(WARM, since=day(10))]])
    over = found.out_of_range(day(11))
    assert over is not None
    assert (over.limit_c, over.hours, over.first_day, over.peak_c) == (27, 48, day(10), 35)


def test_kept_cool_from_a_day_on_it_loses_no_more() -> None:
    """Twenty days at 35 °C use up forty, so that eighty of the hundred are what is left."""
    (found,) = ageing(held(), [[stay(WARM)]])
    cool = found.kept_cool(day(21))
    assert isinstance(cool, HeatLimit)
    assert cool.last_usable_day == day(20 + 60)


RECEIVED = LifeRule(Life(days=100), "x", Certainty.PRACTICE, CountsFrom.RECEIVED)


@pytest.mark.parametrize(
    ("lot", "expected"),
    [
        (TUBE, START),
        (replace(TUBE, made=PartialDate("2026-11")), date(2026, 11, 1)),
        (replace(TUBE, received_on=None), day(30)),
        (replace(of_kind(sealed=RECEIVED), expiry=None, made=PartialDate("2026-11")), START),
    ],
)
def test_a_sealed_life_counts_from_made_else_received_else_first_written_down(
    lot: Lot, expected: date
) -> None:
    (life,) = limits(lot, None)
    assert counts_from(held(lot), life, [stay(WARM, since=day(30))]) == expected


def test_nothing_is_reckoned_from_a_day_that_nobody_knows() -> None:
    lot = replace(TUBE, received_on=None)
    assert ageing(held(lot), [[Stay("Bed", date.min, None, WARM)]]) == []


def test_harm_is_the_life_that_heat_took_up_to_the_last_box() -> None:
    heat = Heat({1: WARM}, {1: "Bed", 2: "Home"})
    assert heat.stays(((2, START), (1, day(5))))[0] == Stay("Home", START, day(5), NOWHERE)
    assert harm(KIND, heat, ((1, START), (2, day(10)))) == pytest.approx(10)
    assert harm(KIND, heat, ((2, START), (1, day(10)))) == pytest.approx(0)


LOGGED = [
    Exposure(
        Climate("mild", (DailyRange(-4, 25),) * 12) if n else None,
        TemperatureLog(tuple(Reading(datetime.combine(day(d), time(12)), c) for d, c in found)),
    )
    for n, found in enumerate([((20, 30), (90, 61)), ((50, -3), (51, 41)), ((5, 45), (300, 70))])
]
SUMMERS = [Exposure(Climate(f"{c}", (DailyRange(c - 12, c),) * 12)) for c in (15, 30, 45, 59, 66)]
KEPT = st.lists(
    st.tuples(st.sampled_from([NOWHERE, *SUMMERS, *LOGGED]), st.integers(1, 400)), max_size=5
)
KINDS = [KIND, replace(KIND, storage="5 to 25 °C, never frozen"), replace(KIND, heat="")]
KINDS += [replace(each, dates=DateContext.MEDICINE) for each in KINDS[:2]]


@given(KEPT, st.integers(1, 900), st.sampled_from(KINDS), st.integers(0, 300))
def test_the_quick_day_is_the_day_of_the_full_estimate(
    kept: list[tuple[Exposure, int]], life: int, kind: Kind, opened: int
) -> None:
    lot = replace(TUBE, expiry=printed(life), item=replace(TUBE.item, kind=kind))
    been, at = [], 0
    for exposure, days in kept:
        been.append(stay(exposure, day(at), day(at + days)))
        at += days
    holding = held(lot, day(opened) if opened % 2 else None)
    limit = heat_limit_of(ageing(holding, [been]))
    assert day_by_heat(holding, [been]) == (limit.last_usable_day if limit else None)
    assert limit is None or limit.last_usable_day < day(life) or holding.opened_on is not None
