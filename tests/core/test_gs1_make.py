"""Element strings made from a lot's facts.

Where the expected strings come from: the AIs' forms from the GS1 Syntax Dictionary; that a day is
named where a month was printed from GSCN 21-040, which asks it of regulated healthcare items. All
lots are invented; the GTIN is one of GS1's own examples.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from biip.gs1_messages import GS1Message
from hypothesis import given
from hypothesis import strategies as st

from given import TODAY, item, kind, lot, printed
from stockcheck.core.calendar import PartialDate
from stockcheck.core.errors import BadInput
from stockcheck.core.gs1_make import SET_82, element_string, transmitted
from stockcheck.core.model import DateContext, DateMeaning, Kind, Lot, PrintedExpiry
from stockcheck.core.reading import read_any

GTIN = "9506000134352"
FOOD = kind("ration", dates=DateContext.FOOD, meaning=DateMeaning.QUALITY)
INFANT_FOOD = kind("fresh", dates=DateContext.FOOD, meaning=DateMeaning.SAFETY)
GLUE = kind("glue")


def one(
    text: str = "", reading: str = "", *, batch: str = "", of: Kind = GLUE, gtin: str = GTIN
) -> Lot:
    made = item(of)
    expiry = printed(text, reading) if reading else None
    return replace(lot(replace(made, gtins=(gtin,) if gtin else ()), expiry=expiry), batch=batch)


@pytest.mark.parametrize(
    ("of", "text", "reading", "batch", "expected"),
    [
        (GLUE, "EXP 2029-12-31", "2029-12-31", "ABC123", "(17)291231(10)ABC123"),
        (GLUE, "EXP 02/2028", "2028-02", "", "(17)280229"),  # a leap year
        (GLUE, "2028-02-29", "2028-02-29", "", "(17)280229"),
        (GLUE, "USE BY 14 DEC 2026", "2026-12-14", "", "(17)261214"),
        (GLUE, "BBE AUG 2027", "2027-08", "7C21-B", "(15)270831(10)7C21-B"),
        (FOOD, "Best before end: 2027", "2027", "", "(15)271231"),
        (FOOD, "Mindestens haltbar bis Ende 08/2027", "2027-08", "", "(15)270831"),
        (FOOD, "2027-08", "2027-08", "", "(15)270831"),  # food whose date is of quality, no words
        (FOOD, "USE BY 2027-08-31", "2027-08-31", "", "(17)270831"),  # its words say otherwise
        (INFANT_FOOD, "2027-08", "2027-08", "", "(17)270831"),
        (GLUE, "2027-W09", "2027-W09", "", "(17)270307"),  # ISO 8601: that week's Sunday
        (GLUE, "", "", "0017", "(10)0017"),
        (GLUE, "", "", "", ""),
    ],
)  # fmt: skip
def test_what_the_pack_says_is_what_the_code_says(
    of: Kind, text: str, reading: str, batch: str, expected: str
) -> None:
    made = element_string(one(text, reading, batch=batch, of=of), TODAY)
    assert made.printed == "(01)09506000134352" + expected


def test_a_month_that_its_words_end_earlier_is_given_as_the_day() -> None:
    """USE BEFORE 06/2027 is good through 31 May 2027 (Royal Pharmaceutical Society)."""
    expiry = PrintedExpiry("USE BEFORE 06/2027", PartialDate("2027-06"), date(2027, 5, 31))
    made = element_string(replace(one(), expiry=expiry), TODAY)
    assert made.transmitted.endswith("17270531")


def test_the_three_forms_differ_only_in_brackets() -> None:
    made = element_string(one("EXP 2029-12-31", "2029-12-31", batch="A(1)B"), TODAY)
    assert made.printed == "(01)09506000134352(17)291231(10)A(1)B"
    assert made.encoded == "[01]09506000134352[17]291231[10]A(1)B"
    assert made.transmitted == transmitted(made.encoded) == "01095060001343521729123110A(1)B"


@pytest.mark.parametrize(
    ("given_lot", "message"),
    [
        (one(gtin=""), "L1 'sealant, 50 ml tube': the item has no GTIN"),
        (one(batch="7C 21"), "batch '7C 21' has a space, which GS1 codes cannot hold"),
        (one(batch="Ä#1"), "batch 'Ä#1' has '#' and 'Ä', which GS1"),
        (one(batch="ABCDEFGHIJKLMNOPQRSTU"), "has 21 characters, and a GS1 code holds 20"),
        (one(batch="A<gs>B"), "holds a word that scanners send for the separator"),
        (one("EXP 2090-01", "2090-01"), "the year 2090 cannot be told by its last two figures"),
        (one("EXP 1970-01", "1970-01"), "on 2026-11-25 mean 2070"),
    ],
)
def test_what_a_code_cannot_hold_is_refused_with_the_reason(given_lot: Lot, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        element_string(given_lot, TODAY)
    assert message in str(caught.value)


def test_of_several_gtins_one_is_named() -> None:
    several = one()
    several = replace(several, item=replace(several.item, gtins=(GTIN, "614141123452")))
    with pytest.raises(BadInput, match="the GTINs 9506000134352 and 614141123452, each another"):
        element_string(several, TODAY)
    made = element_string(several, TODAY, gtin="00614141123452")
    assert made.printed == "(01)00614141123452"
    with pytest.raises(BadInput, match="9501101530003 is not a GTIN of the item"):
        element_string(several, TODAY, gtin="9501101530003")


BATCHES = st.text(sorted(SET_82), max_size=20).filter(
    lambda it: "<GS>" not in it.upper() and "<FNC1>" not in it.upper()
)
# GS1's window of years (GenSpecs 7.12) around the invented today.
DAYS = st.dates(date(1977, 1, 1), date(2076, 12, 31))


@given(DAYS, st.booleans(), st.sampled_from(["EXP", "BB"]), BATCHES)
def test_read_back_it_says_the_same_and_a_second_reader_agrees(
    day: date, by_month: bool, word: str, batch: str
) -> None:
    reading = f"{day:%Y-%m}" if by_month else f"{day:%Y-%m-%d}"
    made = element_string(one(f"{word} {reading}", reading, batch=batch), TODAY)
    found = read_any("]d2" + made.transmitted, TODAY, "general", None)
    assert (found.type, found.gtin, found.batch or "") == ("gs1", GTIN.zfill(14), batch)
    assert found.last_usable_day == PartialDate(reading).last_day()
    assert found.precision == "day"
    assert ("best-before" in (found.problem or "")) == (word == "BB")
    elements = GS1Message.parse(made.transmitted).element_strings
    assert tuple((each.ai.ai, each.value) for each in elements) == made.elements
