"""Why stock stands where it stands, in words. The list and the stock are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from given_kit import FAR, KIT, kit_kind
from stockcheck.core.audit import audit
from stockcheck.core.audit_explain import by_item, explained
from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.model import Holding, Item, Lot

ON = date(2027, 3, 1)
LARGE = Line("Large", 1, ("pad",), width_mm=100, length_mm=100)
SMALL = Line("Small", 2, ("pad",), width_mm=50, length_mm=50)
BIG = Item(1, "", "big pad", kit_kind("pad"), width_mm=100, length_mm=100)
LITTLE = Item(2, "", "little pad", kit_kind("pad"), width_mm=50, length_mm=50)


def held(of: Item, quantity: int) -> Holding:
    return Holding(of.id, Lot(of.id, "", of), KIT, quantity, last_usable_day=FAR)


def told(*holdings: Holding, lines: tuple[Line, ...] = (LARGE, SMALL)) -> dict[str, str]:
    kits = KitList("mine", "My list", "invented", "", "own", "", lines)
    return {name: " | ".join(it) for name, it in explained(audit(kits, holdings, ON)).items()}


def test_a_line_tells_what_else_its_stock_could_serve_and_what_serves_that() -> None:
    assert told(held(BIG, 1), held(LITTLE, 2)) == {
        "Large": "1 of L1 here: 'Small' could take it too, but is met by L2"
    }


def test_a_short_line_tells_where_the_stock_stands_that_could_serve_it() -> None:
    assert told(held(BIG, 1), held(LITTLE, 1)) == {
        "Large": "1 of L1 here: 'Small' could take it too, and is short 1",
        "Small": "would serve too: 1 of L1 at 'Large', which asks 1",
    }


def test_where_there_was_no_choice_nothing_is_told() -> None:
    assert told(held(LITTLE, 2)) == {}
    assert told(held(BIG, 1), lines=(LARGE,)) == {}


def test_stock_that_is_over_is_told_once_for_many_lines() -> None:
    more = [replace(SMALL, name=f"Small {number}", quantity=1) for number in range(5)]
    words = told(held(BIG, 9), lines=(LARGE, *more))["Large"]
    assert words.count("could take it too") == 4
    assert words.endswith("2 more lines could take it too")


def test_each_item_is_found_at_its_lines() -> None:
    kits = KitList("mine", "My list", "invented", "", "own", "", (LARGE, SMALL))
    result = audit(kits, [held(BIG, 3)], ON)
    assert [line.line.name for line in by_item(result)[BIG.id]] == ["Large", "Small"]
