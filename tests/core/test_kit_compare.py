"""Lists side by side: the changes between editions as their publishers tell them."""

from __future__ import annotations

from collections import Counter

import pytest

from stockcheck.core.kit_compare import Relation, compared
from stockcheck.core.kit_list import KitList, Line
from stockcheck.data.kit_lists import kit_list, kit_list_ids


def changes(first: str, second: str) -> set[tuple[str, str, int | None]]:
    """Name, relation and difference of every line that is not equal."""
    found = set()
    for pair in compared(kit_list(first), kit_list(second)):
        line = pair.first or pair.second
        if line is not None and pair.relation is not Relation.EQUAL:
            found.add((line.name, pair.relation.value, pair.difference))
    return found


# What each edition changed, as the published summaries of the changes have it.
@pytest.mark.parametrize(
    ("first", "second", "told"),
    [
        (
            "de-din-13164-2014",
            "de-din-13164-2022",
            {
                ("Dressing cloth 40 x 60 cm", "only in the first", None),
                ("Triangular bandage", "fewer", -1),
                ("Face mask", "only in the second", None),
            },
        ),
        (
            "us-ansi-z308-1-2015-class-a",
            "us-ansi-z308-1-2021-class-a",
            {
                ("Hand sanitizer application", "more", 4),
                ("Foil blanket", "only in the second", None),
            },
        ),
        (
            "uk-bs-8599-1-2011-small",
            "uk-bs-8599-1-2019-small",
            {
                ("Medium dressing", "fewer", -2),
                ("Large dressing", "more", 1),
                ("Safety pins", "only in the first", None),
            },
        ),
        (
            "uk-bs-8599-1-2011-large",
            "uk-bs-8599-1-2019-large",
            {
                ("Medium dressing", "fewer", -2),
                ("Large dressing", "more", 2),
                ("Microporous tape", "more", 2),
                ("Safety pins", "only in the first", None),
            },
        ),
    ],
)
def test_editions_differ_as_their_publishers_say(
    first: str, second: str, told: set[tuple[str, str, int | None]]
) -> None:
    assert changes(first, second) == told


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_a_list_beside_itself_is_equal_throughout(list_id: str) -> None:
    pairs = compared(kit_list(list_id), kit_list(list_id))
    assert {pair.relation for pair in pairs} == {Relation.EQUAL}
    assert all(pair.first == pair.second for pair in pairs)


def test_every_line_of_both_lists_stands_there_once() -> None:
    one, other = kit_list("uk-hse-low-hazard-box"), kit_list("us-ansi-z308-1-2021-class-a")
    pairs = compared(one, other)
    assert Counter(it.first for it in pairs if it.first) == Counter(one.lines)
    assert Counter(it.second for it in pairs if it.second) == Counter(other.lines)


def test_pairs_and_packs_are_compared_in_pieces_and_sizes_are_told() -> None:
    def one(*lines: Line) -> KitList:
        return KitList("x", "x", "x", "", "own", "", lines)

    pairs = Line("Gloves", 2, ("gloves",), unit="pair")
    singles = Line("Disposable gloves", 4, ("gloves",))
    wide = Line("Gloves", 4, ("gloves",), width_mm=90)
    packs = Line("Gloves", 1, ("gloves",), unit="pack", per_pack=10)
    named = Line("Gloves", None, ("gloves",))
    for other, relation, difference in (
        (singles, Relation.EQUAL, 0),
        (wide, Relation.OTHER_SIZE, 0),
        (packs, Relation.MORE, 6),
        (named, Relation.OTHER, None),
    ):
        [found] = compared(one(pairs), one(other))
        assert (found.relation, found.difference) == (relation, difference), other
