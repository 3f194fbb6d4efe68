"""The catalogue: adding, changing and retiring, from options and from files."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping
from datetime import date
from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest

from stockcheck.core.errors import BadFile, BadInput
from stockcheck.core.movements import Line, Movement, What
from stockcheck.store import bulk, catalogue, ledger, plans, reads
from stockcheck.store.files import Store, opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import create
from stockcheck.store.names import find_id

TODAY = date(2026, 11, 25)
STAMP = Stamp(TODAY, "2026-11-25T08:00:00+00:00")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Truck, with Water and Tyre kit inside; one item; one supplier with an offer; one trip."""
    path = tmp_path_factory.mktemp("made") / "kit.db"
    create(path, "Kit")
    with opened(path) as store, store.writing() as conn:
        bulk.add_text(conn, "box", {"box": "Truck"})
        bulk.add_text(conn, "box", {"box": "Water", "inside": "Truck"})
        bulk.add_text(conn, "box", {"box": "Tyre kit", "inside": "Truck"})
        bulk.add_text(conn, "item", {"item": "tyre patch", "kind": "tyre-patch"})
        bulk.add_text(conn, "supplier", {"supplier": "Corner shop", "lead_days": "2"})
        offer = {"supplier": "Corner shop", "item": "tyre patch", "pack": "5", "price": "12.40"}
        bulk.add_text(conn, "offer", offer)
        bulk.add_text(conn, "par", {"box": "Tyre kit", "item": "tyre patch", "quantity": "6"})
        days = {"departs": "2027-02-08", "returns": "2027-04-25"}
        bulk.add_text(conn, "trip", {"trip": "Spring count", **days})
    return path


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    with opened(copyfile(made, tmp_path / "kit.db")) as store:
        yield store


def add(store: Store, what: str, **fields: str) -> int:
    with store.writing() as conn:
        return bulk.add_text(conn, what, fields)


def change(store: Store, what: str, number: int, **fields: str) -> None:
    with store.writing() as conn:
        bulk.change_text(conn, what, number, fields)


def retire(store: Store, what: str, number: int) -> None:
    with store.writing() as conn:
        catalogue.retire(conn, what, number, TODAY)


def take_back(store: Store, what: str, number: int) -> None:
    with store.writing() as conn:
        catalogue.take_back(conn, what, number)


def row(store: Store, what: str, number: int) -> dict[str, Any]:
    found = store.conn.execute(f"SELECT * FROM {what} WHERE {what}_id = ?", (number,))
    names = [column[0] for column in found.description]
    return dict(zip(names, found.fetchone(), strict=True))


def put_in(store: Store, box: int, quantity: int) -> None:
    """So many more, or fewer, of one lot of tyre patches in a box."""
    with store.writing() as conn:
        if not reads.lots(conn):
            conn.execute("INSERT INTO lot (lot_id, code, item_id) VALUES (1, '1000000013', 1)")
        ledger.post(conn, [Movement(What.COUNTED, (Line(1, box, quantity),))], STAMP)


ADDED: list[tuple[str, dict[str, str], dict[str, Any]]] = [
    ("box", {"box": "Fridge", "climate": "4 °C", "note": "12 V"},
     {"name": "Fridge", "climate": "4 °C", "note": "12 V", "parent_id": None}),
    ("box", {"box": "  Small   pouch ", "inside": "B2"}, {"name": "Small pouch", "parent_id": 2}),
    ("item", {"item": "valve core", "kind": "tool"},
     {"unit": "each", "pack": 1, "importance": "essential", "width_mm": None}),
    ("item", {"item": "tape", "kind": "tool", "unit": "CM", "pack": "500", "width_mm": "25"},
     {"unit": "cm", "pack": 500, "width_mm": 25}),
    ("par", {"box": "water", "kind": "Tool", "quantity": "2", "importance": "Vital"},
     {"item_id": None, "quantity": 2, "importance": "vital"}),
    ("supplier", {"supplier": "Harbour"}, {"name": "Harbour", "lead_days": None}),
    ("offer", {"supplier": "corner SHOP", "item": "I1", "pack": "10", "price": "20"},
     {"pack": 10, "price_cents": 2000, "lead_days": None}),
    ("trip", {"trip": "Leap", "departs": "2028-02-29", "returns": "2028-02-29", "people": "3"},
     {"departs": "2028-02-29", "returns": "2028-02-29", "people": 3, "margin_days": 0}),
]  # fmt: skip


@pytest.mark.parametrize(("what", "fields", "expected"), ADDED)
def test_a_thing_is_added_with_what_was_said_and_usual_values_else(
    store: Store, what: str, fields: dict[str, str], expected: dict[str, Any]
) -> None:
    there = row(store, what, add(store, what, **fields))
    assert {name: there[name] for name in expected} == expected


