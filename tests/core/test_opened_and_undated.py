"""An opened pack of which nobody knows how old it was when it was opened.

No date is not good news: a safety kind then never counts, whatever its opened life says. Kinds and
days are invented.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from given import TODAY, box, holding, item, kind, life, lot, printed
from stockcheck.core.model import (
    Certainty,
    DateContext,
    DateMeaning,
    Holding,
    Kind,
    PastDate,
    PrintedExpiry,
    Status,
)
from stockcheck.core.shelf_life import governing, limits, status, usable

OPENED = date(2026, 11, 20)
DROPS = kind(
    "drops",
    dates=DateContext.MEDICINE,
    meaning=DateMeaning.SAFETY,
    past=PastDate.DISCARD,
    opened=life("28 days", certainty=Certainty.OWN),
)
GLUE = replace(DROPS, meaning=DateMeaning.QUALITY, past=PastDate.LAST_RESORT)
PRINTED = printed("EXP 11/2027", "2027-11")


def opened(kind: Kind, expiry: PrintedExpiry | None = None, made: str = "") -> Holding:
    one = lot(item(kind, "drops"), expiry=expiry, made=made)
    limit = governing(limits(one, OPENED))
    last = limit.last_usable_day if limit else None
    return holding(1, one, box("Medicines"), 1, last, opened_on=OPENED)


def test_a_safety_kind_opened_with_no_other_date_is_undated_and_never_counts() -> None:
    holding = opened(DROPS)
    assert status(holding, TODAY) is Status.UNDATED
    assert not usable(holding, TODAY)


def test_past_its_opened_life_it_is_expired_all_the_same() -> None:
    assert status(opened(DROPS), date(2026, 12, 19)) is Status.EXPIRED


def test_a_printed_date_settles_how_old_it_was() -> None:
    assert status(opened(DROPS, PRINTED), TODAY) is Status.DUE
    assert usable(opened(DROPS, PRINTED), TODAY)


@pytest.mark.parametrize(("made", "expected"), [("2026-10", Status.DUE), ("", Status.UNDATED)])
def test_a_made_date_settles_it_where_the_kind_has_a_sealed_life(
    made: str, expected: Status
) -> None:
    kind = replace(DROPS, sealed=life("24 months", certainty=Certainty.OWN))
    assert status(opened(kind, made=made), TODAY) is expected


def test_for_a_quality_kind_the_opened_life_alone_is_taken() -> None:
    assert status(opened(GLUE), TODAY) is Status.DUE
