"""Public holidays by country: known codes, regions, weekends, and what is asked for wrongly."""

from __future__ import annotations

from datetime import date

import pytest

from stockcheck.core.errors import BadInput
from stockcheck.data.public_holidays import named, working_days

FIRST, LAST = date(2026, 12, 1), date(2027, 1, 31)


def test_the_years_around_are_known_too() -> None:
    found = working_days("NE", FIRST, LAST)
    assert {it.year for it in found.holidays} == {2025, 2026, 2027, 2028}


def test_a_region_has_holidays_of_its_own() -> None:
    epiphany = date(2027, 1, 6)
    assert epiphany not in working_days("DE", FIRST, LAST).holidays
    assert epiphany in working_days("de-by", FIRST, LAST).holidays


def test_the_weekend_is_the_countrys_own() -> None:
    assert working_days("DZ", FIRST, LAST).weekend == {4, 5}
    assert working_days("FR", FIRST, LAST).weekend == {5, 6}


def test_holidays_have_names() -> None:
    assert list(named("FR", FIRST, LAST)) == [date(2026, 12, 25), date(2027, 1, 1)]


@pytest.mark.parametrize(
    ("code", "said"),
    [("XX", "country 'XX' is not known"), ("DE-ZZ", "region of DE 'ZZ' is not known"),
     ("", "country '' is not known"), ("AX-1", "no regions are known there; leave it out")],
)  # fmt: skip
def test_an_unknown_code_is_refused_with_a_remedy(code: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        working_days(code, FIRST, LAST)
