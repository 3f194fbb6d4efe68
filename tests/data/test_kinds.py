"""The catalogue of kinds: complete, consistent, sourced, and strict with the user's own kinds."""

from __future__ import annotations

import json
import tomllib
import zlib
from collections import Counter
from datetime import date, timedelta

import pytest

from stockcheck.core.errors import StockcheckError
from stockcheck.core.model import (
    Certainty,
    DateContext,
    DateMeaning,
    Kind,
    LifeRule,
    PastDate,
)
from stockcheck.data import fonts, shipped
from stockcheck.data.kind_table import kind_table
from stockcheck.data.kinds import (
    CATALOGUE_EDITION,
    GROUP_FILES,
    cautions,
    disposal_routes,
    keep_apart,
    kind_from_table,
    shipped_kind,
    shipped_kinds,
)

KINDS = list(shipped_kinds().values())
FOLDER = fonts().parent / "kinds"

# A safety kind past its date is not kept, save where the trade knows a use for the old one.
KEPT_AS_LAST_RESORT = {
    "plug-string": "a supple old string still gets the car to a fitter, slowly",
    "tyre-sealant": "where nothing else is left, thin sealant may still get the car to a fitter",
    "gloves-disposable": "for dirty work, never as a barrier",
    "tourniquet": "an old one that looks sound is better than none",
    "adrenaline-injector": "only when no other is at hand, and help is called",
    "rehydration-salts": "dry and white powder is still salt and sugar",
}

# Things of the group "medicines" that are no medicines by law: their dates are read otherwise.
NO_MEDICINE = {"insect-repellent": DateContext.GENERAL, "sunscreen": DateContext.COSMETIC}

STERILE = {
    "burn-dressing",
    "burn-gel",
    "skin-closure-strips",
    "sterile-dressing",
    "dressing-bandaged",
    "non-adherent-dressing",
    "combine-dressing",
    "wound-dressing",
    "eye-pad",
    "gauze-sterile",
    "dressing-cloth",
    "splinter-probe",
    "saline-ampoule",
    "eye-drops",
}

# Kept as a last resort, but no look tells whether they are still good.
NOTHING_TO_SEE = {
    "adrenaline-injector": "it may look clear and still be weak",
    "silver-tablets": "nothing shows whether they still work",
}


WHO_DECIDES = (
    *("fitter", "qualified", "hose shop", "workshop", "pharmacist", "leaflet", "call for help"),
    *("never against blood", "hand it in"),
)

EVERYDAY = [
    *(("superglue", "cyanoacrylate"), ("super glue", "cyanoacrylate")),
    *(("cable tape", "electrical-tape"), ("gaffer tape", "cloth-tape")),
    *(("stretch tape", "self-amalgamating-tape"), ("duct tape", "cloth-tape")),
    *(("tyre foam", "tyre-sealant"), ("puncture spray", "tyre-sealant")),
    *(("gas cartridge", "gas-canister"), ("jerry can fuel", "petrol")),
    *(("AA batteries", "cells-alkaline"), ("plaster", "plaster")),
    *(("sticking plaster", "plaster"), ("painkillers", "tablets-blister")),
    *(("water purification tablets", "nadcc-tablets"), ("bleach", "bleach")),
    *(("mosquito spray", "insect-repellent"), ("sun cream", "sunscreen")),
    *(("wheel cylinder seal", "brake-seal"), ("fuel pump seal", "fuel-seal")),
]


def named(kind: Kind) -> str:
    return kind.key


def lives(kind: Kind) -> list[LifeRule]:
    return [rule for rule in (kind.sealed, kind.opened) if rule is not None]


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_every_kind_and_every_figure_has_a_source_and_a_certainty(kind: Kind) -> None:
    assert kind.source
    assert kind.certainty is not Certainty.OWN
    for rule in lives(kind):
        assert rule.source
        assert rule.certainty is not Certainty.OWN


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_a_figure_without_a_source_never_claims_to_be_published(kind: Kind) -> None:
    sourced = [(kind.source, kind.certainty)] + [(it.source, it.certainty) for it in lives(kind)]
    for source, certainty in sourced:
        if source.startswith(("no published", "no standard", "no document", "no figure")):
            assert certainty in {Certainty.PRACTICE, Certainty.MEMORY}


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_the_cautions_and_the_disposal_route_of_every_kind_exist(kind: Kind) -> None:
    assert kind.disposal in disposal_routes()
    assert set(kind.cautions) <= set(cautions())


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_heat_is_a_rule_of_thumb_or_a_refusal_with_its_reason(kind: Kind) -> None:
    assert kind.heat.startswith(
        ("Q10 2 rule of thumb may be shown", "Q10 3 rule of thumb may be shown", "no estimate: ")
    )


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_every_kind_with_a_life_says_what_failure_looks_like_and_how_it_is_kept(kind: Kind) -> None:
    if kind.has_life and kind.key != "unidentified":
        assert kind.failure
        assert kind.storage


