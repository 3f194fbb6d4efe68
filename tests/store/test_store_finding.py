"""Finding: full-text search over everything, and names from what people type or scan."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stockcheck.core.errors import UnknownName
from stockcheck.core.intake import DateRules, Shelves, read_lines
from stockcheck.store import bulk, kinds, lots, reads
from stockcheck.store.files import Store, opened
from stockcheck.store.finding import search
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import create
from stockcheck.store.names import find_id, find_kind, find_stock
from stockcheck.store.receiving import receive

TODAY = date(2026, 11, 25)
STAMP = Stamp(TODAY, "2026-11-25T08:00:00+00:00")
ITEMS = (
    {"item": "Crème brûlure, 20 g", "kind": "cream", "note": "petit tube", "unit": "g"},
    {"item": "йод, флакон 10 мл", "kind": "antiseptic-solution", "gtin": "9520123000103"},
    {"item": "tyre patch, round, 45 mm", "kind": "tyre-patch", "size": "45 mm"},
)
LOTS = (
    {"item": "Crème brûlure, 20 g", "batch": "W6120-4/A", "expiry": "EXP 11/2027"},
    {"item": "йод, флакон 10 мл", "batch": "1.05", "note": "Ящик слева"},
    {"item": "tyre patch, round, 45 mm", "batch": "P4471", "gtin": "9520123000110"},
    {"item": "tyre patch, round, 45 mm", "batch": "P4471", "note": "second tin"},
)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("made") / "kit.db"
    create(path, "Kit")
    with opened(path) as store, store.writing() as conn:
        bulk.add_text(conn, "box", {"box": "Tyre kit", "note": "orange crate"})
        bulk.add_text(conn, "supplier", {"supplier": "Pier stall", "note": "cash, no cards"})
        days = {"departs": "2027-02-08", "returns": "2027-04-25"}
        bulk.add_text(conn, "trip", {"trip": "Dune walk", "note": "two jerrycans", **days})
        for item in ITEMS:
            bulk.add_text(conn, "item", item)
        numbered = [(n, {"box": "Tyre kit", "quantity": "3", **lot}) for n, lot in enumerate(LOTS)]
        shelves = Shelves.of(reads.boxes(conn), reads.items(conn), [])
        arrivals, problems = read_lines("lots.csv", numbered, shelves, DateRules(TODAY))
        assert not problems
        receive(conn, arrivals, STAMP)
    return path


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    with opened(copyfile(made, tmp_path / "kit.db")) as store:
        yield store


@pytest.fixture(scope="module")
def unchanged(made: Path) -> Iterator[Store]:
    with opened(made) as store:
        yield store


def found(store: Store, text: str) -> set[str]:
    """What is found, as L1, I2, B1, S1, T1; kinds by their name."""
    return {
        hit.title if hit.type == "kind" else f"{hit.type[0].upper()}{hit.id}"
        for hit in search(store.conn, text)
    }


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("patch tyre round", {"I3", "L3", "L4"}),
        ("ROUND pat", {"I3", "L3", "L4"}),
        ("creme brulure", {"I1", "L1"}),
        ("CRÈME", {"I1", "L1"}),
        ("petit", {"I1"}),
        ("Йод", {"I2", "L2"}),
        ("ФЛАКОН йод", {"I2", "L2"}),
        ("ящик", {"L2"}),
        ("W6120-4/A", {"L1"}),
        ("w6120", {"L1"}),
        ("6120", set()),
        ("1.05", {"L2"}),
        ("p4471", {"L3", "L4"}),
        ("p4471 second", {"L4"}),
        ("EXP 11/2027", {"L1"}),
        ("1000000013", {"L1"}),
        ("L1", {"L1"}),
        ("09520123000110", {"L3"}),
        ("orange crate", {"B1"}),
        ("pier", {"S1"}),
        ("cash cards", {"S1"}),
        ("walk dune", {"T1"}),
        ("two jerrycans", {"T1"}),
        ("nothing of the sort", set()),
        ("", set()),
        ("  ", set()),
    ],
)
def test_words_find_things_by_their_beginnings_in_any_order(
    unchanged: Store, text: str, expected: set[str]
) -> None:
    assert found(unchanged, text) == expected


def test_a_word_of_a_kind_finds_the_kind_its_items_and_its_lots(unchanged: Store) -> None:
    assert {"I1", "L1"} <= found(unchanged, "cream")
    assert any(hit.type == "kind" for hit in search(unchanged.conn, "cream"))


@pytest.mark.parametrize("text", ["Йод", "Crème brûlure"])
def test_letters_put_together_from_parts_find_the_same(unchanged: Store, text: str) -> None:
    parts = unicodedata.normalize("NFD", text)
    assert parts != text
    assert found(unchanged, parts) == found(unchanged, text) != set()


@pytest.mark.parametrize(
    "text",
    ['"', "*", "tyre*", 'tyre"', "AND", "tyre AND", "NEAR(", "NEAR(tyre patch)", "-tyre", "- ",
     "title:tyre", "tyre OR", "(", "^tyre", "tyre + patch", "{title}: tyre", "'; DROP TABLE lot",
     "\u0301", "tyre \u0301", "\x00tyre", "\u202etyre", "a" * 10_000, "a " * 10_000],
)  # fmt: skip
def test_signs_of_the_search_language_are_only_text(unchanged: Store, text: str) -> None:
    search(unchanged.conn, text)
    assert found(unchanged, "tyre round") == {"I3", "L3", "L4"}


@settings(deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(max_size=40))
def test_any_text_can_be_looked_for(unchanged: Store, text: str) -> None:
    search(unchanged.conn, text)


def test_what_is_renamed_is_found_by_its_new_name_and_not_by_its_old(store: Store) -> None:
    with store.writing() as conn:
        bulk.change_text(conn, "item", 3, {"item": "disc for tubes"})
        bulk.change_text(conn, "box", 1, {"box": "Wheels"})
        bulk.change_text(conn, "supplier", 1, {"supplier": "Quay stall", "note": "till noon"})
        bulk.change_text(conn, "trip", 1, {"trip": "Ridge walk"})
        lots.change_lot(conn, 3, {"batch": "Q9"}, STAMP, "misread")
    assert found(store, "disc") == {"I3", "L3", "L4"}
    assert found(store, "round") == set()
    assert found(store, "wheels") == {"B1"}
    assert found(store, "q9") == {"L3"}
    assert [found(store, word) for word in ("quay", "noon", "ridge")] == [{"S1"}, {"S1"}, {"T1"}]
    assert [found(store, word) for word in ("pier", "cash", "dune")] == [set()] * 3


def test_an_item_of_another_kind_is_found_by_that_kind(store: Store) -> None:
    with store.writing() as conn:
        bulk.change_text(conn, "item", 3, {"kind": "cloth-tape"})
    assert {"I3", "L3", "L4"} <= found(store, "cloth tape")


def test_a_renamed_kind_is_found_with_all_that_is_of_it(store: Store) -> None:
    with store.writing() as conn:
        kinds.change_kind(conn, "tyre-patch", {"name": "zebra plaster"})
    assert found(store, "zebra") == {"zebra plaster", "I3", "L3", "L4"}


@pytest.mark.parametrize(
    ("what", "text", "number"),
    [
        ("box", "TYRE kit", 1), ("box", "b1", 1), ("box", "2000000018", 1), ("box", " B1 ", 1),
        ("item", "ЙОД,  флакон 10 мл", 2), ("item", "I2", 2), ("item", "9520123000103", 2),
        ("item", "09520123000103", 2), ("lot", "L3", 3), ("lot", "l3", 3), ("lot", "1000000013", 1),
    ],
)  # fmt: skip
def test_a_thing_is_meant_by_name_short_form_code_or_makers_code(
    unchanged: Store, what: str, text: str, number: int
) -> None:
    assert find_id(unchanged.conn, what, text) == number


@pytest.mark.parametrize(
    ("what", "text", "words"),
    [
        ("box", "Tyre kti", "there is no box 'Tyre kti'; did you mean 'Tyre kit'?"),
        ("box", "zzz", "there is no box 'zzz'; 'box list' shows them all"),
        ("box", "B9", "there is no box 'B9'; 'box list' shows them all"),
        ("box", "L3", "L3 is the code of a lot; a box is wanted here"),
        ("lot", "L99", "there is no lot 'L99'; 'find' looks for it by name, batch or note"),
        (
            "lot",
            "1000000018",
            (
                "1000000018 is not one of our codes: its check digit is wrong; did you mean"
                " 1000000048 (L4, tyre patch, round, 45 mm) or 1000000013 (L1, Crème"
                " brûlure, 20 g)?"
            ),
        ),
        (
            "box",
            "7000000018",
            "there is no box '7000000018'; did you mean 2000000018 (B1, Tyre kit)?",
        ),
        ("item", "iod", "there is no item 'iod'; 'item list' shows them all"),
        ("trip", "L3", "there is no trip 'L3'; 'trip list' shows them all"),
    ],
)
def test_what_is_not_there_is_told_with_what_is_near(
    unchanged: Store, what: str, text: str, words: str
) -> None:
    with pytest.raises(UnknownName) as unknown:
        find_id(unchanged.conn, what, text)
    assert str(unknown.value) == words


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("cyanoacrylate", "cyanoacrylate"),
        ("instant glue", "cyanoacrylate"),
        ("Instant-Glue", "cyanoacrylate"),
        ("INSTANTGLUE", "cyanoacrylate"),
        ("shoe glue", "contact-adhesive"),
        ("eye drops", "eye-drops"),
    ],
)
def test_a_kind_is_meant_by_any_word_it_goes_by_whatever_its_blanks_and_signs(
    unchanged: Store, text: str, key: str
) -> None:
    assert find_kind(unchanged.conn, text)[1] == key


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("O-ring", "'O-ring' is said of several kinds; name one of them: 'seal-group-a', "),
        ("instant gleu", "there is no kind 'instant gleu'; did you mean 'instant glue'"),
        ("qqqqq", "there is no kind 'qqqqq'; 'kind list' shows them all"),
        ("--", "there is no kind '--'; 'kind list' shows them all"),
    ],
)
def test_a_kind_that_is_not_meant_for_sure_is_told_with_what_is_near(
    unchanged: Store, text: str, words: str
) -> None:
    with pytest.raises(UnknownName) as unknown:
        find_kind(unchanged.conn, text)
    assert str(unknown.value).startswith(words)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("L3", ([3], None)),
        ("1000000013", ([1], None)),
        ("I3", (None, [3])),
        ("tyre patch, round, 45 mm", (None, [3])),
        ("w6120-4/a", ([1], None)),
        ("1.05", ([2], None)),
    ],
)
def test_stock_is_meant_by_lot_item_or_a_batch_that_is_one_lot_s(
    unchanged: Store, text: str, expected: tuple[list[int] | None, list[int] | None]
) -> None:
    assert find_stock(unchanged.conn, text) == expected


def test_a_batch_of_several_lots_names_them(unchanged: Store) -> None:
    with pytest.raises(UnknownName) as unknown:
        find_stock(unchanged.conn, "P4471")
    assert str(unknown.value) == "batch 'P4471' is that of L3 and L4; name the lot"
    with pytest.raises(UnknownName, match="there is no item ''"):
        find_stock(unchanged.conn, "")
