"""Why a holding is good until its day, told line by line. Kinds and climates are invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from stockcheck.core import shelf_life
from stockcheck.core.ageing import Ageing, ageing, heat_limit_of
from stockcheck.core.calendar import Life, PartialDate
from stockcheck.core.climate import Basis, fixed_climate
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import NOWHERE, Stay
from stockcheck.core.model import (
    Box,
    Certainty,
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
from stockcheck.core.reasons import reasons
from stockcheck.core.temperature_log import Reading, TemperatureLog

TODAY = date(2027, 2, 20)
START = date(2027, 1, 1)
KIND = Kind(
    key="sealant",
    name="sealant",
    group="invented",
    dates=DateContext.GENERAL,
    meaning=DateMeaning.QUALITY,
    past=PastDate.INSPECT,
    disposal="d2",
    source="the invented list",
    certainty=Certainty.PRACTICE,
    sealed=LifeRule(Life(months=12), "the invented sheet", Certainty.TYPICAL),
    opened=LifeRule(Life(months=3), "the invented leaflet", Certainty.PUBLISHED),
    storage="at most 27 °C",
    heat="Q10 2 rule of thumb may be shown",
    past_note="a bead must cure",
    inspection=InspectionRule(("Soft?",), Life(months=6), 2, "the invented rule", Certainty.OWN),
)
DEC = PrintedExpiry("EXP 12/2027", PartialDate("2027-12"), date(2027, 12, 31))
LOT = Lot(
    4, "1000000043", Item(1, "3000000016", "sealant, 80 ml", KIND), expiry=DEC, received_on=START
)
BED = Exposure(fixed_climate("truck bed", 35, basis=Basis.INVENTED))
SHELF = Exposure(fixed_climate("shelf", 22, basis=Basis.OWN))


def stood(
    lot: Lot, on: date = TODAY, been: Sequence[Stay] = (), opened_on: date | None = None
) -> list[str]:
    """The lines for one tube of a lot, each set in by its blanks, as it stands with heat."""
    holding = Holding(1, lot, Box(1, "2000000018", "Tyre kit"), 1, opened_on)
    aged: list[Ageing] = ageing(holding, [list(been)]) if been else []
    limit = shelf_life.governing(shelf_life.limits(lot, opened_on))
    heat = heat_limit_of(aged)
    if heat is not None and limit is not None and heat.last_usable_day < limit.last_usable_day:
        limit = heat
    holding = replace(
        holding,
        last_usable_day=limit.last_usable_day if limit else None,
        governed_by=shelf_life.governed_by(lot.item.kind, limit),
    )
    return [" " * indent + words for indent, words in reasons(holding, on, aged)]


def test_a_printed_date_alone() -> None:
    assert stood(LOT) == [
        "L4  sealant, 80 ml: 1 in Tyre kit",
        "  printed limit (governs): printed 'EXP 12/2027', good through 31 DEC 2027",
        "    source: the pack (published)",
        "  so it is IN DATE; good through 31 DEC 2027, 314 days from 20 FEB 2027",
    ]


def test_the_limits_of_an_opened_pack_by_their_days_and_what_sealed_would_be() -> None:
    assert stood(LOT, date(2027, 5, 1), opened_on=date(2027, 1, 20)) == [
        "L4  sealant, 80 ml: 1 in Tyre kit, opened 20 JAN 2027",
        "  opened limit (governs): opened 20 JAN 2027 + 3 months = 20 APR 2027",
        "    source: the invented leaflet (published)",
        "  printed limit (later): printed 'EXP 12/2027', good through 31 DEC 2027",
        "    source: the pack (published)",
        "  so it is EXPIRED; was good through 20 APR 2027, 11 days before 01 MAY 2027",
        "  advice: inspect; plan a new one",
        "  in the trade: a bead must cure",
        "  it would change: sealed it would be good through 31 DEC 2027",
    ]


def test_an_assumption_is_told_with_what_would_take_its_place() -> None:
    lines = stood(replace(LOT, expiry=None))
    assert lines[1].startswith(
        "  shelf limit (governs): received 01 JAN 2027, taken as made 6 months before + 12 months"
    )
    assert lines[-1] == (
        "  it would change: a made or printed date would take the place of the assumption"
    )


def test_no_date_says_what_is_missing_and_how_it_is_told() -> None:
    lines = stood(replace(LOT, expiry=None, received_on=None))
    assert lines[1:4] == [
        (
            "  no date: its kind (sealant) has a life, but a printed, made or received date is not"
            " known. Found one? 'stockcheck lot change L4' takes it with --expiry, --made or"
            " --received"
        ),
        "  so it is UNDATED",
        "  advice: find its date, else treat as expired",
    ]


def test_what_keeps_for_good_has_no_limit() -> None:
    tool = replace(KIND, name="tool", meaning=DateMeaning.NONE, sealed=None, past_note="")
    lot = replace(LOT, expiry=None, item=replace(LOT.item, kind=tool))
    assert stood(lot)[1:] == [
        "  no limit: tool keeps (the invented list, common practice)",
        "  so it is IN DATE",
    ]


def test_a_passed_look_shows_who_when_and_what_it_superseded() -> None:
    looked = Inspection(date(2028, 1, 10), True, "Nina", extends_to=date(2028, 7, 10))
    lines = stood(replace(LOT, inspections=(looked,)), date(2028, 1, 20))
    assert lines[1:5] == [
        (
            "  inspected limit (governs): inspected 10 JAN 2028 by Nina, passed: good 6 months"
            " more, through 10 JUL 2028; 1 of 2 extensions used"
        ),
        "    source: the invented rule (your own figure)",
        (
            "  printed limit (superseded by an inspection): printed 'EXP 12/2027', good through"
            " 31 DEC 2027"
        ),
        "    source: the pack (published)",
    ]


def test_heat_in_three_lines_what_it_did_so_far_and_what_would_change_it() -> None:
    """364 days from 1 JAN at twice the rate last 182: through 2 JUL; 50 of them are gone."""
    assert stood(LOT, been=[Stay("Tyre kit", START, None, BED)]) == [
        "L4  sealant, 80 ml: 1 in Tyre kit",
        (
            "  heat limit (governs, an estimate): used up about JUL 2027 (MAY 2027 to AUG 2027)"
            " instead of 31 DEC 2027, its printed limit"
        ),
        (
            "    assumes Q10 2 (1.5 to 3) above 25 °C, and nothing given back below; Tyre kit:"
            " climate 'truck bed' (invented for illustration)"
        ),
        (
            "    source: rule of thumb of accelerated ageing (ASTM F1980, Q10); medicines and goods"
            " differ widely (common practice)"
        ),
        "  printed limit (later): printed 'EXP 12/2027', good through 31 DEC 2027",
        "    source: the pack (published)",
        (
            "  heat so far: about 1224 h above its storage ceiling of 27 °C, first on 01 JAN 2027,"
            " at most 35 °C"
        ),
        "  so it is IN DATE; by estimate good through about JUL 2027",
        (
            "  it would change: kept at 25 °C or cooler from today on it is good through about NOV"
            " 2027; had it been so all along, through DEC 2027"
        ),
    ]


def told_where(been: Sequence[Stay], on: date = TODAY) -> str:
    (line,) = (line for line in stood(LOT, on, been) if "assumes" in line)
    return line.partition("back below; ")[2]


def test_every_place_is_told_with_how_its_temperatures_are_known() -> None:
    noon = datetime(2027, 2, 1, 12)
    log = TemperatureLog((Reading(noon, 30), Reading(noon + timedelta(hours=1), 32)))
    logged = Exposure(BED.climate, log)
    feb, march = date(2027, 2, 1), date(2027, 3, 1)
    assert told_where([Stay("Bed", feb, None, BED)]) == (
        "before 01 FEB 2027 not known, taken as 25 °C; Bed since 01 FEB 2027: climate 'truck bed'"
        " (invented for illustration)"
    )
    assert told_where([Stay("Home", START, feb, NOWHERE), Stay("Bed", feb, None, logged)]) == (
        "Home: not known, taken as 25 °C; Bed since 01 FEB 2027: its logger, and climate"
        " 'truck bed' (invented for illustration) where that stops"
    )
    long = [Stay("A", START, feb, BED), Stay("B", feb, march, SHELF)]
    long += [
        Stay("C", march, date(2027, 4, 1), Exposure(log=log)),
        Stay("D", date(2027, 4, 1), None, BED),
    ]
    assert told_where(long) == (
        "1 places before; B since 01 FEB 2027: climate 'shelf' (your own figure); C since"
        " 01 MAR 2027: its logger; D since 01 APR 2027: climate 'truck bed' (invented for"
        " illustration)"
    )


def test_a_life_that_heat_ended_before_today_tells_what_it_was_without() -> None:
    lines = stood(LOT, date(2027, 9, 1), [Stay("Tyre kit", START, None, BED)])
    assert "  so it is EXPIRED; by estimate was good through about JUL 2027" in lines
    assert lines[-1] == (
        "  it would change: kept at 25 °C or cooler all along it was good through 31 DEC 2027"
    )


def of_kind(kind: Kind) -> Lot:
    return replace(LOT, item=replace(LOT.item, kind=kind))


def test_a_medicine_is_warned_of_without_a_date_by_heat() -> None:
    medicine = replace(KIND, dates=DateContext.MEDICINE, storage="at most 25 °C", sealed=None)
    lines = stood(of_kind(medicine), been=[Stay("Bed", START, None, BED)])
    assert not [line for line in lines if "heat limit" in line]
    assert (
        "  Where it is kept goes above 25 °C, perhaps beyond its label: only the maker or a"
        " pharmacist can say whether it is still good."
    ) in lines
    assert lines[-1] == "  so it is IN DATE; good through 31 DEC 2027, 314 days from 20 FEB 2027"


@pytest.mark.parametrize("been", [[Stay("Bed", START, None, BED)]])
def test_a_kind_that_heat_does_not_age_at_a_rate_says_why(been: list[Stay]) -> None:
    lines = stood(of_kind(replace(KIND, heat="no estimate: moisture comes first")), been=been)
    assert "  No heat estimate: moisture comes first." in lines
