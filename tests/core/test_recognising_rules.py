"""Makers' codes held against a store: units, dates, packing levels, what must be said."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from biip.gtin import Gtin
from hypothesis import given
from hypothesis import strategies as st
from stdnum import ean

from given import item, kind
from stockcheck.core.intake_dates import DateRules, read_expiry
from stockcheck.core.meaning import Meaning
from stockcheck.core.model import DateContext
from stockcheck.core.reading import read_any
from stockcheck.core.recalls import Recall
from stockcheck.core.recognising import (
    KnownLot,
    MakerCode,
    Match,
    Near,
    Recognised,
    Sort,
    packing_levels,
    printed_expiry,
    units_of,
)

TODAY = date(2026, 11, 25)


def meaning(text: str) -> Meaning:
    return read_any(text, TODAY, "general", None)


@pytest.mark.parametrize(
    ("pack", "count", "units"), [(1, None, 1), (10, None, 10), (10, 3, 30), (1, 24, 24), (5, 0, 5)]
)
def test_a_pack_s_own_quantity_and_the_count_in_the_code_multiply(
    pack: int, count: int | None, units: int
) -> None:
    assert units_of(pack, count) == units


@pytest.mark.parametrize(
    ("code", "text", "reading"),
    [
        ("(01)09506000134352(17)290228", "EXP 2029-02-28", "2029-02-28"),
        ("(01)09506000134352(17)290200", "EXP 2029-02", "2029-02"),
        ("(01)09506000134352(15)290228", "BEST BEFORE END 2029-02-28", "2029-02-28"),
        ("(01)09506000134352(15)290200", "BEST BEFORE END 2029-02", "2029-02"),
        ("(01)09506000134352(15)290228(17)290328", "EXP 2029-03-28", "2029-03-28"),
        ("(01)09506000134352(7003)2902281530", "EXP 2029-02-28", "2029-02-28"),
        ("(01)09506000134352(7003)2902280000", "EXP 2029-02-27", "2029-02-27"),
        ("(01)09506000134352(16)290101(17)290328", "EXP 2029-03-28", "2029-03-28"),
        ("(01)09506000134352(15)280229(16)280101", "BEST BEFORE END 2028-02-29", "2028-02-29"),
    ],
)
def test_a_scanned_date_is_kept_as_a_text_that_reads_the_same(
    code: str, text: str, reading: str
) -> None:
    """GS1 General Specifications, sections 3.4.4 to 3.4.7: day 00 is the month's last day."""
    found = printed_expiry(meaning(code))
    assert found is not None
    assert (found.text, found.reading.iso) == (text, reading)
    for context in DateContext:
        again = read_expiry(found.text, context, DateRules(TODAY))
        assert again is not None
        assert again.last_usable_day == found.last_usable_day == meaning(code).last_usable_day


def test_a_code_without_a_date_has_none_to_keep() -> None:
    assert printed_expiry(meaning("(01)09506000134352(10)AB")) is None
    assert printed_expiry(meaning("(01)09506000134352(16)290101")) is None


@given(st.integers(0, 10**12 - 1))
def test_packing_levels_are_gtins_of_the_same_item(body: int) -> None:
    """The check digits against python-stdnum and biip."""
    digits = f"0{body:012d}"
    gtin = digits + ean.calc_check_digit(digits)
    levels = packing_levels(gtin)
    assert len(levels) == 8
    assert gtin not in levels
    for level in levels:
        assert ean.is_valid(level)
        assert level[1:13] == gtin[1:13]
        assert gtin in packing_levels(level)
        Gtin.parse(level)


def test_a_variable_measure_is_no_packing_level() -> None:
    """Indicator 9 (GS1 General Specifications, section 2.1.9) is something else."""
    assert all(level[0] != "9" for level in packing_levels("09506000134352"))


def maker(text: str = "(01)09506000134352(17)251130(10)AB", **more: Any) -> MakerCode:
    given: dict[str, Any] = {"match": Match.NEW, "item": item(kind(), "eye drops")} | more
    return MakerCode(meaning(text), **given)


def test_what_speaks_against_a_pack_is_said_the_worst_first() -> None:
    recall = Recall(3, 1, "eye drops", "", "AB", "", date(2026, 11, 1))
    lot = KnownLot(4, "AB", date(2027, 1, 31), 2)
    said = maker(recall=recall, held_lots=(4, 5), expired=True, other_dates=(lot,)).warnings
    assert [words.split(":")[0] for words in said] == [
        "RECALLED", "this batch is ON HOLD as L4 and L5", "EXPIRED",
        "L4 has the same batch with another date (31 JAN 2027)",
    ]  # fmt: skip
    assert maker().warnings == ()


def test_packs_of_one_batch_and_date_have_one_key_whatever_their_serials() -> None:
    one = maker("(01)09506000134352(17)290228(10)AB(21)1")
    other = maker("(01)09506000134352(17)290228(10)AB(21)2")
    later = maker("(01)09506000134352(17)290328(10)AB(21)1")
    assert one.key == other.key != later.key
    assert maker("(00)095060001343520000").key != maker("(00)195060001343520007").key


def test_titles_tell_what_a_text_is_in_a_line() -> None:
    assert Recognised("L4", Sort.LOT, 4, "eye drops").title == "L4 eye drops"
    assert maker().says == "batch AB, good through 30 NOV 2025"
    known = maker(match=Match.LOT, lots=(KnownLot(4, "AB", None, 1),), units=10)
    title = Recognised("x", Sort.MAKER, maker=known, name="eye drops").title
    assert title == "L4 eye drops (10): batch AB, good through 30 NOV 2025"
    unknown = Recognised("x", Sort.MAKER, maker=maker(item=None, match=Match.UNKNOWN))
    assert unknown.title.startswith("GTIN 09506000134352, unknown")
    assert not unknown.known


def test_a_complaint_ends_with_what_may_have_been_meant() -> None:
    near = (Near("lot", "1000000013", "eye drops", "L1"), Near("action", "9000000077", "undo"))
    found = Recognised("x", Sort.UNKNOWN, near=near, problem="x is nothing")
    assert found.complaint == (
        "x is nothing; did you mean 1000000013 (L1, eye drops) or 9000000077 (undo)?"
    )


@given(st.dates(TODAY - timedelta(days=3000), TODAY + timedelta(days=3000)))
def test_every_scanned_day_is_kept_as_that_day(day: date) -> None:
    found = printed_expiry(meaning(f"(01)09506000134352(17){day:%y%m%d}"))
    assert found is not None
    assert found.last_usable_day == day