def test_keys_and_names_are_unique_and_every_block_begins_with_its_key() -> None:
    read = [
        table
        for path in FOLDER.glob("*.toml")
        for table in tomllib.loads(path.read_text(encoding="utf-8"))["kind"]
    ]

    assert sorted(table["key"] for table in read) == sorted(shipped_kinds())
    assert all(next(iter(table)) == "key" for table in read)
    assert max(Counter(kind.name for kind in KINDS).values()) == 1


def test_one_file_holds_one_group_and_the_loader_names_every_file() -> None:
    groups = {
        path.stem: {
            table["group"] for table in tomllib.loads(path.read_text(encoding="utf-8"))["kind"]
        }
        for path in FOLDER.glob("*.toml")
    }

    assert set(groups) == set(GROUP_FILES)
    assert all(len(group) == 1 for group in groups.values())
    assert len(set.union(*groups.values())) == len(groups)


def test_kinds_come_in_catalogue_order() -> None:
    assert [KINDS[0].key, KINDS[-1].key] == ["rtv-silicone", "unidentified"]


def test_only_the_listed_safety_kinds_may_be_kept_past_their_date() -> None:
    kept = {
        kind.key
        for kind in KINDS
        if kind.meaning is DateMeaning.SAFETY and kind.past is PastDate.LAST_RESORT
    }

    assert kept == set(KEPT_AS_LAST_RESORT)


def test_medicines_are_read_as_medicines_and_carry_their_caution() -> None:
    for kind in (kind for kind in KINDS if kind.group == "medicines"):
        assert kind.dates is NO_MEDICINE.get(kind.key, DateContext.MEDICINE)
        if kind.disposal == "pharmacy":
            assert "medicine" in kind.cautions
            assert (kind.meaning, kind.past) == (DateMeaning.SAFETY, PastDate.DISCARD)


def test_medicines_have_no_sealed_life_because_only_the_printed_date_counts() -> None:
    assert not [it for it in KINDS if it.dates is DateContext.MEDICINE and it.sealed]


def test_sterile_goods_have_a_safety_date_are_discarded_and_carry_their_caution() -> None:
    assert {kind.key for kind in KINDS if "sterile" in kind.cautions} == STERILE
    for key in STERILE:
        kind = shipped_kinds()[key]
        assert (kind.meaning, kind.past) == (DateMeaning.SAFETY, PastDate.DISCARD)
        assert kind.dates is DateContext.MEDICINE


def test_food_is_read_as_food_and_tyres_as_tyres() -> None:
    assert {it.dates for it in KINDS if it.group == "food"} == {DateContext.FOOD}
    assert [it.key for it in KINDS if it.dates is DateContext.TYRE] == ["tyre"]


def test_water_treatment_always_shows_the_drinking_water_caution() -> None:
    water = [kind for kind in KINDS if kind.group == "water treatment"]

    assert all("drinking-water" in kind.cautions for kind in water)


def test_what_is_disposed_of_as_an_oxidiser_or_a_can_or_a_battery_shows_that_caution() -> None:
    shown = {"oxidiser": "oxidiser", "pressurised-cans": "pressurised", "batteries": "battery"}
    for kind in KINDS:
        if kind.disposal in shown:
            assert shown[kind.disposal] in kind.cautions


def test_a_thing_of_unknown_purpose_is_always_undated() -> None:
    kind = shipped_kinds()["unidentified"]

    assert kind.has_life
    assert lives(kind) == []


def test_every_caution_and_every_route_is_used_and_every_caution_defers_to_somebody() -> None:
    assert set(cautions()) == {key for kind in KINDS for key in kind.cautions}
    assert set(disposal_routes()) == {kind.disposal for kind in KINDS}
    for text in cautions().values():
        assert any(
            who in text
            for who in ("label", "leaflet", "packet", "pharmacist", "doctor", "qualified", "maker")
        )


def test_keep_apart_rules_name_kinds_that_exist() -> None:
    for rule in keep_apart():
        assert set(rule.these) | set(rule.those) <= set(shipped_kinds())
        assert rule.why
        assert rule.source


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_what_is_inspected_or_kept_has_its_questions_and_what_is_discarded_has_none(
    kind: Kind,
) -> None:
    inspected = kind.past is PastDate.INSPECT or kind.meaning is DateMeaning.INSPECT
    kept = kind.past is PastDate.LAST_RESORT and kind.key not in NOTHING_TO_SEE

    assert (kind.inspection is not None) is (inspected or kept)


