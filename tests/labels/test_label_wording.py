"""What a label says beside its date is true of that date. Kinds and lots are invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from stockcheck.core.calendar import PartialDate
from stockcheck.core.codes import make_code
from stockcheck.core.model import (
    Box,
    Certainty,
    DateContext,
    DateMeaning,
    Holding,
    Item,
    Kind,
    Lot,
    PastDate,
    PrintedExpiry,
)
from stockcheck.labels.layout import layout
from stockcheck.labels.printing import label_size
from stockcheck.labels.stock import load_stock
from stockcheck.labels.wording import label_date, lot_label

GENERAL, QUALITY, DISCARD = DateContext.GENERAL, DateMeaning.QUALITY, PastDate.DISCARD
KIND = Kind("glue", "glue", "invented", GENERAL, QUALITY, DISCARD, "d", "s", Certainty.OWN)
LOT = Lot(42, make_code("lot", 42), Item(1, "3000000016", "glue, 20 ml", KIND))
TRUCK = Box(1, "2000000018", "Truck")
THROUGH_NOVEMBER = PrintedExpiry("EXP 11/2027", PartialDate("2027-11"), date(2027, 11, 30))
BEFORE_NOVEMBER = PrintedExpiry("USE BEFORE 11/2027", PartialDate("2027-11"), date(2027, 10, 31))
EARLIEST = PrintedExpiry(
    "USE BY 11/2027", PartialDate("2027-11"), date(2027, 10, 31), "unsure, the earliest taken"
)
WEEK = PrintedExpiry("2027-W09", PartialDate("2027-W09"), date(2027, 3, 7))

TODAY = date(2026, 11, 25)


def held(printed: PrintedExpiry | None, governed_by: str = "printed") -> Holding:
    last = printed.last_usable_day if printed else date(2027, 5, 1)
    lot = replace(LOT, expiry=printed)
    return Holding(1, lot, TRUCK, 1, last_usable_day=last, governed_by=governed_by)


@pytest.mark.parametrize(
    ("printed", "shown", "word"),
    [
        (THROUGH_NOVEMBER, "NOV 2027", "printed date"),
        (WEEK, "07 MAR 2027", "printed date"),
        (BEFORE_NOVEMBER, "OCT 2027", "good through"),
        (EARLIEST, "OCT 2027", "good through (see L42)"),
        (replace(THROUGH_NOVEMBER, assumed="taken as"), "NOV 2027", "good through (see L42)"),
    ],
)
def test_only_what_the_pack_says_itself_is_called_the_printed_date(
    printed: PrintedExpiry, shown: str, word: str
) -> None:
    """Given a printed text, when its label is made, then the word is true of the day shown."""
    assert (label_date(held(printed)), lot_label(held(printed), TODAY).date_word) == (shown, word)


@pytest.mark.parametrize(
    ("governed_by", "word"),
    [
        ("shelf", "by shelf life"),
        ("opened", "since opened"),
        ("heat", "heat estimate"),
        ("inspected", "inspected"),
        ("no limit", ""),
        ("", ""),
    ],
)
def test_a_day_that_is_not_printed_tells_where_it_comes_from(governed_by: str, word: str) -> None:
    assert lot_label(held(None, governed_by), TODAY).date_word == word


def test_the_longest_word_still_fits_the_smallest_labels() -> None:
    size = label_size(load_stock("a4-5x13"))
    assert layout(lot_label(held(EARLIEST), TODAY).checked(), size, 203).elements


def test_expired_stock_says_so_and_has_no_line_to_write_its_opening_on() -> None:
    past = PrintedExpiry("EXP 11/2020", PartialDate("2020-11"), date(2020, 11, 30))
    label = lot_label(held(past), TODAY)
    assert label.banner == "EXPIRED"
    assert label.opened is None