WRONG: list[tuple[str, dict[str, str], str]] = [
    ("box", {}, "the name is missing. Write a name"),
    ("box", {"box": "Pouch", "inside": "Watr"},
     "--inside 'Watr': there is no box 'Watr'; did you mean 'Water'? Name a box that is there"),
    ("box", {"box": "Pouch", "note": "n" * 2001}, "is 2001 characters long"),
    ("item", {"item": "patch"}, "--kind is missing. Name a kind that is there"),
    ("item", {"item": "patch", "kind": "tyre-pach"}, "did you mean 'tyre-patch'"),
    ("item", {"item": "patch", "kind": "tool", "unit": "litre"},
     "--unit 'litre' is none of each, pair, tablet, ml, g, cm"),
    ("item", {"item": "patch", "kind": "tool", "pack": "0"}, "is not a whole number from 1 up"),
    ("item", {"item": "patch", "kind": "tool", "pack": "²"}, "is not a whole number from 1 up"),
    ("item", {"item": "patch", "kind": "tool", "gtin": "9520123000104"}, "is not a GTIN"),
    ("item", {"item": "patch", "kind": "tool", "gtin": "9520123000103 x0"}, "'x0' is not a GTIN"),
    ("item", {"item": "patch", "kind": "tool", "gtin": f"9520123000103 x{'9' * 30}"},
     "is not a GTIN"),
    ("par", {"box": "Water", "quantity": "1"}, "give an item or a kind, one of both"),
    ("par", {"box": "Water", "item": "tyre patch", "kind": "tool", "quantity": "1"},
     "give an item or a kind, one of both"),
    ("par", {"box": "Water", "item": "tyre patch", "quantity": "0"}, "from 1 up"),
    ("offer", {"supplier": "Corner shop", "item": "tyre patch", "pack": "1", "price": "12,4.0"},
     "Write it as 12.40"),
    ("trip", {"trip": "T", "departs": "2027-02-30", "returns": "2027-03-01"},
     "Write it as 2027-02-08"),
    ("trip", {"trip": "T", "departs": "today", "returns": "2027-03-01"}, "is not a day"),
    ("trip", {"trip": "T", "departs": "2027-03-02", "returns": "2027-03-01"},
     "the trip does not fit: it returns on or after the day it departs"),
    ("trip", {"trip": "T", "departs": "2027-03-01", "returns": "2027-03-02", "people": "0"},
     "from 1 up"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("what", "fields"),
    [
        ("box", {"box": "WATER"}), ("par", {"box": "Water", "quantity": "1"}),
        ("trip", {"trip": "T", "departs": "2027-03-02", "returns": "2027-03-01"}),
        ("item", {"item": "patch", "kind": "tool", "unit": "m"}),
    ],
)  # fmt: skip
def test_who_gave_options_is_told_of_options_and_of_no_line(
    store: Store, what: str, fields: dict[str, str]
) -> None:
    with pytest.raises(BadInput) as refused:
        add(store, what, **fields)
    assert "line" not in str(refused.value)
    with pytest.raises(BadFile, match=r"in\.csv, line 7, "), store.writing() as conn:
        bulk.add_lines(conn, what, "in.csv", [(7, fields)])


@pytest.mark.parametrize(("what", "fields", "words"), WRONG)
def test_what_is_wrong_is_told_with_field_value_and_remedy(
    store: Store, what: str, fields: dict[str, str], words: str
) -> None:
    before = list(store.conn.iterdump())
    with pytest.raises(BadInput) as refused:
        add(store, what, **fields)
    assert words in str(refused.value)
    assert list(store.conn.iterdump()) == before


@pytest.mark.parametrize("name", ["TYRE kit", "Tyre  Kit", "ｔｙｒｅ kit", "Tyre\u00a0kit"])
def test_a_name_in_another_case_or_form_of_letters_is_the_same_name(
    store: Store, name: str
) -> None:
    with pytest.raises(BadInput, match="there is a box 'Tyre kit' already; change that one"):
        add(store, "box", box=name)
    assert find_id(store.conn, "box", name) == 3


def test_cyrillic_names_are_names_as_others_are(store: Store) -> None:
    number = add(store, "box", box="Йодная аптечка")
    decomposed = unicodedata.normalize("NFD", "ЙОДНАЯ АПТЕЧКА")
    assert find_id(store.conn, "box", decomposed) == number
    with pytest.raises(BadInput, match="there is a box 'Йодная аптечка' already"):
        add(store, "box", box=decomposed)


@pytest.mark.parametrize("name", ["L12", "b3", "I1", "1000000013", "1000000010", "2000000018"])
@pytest.mark.parametrize("what", ["box", "item", "supplier", "trip"])
def test_a_name_that_reads_as_a_code_is_refused(store: Store, what: str, name: str) -> None:
    fields = {"kind": "tool", "departs": "2027-01-01", "returns": "2027-01-02", what: name}
    with pytest.raises(BadInput, match="would be read as a code"):
        add(store, what, **fields)


def test_a_name_that_does_not_print_is_refused(store: Store) -> None:
    with pytest.raises(BadInput, match=r"characters that do not print: U\+202E"):
        add(store, "box", box="Wa\u202eter")


def test_the_same_offer_and_the_same_par_level_stand_once(store: Store) -> None:
    par = {"box": "Tyre kit", "item": "tyre patch", "quantity": "9"}
    offer = {"supplier": "Corner shop", "item": "tyre patch", "pack": "5", "price": "11"}
    for what, fields in (("par", par), ("offer", offer)):
        with pytest.raises(
            BadInput, match=rf"there is an? {what} for that already; change that one"
        ):
            add(store, what, **fields)
        retire(store, what, 1)
        assert add(store, what, **fields) == 2
        with pytest.raises(BadInput, match="for that already"):
            take_back(store, what, 1)


CHANGES: list[tuple[str, dict[str, str], dict[str, Any]]] = [
    ("box", {"box": "Water and food", "note": "blue lid"},
     {"name": "Water and food", "name_key": "water and food", "note": "blue lid"}),
    ("box", {"inside": ""}, {"parent_id": None, "name": "Water"}),
    ("item", {"pack": "", "size": "", "importance": "", "unit": ""},
     {"pack": 1, "size": "", "importance": "essential", "unit": "each"}),
    ("item", {"unit": "pair"}, {"unit": "pair"}),
    ("supplier", {"lead_days": ""}, {"lead_days": None}),
    ("offer", {"price": "13.10", "lead_days": "9"}, {"price_cents": 1310, "lead_days": 9}),
    ("par", {"item": "", "kind": "tool"}, {"item_id": None}),
    ("trip", {"people": "", "margin_days": "7"}, {"people": 1, "margin_days": 7}),
]  # fmt: skip


@pytest.mark.parametrize(("what", "fields", "expected"), CHANGES)
def test_a_change_changes_the_fields_named_and_an_empty_text_clears_one(
    store: Store, what: str, fields: dict[str, str], expected: dict[str, Any]
) -> None:
    number = 2 if what == "box" else 1
    before = row(store, what, number)
    change(store, what, number, **fields)
    after = row(store, what, number)
    assert {name: after[name] for name in expected} == expected
    untouched = before.keys() - expected.keys() - {"kind_id"}
    assert {name: after[name] for name in untouched} == {name: before[name] for name in untouched}


@pytest.mark.parametrize(
    ("what", "fields", "words"),
    [
        ("box", {}, "nothing to change"),
        ("box", {"box": ""}, "--rename is empty. Write a name"),
        ("item", {"kind": ""}, "--kind is empty"),
        ("par", {"box": ""}, "--box is empty"),
        ("par", {"kind": "tool"}, "it is for an item or for a kind, one of both"),
        ("trip", {"returns": "2027-02-07"}, "it returns on or after the day it departs"),
        ("box", {"box": "tyre KIT"}, "there is a box 'Tyre kit' already"),
    ],
)
def test_a_change_that_does_not_fit_is_refused(
    store: Store, what: str, fields: dict[str, str], words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        change(store, what, 2 if what == "box" else 1, **fields)


@pytest.mark.parametrize("inside", ["Truck", "Water", "Bottle pouch"])
def test_a_box_is_never_inside_itself_at_any_depth(store: Store, inside: str) -> None:
    add(store, "box", box="Bottle pouch", inside="Water")
    with pytest.raises(BadInput, match="it cannot be inside itself"):
        change(store, "box", 1, inside=inside)
    change(store, "box", 4, inside="Tyre kit")


def test_a_unit_does_not_change_under_stock(store: Store) -> None:
    put_in(store, 2, 10)
    with pytest.raises(BadInput, match="its stock was counted in each; make a new item"):
        change(store, "item", 1, unit="ml")
    change(store, "item", 1, unit="each", pack="5")


def gtins(store: Store) -> tuple[str, ...]:
    return reads.items(store.conn)[0].gtins


def test_makers_codes_of_an_item_are_added_and_cleared(store: Store) -> None:
    change(store, "item", 1, gtin="9520123000103 x30; 9520123000110")
    change(store, "item", 1, gtin="09520123000103 x50")
    assert gtins(store) == ("09520123000103", "09520123000110")
    assert find_id(store.conn, "item", "9520123000103") == 1
    counts = store.conn.execute("SELECT quantity FROM item_gtin ORDER BY gtin").fetchall()
    assert counts == [(50,), (1,)]
    change(store, "item", 1, gtin="")
    assert gtins(store) == ()


def test_a_maker_s_code_is_that_of_the_usual_pack_unless_told_otherwise(store: Store) -> None:
    tablets = {"item": "pain tablets", "kind": "tablets-blister", "unit": "tablet", "pack": "20"}
    number = add(store, "item", **tablets, gtin="9520123000103 9520123000110 x200")
    item = reads.items(store.conn, only=[number])[0]
    assert item.maker_codes == ("09520123000103", "09520123000110 x200")
    assert item.gtin_units == (20, 200)
    change(store, "item", number, pack="24")
    assert reads.items(store.conn, only=[number])[0].gtin_units == (24, 200)


def test_a_maker_s_code_belongs_to_one_item(store: Store) -> None:
    change(store, "item", 1, gtin="9520123000103")
    with pytest.raises(BadInput, match="GTIN 09520123000103 is the code of 'tyre patch' already"):
        add(store, "item", item="other patch", kind="tyre-patch", gtin="9520123000103")


@pytest.mark.parametrize("what", ["box", "item", "supplier", "offer", "par", "trip"])
def test_what_is_retired_leaves_the_lists_keeps_its_row_and_can_be_taken_back(
    store: Store, what: str
) -> None:
    lists: Mapping[str, Any] = {
        "box": reads.boxes, "item": reads.items, "supplier": plans.suppliers,
        "offer": plans.offers, "par": plans.pars, "trip": plans.trips,
    }  # fmt: skip
    number = 2 if what == "box" else 1
    before = lists[what](store.conn)
    retire(store, what, number)
    assert [each.id for each in lists[what](store.conn)] == [
        each.id for each in before if each.id != number
    ]
    assert row(store, what, number)["retired_on"] == "2026-11-25"
    with pytest.raises(BadInput, match="is out of use since 2026-11-25 already"):
        retire(store, what, number)
    take_back(store, what, number)
    assert lists[what](store.conn) == before
    with pytest.raises(BadInput, match="there is nothing to take back"):
        take_back(store, what, number)


def test_the_name_of_a_retired_thing_is_told_with_the_way_back(store: Store) -> None:
    retire(store, "box", 2)
    with pytest.raises(BadInput) as refused:
        add(store, "box", box="water")
    assert str(refused.value) == (
        "there is a box 'Water' already, out of use since 2026-11-25."
        ' Take it back: box retire "Water" --undo'
    )


@pytest.mark.parametrize(
    ("what", "number", "name"), [("box", 2, "Water"), ("item", 1, "tyre patch")]
)
def test_what_still_holds_stock_is_not_retired(
    store: Store, what: str, number: int, name: str
) -> None:
    put_in(store, 2, 10)
    with pytest.raises(BadInput) as refused:
        retire(store, what, number)
    assert str(refused.value) == (
        f"{what} {name!r} still has a holding; move it or write it off first"
    )
    put_in(store, 2, -10)
    retire(store, what, number)


def test_a_box_with_boxes_inside_is_not_retired(store: Store) -> None:
    with pytest.raises(
        BadInput, match="box 'Truck' still has 'Tyre kit' and 'Water' inside; retire"
    ):
        retire(store, "box", 1)


def test_retired_items_and_boxes_take_their_par_levels_and_offers_out_of_the_lists(
    store: Store,
) -> None:
    retire(store, "item", 1)
    assert (plans.pars(store.conn), plans.offers(store.conn)) == ([], [])


def test_every_bad_line_of_a_file_is_told_and_none_of_it_kept(store: Store) -> None:
    lines = [
        (2, {"item": "valve", "kind": "tool"}),
        (3, {"item": "VALVE", "kind": "tool"}),
        (4, {"item": "", "kind": "tol"}),
        (5, {"item": "cap", "kind": "tool", "pack": "many", "gtin": "12"}),
    ]
    with pytest.raises(BadFile) as refused, store.writing() as conn:
        bulk.add_lines(conn, "item", "items.csv", lines)
    told = [(each.line, each.field, each.value) for each in refused.value.problems]
    assert told == [
        (3, "item", "VALVE"), (4, "item", ""), (4, "kind", "tol"), (5, "pack", "many"),
        (5, "gtin", "12"),
    ]  # fmt: skip
    assert all(each.file == "items.csv" and each.remedy for each in refused.value.problems)
    assert [each.name for each in reads.items(store.conn)] == ["tyre patch"]


def test_a_line_may_name_a_box_of_a_line_above_it(store: Store) -> None:
    lines = [(2, {"box": "Fridge"}), (3, {"box": "Drawer", "inside": "fridge"})]
    with store.writing() as conn:
        assert bulk.add_lines(conn, "box", "boxes.csv", lines) == 2
    found = reads.boxes(store.conn)
    assert [reads.place(found, box) for box in found][:2] == ["Fridge", "Fridge / Drawer"]
