"""The demo scenario holds what its README promises, read from the files alone, without a store."""

from __future__ import annotations

import csv
import re
from collections import Counter
from datetime import date
from pathlib import Path

import pytest

from stockcheck.core.calendar import MONTHS, PartialDate
from stockcheck.core.codes import read_gtin
from stockcheck.core.dates import Outcome, read_date
from stockcheck.core.intake import COLUMNS, DateRules, Shelves, read_lines
from stockcheck.core.model import UNITS, Box, Importance, Item
from stockcheck.core.names import name_key, tidy_name
from stockcheck.core.planning import Supplier, Trip
from stockcheck.data.kinds import shipped_kind

DEMO = Path(__file__).parents[2] / "demo_db"
PINNED = date(2026, 11, 25)
DATES = ("expiry", "made", "opened", "received")
PROMISES = re.findall(
    r"^\| ([^|`]+?) \| (\d+) \|", (DEMO / "README.md").read_text(encoding="utf-8"), re.MULTILINE
)

Row = dict[str, str]


def rows(name: str) -> list[Row]:
    with (DEMO / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


BOXES, ITEMS, STOCK, HOLDS, PARS, SUPPLIERS, OFFERS, TRIPS = (
    rows(name)
    for name in ("boxes", "items", "stock", "holds", "par", "suppliers", "offers", "trip")
)
ITEM = {row["item"]: row for row in ITEMS}


def item_of(at: int, row: Row) -> Item:
    kind = shipped_kind(row["kind"])
    assert kind is not None, row["kind"]
    return Item(id=at, code="", name=row["item"], kind=kind, unit=row["unit"])


def only(field: str) -> int:
    return sum(bool(row[field]) and sum(bool(row[it]) for it in DATES) == 1 for row in STOCK)


def printed_year(row: Row) -> int:
    found = re.search(r"20\d\d", row["expiry"])
    return int(found[0]) if found else 9999


def unsure(row: Row) -> bool:
    kind = shipped_kind(ITEM[row["item"]]["kind"])
    assert kind is not None
    return (
        bool(row["expiry"])
        and read_date(row["expiry"], PINNED, context=kind.dates).outcome is Outcome.UNSURE
    )


def found_in_files() -> dict[str, int]:
    recalled = {(row["item"], row["batch"]) for row in HOLDS}
    boxes_of = {item: {row["box"] for row in STOCK if row["item"] == item} for item in ITEM}
    lots = Counter((row["item"], row["box"]) for row in STOCK)
    offered = Counter(row["item"] for row in OFFERS)
    return {
        "lines with a printed date": sum(bool(row["expiry"]) for row in STOCK),
        "printed dates with more than one reading": sum(map(unsure, STOCK)),
        "years past their date": sum(printed_year(row) <= PINNED.year - 2 for row in STOCK),
        "only a made date": only("made"),
        "only a received date": only("received"),
        "no date of any sort": sum(not any(row[it] for it in DATES) for row in STOCK),
        "opened on a known day": sum(bool(row["opened"]) for row in STOCK),
        "things nobody remembers the use of": sum(
            ITEM[row["item"]]["kind"] == "unidentified" for row in STOCK
        ),
        "lines of the recalled batch": sum(
            (row["item"], row["batch"]) in recalled for row in STOCK
        ),
        "items in more than one box": sum(len(boxes) > 1 for boxes in boxes_of.values()),
        "items with two lots or more in one box": len(
            {item for (item, _), count in lots.items() if count > 1}
        ),
        "items with more than one offer": sum(count > 1 for count in offered.values()),
        "par levels without any offer": sum(
            bool(row["item"]) and row["item"] not in offered for row in PARS
        ),
    }


def test_readme_says_that_everything_is_invented() -> None:
    text = (DEMO / "README.md").read_text(encoding="utf-8")
    assert "**Everything in these files is invented**" in text


def test_readme_lists_every_file_with_its_lines_and_columns() -> None:
    text = (DEMO / "README.md").read_text(encoding="utf-8")
    told = {
        name: (int(lines), columns.split(", "))
        for name, lines, columns in re.findall(
            r"^\| `(\w+)\.csv` \| (\d+) \| (.+) \|$", text, re.MULTILINE
        )
    }
    there = {path.stem: rows(path.stem) for path in DEMO.glob("*.csv")}
    assert told == {name: (len(lines), list(lines[0])) for name, lines in there.items()}


@pytest.mark.parametrize(("what", "count"), PROMISES)
def test_what_readme_says_is_hidden_can_be_found(what: str, count: str) -> None:
    assert found_in_files()[what] == int(count)


def test_readme_promises_everything_that_is_counted_here() -> None:
    assert [what for what, _ in PROMISES] == list(found_in_files())


def test_seven_lines_without_any_date_are_of_kinds_that_go_off() -> None:
    undated = [row for row in STOCK if not any(row[it] for it in DATES)]
    assert sum(item_of(1, ITEM[row["item"]]).kind.has_life for row in undated) == 7
    assert "seven should worry you" in (DEMO / "README.md").read_text(encoding="utf-8")


def test_kinds_and_manners_of_writing_a_date_are_as_many_as_readme_says() -> None:
    text = (DEMO / "README.md").read_text(encoding="utf-8")
    kinds = {row["kind"] for row in ITEMS}
    month = rf"\b({'|'.join(MONTHS)})\b"
    manners = {
        re.sub(month, "MMM", re.sub(r"\d", "9", row["expiry"])) for row in STOCK if row["expiry"]
    }
    assert f"of {len(kinds)} kinds" in text
    assert f"{len(manners)} manners" in text


def test_the_scenario_is_as_large_as_a_real_one() -> None:
    assert len(BOXES) >= 9
    assert len(STOCK) >= 90
    assert len(ITEMS) >= 60
    assert len({ITEM[row["item"]]["kind"] for row in STOCK}) >= 45
    assert len(PARS) >= 45
    assert len(OFFERS) >= 50


def test_intake_columns_are_those_of_the_contract() -> None:
    assert tuple(STOCK[0]) == COLUMNS


@pytest.mark.parametrize(
    ("lines", "field"),
    [(BOXES, "box"), (ITEMS, "item"), (SUPPLIERS, "supplier"), (TRIPS, "trip")],
    ids=["boxes", "items", "suppliers", "trip"],
)
def test_names_are_tidy_and_each_stands_for_one_thing(lines: list[Row], field: str) -> None:
    names = [row[field] for row in lines]
    assert [tidy_name(name, field) for name in names] == names
    assert len({name_key(name) for name in names}) == len(names)


def test_a_box_stands_below_the_box_that_it_is_inside() -> None:
    seen = {""}
    for row in BOXES:
        assert row["inside"] in seen
        seen.add(row["box"])
    assert any(re.search(r"[А-Яа-я]", box) for box in seen)


@pytest.mark.parametrize(
    "lines", [STOCK, PARS, OFFERS, HOLDS], ids=["stock", "par", "offers", "holds"]
)
def test_every_box_item_kind_and_supplier_that_is_named_exists(lines: list[Row]) -> None:
    known = {
        "box": {row["box"] for row in BOXES},
        "item": set(ITEM),
        "kind": {row["kind"] for row in ITEMS},
        "supplier": {row["supplier"] for row in SUPPLIERS},
    }
    for field, names in known.items():
        assert {row.get(field, "") for row in lines} <= names | {""}


def test_every_stock_line_is_taken_in_as_the_demo_does_it() -> None:
    shelves = Shelves.of(
        [Box(id=at, code="", name=row["box"]) for at, row in enumerate(BOXES, 1)],
        [item_of(at, row) for at, row in enumerate(ITEMS, 1)],
        [Supplier(id=at, name=row["supplier"]) for at, row in enumerate(SUPPLIERS, 1)],
    )
    rules = DateRules(today=PINNED, order="dmy", when_unsure="earliest")
    arrivals, problems = read_lines("stock.csv", list(enumerate(STOCK, 2)), shelves, rules)
    assert problems == []
    assert len(arrivals) == len(STOCK)


def test_stock_lines_agree_with_their_item() -> None:
    for row in STOCK:
        item = ITEM[row["item"]]
        assert row["kind"] in {"", item["kind"]}
        assert row["unit"] in {"", item["unit"]}
        assert row["gtin"] in {"", item["gtin"]}


def test_items_have_a_unit_a_pack_and_an_importance_that_the_store_knows() -> None:
    for row in ITEMS:
        assert row["unit"] in UNITS
        assert int(row["pack"]) > 0
        assert Importance(row["importance"])


def test_each_gtin_checks_and_is_one_for_examples() -> None:
    gtins = [row["gtin"] for row in ITEMS if row["gtin"]]
    assert len(set(gtins)) == len(gtins) > 10
    assert all(read_gtin(gtin) and gtin.startswith("952") for gtin in gtins)


def test_quantities_are_whole_and_money_has_two_places() -> None:
    figures = [*STOCK, *(row for row in PARS if not row["plan"])]
    assert all(re.fullmatch(r"[1-9]\d*", row["quantity"]) for row in figures)
    money = [row["cost"] for row in STOCK if row["cost"]] + [row["price"] for row in OFFERS]
    assert all(re.fullmatch(r"\d+\.\d\d", amount) for amount in money)


def test_opened_and_received_days_are_past_and_made_dates_too() -> None:
    for row in STOCK:
        for field in ("opened", "received"):
            assert not row[field] or date.fromisoformat(row[field]) <= PINNED
        tyre = ITEM[row["item"]]["kind"] == "tyre"
        if row["made"] and not tyre:
            assert PartialDate(row["made"]).last_day() <= PINNED
        assert not tyre or re.fullmatch(r"[0-5]\d\d\d", row["made"])


def test_no_stock_line_is_another_one_again() -> None:
    lots = [tuple(value for field, value in row.items() if field != "note") for row in STOCK]
    assert len(set(lots)) == len(lots)


def test_half_packets_are_there() -> None:
    part = [row for row in STOCK if int(row["quantity"]) % int(ITEM[row["item"]]["pack"])]
    assert ("pain tablets 500 mg", "13") in {(row["item"], row["quantity"]) for row in part}
    assert len(part) >= 10


def test_a_par_line_names_an_item_or_a_kind_once_for_each_box() -> None:
    assert all(bool(row["item"]) != bool(row["kind"]) for row in PARS)
    wants = [(row["box"], row["item"], row["kind"]) for row in PARS]
    assert len(set(wants)) == len(wants)


def test_kinds_that_have_a_par_are_counted_in_one_unit() -> None:
    for kind in {row["kind"] for row in PARS if row["kind"]}:
        assert len({row["unit"] for row in ITEMS if row["kind"] == kind}) == 1


def test_no_offer_stands_twice_and_several_items_have_two_suppliers() -> None:
    offers = [(row["supplier"], row["item"], row["pack"]) for row in OFFERS]
    assert len(set(offers)) == len(offers)
    sellers = {item: {row["supplier"] for row in OFFERS if row["item"] == item} for item in ITEM}
    assert sum(len(names) > 1 for names in sellers.values()) >= 5


def test_spring_count_is_eleven_weeks_for_three_and_a_week_of_margin() -> None:
    row = next(row for row in TRIPS if row["trip"] == "Spring count")
    trip = Trip(
        id=1,
        name=row["trip"],
        departs=date.fromisoformat(row["departs"]),
        returns=date.fromisoformat(row["returns"]),
        people=int(row["people"]),
        distance_km=int(row["distance_km"]),
        margin_days=int(row["margin_days"]),
    )
    assert (trip.returns - trip.departs).days + 1 == 11 * 7
    assert trip.people == 3
    assert trip.horizon == date(2027, 5, 2)


def test_first_aid_things_that_come_in_sizes_have_theirs_recorded() -> None:
    sized = ("plaster", "dressing", "gauze", "bandage", "tape", "blanket")
    for row in ITEMS:
        if row["item"].split(",")[0].split()[-1] in sized:
            assert row["width_mm"], row["item"]
