"""The catalogue of kinds: complete, consistent, sourced, and strict with the user's own kinds."""

from __future__ import annotations

import tomllib
import zlib
from collections import Counter
from collections.abc import Mapping

import pytest

from stockcheck.core.calendar import Life
from stockcheck.core.errors import BadInput, StockcheckError
from stockcheck.core.model import (
    Certainty,
    CountsFrom,
    DateContext,
    DateMeaning,
    Kind,
    LifeRule,
    PastDate,
)
from stockcheck.data import fonts, shipped
from stockcheck.data.kinds import (
    CATALOGUE_EDITION,
    GROUP_FILES,
    cautions,
    disposal_routes,
    keep_apart,
    kind_from_table,
    shipped_kind,
    shipped_kinds,
    with_changes,
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

OWN_KIND: Mapping[str, object] = {
    "key": "seam-sealer",
    "name": "Клей для швов",
    "meaning": "quality",
    "past": "inspect",
    "sealed": "18 months",
}


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


def test_a_single_kind_is_read_alone_and_is_the_catalogue_s_own() -> None:
    assert shipped_kind("tyre") is shipped_kinds()["tyre"]
    assert shipped_kind("no-such-kind") is None


def test_what_decides_limits_changed_only_with_the_edition() -> None:
    """Stores compare the edition: change a figure, then raise it and note the new sum here."""
    deciding = [f"{it.key} {it.meaning} {it.past}" for it in KINDS]
    deciding += [
        f"{it.key} {rule.life} {rule.counts_from} {rule.certainty} {rule.source}"
        for it in KINDS
        for rule in lives(it)
    ]

    seen = (CATALOGUE_EDITION, zlib.crc32("\n".join(sorted(deciding)).encode()))
    assert seen == ("2026-11-25", 615561770)


def test_the_shipped_folders_and_fonts_are_found() -> None:
    assert (shipped("labels") / "README.md").is_file()
    assert shipped("demo_db").is_dir()
    assert list(fonts().glob("*.ttf"))


def test_a_folder_that_does_not_ship_is_told_with_a_remedy() -> None:
    with pytest.raises(StockcheckError, match="Install stockcheck again"):
        shipped("no_such_folder")


def test_an_own_kind_needs_few_words_and_its_figures_are_the_user_s_own() -> None:
    kind = kind_from_table(OWN_KIND, "kinds.toml, kind 1", origin="own")

    assert kind.sealed == LifeRule(Life(months=18), "your own figure", Certainty.OWN)
    assert (kind.name, kind.dates, kind.origin) == ("Клей для швов", DateContext.GENERAL, "own")
    assert (kind.certainty, kind.disposal) == (Certainty.OWN, "hazardous-point")


@pytest.mark.parametrize(
    ("fault", "message"),
    [
        ({"shelf_life": "2 years"}, "shelf_life '2 years': there is no such field. Use: also, "),
        ({"key": "Seam Sealer"}, "key 'Seam Sealer': is not a key. Use small letters"),
        ({"key": "a--b"}, "key 'a--b': is not a key. Use small letters"),
        ({"name": ""}, "name '': is missing. Give name as a text."),
        ({"name": 7}, "name '7': is not one line of text. Write it in quotes"),
        ({"storage": "dry\ncool"}, "storage 'dry\\ncool': is not one line of text. Write it"),
        (
            {"meaning": "deadly"},
            "meaning 'deadly': is not one of its words. Use one of: safety, quality,",
        ),
        ({"past": "eat it"}, "past 'eat it': is not one of its words. Use one of: discard,"),
        ({"sealed": "two summers"}, "sealed, life 'two summers': is not a life of at most 100"),
        ({"sealed": "9999 years"}, "sealed, life '9999 years': is not a life of at most 100"),
        ({"sealed": {"from": "made"}}, "sealed, life: is missing. Give life as a text."),
        ({"sealed": {"life": "2 years", "from": "bought"}}, "from 'bought': is not one of its wor"),
        ({"opened": {"life": "2 years", "from": "made"}}, "opened, from 'made': there is no such"),
        ({"opened": 28}, "opened '28': is not a life. Write it as '24 months' or '28 days'."),
        ({"also": "glue"}, "also 'glue': is not a list of texts. Write it as"),
        ({"also": ["glue", 3]}, "is not a list of texts. Write it as"),
        ({"disposal": "the sea"}, "disposal 'the sea': is no disposal route. Use one of: househo"),
        ({"cautions": ["dragons"]}, "'dragons' is no caution. Use some of: medicine, "),
        ({"meaning": "none"}, "a kind whose date means none has no sealed life. Leave out one"),
        ({"past": "no limit"}, "past 'no limit': does not go with a date that means quality."),
    ],
    ids=lambda value: next(iter(value)) if isinstance(value, dict) else "",
)
def test_a_fault_in_an_own_kind_names_place_field_value_and_remedy(
    fault: dict[str, object], message: str
) -> None:
    with pytest.raises(BadInput) as caught:
        kind_from_table({**OWN_KIND, **fault}, "kinds.toml, kind 1", origin="own")

    assert str(caught.value).startswith("kinds.toml, kind 1, ")
    assert message in str(caught.value)


@pytest.mark.parametrize("field", ["key", "name", "meaning", "past"])
def test_an_own_kind_must_have_key_name_meaning_and_past(field: str) -> None:
    table = {name: value for name, value in OWN_KIND.items() if name != field}

    with pytest.raises(BadInput, match=f"{field}: is missing"):
        kind_from_table(table, "kinds.toml, kind 1", origin="own")


@pytest.mark.parametrize("field", ["source", "certainty", "dates", "disposal", "group"])
def test_a_shipped_kind_may_leave_out_nothing_that_matters(field: str) -> None:
    table: dict[str, object] = {
        "key": "x",
        "name": "x",
        "group": "other",
        "dates": "general",
        "meaning": "quality",
        "past": "inspect",
        "disposal": "household-waste",
        "source": "somewhere",
        "certainty": "from memory",
    }
    assert kind_from_table(table, "here").key == "x"
    del table[field]

    with pytest.raises(BadInput, match=f"{field}: is missing"):
        kind_from_table(table, "here")


def test_an_own_figure_is_laid_over_the_shipped_kind_and_marked_as_the_user_s() -> None:
    cyanoacrylate = shipped_kinds()["cyanoacrylate"]

    changed = with_changes(cyanoacrylate, {"sealed": "6 months", "storage": "in the fridge"})

    assert changed.sealed == LifeRule(
        Life(months=6), "your own figure", Certainty.OWN, CountsFrom.RECEIVED
    )
    assert changed.opened == cyanoacrylate.opened
    assert (changed.storage, changed.origin) == ("in the fridge", "changed")
    assert cyanoacrylate.origin == "shipped"


def test_an_own_figure_may_name_its_source_and_may_take_a_life_away() -> None:
    oil = shipped_kinds()["mineral-oil"]
    given = {"life": "36 months", "source": "data sheet", "certainty": "typical maker's figure"}

    changed = with_changes(oil, {"sealed": given, "opened": None})

    assert changed.sealed == LifeRule(Life(months=36), "data sheet", Certainty.TYPICAL)
    assert changed.opened is None


def test_no_changes_change_only_the_origin() -> None:
    for kind in KINDS:
        assert repr(with_changes(kind, {})) == repr(kind).replace("'shipped'", "'changed'")


def test_an_own_kind_that_is_changed_stays_an_own_kind() -> None:
    own = kind_from_table(OWN_KIND, "kinds.toml, kind 1", origin="own")

    assert with_changes(own, {"opened": "2 months"}).origin == "own"


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"meaning": "quality"}, "eye drops, multi-dose bottle has a safety date, which stays one"),
        ({"cautions": ["medicine"]}, "sterile cannot be dropped. Name the shipped cautions too."),
        ({"key": "drops"}, "a key cannot be changed. Add a kind of your own"),
        ({"opened": "a while"}, "opened, life 'a while': is not a life"),
        ({"colour": "red"}, "colour 'red': there is no such field"),
    ],
)
def test_an_own_figure_cannot_loosen_what_protects_people(
    changes: dict[str, object], message: str
) -> None:
    with pytest.raises(BadInput) as caught:
        with_changes(shipped_kinds()["eye-drops"], changes)

    assert str(caught.value).startswith("your own figures for eye-drops, ")
    assert message in str(caught.value)
