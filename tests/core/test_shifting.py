"""How a holding's date shifts in another climate. Kinds and climates are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from stockcheck.core.calendar import PartialDate
from stockcheck.core.climate import fixed_climate
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import Stay
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
    PrintedExpiry,
)
from stockcheck.core.shelf_life import HEAT
from stockcheck.core.shifting import Shift, shift
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
    storage="at most 25 °C",
    heat="Q10 2 rule of thumb may be shown",
)


def day(days: int) -> date:
    return START + timedelta(days=days)


def kept(celsius: float) -> Exposure:
    return Exposure(fixed_climate(f"{celsius:g}", celsius))


def held(kind: Kind = KIND, now: date | None = None, governed_by: str = "printed") -> Holding:
    """A tube received on 1 JAN that is good for a hundred days more."""
    printed = PrintedExpiry("2027-04-11", PartialDate("2027-04-11"), day(100))
    item = Item(1, "3000000016", "tube", kind)
    lot = Lot(1, "1000000013", item, expiry=printed, received_on=START)
    box = Box(1, "2000000018", "Bed")
    return Holding(1, lot, box, 1, last_usable_day=now or day(100), governed_by=governed_by)


def shifted(holding: Holding, here: float, there: float, on: date) -> Shift:
    found = shift(holding, [[Stay("Bed", START, None, kept(here))]], kept(there), on)
    assert found is not None
    return found


def test_a_warmer_place_brings_the_date_forward_from_that_day_on() -> None:
    found = shifted(held(), 20, 35, day(41))
    assert (found.now, found.then, found.days, found.why) == (day(100), day(70), -30, "")


def test_a_cooler_place_gives_back_nothing_that_heat_took_before() -> None:
    """Forty days at 35 °C use up eighty; the twenty left run at the reference there."""
    found = shifted(held(now=day(50), governed_by=HEAT), 35, 20, day(41))
    assert (found.then, found.days) == (day(60), 10)


@pytest.mark.parametrize(
    ("governed_by", "said"), [("printed", "past its date"), (HEAT, "used up by estimate")]
)
def test_what_is_over_stays_over(governed_by: str, said: str) -> None:
    found = shifted(held(now=day(30), governed_by=governed_by), 35, 20, day(41))
    assert (found.then, found.days, found.why) == (day(30), 0, said)


@pytest.mark.parametrize(
    ("kind", "there", "why"),
    [
        (KIND, 20, ""),
        (replace(KIND, heat="no estimate: moisture"), 35, "no estimate: moisture"),
        (replace(KIND, dates=DateContext.MEDICINE), 20, ""),
        (
            replace(KIND, dates=DateContext.MEDICINE),
            35,
            "too warm above 25 °C: ask a pharmacist",
        ),
    ],
)
def test_where_there_is_no_date_by_heat_the_remark_says_why(
    kind: Kind, there: float, why: str
) -> None:
    found = shifted(held(kind), 20, there, day(41))
    assert found.why == why
    assert found.then == day(100)


def test_what_would_be_spoilt_there_ends_on_the_day_before() -> None:
    found = shifted(held(), 20, 65, day(41))
    assert (found.then, found.spoilt, found.doubtful) == (day(40), True, False)
    assert found.why == (
        "above 60 °C from FEB 2027 by climate '65': treat as spoilt unless its maker says otherwise"
    )


def test_a_medicine_that_a_climate_would_spoil_has_no_day_there_to_rely_on() -> None:
    found = shifted(held(replace(KIND, dates=DateContext.MEDICINE)), 20, 45, day(41))
    assert (found.then, found.days, found.spoilt, found.doubtful) == (None, 0, False, True)
    assert found.why == (
        "above 40 °C from FEB 2027 by climate '45': treat as spoilt unless its maker or a"
        " pharmacist says otherwise"
    )


def test_what_its_logger_found_too_hot_is_over_by_that() -> None:
    noon = datetime(2027, 1, 31, 12)
    hot = Exposure(None, TemperatureLog((Reading(noon, 64),)))
    holding = held(now=day(29), governed_by=HEAT)
    found = shift(holding, [[Stay("Bed", START, None, hot)]], kept(20), day(41))
    assert found == Shift(holding, day(29), day(29), "too hot or frozen by its logger")


def test_what_has_no_date_has_none_to_shift() -> None:
    holding = held()
    undated = replace(holding, lot=replace(holding.lot, expiry=None), last_usable_day=None)
    assert shift(undated, [[Stay("Bed", START, None, kept(20))]], kept(35), START) is None
