"""The shipped inspection rules against published practice for materials past their date.

- ISO 2230:2002, rubber in store: an initial period and one further one after inspection, by
  group A, B, C (read in a distributor's copy; the years agree with the standard as remembered).
- T.O. 1-1-700 section 12.8, sealants: past its life a sealant is not used until it is tested; a
  pass extends by one half of the original life; what fails is not used (read in a copy online).
  It sets no number of passes: two at most is common practice.
- US Army SB 740-94-8, definitions: a Type I item has a definite life that is not extended, a Type
  II item may be after an inspection, a test or a restoration (read in an excerpt).
- FED-STD-793 3.3 and 3.4: an extension is normally half of the first life, and at most twice the
  first life in all, counted from the day of make (read in an excerpt).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from stockcheck.core.calendar import Life, PartialDate
from stockcheck.core.inspection import extensions_left, inspect, outlook
from stockcheck.core.model import Certainty, InspectionRule, Item, Lot, PrintedExpiry
from stockcheck.core.shelf_life import governing, limits
from stockcheck.data.kinds import shipped_kinds

KINDS = shipped_kinds()

# ISO 2230:2002: kind, a rubber of the group, initial years, further years.
ISO_2230 = [
    ("seal-group-a", "natural rubber", 5, 2),
    ("seal-group-b", "nitrile rubber", 7, 3),
    ("seal-group-c", "fluorocarbon rubber", 10, 5),
]

# What a passed test adds by the half rule of T.O. 1-1-700: kind, first life, extension.
HALF_A_LIFE = [
    ("rtv-silicone", "12 months", "6 months"),
    ("threadlocker", "24 months", "12 months"),
    ("anaerobic-gasket", "18 months", "9 months"),
    ("epoxy-two-part", "24 months", "12 months"),
    ("epoxy-putty", "24 months", "12 months"),
    ("self-amalgamating-tape", "36 months", "18 months"),
    ("electrical-tape", "60 months", "30 months"),
    ("cloth-tape", "18 months", "9 months"),
    ("aluminium-tape", "24 months", "12 months"),
    ("butyl-strip", "36 months", "18 months"),
    ("gasket-fibre", "60 months", "30 months"),
    ("drive-belt", "60 months", "30 months"),
    ("mineral-oil", "60 months", "30 months"),
    ("grease", "36 months", "18 months"),
    ("coolant", "60 months", "30 months"),
    ("coolant-premix", "24 months", "12 months"),
    ("penetrating-spray", "60 months", "30 months"),
    ("degreaser-spray", "60 months", "30 months"),
    ("petrol", "6 months", "3 months"),
    ("bandage-elastic", "60 months", "30 months"),
    ("cold-pack", "36 months", "18 months"),
]

# Restored by a recharge, so oftener than twice; half the first interval each time (practice).
RECHARGED = [
    ("battery-lead-acid", "3 months", "45 days"),
    ("battery-agm", "6 months", "3 months"),
    ("pack-lithium-ion", "6 months", "3 months"),
]

# The rules whose figures or tests a document states; all others are practice or from memory.
PUBLISHED = {
    "seal-group-a": "ISO 2230:2002",
    "seal-group-b": "ISO 2230:2002",
    "seal-group-c": "ISO 2230:2002",
    "tank-sealant": "T.O. 1-1-700 section 12.8",
    "extinguisher-rechargeable": "NFPA 10",
}

# Type I in this catalogue: a definite life, whatever a look may find.
NEVER_EXTENDED = [
    *("windscreen-adhesive", "adhesive-primer", "tank-sealant", "fuel-tank-putty"),
    *("brake-seal", "fuel-seal"),
    *("rubber-solution", "tyre-patch", "tyre", "inner-tube", "hose", "gas-hose", "brake-fluid"),
    *("gas-canister", "extinguisher-disposable", "signal-flare", "tourniquet"),
    *("tablets-blister", "eye-drops", "adrenaline-injector", "insulin", "rehydration-salts"),
    *("sterile-dressing", "burn-gel", "nadcc-tablets", "bleach", "hypochlorite-solution"),
]


def rule(key: str) -> InspectionRule:
    found = KINDS[key].inspection
    assert found is not None
    return found


def lot(key: str, *, made: str = "", printed: str = "") -> Lot:
    expiry = None
    if printed:
        expiry = PrintedExpiry(printed, PartialDate(printed), date.fromisoformat(printed))
    item = Item(1, "3000000016", key, KINDS[key])
    return Lot(1, "1000000013", item, "", expiry, PartialDate(made) if made else None)


def passed(one: Lot, *days: date) -> Lot:
    """The lot after passes on these days."""
    for on in days:
        look = inspect(one, None, on=on, passed=True)
        one = replace(one, inspections=(*one.inspections, look))
    return one


def last_day(one: Lot) -> date:
    limit = governing(limits(one, None))
    assert limit is not None
    return limit.last_usable_day


@pytest.mark.parametrize(("key", "rubber", "initial", "further"), ISO_2230)
def test_iso_2230_allows_rubber_in_store_one_further_period(
    key: str, rubber: str, initial: int, further: int
) -> None:
    sealed = KINDS[key].sealed
    assert sealed is not None
    assert (sealed.life, rule(key).extends) == (Life(months=12 * initial), Life(12 * further))
    assert (rule(key).times, rule(key).certainty) == (1, Certainty.PUBLISHED), rubber


@pytest.mark.parametrize(("key", "rubber", "initial", "further"), ISO_2230)
def test_a_seal_inspected_on_its_last_day_reaches_both_periods_and_no_more(
    key: str, rubber: str, initial: int, further: int
) -> None:
    """Made on 31 March 2020: group A 5 + 2 = 7 years, B 7 + 3 = 10, C 10 + 5 = 15."""
    one = lot(key, made="2020-03-31")
    assert last_day(one) == date(2020 + initial, 3, 31)

    once = passed(one, last_day(one))
    assert last_day(once) == date(2020 + initial + further, 3, 31), rubber
    assert extensions_left(once) == 0
    assert outlook(once, None, last_day(once)).why.startswith("1 of 1 extension used (ISO 2230")


@pytest.mark.parametrize(("key", "life", "extension"), HALF_A_LIFE + RECHARGED)
def test_a_passed_test_extends_by_half_the_first_life(key: str, life: str, extension: str) -> None:
    sealed = KINDS[key].sealed
    assert sealed is not None
    assert (sealed.life, rule(key).extends) == (Life.parse(life), Life.parse(extension))
    assert rule(key).certainty is Certainty.PRACTICE


def test_a_sealant_of_twelve_months_passes_twice_and_lives_for_twice_its_life() -> None:
    """12 + 6 + 6 months, each test on the last day of what went before."""
    one = lot("rtv-silicone", made="2026-01-31")
    days = [date(2027, 1, 31), date(2027, 7, 31)]

    assert [last_day(passed(one, *days[:done])) for done in range(3)] == [*days, date(2028, 1, 31)]
    assert extensions_left(passed(one, *days)) == 0


def test_a_late_test_counts_from_its_own_day_and_gives_nothing_back() -> None:
    one = lot("rtv-silicone", printed="2026-11-30")

    assert last_day(passed(one, date(2027, 3, 12))) == date(2027, 9, 12)


def test_the_rules_that_extend_are_exactly_those_listed_here() -> None:
    extending = {key for key, kind in KINDS.items() if kind.inspection and kind.inspection.extends}

    listed = [row[0] for row in ISO_2230] + [row[0] for row in HALF_A_LIFE + RECHARGED]
    assert extending == set(listed)


def test_two_extensions_at_most_save_where_each_is_a_recharge() -> None:
    often = {key for key, kind in KINDS.items() if kind.inspection and kind.inspection.times > 2}

    assert often == {row[0] for row in RECHARGED}


def test_what_counts_as_published_is_what_a_document_states() -> None:
    published = {
        key: kind.inspection.source
        for key, kind in KINDS.items()
        if kind.inspection and kind.inspection.certainty is Certainty.PUBLISHED
    }

    assert set(published) == set(PUBLISHED)
    for key, source in PUBLISHED.items():
        assert source in published[key]


@pytest.mark.parametrize("key", NEVER_EXTENDED)
def test_type_one_materials_are_never_extended(key: str) -> None:
    found = outlook(lot(key, printed="2026-11-30"), None, date(2026, 11, 25))

    assert (found.may_extend, found.extends_to, found.left) == (False, None, 0)
