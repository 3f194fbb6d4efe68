"""What may be said of heat for a kind, for every kind that ships."""

from __future__ import annotations

from dataclasses import replace

import pytest

from stockcheck.core.heat_models import HeatModel, HeatUse, StorageRange, heat_model, storage_range
from stockcheck.core.model import DateContext, DateMeaning, Kind
from stockcheck.data.kinds import shipped_kinds

KINDS = shipped_kinds()
SEALANT = KINDS["threadlocker"]


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.key)
def test_every_shipped_kind_has_a_model_or_a_reason_without_guessing(kind: Kind) -> None:
    model = heat_model(kind)
    if kind.heat.startswith("no estimate: "):
        assert model.use is HeatUse.NONE
        assert kind.heat == f"no estimate: {model.reason}"
    else:
        assert kind.heat.startswith(f"Q10 {model.q10:g} rule of thumb may be shown")
        assert not model.reason
        assert model.mildest < model.q10 < model.harshest


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.key)
def test_every_shipped_medicine_is_a_warning_at_most_and_capped_at_40_degrees(kind: Kind) -> None:
    model = heat_model(kind)
    if kind.dates is DateContext.MEDICINE:
        assert model.use is not HeatUse.LIMIT
        assert model.use is HeatUse.NONE or model.cap_c <= 40


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.key)
def test_every_degree_in_a_shipped_kinds_storage_words_is_read(kind: Kind) -> None:
    if "°C" in kind.storage:
        assert heat_model(kind).storage.high_c is not None


MODELS = [
    ("threadlocker", HeatUse.LIMIT, (1.5, 2, 3), 25, 60, ""),
    ("cyanoacrylate", HeatUse.LIMIT, (2, 3, 4), 21, 60, ""),
    ("bleach", HeatUse.LIMIT, (2, 3, 4), 25, 60, ""),
    ("tablets-blister", HeatUse.WARNING, (1.5, 2, 3), 25, 40, "no estimate above 40 °C"),
    ("hydrogen-peroxide", HeatUse.WARNING, (2, 3, 4), 25, 40, ""),
    ("insect-repellent", HeatUse.LIMIT, (1.5, 2, 3), 25, 50, "a spray can must not pass 50 °C"),
]


@pytest.mark.parametrize(("key", "use", "band", "reference_c", "cap_c", "condition"), MODELS)
def test_a_kind_that_may_be_estimated_has_its_band_reference_and_cap(
    key: str,
    use: HeatUse,
    band: tuple[float, float, float],
    reference_c: float,
    cap_c: float,
    condition: str,
) -> None:
    model = heat_model(KINDS[key])
    assert (model.use, (model.mildest, model.q10, model.harshest)) == (use, band)
    assert (model.reference_c, model.cap_c, model.condition) == (reference_c, cap_c, condition)


@pytest.mark.parametrize(
    "key", ["insulin", "adrenaline-injector", "gauze-sterile", "cream", "sunscreen", "gas-canister"]
)
def test_kinds_that_fail_in_other_ways_get_no_estimate(key: str) -> None:
    assert heat_model(KINDS[key]).use is HeatUse.NONE


@pytest.mark.parametrize("heat", ["", "melts", "Q10 2", "Q10 0.5 rule of thumb may be shown"])
def test_words_that_are_not_a_rule_give_no_estimate_and_say_so(heat: str) -> None:
    model = heat_model(replace(SEALANT, heat=heat))
    assert model.use is HeatUse.NONE
    assert model.reason


def test_a_kind_without_a_date_to_shorten_gets_no_estimate() -> None:
    kind = replace(SEALANT, meaning=DateMeaning.NONE)
    assert heat_model(kind) == HeatModel(
        HeatUse.NONE, storage_range(SEALANT.storage), reason="it has no fixed shelf life"
    )


def test_a_persons_own_q10_gets_a_band_of_the_same_proportion() -> None:
    model = heat_model(replace(SEALANT, heat="Q10 2.4 rule of thumb may be shown"))
    assert (model.mildest, model.q10, model.harshest) == pytest.approx((1.6, 2.4, 3.6))


STORAGE = [
    ("dry", None, None, False),
    ("as labelled", None, None, False),
    ("40-65 % relative humidity", None, None, False),
    ("dry, at most 27 °C", None, 27, False),
    ("at most 30-35 °C", None, 30, False),
    ("at most 25-30 °C, not frozen", None, 25, True),
    ("below 25 or 30 °C as labelled, in the original pack", None, 25, False),
    ("below 25 °C, below 70 % humidity, dark", None, 25, False),
    ("8-28 °C, never frozen", 8, 28, True),
    ("-10 to 35 °C", -10, 35, False),
    ("usually -20 to 60 °C, as its label says", -20, 60, False),
    ("0-25 °C best, -20 to 45 °C tolerable", 0, 25, False),
    ("below 27 °C; about 4 °C lengthens its life", None, 27, False),
    ("at most 45 °C, at 40-60 % charge", None, 45, False),
    ("at most 30 °C, tightly shut; its vapour lights at about 12-17 °C", None, 30, False),
    ("20-25 °C, light-tight, not in a fridge, never frozen", 20, 25, True),
    ("dry, or wet as the maker says; never frozen once wet", None, None, False),
]


@pytest.mark.parametrize(("words", "low_c", "high_c", "never_frozen"), STORAGE)
def test_storage_words_are_read_as_the_cautious_range(
    words: str, low_c: float | None, high_c: float | None, never_frozen: bool
) -> None:
    assert storage_range(words) == StorageRange(low_c, high_c, never_frozen)
