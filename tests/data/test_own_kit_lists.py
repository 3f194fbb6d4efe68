"""Lists of one's own: what extends another, what scales, and every mistake told with its remedy."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from stockcheck.core.errors import BadInput
from stockcheck.core.kit_list import KitList
from stockcheck.core.kit_list_scale import Scale
from stockcheck.data.kinds import shipped_kinds
from stockcheck.data.kit_list_start import start_of
from stockcheck.data.kit_lists import kit_list, kit_list_file, read_kit_list

TOP = 'id = "crew"\ntitle = "What our crew carries"\n'
EXTENDING = (
    TOP
    + """
extends = "de-din-13164-2022"
drop = ["Contents list", "first aid brochure"]

[[change]]
name = "Wound compress"
quantity = 12
spec = "two crews"

[[change]]
name = "Dressing packet M (medium)"
without = ["width_mm", "length_mm"]

[[item]]
name = "Whistle"
quantity = 1
kinds = ["whistle"]
per_person = true
"""
)


def read(text: str) -> KitList:
    return read_kit_list(tomllib.loads(text), "crew.toml", shipped_kinds())


def told(text: str) -> str:
    with pytest.raises(BadInput) as caught:
        read(text)
    return str(caught.value)


def test_a_list_extends_another_with_rows_dropped_changed_and_added() -> None:
    base, own = kit_list("de-din-13164-2022"), read(EXTENDING)
    names = [line.name for line in own.lines]
    assert len(own.lines) == len(base.lines) - 2 + 1
    assert {"Contents list", "First aid brochure"}.isdisjoint(names)
    by_name = {line.name: line for line in own.lines}
    compress, packet = by_name["Wound compress"], by_name["Dressing packet M (medium)"]
    assert (compress.quantity, compress.spec, compress.sterile) == (12, "two crews", True)
    assert (packet.quantity, packet.width_mm, packet.length_mm) == (2, None, None)
    assert by_name["Whistle"].scale == Scale(per_people=1)
    assert by_name["Rescue blanket"] == next(it for it in base.lines if it.name == "Rescue blanket")


def test_it_says_what_it_extends_and_what_it_does_otherwise() -> None:
    own = read(EXTENDING)
    assert (own.id, own.certainty) == ("crew", "own")
    assert own.source == "own list, after de-din-13164-2022"
    assert own.notes == (
        "Extends de-din-13164-2022: dropped Contents list and first aid brochure; changed Wound"
        " compress and Dressing packet M (medium); added Whistle."
    )


def test_rows_of_a_list_from_memory_still_say_so() -> None:
    own = read(TOP + 'extends = "au-first-aid-code-burns-module"\n')
    assert len(own.from_memory) == 7


def test_modules_that_are_extended_together_add_up() -> None:
    own = read(TOP + 'extends = ["ca-cohsr-type-a", "ca-cohsr-remote-additions"]\n')
    blankets = [line.quantity for line in own.lines if line.name == "Emergency blanket"]
    assert (blankets, len(own.lines)) == ([2], 31)
    assert own.check_every_days == 30


def test_a_number_given_to_a_row_without_one_makes_it_a_row_with_one() -> None:
    own = read(
        TOP
        + 'extends = "au-first-aid-code-remote-module"\n'
        + '[[change]]\nname = "Whistle"\nquantity = 3\n'
    )
    assert {line.name: line.quantity for line in own.lines}["Whistle"] == 3


def test_a_file_extends_a_file_beside_it_but_never_itself(tmp_path: Path) -> None:
    (tmp_path / "base.toml").write_text(EXTENDING, "utf-8")
    own = TOP.replace("crew", "ours") + 'extends = "base.toml"\ndrop = ["Whistle"]\n'
    (tmp_path / "ours.toml").write_text(own, "utf-8")
    found = kit_list_file(tmp_path / "ours.toml", shipped_kinds())
    assert (found.id, len(found.lines)) == ("ours", 19)
    (tmp_path / "base.toml").write_text(TOP + 'extends = "ours.toml"\n', "utf-8")
    with pytest.raises(BadInput, match="it extends itself"):
        kit_list_file(tmp_path / "ours.toml")


def test_mistakes_of_a_file_and_of_what_it_takes_from_others_are_told_together(
    tmp_path: Path,
) -> None:
    text = EXTENDING.replace("Contents list", "Content list")
    text += '[[item]]\nname = "Cups"\nquantity = 10000000\nkinds = ["whistle"]\n'
    (tmp_path / "crew.toml").write_text(text, "utf-8")
    with pytest.raises(BadInput) as caught:
        kit_list_file(tmp_path / "crew.toml", shipped_kinds())
    told = str(caught.value)
    assert "has no such row. Did you mean 'Contents list'?" in told
    assert "(Cups), quantity '10000000': more than a million." in told


def test_a_file_with_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    (tmp_path / "crew.toml").write_bytes(b"\xef\xbb\xbf" + EXTENDING.encode())
    assert kit_list_file(tmp_path / "crew.toml").id == "crew"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            TOP + 'extends = "de-din-13164"\n',
            "crew.toml, extends 'de-din-13164': there is no kit list 'de-din-13164'; did you",
        ),
        (
            TOP + "extends = 5\n",
            "crew.toml, extends '5': neither an id nor a list of ids. Write extends = \"ID\".",
        ),
        (
            EXTENDING.replace("Contents list", "Content list"),
            (
                "crew.toml, drop 'Content list': the list that it extends has no such row. Did you"
                " mean 'Contents list'"
            ),
        ),
        (
            EXTENDING.replace('"Wound compress"', '"Wound compres"'),
            "crew.toml, change 'Wound compres': the list that it extends has no such row.",
        ),
        (
            EXTENDING.replace('"width_mm", ', '"widht", '),
            (
                "crew.toml, change 2 (Dressing packet M (medium)), without 'widht': row 'Dressing"
                " packet M (medium)' has no such key to take away. Take the word out."
            ),
        ),
        (
            EXTENDING.replace('"Whistle"', '"Rescue Blanket"'),
            (
                "crew.toml, name 'Rescue Blanket': a row of the list that it extends has this name."
                " Use [[change]], or another name."
            ),
        ),
        (
            TOP + 'source = "us"\nsource_certainty = "own"\ndrop = ["A"]\n[[item]]\nname = "B"\n'
            'quantity = 1\nkinds = ["whistle"]\n',
            'crew.toml, drop: there is nothing to take it from. Give extends = "ID".',
        ),
        (
            EXTENDING + "steps = [{ people = 25, quantity = 2 }, { people = 10, quantity = 1 }]\n",
            "steps: they do not rise. Give the smallest number of people first.",
        ),
        (
            EXTENDING + "steps = [{ people = 10, quantity = 1 }]\n",
            "steps: people are counted twice. Take per_people or fewer_with away.",
        ),
        (
            EXTENDING + "per_people = 3\n",
            "per_people '3': there is per_person as well. Keep one of the two.",
        ),
        (
            EXTENDING + 'any_of_groups = ["first-aid"]\n',
            (
                "any_of_groups 'first-aid': row 'Whistle' names a group of kinds that is not known."
                " Perhaps first aid."
            ),
        ),
        (
            EXTENDING + 'set_of = [{ name = "cord", quantity = 1 }]\n',
            "set_of 1 (cord), kinds: no kind can serve it.",
        ),
        (
            EXTENDING + '\n[[item]]\nname = "whistle"\nquantity = 1\nkinds = ["whistle"]\n',
            "name 'whistle': two rows have this name. Tell them apart by their size.",
        ),
        (
            EXTENDING.replace("extends", "check_every_days = 4000\nextends", 1),
            "check_every_days '4000': that is more than ten years. Give it in days.",
        ),
        (
            EXTENDING.replace('id = "crew"', 'id = "crew+more"'),
            "id 'crew+more': not fit for an id.",
        ),
    ],
)
def test_what_is_wrong_is_told_with_file_key_value_and_remedy(text: str, words: str) -> None:
    assert words in told(text)


@pytest.mark.parametrize("base", [None, "de-din-13164-2022", "us-osha-1910-266-logging"])
def test_the_text_to_begin_with_is_a_list_without_a_mistake(base: str | None) -> None:
    text = start_of("crew", kit_list(base) if base else None)
    found = read(text)
    assert found.id == "crew"
    assert len(found.lines) == (len(kit_list(base).lines) if base else 5)


def test_all_that_the_beginning_proposes_in_remarks_can_be_taken_in() -> None:
    text = start_of("crew", kit_list("de-din-13164-2022"))
    taken = "\n".join(
        line.removeprefix("# ") for line in text.splitlines() if not line.startswith("# 1 ")
    )
    head, _, _ = taken.partition("The rows that it has now")
    body = head[head.index("id = ") :]
    found = read(body)
    assert "Whistle" in {line.name for line in found.lines}
