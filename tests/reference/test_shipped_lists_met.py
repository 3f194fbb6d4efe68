"""Every shipped list is met by exactly what it asks, and by nothing less. The stock is invented.

"Exactly" is every row at its minimum, of the right size, good to 2031-12-31.
"""

from __future__ import annotations

from datetime import date

import pytest

from given_kit import FAR, all_of, exactly
from stockcheck.core.audit import audit
from stockcheck.core.audit_result import AuditResult, Finding
from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.model import Holding
from stockcheck.data.kit_lists import kit_list, kit_list_ids

ON, YESTERDAY = date(2026, 11, 25), date(2026, 11, 24)


def audited(kits: KitList, holdings: list[Holding]) -> AuditResult:
    """With every condition that a row of the list needs."""
    return audit(kits, holdings, ON, conditions=_all_that_apply(kits))


def _all_that_apply(kits: KitList) -> frozenset[str]:
    return frozenset(line.when for line in kits.lines if line.when)


def all_but(kits: KitList, line: Line, instead: list[Holding]) -> list[Holding]:
    return [it for each in kits.lines for it in (instead if each is line else exactly(each))]


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_every_shipped_list_is_met_by_exactly_what_it_asks(list_id: str) -> None:
    kits = kit_list(list_id)
    result = audited(kits, all_of(kits))
    assert {it.line.name: it.why for it in result.lines if it.finding is not Finding.OK} == {}
    assert not result.not_on_list
    assert result.verdict == "meets the list on that day: yes"


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_no_line_of_any_shipped_list_is_met_by_an_empty_kit(list_id: str) -> None:
    result = audit(kit_list(list_id), [], ON)
    assert result.met == 0
    assert {line.finding for line in result.lines} == {Finding.MISSING}
    assert result.verdict.startswith("meets the list on that day: no")


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_one_thing_less_leaves_exactly_that_line_of_a_shipped_list_short(list_id: str) -> None:
    kits = kit_list(list_id)
    for line in kits.lines:
        result = audited(kits, all_but(kits, line, exactly(line, less=1)))
        [lacking] = [it for it in result.lines if it.short]
        # Two lines that ask for the same kinds and sizes cannot be told apart.
        assert (lacking.short, lacking.line.all_ways) == (1, line.all_ways), line.name


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_one_line_past_its_date_is_not_met_and_not_missing(list_id: str) -> None:
    kits = kit_list(list_id)
    for line in kits.lines:
        result = audited(kits, all_but(kits, line, exactly(line, YESTERDAY)))
        lacking = [it for it in result.lines if it.short]
        if line.dated:
            assert [it.line.all_ways for it in lacking] == [line.all_ways], line.name
            assert lacking[0].finding in {Finding.EXPIRED, Finding.SHORT}
            assert lacking[0].expired, line.name
        else:
            assert not [it for it in lacking if not it.line.parts], line.name


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_a_kit_that_is_all_past_its_date_has_no_dated_line_met_and_none_missing(
    list_id: str,
) -> None:
    kits = kit_list(list_id)
    for line in audited(kits, all_of(kits, YESTERDAY)).lines:
        expected = Finding.EXPIRED if line.line.dated else Finding.OK
        assert line.finding is expected, line.line.name


@pytest.mark.parametrize("list_id", kit_list_ids())
def test_a_kit_that_is_good_through_its_last_day_meets_the_list_on_that_day(list_id: str) -> None:
    kits = kit_list(list_id)
    stock = all_of(kits, ON)
    assert audited(kits, stock).met == len(kits.lines) - len(
        [line for line in kits.lines if not line.applies(_all_that_apply(kits))]
    )
    assert FAR > ON
