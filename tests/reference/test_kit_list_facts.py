"""Every shipped list against the tables it was taken from, copied row by row a second time.

``kit_list_facts.csv`` holds, of the 44 published lists, each row's minimum as its table prints it
("present" where no number is given, "1 per person"), unit, whether such a thing is dated and
sterile, and an ``m`` where the figure rests on memory. It was taken from the printed tables and
not from the shipped files, so that a slip in either shows. The sources of the tables stand in the
lists themselves.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from stockcheck.core.kit_list import MEMORY, SEEN, KitList, Line, together
from stockcheck.core.kit_list_scale import Scale
from stockcheck.data.kit_lists import kit_list, kit_list_ids

Fact = dict[str, str]
FACTS = Path(__file__).with_name("kit_list_facts.csv")
ONE_CARD = "Card of safety pins"  # counted as one thing; the list asks a whole pack, and says so

# Certainty, rows with a number, and rows without, as the index of the 44 lists gives them.
INDEX = {
    "au-first-aid-code-burns-module": ("memory", 2, 5),
    "au-first-aid-code-example-kit": ("seen", 29, 0),
    "au-first-aid-code-outdoor-module": ("memory", 0, 2),
    "au-first-aid-code-remote-module": ("seen", 0, 5),
    "ca-cohsr-remote-additions": ("seen", 17, 0),
    "ca-cohsr-type-a": ("seen", 15, 0),
    "ca-cohsr-type-b": ("seen", 15, 0),
    "ca-cohsr-type-c": ("seen", 18, 0),
    "ca-cohsr-type-d": ("seen", 7, 0),
    "ca-on-reg-1101-s8": ("seen", 7, 0),
    "ca-on-reg-1101-s9": ("seen", 10, 0),
    "ca-provincial-one-worker": ("seen", 14, 0),
    "de-din-13157-2021": ("memory", 25, 0),
    "de-din-13164-2014": ("seen", 21, 0),
    "de-din-13164-2022": ("seen", 21, 0),
    "icao-annex-6-first-aid": ("seen", 0, 20),
    "ie-hsa-occupational-1-10": ("seen", 14, 1),
    "ie-hsa-occupational-11-25": ("seen", 15, 0),
    "ie-hsa-occupational-26-50": ("seen", 14, 1),
    "ie-hsa-occupational-travel": ("seen", 14, 1),
    "ru-1080n-car-kit": ("seen", 11, 0),
    "ru-260n-car-kit": ("seen", 9, 6),
    "uk-bs-8599-1-2011-large": ("seen", 16, 0),
    "uk-bs-8599-1-2011-medium": ("seen", 16, 0),
    "uk-bs-8599-1-2011-small": ("seen", 16, 0),
    "uk-bs-8599-1-2019-large": ("memory", 15, 0),
    "uk-bs-8599-1-2019-medium": ("memory", 15, 0),
    "uk-bs-8599-1-2019-small": ("memory", 15, 0),
    "uk-hse-low-hazard-box": ("seen", 8, 0),
    "uk-minibus-psv-first-aid": ("seen", 8, 0),
    "us-agency-aircraft-first-aid-0-9": ("seen", 8, 0),
    "us-agency-aircraft-first-aid-10-50": ("seen", 8, 0),
    "us-agency-aircraft-survival": ("seen", 6, 7),
    "us-ansi-z308-1-2015-class-a": ("seen", 18, 0),
    "us-ansi-z308-1-2015-class-b": ("seen", 21, 0),
    "us-ansi-z308-1-2021-class-a": ("seen", 19, 0),
    "us-ansi-z308-1-2021-class-b": ("memory", 22, 0),
    "us-faa-part-121-first-aid": ("seen", 10, 0),
    "us-msha-77-1707-surface-coal": ("seen", 10, 3),
    "us-osha-1910-266-logging": ("seen", 6, 9),
    "us-red-cross-family-of-four": ("seen", 17, 2),
    "us-wa-296-307-agriculture": ("seen", 10, 0),
    "us-wa-296-54-transport-vehicle": ("seen", 6, 0),
    "za-coid-reg-12": ("seen", 15, 1),
}


def facts() -> dict[str, list[Fact]]:
    found: dict[str, list[Fact]] = {}
    with FACTS.open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            found.setdefault(row["list"], []).append(row)
    return found


FOUND = facts()


def line_of(kits: KitList, name: str) -> Line:
    return next(line for line in kits.lines if line.name == name)


def test_the_44_lists_ship_and_no_others() -> None:
    assert len(INDEX) == 44
    assert set(kit_list_ids()) == set(INDEX) == set(FOUND)


@pytest.mark.parametrize("list_id", INDEX)
def test_a_list_has_as_many_rows_and_is_as_sure_as_the_index_says(list_id: str) -> None:
    certainty, numbered, presence = INDEX[list_id]
    kits = kit_list(list_id)
    without = [line for line in kits.lines if line.quantity is None]
    assert (kits.certainty, len(kits.lines) - len(without), len(without)) == (
        certainty,
        numbered,
        presence,
    )


@pytest.mark.parametrize("list_id", INDEX)
def test_every_row_has_the_figures_of_its_table(list_id: str) -> None:
    kits = kit_list(list_id)
    assert sorted(line.name for line in kits.lines) == sorted(it["row"] for it in FOUND[list_id])
    for fact in FOUND[list_id]:
        line = line_of(kits, fact["row"])
        assert (line.dated, line.sterile) == (fact["dated"] == "yes", fact["sterile"] == "yes")
        if fact["minimum"] == "present":
            assert line.quantity is None, line.name
            continue
        number, _, per = fact["minimum"].partition(" ")
        assert line.quantity == int(number), line.name
        assert line.scale == (Scale(per_people=1) if per == "per person" else Scale())
        assert line.unit == ("pack" if line.name == ONE_CARD else fact["unit"]), line.name


@pytest.mark.parametrize("list_id", INDEX)
def test_what_rests_on_memory_says_so_row_by_row(list_id: str) -> None:
    """In a list from memory every row does; in a list that was read only those marked may."""
    kits = kit_list(list_id)
    marked = {it["row"] for it in FOUND[list_id] if it["memory"]}
    memory = {line.name for line in kits.from_memory}
    assert memory >= marked
    if kits.certainty == SEEN:
        assert memory == marked
        assert kits.seen_at
    else:
        assert kits.certainty == MEMORY
        assert memory == {line.name for line in kits.lines}


@pytest.mark.parametrize("list_id", INDEX)
def test_what_a_row_says_in_words_is_logic_too(list_id: str) -> None:
    """An alternative is another way to serve the row, a condition one that takes it away."""
    for line in kit_list(list_id).lines:
        if line.alternative:
            other = line.ways or line.covered_by or len(line.kinds) > 1 or line.name_words
            assert other or line.alternative == "equivalent substitute", line.name
        if line.condition:
            assert line.unless or line.when, line.name
        if "per pack" in line.spec or "per packet" in line.spec:
            assert line.per_pack or line.parts, line.name


# Editions replace each other and are never added up.
@pytest.mark.parametrize(
    ("older", "newer"),
    [
        ("de-din-13164-2014", "de-din-13164-2022"),
        ("us-ansi-z308-1-2015-class-a", "us-ansi-z308-1-2021-class-a"),
        ("us-ansi-z308-1-2015-class-b", "us-ansi-z308-1-2021-class-b"),
        ("uk-bs-8599-1-2011-small", "uk-bs-8599-1-2019-small"),
        ("uk-bs-8599-1-2011-medium", "uk-bs-8599-1-2019-medium"),
        ("uk-bs-8599-1-2011-large", "uk-bs-8599-1-2019-large"),
        ("ru-1080n-car-kit", "ru-260n-car-kit"),
    ],
)
def test_an_older_edition_names_the_newer(older: str, newer: str) -> None:
    assert kit_list(older).replaced_by == newer
    assert kit_list(newer).replaced_by == ""


def test_a_driver_of_dangerous_goods_needs_two_large_containers_of_water() -> None:
    """Ireland's travel kit: 2 x 20 ml, but 2 x 500 ml for drivers of dangerous goods."""
    kits = kit_list("ie-hsa-occupational-travel")
    assert kits.conditions == ("dangerous-goods", "mains-water")
    water = line_of(kits, "Sterile water")
    assert (water.quantity, water.size_words) == (2, ())
    driving = water.under(frozenset({"dangerous-goods"}))
    assert (driving.quantity, driving.size_words) == (2, ("500 ml",))
    assert not driving.applies(frozenset({"dangerous-goods", "mains-water"}))


