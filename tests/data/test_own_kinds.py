"""Kinds that people write: strict where it protects, few words where it can be, and own figures
laid over the shipped ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from stockcheck.core.calendar import Life
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Certainty, CountsFrom, DateContext, InspectionRule, LifeRule
from stockcheck.data.kinds import kind_from_table, shipped_kinds, with_changes

OWN_KIND: Mapping[str, object] = {
    "key": "seam-sealer",
    "name": "Клей для швов",
    "meaning": "quality",
    "past": "inspect",
    "sealed": "18 months",
}
LOOK: dict[str, object] = {"ask": ["Is it soft?"]}
EXTENDS = LOOK | {"extends": "6 months"}


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
        ({"inspection": "look"}, "inspection 'look': is not a table. Write it as { ask ="),
        ({"inspection": {}}, "inspection, ask: holds no question. Write it as"),
        ({"inspection": {"ask": []}}, "inspection, ask '[]': holds no question."),
        ({"inspection": {"ask": "Soft?"}}, "inspection, ask 'Soft?': is not a list of texts."),
        ({"inspection": {"ask": ["Soft?"], "each": 2}}, "inspection, each '2': there is no such"),
        ({"inspection": LOOK | {"times": 2}}, "inspection, times '2': goes with an extension."),
        ({"inspection": EXTENDS | {"extends": "a bit"}}, "extends 'a bit': is not a life of at"),
        ({"inspection": EXTENDS | {"times": 0}}, "times '0': is not a whole number from 1 to 10."),
        ({"inspection": EXTENDS | {"times": 11}}, "times '11': is not a whole number from 1 to 10"),
        ({"inspection": EXTENDS | {"times": True}}, "times 'True': is not a whole number from 1"),
        ({"inspection": EXTENDS | {"times": "2"}}, "times '2': is not a whole number from 1 to 10"),
        (
            {"inspection": EXTENDS | {"extends": "18 months"}},
            "extends '18 months': an extension is longer than nothing and shorter than the 18",
        ),
        ({"inspection": EXTENDS | {"extends": "600 days"}}, "shorter than the 18 months sealed."),
        ({"inspection": EXTENDS | {"extends": "0 days"}}, "an extension is longer than nothing"),
        (
            {"inspection": EXTENDS, "meaning": "safety"},
            "extends '6 months': a safety date is never extended. Leave extends and times out",
        ),
        (
            {"inspection": EXTENDS, "dates": "medicine"},
            "the date of a medicine or of a sterile thing is never extended.",
        ),
        (
            {"inspection": EXTENDS, "cautions": ["sterile"]},
            "the date of a medicine or of a sterile thing is never extended.",
        ),
        (
            {"inspection": EXTENDS, "sealed": None},
            "without a sealed life there is nothing to measure an extension by.",
        ),
        (
            {"inspection": LOOK, "past": "discard"},
            "past 'discard': what is discarded past its date is not inspected.",
        ),
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


def test_an_own_kind_s_inspection_is_the_user_s_own_and_extends_once_where_silent() -> None:
    table = {**OWN_KIND, "inspection": EXTENDS}

    kind = kind_from_table(table, "kinds.toml, kind 1", origin="own")

    assert kind.inspection == InspectionRule(
        ("Is it soft?",), Life(months=6), 1, "your own figure", Certainty.OWN
    )
    assert kind_from_table({**OWN_KIND, "inspection": LOOK}, "here", "own").inspection == (
        InspectionRule(("Is it soft?",), None, 0, "your own figure", Certainty.OWN)
    )


def test_an_own_extension_is_laid_over_the_shipped_questions() -> None:
    silicone = shipped_kinds()["rtv-silicone"]
    shipped = silicone.inspection
    assert shipped is not None

    def changed(**inspection: object) -> InspectionRule | None:
        return with_changes(silicone, {"inspection": inspection}).inspection

    mine = replace(shipped, source="your own figure", certainty=Certainty.OWN)
    assert changed(extends="3 months") == replace(mine, extends=Life(months=3))
    assert changed(times=1) == replace(mine, times=1)
    assert changed(extends=None) == replace(mine, extends=None, times=0)
    assert changed(ask=["Is it soft?"]) == replace(shipped, ask=("Is it soft?",))
    assert with_changes(silicone, {"inspection": None}).inspection is None


@pytest.mark.parametrize(
    ("changes", "extends", "source"),
    [
        ({"sealed": "18 months"}, "6 months", "T.O. 1-1-700"),
        ({"sealed": "5 months"}, "2 months", "half of your own sealed life"),
        ({"sealed": "1 day"}, None, "your own figure"),
        ({"sealed": None}, None, "your own figure"),
        ({"meaning": "safety"}, None, "your own figure"),
        ({"cautions": ["chemicals", "sterile"]}, None, "your own figure"),
    ],
    ids=lambda value: str(value) if isinstance(value, dict) else "",
)
def test_a_change_that_leaves_no_room_for_the_shipped_extension_cuts_it(
    changes: dict[str, object], extends: str | None, source: str
) -> None:
    rule = with_changes(shipped_kinds()["rtv-silicone"], changes).inspection

    assert rule is not None
    assert (str(rule.extends) if rule.extends else None) == extends
    assert source in rule.source


def test_a_kind_that_the_user_discards_past_its_date_is_not_inspected_any_more() -> None:
    changed = with_changes(shipped_kinds()["rtv-silicone"], {"past": "discard"})

    assert changed.inspection is None


def test_no_changes_change_only_the_origin() -> None:
    for kind in shipped_kinds().values():
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
        ({"inspection": LOOK}, "past 'discard': what is discarded past its date is not inspected"),
    ],
)
def test_an_own_figure_cannot_loosen_what_protects_people(
    changes: dict[str, object], message: str
) -> None:
    with pytest.raises(BadInput) as caught:
        with_changes(shipped_kinds()["eye-drops"], changes)

    assert str(caught.value).startswith("your own figures for eye-drops, ")
    assert message in str(caught.value)
