"""The climates that ship, and a person's own."""

from __future__ import annotations

import pytest

from stockcheck.core.climate import Basis, Climate, DailyRange, fixed_climate
from stockcheck.core.errors import BadInput
from stockcheck.data.climates import climate_from_table, climates

SHIPPED = climates()
TWELVE = [float(20 + n) for n in range(12)]


@pytest.mark.parametrize("climate", SHIPPED.values(), ids=lambda it: it.name)
def test_every_shipped_climate_tells_its_source_and_how_far_to_trust_it(climate: Climate) -> None:
    assert climate.source
    assert climate.note
    assert climate.basis is not Basis.OWN


def test_names_are_each_their_own_and_compare_without_regard_to_case() -> None:
    assert len({name.casefold() for name in SHIPPED}) == len(SHIPPED) == 13


def test_each_call_gives_a_dict_of_its_own() -> None:
    climates().clear()
    assert climates() == SHIPPED


@pytest.mark.parametrize(
    ("name", "rise"), [("truck bed, hot dry", 11), ("closed cab in the sun, hot dry", 22)]
)
def test_a_vehicles_climate_is_the_outside_one_with_the_rise_that_its_source_says(
    name: str, rise: float
) -> None:
    for vehicle, outside in zip(
        SHIPPED[name].months, SHIPPED["outside, hot dry"].months, strict=True
    ):
        assert vehicle == DailyRange(outside.low_c, outside.high_c + rise)


def test_the_pouchs_climate_is_the_cabs_with_a_quarter_of_its_swing() -> None:
    cab = SHIPPED["closed cab in the sun, hot dry"]
    pouch = SHIPPED["insulated pouch in a closed cab, hot dry"]
    for inside, around in zip(pouch.months, cab.months, strict=True):
        assert inside.centre_c == around.centre_c
        assert inside.half_swing == pytest.approx(around.half_swing / 4)


@pytest.mark.parametrize(
    ("name", "low", "high", "mean"),
    [
        ("design day, hot dry, outside", 32, 49, 40.3),
        ("design day, hot dry, in the sun", 33, 71, 48.2),
    ],
)
def test_the_design_days_are_those_of_the_standard(
    name: str, low: float, high: float, mean: float
) -> None:
    """MIL-STD-810 Method 501, A1, from memory: extremes and mean of the 24 hourly figures."""
    assert set(SHIPPED[name].months) == {DailyRange(low, high, mean)}
    assert SHIPPED[name].basis is Basis.MEMORY


def test_a_persons_own_climate_needs_a_name_and_figures_alone() -> None:
    table: dict[str, object] = {"name": "shed", "low_c": TWELVE, "high_c": [30 + n for n in TWELVE]}
    shed = climate_from_table(table, "my.toml")
    assert shed.basis is Basis.OWN
    assert shed.months[11] == DailyRange(31, 61)
    assert climate_from_table({"name": "cellar", "fixed_c": 12}, "my.toml") == fixed_climate(
        "cellar", 12
    )


WRONG: list[tuple[dict[str, object], str]] = [
    ({"fixed_c": 20}, "name: it is missing. Give the climate a name"),
    ({"name": "a", "temp": 20}, "temp: there is no such key. Use name, source, note, basis,"),
    ({"name": "a"}, "low_c: it is missing. Give twelve figures in °C, January first, or fixed_c"),
    ({"name": "a", "fixed_c": "20"}, "fixed_c '20': it is not a number. Write it as 31.5"),
    ({"name": "a", "fixed_c": True}, "fixed_c 'True': it is not a number"),
    ({"name": "a", "fixed_c": 451}, "fixed_c: minimum 451, mean 451 and maximum 451 °C do not"),
    ({"name": "a", "fixed_c": 20, "low_c": TWELVE}, "low_c: it goes not with fixed_c"),
    ({"name": "a", "low_c": TWELVE}, "high_c: it is missing"),
    ({"name": "a", "low_c": 20, "high_c": 30}, "low_c '20': it is not a list"),
    ({"name": "a", "low_c": TWELVE[:11], "high_c": TWELVE}, "low_c: it has 11 figures"),
    (
        {"name": "a", "low_c": TWELVE, "high_c": [*TWELVE[:11], 5]},
        "month 12: minimum 31, mean 31 and maximum 5 °C do not rise in that order",
    ),
    ({"name": "a", "fixed_c": 20, "basis": "guess"}, "basis 'guess': no such basis. Use one of"),
    ({"name": "two\nlines", "fixed_c": 20}, "name 'two\\nlines': it is not one line of text"),
]


@pytest.mark.parametrize(("table", "message"), WRONG)
def test_a_wrong_climate_is_told_by_place_key_value_and_remedy(
    table: dict[str, object], message: str
) -> None:
    with pytest.raises(BadInput) as told:
        climate_from_table(table, "my.toml, climate 1")
    assert str(told.value).startswith(f"my.toml, climate 1, {message}")