# A row's metric size stays at or below what its inches are (1 in = 25.4 mm by definition, NIST
# Handbook 44, Appendix C), so that an exact item never fails.
@pytest.mark.parametrize(
    ("list_id", "row", "inches"),
    [
        ("us-ansi-z308-1-2021-class-a", "Sterile pad", (3, 3)),
        ("us-ansi-z308-1-2021-class-a", "Trauma pad", (5, 9)),
        ("us-ansi-z308-1-2021-class-a", "Triangular bandage", (40, 56)),
        ("us-ansi-z308-1-2021-class-a", "Foil blanket", (52, 84)),
        ("us-wa-296-54-transport-vehicle", "Triangular bandage 40 in", (40, None)),
        ("us-wa-296-54-transport-vehicle", "Bandage compress 4 in", (4, None)),
        ("us-agency-aircraft-first-aid-10-50", "Roller bandage", (4, 180)),
        ("us-osha-1910-266-logging", "Large gauze pad", (8, 10)),
    ],
)
def test_inches_are_cut_down_to_whole_millimetres(
    list_id: str, row: str, inches: tuple[int, int | None]
) -> None:
    line = line_of(kit_list(list_id), row)
    for side, asked in zip((line.width_mm, line.length_mm), inches, strict=True):
        if asked is not None:
            assert side is not None
            assert 0 <= asked * 25.4 - side < 6.1


# Reference, "How many kits, and which size", and the notes and titles of the lists themselves.
@pytest.mark.parametrize(
    ("list_id", "people", "meant"),
    [
        ("ca-cohsr-type-a", 1, False),
        ("ca-cohsr-type-a", 5, True),
        ("ca-cohsr-type-a", 6, False),
        ("ca-cohsr-type-b", 5, False),
        ("ca-cohsr-type-b", 6, True),
        ("ca-on-reg-1101-s8", 5, True),
        ("ca-on-reg-1101-s9", 16, False),
        ("ie-hsa-occupational-1-10", 10, True),
        ("ie-hsa-occupational-1-10", 11, False),
        ("ie-hsa-occupational-11-25", 25, True),
        ("us-wa-296-54-transport-vehicle", 5, True),
        ("us-wa-296-54-transport-vehicle", 6, False),
        ("za-coid-reg-12", 5, False),
        ("de-din-13164-2022", 9, True),
    ],
)
def test_a_list_knows_for_how_many_people_it_is_meant(
    list_id: str, people: int, meant: bool
) -> None:
    assert kit_list(list_id).is_for(people) == meant


def test_lists_put_together_are_meant_for_whom_all_of_them_are() -> None:
    both = together([kit_list("ca-cohsr-type-a"), kit_list("ca-cohsr-remote-additions")])
    assert both.people_words == "2 to 5 people"
