"""Every list that ships says where it comes from, and a wrong list is told row by row."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from stockcheck.core.errors import BadInput, UnknownName
from stockcheck.core.kit_list_fit import fit, pieces_per_unit
from stockcheck.core.kit_list_way import Way
from stockcheck.core.model import Item
from stockcheck.data.kinds import shipped_kinds
from stockcheck.data.kit_lists import kit_list, kit_list_file, kit_list_ids, read_kit_list

OWN = """
id = "crew"
title = "What our crew carries"
source = "the crew"
source_certainty = "own"

[[item]]
name = "Dressing"
quantity = 4
unit = "each"
kinds = ["wound-dressing"]
width_mm = 80
length_mm = 100
or = [{ kinds = ["sterile-dressing"], width_mm = 100, length_mm = 100 }]

[[item]]
name = "Bandage"
quantity = 24
kinds = ["bandage-triangular"]
fewer_with = { kind = "splint", quantity = 15 }
when = "far-from-help"

[[presence]]
name = "Whistle"
kinds = ["whistle"]
"""


def problems_of(text: str) -> list[str]:
    with pytest.raises(BadInput) as caught:
        read_kit_list(tomllib.loads(text), "crew.toml", shipped_kinds())
    return str(caught.value).splitlines()


def test_lists_of_three_shapes_ship_and_each_keeps_its_own_id() -> None:
    shapes = {"au-first-aid-code-example-kit", "de-din-13164-2022", "us-osha-1910-266-logging"}
    assert shapes <= set(kit_list_ids())
    assert [kit_list(it).id for it in kit_list_ids()] == list(kit_list_ids())


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_a_shipped_list_names_its_source_and_only_known_kinds(list_id: str) -> None:
    kits = kit_list(list_id)
    assert kits.title
    assert kits.source
    assert kits.edition
    assert kits.jurisdiction
    assert kits.certainty in {"seen", "memory"}
    assert kits.seen_at or kits.certainty == "memory"
    named = {kind for line in kits.lines for kind in line.named_kinds}
    assert named <= set(shipped_kinds())


# Rows and presence rows as the published tables count them.
@pytest.mark.parametrize(
    ("list_id", "numbered", "presence"),
    [
        ("au-first-aid-code-example-kit", 29, 0),
        ("au-first-aid-code-remote-module", 0, 5),
        ("de-din-13164-2022", 21, 0),
        ("us-osha-1910-266-logging", 6, 9),
        ("uk-minibus-psv-first-aid", 8, 0),
        ("uk-hse-low-hazard-box", 8, 0),
        ("us-ansi-z308-1-2015-class-a", 18, 0),
        ("us-ansi-z308-1-2015-class-b", 21, 0),
        ("us-ansi-z308-1-2021-class-a", 19, 0),
        ("ru-260n-car-kit", 9, 6),
        ("ca-provincial-one-worker", 14, 0),
        ("ca-cohsr-type-a", 15, 0),
        ("ca-cohsr-remote-additions", 17, 0),
        ("us-msha-77-1707-surface-coal", 10, 3),
        ("icao-annex-6-first-aid", 0, 20),
        ("us-agency-aircraft-survival", 6, 7),
    ],
)
def test_a_shipped_list_has_all_its_rows(list_id: str, numbered: int, presence: int) -> None:
    quantities = [line.quantity for line in kit_list(list_id).lines]
    assert (len(quantities), quantities.count(None)) == (numbered + presence, presence)


def test_a_list_from_memory_says_so_on_every_line() -> None:
    burns = kit_list("au-first-aid-code-burns-module")
    assert burns.from_memory == burns.lines
    assert kit_list("de-din-13164-2022").from_memory == ()


def test_a_size_that_the_source_calls_about_so_much_leaves_five_percent() -> None:
    """The HSE box asks for dressings of about 18 x 18 and 12 x 12 cm: one of 17.5 cm will do."""
    lines = {line.name: line for line in kit_list("uk-hse-low-hazard-box").lines}
    for name, does, too_small in (
        ("Large wound dressing", 175, 170),
        ("Medium wound dressing", 115, 110),
    ):
        dressings = [_dressing(side) for side in (does, too_small)]
        fits = [fit(lines[name], it) for it in dressings]
        assert [it.serves for it in fits if it] == [True, False]
    said = {
        line.name: "about" in line.spec
        for list_id in kit_list_ids()
        for line in kit_list(list_id).lines
        if line.width_mm or line.length_mm
    }
    assert {name for name, about in said.items() if about} == {
        name for name, line in lines.items() if line.about
    }


def _dressing(side_mm: int) -> Item:
    kind = shipped_kinds()["wound-dressing"]
    return Item(1, "", "dressing", kind, width_mm=side_mm, length_mm=side_mm)


def test_a_card_of_safety_pins_is_a_pack_of_them_and_not_one_pin() -> None:
    ontario = kit_list("ca-on-reg-1101-s9")
    card = next(line for line in ontario.lines if line.name == "Card of safety pins")
    pins = Item(1, "", "safety pins", shipped_kinds()["safety-pins"], pack=6)

    assert (card.quantity, pieces_per_unit(card, pins)) == (1, 6)
    assert "one whole pack" in ontario.notes


def test_an_unknown_list_is_told_with_the_nearest() -> None:
    with pytest.raises(UnknownName, match="de-din-13164-2022"):
        kit_list("de-din-13164")


def test_a_persons_own_list_is_read_with_its_logic() -> None:
    kits = read_kit_list(tomllib.loads(OWN), "crew.toml", shipped_kinds())
    dressing, bandage, whistle = kits.lines
    assert dressing.ways == (Way(("sterile-dressing",), 100, 100),)
    assert (bandage.unit, bandage.fewer_with, bandage.when) == (
        "each",
        ("splint", 15),
        "far-from-help",
    )
    assert (bandage.required(), bandage.required(fewer=True)) == (24, 15)
    assert whistle.quantity is None
    assert kits.conditions == ("far-from-help",)


@pytest.mark.parametrize(
    ("was", "becomes", "told"),
    [
        (
            "quantity = 4",
            'quantity = "four"',
            (
                "crew.toml, item 1 (Dressing), quantity 'four': not a whole number above 0. "
                "Write it as 12, without quotes."
            ),
        ),
        (
            "quantity = 4",
            "quantity = true",
            (
                "crew.toml, item 1 (Dressing), quantity 'True': not a whole number above 0. "
                "Write it as 12, without quotes."
            ),
        ),
        (
            'kinds = ["wound-dressing"]',
            'kinds = ["wound-dresing"]',
            (
                "crew.toml, kinds 'wound-dresing': row 'Dressing' names a kind that is not known. "
                "Perhaps wound-dressing."
            ),
        ),
        (
            "width_mm = 80",
            "widht_mm = 80",
            "crew.toml, item 1 (Dressing), widht_mm: there is no such key. Perhaps width_mm.",
        ),
        (
            "width_mm = 80",
            "width_mm = 180",
            (
                "crew.toml, item 1 (Dressing), width_mm '180': it is more than the length. "
                "Give the shorter side as width."
            ),
        ),
        (
            'name = "Whistle"',
            'name = "Whistle"\nabout = true',
            (
                "crew.toml, presence 1 (Whistle), about: there is no side for it. "
                "Give width_mm or length_mm."
            ),
        ),
        (
            'name = "Whistle"',
            'name = "Whistle"\nquantity = 2',
            (
                "crew.toml, presence 1 (Whistle), quantity '2': a [[presence]] row has no number. "
                "Use [[item]]."
            ),
        ),
        (
            'kinds = ["whistle"]',
            'kinds = ["whistle"]\ncovered_by = ["wound-dressing"]',
            (
                "crew.toml, covered_by 'wound-dressing': it covers 'Whistle' and serves "
                "'Dressing': counted twice. Name it in one of the two rows only."
            ),
        ),
        (
            'unit = "each"',
            'unit = "dozen"',
            (
                "crew.toml, item 1 (Dressing), unit 'dozen': not one of the words for it. "
                "Use each, pair, pack, box, set, day, ml, g, cm, ft, quart."
            ),
        ),
        (
            '{ kind = "splint", quantity = 15 }',
            "15",
            (
                "crew.toml, item 2 (Bandage), fewer_with '15': not a table. "
                'Write it as { kind = "...", quantity = 15 }.'
            ),
        ),
        (
            'title = "What our crew carries"',
            "",
            "crew.toml, title: it is not there. Give it as a text in quotation marks.",
        ),
    ],
)
def test_what_is_wrong_in_a_list_is_told_with_file_row_key_value_and_remedy(
    was: str, becomes: str, told: str
) -> None:
    assert told in problems_of(OWN.replace(was, becomes, 1))


def test_everything_wrong_is_told_at_once() -> None:
    wrong = OWN.replace("quantity = 4", "quantity = 0").replace('name = "Whistle"', "name = 5")
    assert len(problems_of(wrong)) == 2


def test_a_list_without_rows_is_refused_so_that_no_empty_kit_passes() -> None:
    assert "the list has no rows" in problems_of(OWN[: OWN.index("[[item]]")])[0]


@pytest.mark.parametrize(
    ("content", "told"),
    [(b"id = ", "not TOML"), (b"\xff\xfe", "not UTF-8 text"), (None, "No such file")],
)
def test_a_file_that_is_no_list_is_told_so(
    tmp_path: Path, content: bytes | None, told: str
) -> None:
    path = tmp_path / "crew.toml"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(BadInput, match=told):
        kit_list_file(path)
