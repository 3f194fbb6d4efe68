"""Makers' codes as other hands encode them: python-stdnum writes, biip reads, ours must agree.

The strings of ``test_gs1_strings`` are published or written by hand; these are made by libraries
from random packs, in every dress that a scanner gives them (ISO/IEC 15424 identifiers; GS1 General
Specifications, section 7.8, FNC1 as ASCII 29).
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from biip.gs1_messages import GS1Message
from biip.gtin import Gtin
from biip.upc import Upc
from hypothesis import assume, given
from hypothesis import strategies as st
from stdnum import ean, gs1_128

from stockcheck.core.codes import read_gtin
from stockcheck.core.gs1 import read_gs1
from stockcheck.core.reading import read_any
from stockcheck.core.scanning_lines import own_code, tidy_line

TODAY = date(2026, 11, 25)
GS = "\x1d"
BATCH = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-/."
bodies = st.integers(1, 10**13 - 1).map(lambda number: f"{number:013d}")
batches = st.text(BATCH, min_size=1, max_size=20)
days = st.dates(TODAY - timedelta(days=365 * 9), TODAY + timedelta(days=365 * 19))


def gtin(body: str) -> str:
    """A GTIN-14 whose check digit python-stdnum gives."""
    return body + str(ean.calc_check_digit(body))


@given(bodies, batches, days, st.integers(1, 99_999_999))
def test_what_python_stdnum_encodes_is_read_as_it_was_given(
    body: str, batch: str, expires: date, count: int
) -> None:
    number = gtin(body)
    given_ = {"01": number, "17": expires, "10": batch, "30": str(count)}
    encoded = gs1_128.encode(given_, separator=GS)
    for text in (encoded, f"]C1{encoded}", f"]d2{encoded}", f"]d2{GS}{encoded}{GS}"):
        found = read_gs1(text, TODAY)
        assert found is not None
        assert (found.gtin, found.batch, found.last_usable_day, found.count) == (
            number, batch, expires, count,
        )  # fmt: skip
    theirs = {each.ai.ai: each.value for each in GS1Message.parse(encoded).element_strings}
    assert theirs["01"] == number
    assert theirs["10"] == batch


@given(bodies, batches, days, st.sampled_from(["{GS}", "^]", "|", "[FNC1]", "\\x1d", "\u241d"]))
def test_the_stand_ins_of_keyboard_scanners_mean_what_ascii_29_means(
    body: str, batch: str, expires: date, stand_in: str
) -> None:
    encoded = f"01{gtin(body)}10{batch}{GS}17{expires:%y%m%d}"
    plain = read_gs1(f"]d2{encoded}", TODAY)
    typed = read_gs1(f"]d2{encoded.replace(GS, stand_in)}", TODAY)
    assert plain is not None
    assert typed is not None
    assert (plain.batch, plain.last_usable_day) == (batch, expires)
    assert (typed.gtin, typed.batch, typed.last_usable_day) == (
        plain.gtin, plain.batch, plain.last_usable_day,
    )  # fmt: skip


@given(bodies, batches, days)
def test_what_is_printed_in_brackets_below_a_symbol_means_the_same(
    body: str, batch: str, expires: date
) -> None:
    printed = f"(01){gtin(body)}(17){expires:%y%m%d}(10){batch}"
    found = read_gs1(printed, TODAY)
    assert found is not None
    assert (found.gtin, found.batch, found.last_usable_day) == (gtin(body), batch, expires)


@pytest.mark.parametrize("length", [8, 12, 13, 14])
@given(number=st.integers(1, 10**13 - 1))
def test_retail_numbers_against_python_stdnum_and_biip(length: int, number: int) -> None:
    body = str(number).zfill(13)[-(length - 1) :]
    text = body + str(ean.calc_check_digit(body))
    assume(int(text) and ean.is_valid(text))
    assert read_gtin(text) == Gtin.parse(text).as_gtin_14()
    wrong = text[:-1] + str((int(text[-1]) + 1) % 10)
    assert read_gtin(wrong) is None
    assert not ean.is_valid(wrong)


@given(st.integers(0, 999_999))
def test_every_upc_e_is_the_number_that_biip_expands_it_to(digits: int) -> None:
    short = f"{digits:06d}"
    long = Upc.parse(short).as_upc_a()
    found = read_gs1(f"]E0{short}", TODAY)
    assert found is not None
    assert found.gtin == long.zfill(14)
    assert ean.is_valid(long)


@given(bodies, batches)
def test_no_makers_code_is_taken_for_one_of_ours(body: str, batch: str) -> None:
    for text in (gtin(body), f"01{gtin(body)}10{batch}", f"]d201{gtin(body)}10{batch}"):
        assert own_code(tidy_line(text)) is None
        assert read_any(text, TODAY, "general", None).type in {"gs1", "gtin", "unknown"}
