"""The day on which heat has used up a holding's life, and the words around it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from stockcheck.core.climate import Climate, DailyRange, fixed_climate
from stockcheck.core.exposure import Exposure
from stockcheck.core.heat import (
    EquivalentAge,
    HeatLimit,
    NoEstimate,
    OutOfRange,
    Stay,
    above_storage,
    equivalent_age,
    heat_limit,
)
from stockcheck.core.model import Certainty, Kind
from stockcheck.core.temperature_log import Reading, TemperatureLog
from stockcheck.data.kinds import shipped_kinds

KINDS = shipped_kinds()
SEALANT = KINDS["rtv-silicone"]  # 12 months, Q10 2, at most 27 °C
TABLETS = KINDS["tablets-blister"]
START = date(2027, 1, 1)
LAST = date(2027, 12, 31)  # 364 days after the start


def kept(celsius: float, since: date = START, until: date | None = None) -> Stay:
    return Stay("bed", since, until, Exposure(fixed_climate(f"{celsius:g} °C", celsius)))


def estimate(*stays: Stay, kind: Kind = SEALANT, unheated: date = LAST) -> HeatLimit:
    found = heat_limit(kind, START, unheated, stays)
    assert isinstance(found, HeatLimit)
    return found


def refusal(*stays: Stay, kind: Kind = SEALANT) -> NoEstimate:
    found = heat_limit(kind, START, LAST, stays)
    assert isinstance(found, NoEstimate)
    return found


@pytest.mark.parametrize(
    ("celsius", "days"), [(25, 364), (15, 364), (-5, 364), (35, 182), (45, 91), (55, 45)]
)
def test_each_ten_degrees_above_25_halve_a_life_and_cold_adds_nothing(
    celsius: float, days: int
) -> None:
    assert estimate(kept(celsius)).last_usable_day == START + timedelta(days=days)


def test_the_band_runs_from_the_harshest_to_the_mildest_q10() -> None:
    found = estimate(kept(35))
    days = [(it - START).days for it in (found.early, found.last_usable_day, found.late)]
    assert days == [121, 182, 242]  # 364 over 3, 2 and 1.5


def test_a_holding_that_moves_takes_along_what_it_has_used_up() -> None:
    """100 days at 45 °C would be 400: 80 use up 320, and 44 more days last to the end."""
    move = START + timedelta(days=81)  # the start day itself is not counted
    found = estimate(kept(45, until=move), kept(20, since=move))
    assert found.last_usable_day == START + timedelta(days=80 + 44)


def test_days_of_which_nothing_is_known_count_by_the_calendar() -> None:
    arrived = START + timedelta(days=101)
    found = estimate(kept(35, since=arrived))
    assert found.last_usable_day == START + timedelta(days=100 + 132)
    assert found.temperatures[0] == "nothing known, counted as kept at the reference"


def test_a_life_already_over_stays_over() -> None:
    before = START - timedelta(days=30)
    assert estimate(kept(45), unheated=before).last_usable_day == before
    assert estimate(kept(45), unheated=START).last_usable_day == START


def test_a_holding_without_any_stay_has_its_unheated_day() -> None:
    found = estimate()
    assert (found.last_usable_day, found.shortens, found.limit()) == (LAST, False, None)
    assert found.summary == "Heat estimate: it does not bring the date forward."


def test_an_estimate_shows_its_months_and_its_assumptions() -> None:
    found = estimate(kept(35))
    assert found.summary == (
        "Good through 31 DEC 2027 without heat. Heat estimate: treat as used up from about JUL "
        "2027 (early MAY 2027, late AUG 2027). Decide by inspection."
    )
    assert found.assumptions == (
        "Estimate, not a measurement. Assumes Q10 2 (range 1.5 to 3), a life that is meant at "
        "25 °C, temperatures from climate '35 °C' (your own figure). Cooler hours give nothing "
        "back: heat can only bring the date forward."
    )


def test_the_limit_on_a_holding_is_common_practice_and_carries_its_assumptions() -> None:
    limit = estimate(kept(35)).limit()
    assert limit is not None
    assert (limit.name, limit.last_usable_day) == ("heat", date(2027, 7, 2))
    assert limit.certainty is Certainty.PRACTICE
    assert "Assumes Q10 2 (range 1.5 to 3)" in limit.why


def test_a_condition_of_the_kind_is_among_the_assumptions() -> None:
    seal = replace(SEALANT, heat="Q10 2 rule of thumb may be shown, for seals kept unstressed")
    assert (
        "(range 1.5 to 3), for seals kept unstressed, a life"
        in estimate(kept(35), kind=seal).assumptions
    )


def test_a_medicine_is_warned_of_and_never_given_a_date_to_rely_on() -> None:
    found = estimate(kept(35), kind=TABLETS)
    assert found.is_warning
    assert found.limit() is None
    assert found.summary == (
        "Where it is kept goes above 25 °C, perhaps beyond its label: only the maker or a "
        "pharmacist can say whether it is still good."
    )


@pytest.mark.parametrize("key", ["insulin", "gauze-sterile", "gas-canister", "brake-fluid"])
def test_a_kind_that_heat_does_not_age_at_a_rate_gets_its_reason_instead(key: str) -> None:
    found = refusal(kept(35), kind=KINDS[key])
    assert found.spoilt_from is None
    assert found.summary == f"No heat estimate: {KINDS[key].heat.removeprefix('no estimate: ')}."


def test_above_60_degrees_there_is_no_estimate_for_any_kind() -> None:
    hot = START + timedelta(days=40)
    found = refusal(kept(30, until=hot), kept(61, since=hot))
    assert found.spoilt_from == hot
    assert found.reason == (
        "up to 61 °C from FEB 2027, and above 60 °C no rule of thumb holds: treat it as spoilt "
        "unless its maker says otherwise"
    )
    assert estimate(kept(60)).last_usable_day > START


def test_above_40_degrees_there_is_no_estimate_for_a_medicine() -> None:
    found = refusal(kept(40.4), kind=TABLETS)
    assert found.spoilt_from == START + timedelta(days=1)
    assert found.reason == (
        "up to 40.4 °C from JAN 2027, and above 40 °C no rule of thumb holds: treat it as spoilt "
        "unless its maker or a pharmacist says otherwise"
    )
    assert estimate(kept(40), kind=TABLETS).is_warning


def test_heat_that_comes_after_the_life_is_used_up_forbids_nothing_but_ends_the_band() -> None:
    summer = START + timedelta(days=200)
    found = estimate(kept(36, until=summer), kept(70, since=summer))
    assert found.last_usable_day < found.late == summer - timedelta(days=1)
    (note,) = found.notes
    assert note == (
        "It ends in any case: up to 70 °C from JUL 2027, and above 60 °C no rule of thumb holds: "
        "treat it as spoilt unless its maker says otherwise."
    )


def test_one_hot_reading_is_enough_to_forbid_an_estimate() -> None:
    noon = datetime(2027, 3, 5, 12)
    readings = (Reading(noon, 30), Reading(noon + timedelta(hours=1), 64))
    log = TemperatureLog(readings)
    stay = Stay("bed", START, None, Exposure(fixed_climate("store", 25), log))
    assert refusal(stay).spoilt_from == date(2027, 3, 5)


def logged(celsius: float, climate_c: float | None = None) -> Stay:
    """One hour of readings on 5 MAR, and a climate for the rest."""
    noon = datetime(2027, 3, 5, 12)
    log = TemperatureLog((Reading(noon, 20), Reading(noon + timedelta(hours=1), celsius)))
    climate = None if climate_c is None else fixed_climate("store", climate_c)
    return Stay("bed", START, None, Exposure(climate, log))


BY_LOGGER = "above {} °C on 05 MAR 2027 by its logger: treat as spoilt unless {} says otherwise"
BY_CLIMATE = "above 60 °C from JAN 2027 by climate '61 °C': treat as spoilt unless its maker says"
FROZEN = "below 0 °C on 05 MAR 2027 by its logger, and it must never freeze: discard it, or ask its"
ASK = "its maker or a pharmacist"


@pytest.mark.parametrize(
    ("stay", "kind", "day", "why"),
    [
        (kept(61), SEALANT, START, f"{BY_CLIMATE} otherwise"),
        (logged(64, 25), SEALANT, date(2027, 3, 4), BY_LOGGER.format(60, "its maker")),
        (logged(41), TABLETS, date(2027, 3, 4), BY_LOGGER.format(40, ASK)),
        (logged(41, 45), TABLETS, date(2027, 3, 4), BY_LOGGER.format(40, ASK)),
        (logged(-1, 25), KINDS["threadlocker"], date(2027, 3, 4), f"{FROZEN} maker"),
    ],
    ids=["climate", "logger", "medicine by its logger", "its logger before the climate", "frozen"],
)
def test_what_was_too_hot_is_good_through_the_day_before(
    stay: Stay, kind: Kind, day: date, why: str
) -> None:
    limit = refusal(stay, kind=kind).limit()
    assert limit is not None
    assert (limit.name, limit.last_usable_day, limit.why) == ("heat", day, why)


def test_a_medicine_too_hot_by_a_climate_alone_is_warned_of_and_gets_no_limit() -> None:
    for stay in (kept(41), logged(25, 41)):
        found = refusal(stay, kind=TABLETS)
        assert (found.limit(), found.only_warns, found.measured) == (None, True, False)


def test_a_kind_that_must_never_freeze_gets_no_estimate_once_it_has() -> None:
    threadlocker = KINDS["threadlocker"]
    frost = START + timedelta(days=20)
    stays = [kept(30, until=frost), kept(-2, since=frost)]
    found = refusal(*stays, kind=threadlocker)
    assert found.reason == (
        "below 0 °C on 21 JAN 2027, and it must never freeze: discard it, or ask its maker"
    )
    assert estimate(*stays).last_usable_day < LAST  # the sealant's entry names no frost


def test_cold_below_the_storage_range_is_noted_beside_the_estimate() -> None:
    stays = [kept(35, until=date(2027, 2, 1)), kept(4, since=date(2027, 2, 1))]
    found = estimate(*stays, kind=KINDS["threadlocker"])
    assert found.notes == (
        "It is also below its storage range on 01 FEB 2027, which this leaves out.",
    )


def test_stays_that_overlap_are_refused() -> None:
    with pytest.raises(ValueError, match="stays in bed and bed overlap on 2027-02-01"):
        heat_limit(SEALANT, START, LAST, [kept(30), kept(25, since=date(2027, 2, 1))])


def test_an_equivalent_age_tells_the_days_that_heat_took() -> None:
    """90 days at 35 °C and Q10 2 are 180 days of label life; worked."""
    age = equivalent_age([kept(35)], START, START + timedelta(days=90), 2, 25)
    assert age.calendar_days == 90
    assert age.label_days == pytest.approx(180)
    assert age.lost_days == pytest.approx(90)


def test_an_age_before_the_start_is_none() -> None:
    assert equivalent_age([kept(35)], START, START, 2, 25) == EquivalentAge(0, 0)
    assert equivalent_age([kept(35)], START, date(2026, 5, 1), 2, 25) == EquivalentAge(0, 0)


def test_time_above_the_storage_ceiling_is_told_with_its_hours_and_peak() -> None:
    swing = Exposure(Climate("swing", (DailyRange(17, 37),) * 12))
    stays = [kept(20, until=date(2027, 3, 1)), Stay("bed", date(2027, 3, 1), None, swing)]
    found = above_storage(SEALANT, stays, START, date(2027, 3, 10))
    assert found is not None
    assert replace(found, hours=round(found.hours, 6)) == OutOfRange(27, 120, date(2027, 3, 1), 37)
    assert found.summary == (
        "It was above its storage ceiling of 27 °C for about 120 hours, first on 01 MAR 2027, "
        "at most 37 °C."
    )


def test_a_kind_that_names_no_ceiling_or_was_never_above_it_has_no_finding() -> None:
    assert above_storage(SEALANT, [kept(27)], START, LAST) is None
    assert above_storage(replace(SEALANT, storage="dry"), [kept(50)], START, LAST) is None