@pytest.mark.parametrize("kind", [it for it in KINDS if it.inspection], ids=named)
def test_every_question_is_one_that_yes_answers_well_and_every_rule_has_its_source(
    kind: Kind,
) -> None:
    rule = kind.inspection
    assert rule is not None
    assert rule.source
    assert rule.certainty is not Certainty.OWN
    assert len(set(rule.ask)) == len(rule.ask)
    for question in rule.ask:
        assert question.endswith("?")
        assert question.split()[0] in {"Is", "Are", "Was", "Has", "Did", "Does", "Do"}
        assert " not?" not in question


@pytest.mark.parametrize("kind", [it for it in KINDS if it.inspection], ids=named)
def test_an_extension_is_at_most_half_the_first_life_and_never_that_of_a_safety_date(
    kind: Kind,
) -> None:
    rule = kind.inspection
    assert rule is not None
    if rule.extends is None:
        assert rule.times == 0
        return
    assert kind.meaning is not DateMeaning.SAFETY
    assert kind.dates is not DateContext.MEDICINE
    assert not {"medicine", "sterile"} & set(kind.cautions)
    assert kind.sealed is not None
    start = date(2027, 1, 1)
    half = (kind.sealed.life.after(start) - start) / 2
    assert rule.extends.after(start) - start <= half + timedelta(days=1)  # months differ in days


def test_seals_of_brakes_and_fuel_have_a_safety_date_that_no_look_extends() -> None:
    for key, caution in (("brake-seal", "brake-safety"), ("fuel-seal", "fuel")):
        kind = shipped_kinds()[key]
        assert (kind.meaning, kind.past) == (DateMeaning.SAFETY, PastDate.DISCARD)
        assert kind.inspection is None
        assert caution in kind.cautions


@pytest.mark.parametrize("kind", [it for it in KINDS if it.inspection], ids=named)
def test_a_safety_kind_that_is_kept_or_looked_at_says_who_decides_or_where_its_use_ends(
    kind: Kind,
) -> None:
    assert kind.inspection is not None
    if kind.meaning is DateMeaning.SAFETY:
        told = " ".join((kind.past_note, *kind.inspection.ask))
        assert any(word in told for word in WHO_DECIDES), told


@pytest.mark.parametrize(("words", "key"), EVERYDAY)
def test_everyday_words_lead_to_a_kind(words: str, key: str) -> None:
    kind = shipped_kinds()[key]
    assert words in {kind.key, kind.name, *kind.also}


@pytest.mark.parametrize("kind", KINDS, ids=named)
def test_a_kind_written_as_a_table_of_texts_and_numbers_reads_as_the_same_kind(kind: Kind) -> None:
    assert kind_from_table(json.loads(json.dumps(kind_table(kind))), "here") == kind


def test_the_kinds_that_kit_lists_ask_for_beyond_first_aid_goods_are_there() -> None:
    gear = ["stretcher", "spine-board", "splint-stretcher"]
    printed = ["ammonia-ampoule", "ammonia-solution", "drinking-water"]

    assert [shipped_kinds()[key].has_life for key in gear + printed] == [False] * 3 + [True] * 3
    assert not [key for key in gear + printed if shipped_kinds()[key].sealed]


def test_a_single_kind_is_read_alone_and_is_the_catalogue_s_own() -> None:
    assert shipped_kind("tyre") is shipped_kinds()["tyre"]
    assert shipped_kind("no-such-kind") is None


def test_what_decides_limits_changed_only_with_the_edition() -> None:
    """Stores compare the edition: change a figure, then raise it and note the new sum here."""
    deciding = [f"{it.key} {it.meaning} {it.past}" for it in KINDS]
    deciding += [f"{it.key} {it.inspection}" for it in KINDS if it.inspection]
    deciding += [
        f"{it.key} {rule.life} {rule.counts_from} {rule.certainty} {rule.source}"
        for it in KINDS
        for rule in lives(it)
    ]

    seen = (CATALOGUE_EDITION, zlib.crc32("\n".join(sorted(deciding)).encode()))
    assert seen == ("2026-11-25.3", 2674977704)


def test_the_shipped_folders_and_fonts_are_found() -> None:
    assert (shipped("labels") / "README.md").is_file()
    assert shipped("demo_db").is_dir()
    assert list(fonts().glob("*.ttf"))


def test_a_folder_that_does_not_ship_is_told_with_a_remedy() -> None:
    with pytest.raises(StockcheckError, match="install stockcheck again"):
        shipped("no_such_folder")
