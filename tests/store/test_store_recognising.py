"""What a text is in a store: our codes and their slips, names, batches, makers' codes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from shutil import copyfile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stockcheck.core.actions import Action
from stockcheck.core.codes import gtin_check_digit, make_code
from stockcheck.core.intake import DateRules, Shelves, read_lines
from stockcheck.core.model import State
from stockcheck.core.movements import hold
from stockcheck.core.recognising import MakerCode, Match, Recognised, Sort
from stockcheck.store import bulk, catalogue, ledger, reads, recalls
from stockcheck.store.files import Store, opened
from stockcheck.store.ledger import Stamp
from stockcheck.store.migrate import create
from stockcheck.store.receiving import receive
from stockcheck.store.recognising import recognise

TODAY = date(2026, 11, 25)
STAMP = Stamp(TODAY, "2026-11-25T08:00:00+00:00")
# Invented numbers of a prefix that GS1 uses in its own examples (0952).
ONE, TEN, CASE = "09520123000103", "09520123000110", "19520123000100"
UNKNOWN = "09520123000998"


def known(line: dict[str, str]) -> dict[str, str]:
    return {"box": "Water", "item": "water tablet", "quantity": "10"} | line


LOTS = [
    known({"batch": "W113", "expiry": "EXP 11/2027", "gtin": ONE}),
    known({"batch": "W114", "expiry": "EXP 2028-02-29", "gtin": ONE}),
    known({"batch": "W115", "quantity": "1"}),
    known({"batch": "", "expiry": "EXP 2028-05-31"}),
    {"box": "Ящик", "item": "eye drops", "quantity": "1", "batch": "SHARED"},
    {"box": "Water", "item": "eye drops", "quantity": "1", "batch": "SHARED",
     "expiry": "EXP 06/2028"},
]  # fmt: skip


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("made") / "kit.db"
    create(path, "Kit")
    with opened(path) as store, store.writing() as conn:
        for name in ("Water", "Ящик", "Count"):
            bulk.add_text(conn, "box", {"box": name})
        tablet = {"item": "water tablet", "kind": "chlorine-dioxide-tablets", "unit": "tablet"}
        bulk.add_text(conn, "item", tablet | {"gtin": f"{ONE} {TEN} x10"})
        drops = {"item": "eye drops", "kind": "eye-drops", "gtin": "95050003"}
        bulk.add_text(conn, "item", drops)
        bulk.add_text(conn, "item", {"item": "old tube", "kind": "rtv-silicone"})
        shelves = Shelves.of(reads.boxes(conn), reads.items(conn), [])
        found, problems = read_lines("x", list(enumerate(LOTS)), shelves, DateRules(TODAY))
        assert not problems
        receive(conn, found, STAMP)
        catalogue.retire(conn, "item", 3, TODAY)
        catalogue.retire(conn, "box", 3, TODAY)
    return path


@pytest.fixture
def store(made: Path, tmp_path: Path) -> Iterator[Store]:
    with opened(copyfile(made, tmp_path / "kit.db")) as store:
        yield store


def look(store: Store, text: str) -> Recognised:
    return recognise(store.conn, text, TODAY)


def maker(store: Store, text: str) -> MakerCode:
    found = look(store, text).maker
    assert found is not None, look(store, text)
    return found


@pytest.mark.parametrize(
    ("text", "sort", "title"),
    [
        (make_code("lot", 1), Sort.LOT, "L1 water tablet"),
        ("l2", Sort.LOT, "L2 water tablet"),
        (f"]C0{make_code('box', 1)}", Sort.BOX, "B1 Water"),
        ("WATER", Sort.BOX, "B1 Water"),
        ("ящик", Sort.BOX, "B2 Ящик"),
        ("I2", Sort.ITEM, "I2 eye drops"),
        ("Eye  Drops", Sort.ITEM, "I2 eye drops"),
        ("w113", Sort.LOT, "L1 water tablet"),
        (Action.UNDO.code, Sort.ACTION, "action undo"),
        ("write-off", Sort.ACTION, "action write off"),
        ("EXP 11/2027", Sort.DATE, "a date, good through 30 NOV 2027"),
    ],
)
def test_what_a_text_is(store: Store, text: str, sort: Sort, title: str) -> None:
    found = look(store, text)
    assert (found.sort, found.title) == (sort, title)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("L10", "there is no lot L10 in this store; did you mean 1000000013 (L1, water tablet)?"),
        (make_code("lot", 777), "there is no lot L777 in this store"),
        ("1000000031", "1000000031 is not one of our codes: its check digit is wrong; did you"),
        ("100000013", "100000013 is not one of our codes; did you mean 1000000013 (L1,"),
        ("Watr", "nothing here is called 'Watr'; did you mean 2000000018 (B1, Water)"),
        ("wrte off", "did you mean 9000000044 (write off)"),
        ("SHARED", "batch SHARED is that of 2 lots; name the lot; did you mean"),
        (make_code("action", 99), "there is no action 99"),
        ("&àààààààà\"", "looks typed through a French keyboard"),
        ("", "nothing here is called ''"),
        ("x" * 5000, "nothing here is called 'xxx"),
    ],
)  # fmt: skip
def test_what_is_not_known_is_told_with_what_may_have_been_meant(
    store: Store, text: str, words: str
) -> None:
    found = look(store, text)
    assert found.sort is Sort.UNKNOWN
    assert words in found.complaint
    assert len(found.complaint) < 400


def test_what_is_out_of_use_is_told_to_be(store: Store) -> None:
    assert "out of use since 2026-11-25" in look(store, "B3").problem
    assert look(store, "I3").retired_on == TODAY


def test_a_word_of_an_action_is_the_action_though_a_box_is_called_so(store: Store) -> None:
    assert look(store, "count").sort is Sort.ACTION


class TestMakersCodes:
    @pytest.mark.parametrize(
        ("code", "match", "lots"),
        [
            (f"(01){ONE}(17)271130(10)W113", Match.LOT, ["L1"]),
            (f"(01){ONE}(17)271100(10)w113", Match.LOT, ["L1"]),
            (f"(01){TEN}(17)271130(10)W113", Match.LOT, ["L1"]),
            (f"(01){ONE}(10)W113", Match.LOT, ["L1"]),
            (f"(01){ONE}(17)280531", Match.LOT, ["L4"]),
            (f"(01){ONE}(17)280229(10)W114", Match.LOT, ["L2"]),
            (f"(01){ONE}(17)271031(10)W113", Match.NEW, []),
            (f"(01){ONE}(17)290630(10)W999", Match.NEW, []),
            (f"(01){ONE}(17)290630", Match.NEW, []),
            (ONE, Match.ITEM, ["L4", "L3", "L2", "L1"]),
            (ONE[1:], Match.ITEM, ["L4", "L3", "L2", "L1"]),
            ("95050003", Match.ITEM, ["L6", "L5"]),
            (f"(01){UNKNOWN}(10)W113", Match.UNKNOWN, []),
            ("(00)095060001343520000", Match.NO_GTIN, []),
        ],
    )
    def test_how_a_code_fits_what_is_known(
        self, store: Store, code: str, match: Match, lots: list[str]
    ) -> None:
        found = maker(store, code)
        assert found.match is match
        assert [lot.short for lot in found.lots] == lots

    def test_a_batch_whose_date_was_never_written_down_is_pointed_out(self, store: Store) -> None:
        found = maker(store, f"(01){ONE}(17)271130(10)W115")
        assert found.match is Match.NEW
        assert "L3 has the same batch with another date (no date)" in found.warnings[0]

    @pytest.mark.parametrize(
        ("code", "units"),
        [
            (f"(01){ONE}", 1),
            (f"(01){TEN}", 10),
            (f"(01){TEN}(30)3", 30),
            (f"(02){ONE}(37)24", 24),
            (f"(02){TEN}(37)24", 240),
            (f"(01){ONE}(30)99999999", 99_999_999),
        ],
    )
    def test_units_are_the_count_in_the_code_times_those_of_the_pack(
        self, store: Store, code: str, units: int
    ) -> None:
        assert maker(store, code).units == units

    def test_another_packing_level_of_a_known_gtin_is_seen(self, store: Store) -> None:
        level = f"2{ONE[1:13]}"
        found = maker(store, f"(01){level}{gtin_check_digit(level)}")
        assert found.match is Match.UNKNOWN
        assert found.level_of is not None
        assert found.level_of.name == "water tablet"

    def test_a_date_past_is_told(self, store: Store) -> None:
        assert maker(store, f"(01){ONE}(17)261124(10)Z").expired
        assert not maker(store, f"(01){ONE}(17)261125(10)Z").expired

    def test_a_batch_on_hold_anywhere_is_told(self, store: Store) -> None:
        held = reads.holdings(store.conn, lot_ids=[1])[0]
        with store.writing() as conn:
            ledger.post(conn, [hold(held, 1, "puffed foil")], STAMP)
        assert maker(store, f"(01){ONE}(17)271130(10)w113").held_lots == (1,)

    def test_a_recalled_batch_is_told_though_its_gtin_is_new_here(self, store: Store) -> None:
        with store.writing() as conn:
            recalls.add_recall(conn, None, UNKNOWN, "Z9", "", STAMP)
            recalls.add_recall(conn, 1, "", "W113", "", STAMP)
        assert maker(store, f"(01){UNKNOWN}(10)z9").recall is not None
        assert maker(store, f"(01){UNKNOWN}(10)z8").recall is None
        assert maker(store, f"(01){TEN}(10)W113").recall is not None

    def test_the_lots_on_hand_come_first(self, store: Store) -> None:
        held = reads.holdings(store.conn, lot_ids=[4])[0]
        with store.writing() as conn:
            from stockcheck.core.movements import issue

            ledger.post(conn, issue(held, held.quantity, TODAY), STAMP)
        assert [lot.id for lot in maker(store, ONE).lots] == [3, 2, 1]
        assert [lot.on_hand for lot in maker(store, f"(01){ONE}(17)280531").lots] == [0]

    @pytest.mark.parametrize("stand_in", ["\x1d", "{GS}", "^]", "|", "[FNC1]", "\u241d", "\\x1d"])
    def test_what_scanners_send_for_fnc1_is_understood(self, store: Store, stand_in: str) -> None:
        found = maker(store, f"]d201{ONE}10W113{stand_in}17271130\r\n")
        assert [lot.short for lot in found.lots] == ["L1"]

    def test_a_link_is_the_same_code(self, store: Store) -> None:
        found = maker(store, f"https://example.org/01/{ONE}/10/W113?17=271130")
        assert [lot.short for lot in found.lots] == ["L1"]

    def test_eight_digits_that_could_be_two_things_are_what_is_known_here(
        self, store: Store
    ) -> None:
        """20271114 is a date and a GTIN-8 of restricted use with a right check digit as well."""
        assert look(store, "20271114").sort is Sort.DATE
        with store.writing() as conn:
            catalogue.add_gtins(conn, 2, [("00000020271114", 1)])
        assert look(store, "20271114").name == "eye drops"

    def test_a_upc_e_is_taken_where_its_long_form_is_known(self, store: Store) -> None:
        """04252614 is UPC-E for 042100005264: the example in biip's documentation of Upc."""
        assert look(store, "04252614").sort is not Sort.MAKER
        with store.writing() as conn:
            catalogue.add_gtins(conn, 2, [("00042100005264", 6)])
        found = maker(store, "04252614")
        assert (found.item and found.item.name, found.units) == ("eye drops", 6)

    def test_a_batch_written_down_in_another_way_is_the_same_batch(self, store: Store) -> None:
        with store.writing() as conn:
            conn.execute("UPDATE lot SET batch = 'LOT w 113' WHERE lot_id = 1")
        found = maker(store, f"(01){ONE}(17)271130(10)W113")
        assert [lot.short for lot in found.lots] == ["L1"]

    def test_a_gtin_with_a_slip_is_named_with_the_nearest_known(self, store: Store) -> None:
        wrong = f"{ONE[:-2]}{ONE[-1]}{ONE[-2]}"
        found = look(store, wrong)
        assert found.sort is Sort.UNKNOWN
        assert "check digit is wrong" in found.complaint
        assert f"did you mean {ONE} (I1, water tablet)" in found.complaint

    @pytest.mark.parametrize("code", [f"(01){ONE[:-1]}9", f"(01){ONE}(17)271345", "]C1", "]E0123"])
    def test_a_broken_code_is_told_and_never_taken(self, store: Store, code: str) -> None:
        found = look(store, code)
        assert not found.known
        assert found.complaint


def test_every_state_is_found_by_its_label(store: Store) -> None:
    held = reads.holdings(store.conn, lot_ids=[1])[0]
    with store.writing() as conn:
        ledger.post(conn, [hold(held, held.quantity, "wet")], STAMP)
    assert reads.holdings(store.conn, lot_ids=[1])[0].state is State.HELD
    assert look(store, "L1").known


@given(st.text(max_size=60))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_whatever_is_scanned_gets_an_answer(store: Store, text: str) -> None:
    found = look(store, text)
    assert found.known or found.complaint or found.sort is Sort.DATE
