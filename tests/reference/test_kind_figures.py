"""Figures of the catalogue against the documents that they were carried over from.

Each row: kind, which life, the figure, the day it is counted from, a piece of the document's name,
and how sure the figure is. What is counted as published is exactly what stands here as published.
"""

from __future__ import annotations

from datetime import date

import pytest

from stockcheck.core.calendar import Life, PartialDate
from stockcheck.core.model import Certainty, Item, Kind, LifeRule, Lot, PrintedExpiry
from stockcheck.core.shelf_life import governing, limits
from stockcheck.data.kinds import shipped_kinds

PUBLISHED, TYPICAL = Certainty.PUBLISHED, Certainty.TYPICAL
PRACTICE, MEMORY = Certainty.PRACTICE, Certainty.MEMORY

CDC = "CDC guideline for disinfection and sterilization, 2008"
EAST_LANCASHIRE = "East Lancashire care-home expiry sheet, 2014"
OXFORDSHIRE = "Oxfordshire CCG guidance Q, 2012"

SEALED: list[tuple[str, str, str, str, Certainty]] = [
    ("tank-sealant", "12 months", "made", "MIL-S-29574", TYPICAL),
    ("tyre", "72 months", "made", "BRMA recommendation of June 2001", PUBLISHED),
    ("seal-group-a", "5 years", "made", "ISO 2230:2002", PUBLISHED),
    ("seal-group-b", "7 years", "made", "ISO 2230:2002", PUBLISHED),
    ("seal-group-c", "10 years", "made", "ISO 2230:2002", PUBLISHED),
    ("brake-seal", "5 years", "made", "ISO 2230:2002 for the shortest-lived", PRACTICE),
    ("fuel-seal", "7 years", "made", "ISO 2230:2002 for the shortest-lived", PRACTICE),
    ("extinguisher-disposable", "144 months", "made", "NFPA 10", PUBLISHED),
    ("extinguisher-rechargeable", "12 months", "received", "NFPA 10", PRACTICE),
    ("gloves-disposable", "36 months", "made", "ASTM D7160", TYPICAL),
    ("nadcc-tablets", "36 months", "made", "Wilderness Medical Society", TYPICAL),
    ("hypochlorite-solution", "12 months", "made", "Lantagne 2011", TYPICAL),
    ("sunscreen", "36 months", "received", "FDA", PRACTICE),
    ("hose", "48 months", "made", "DIN 20066", MEMORY),
    ("hose-assembly", "24 months", "made", "DIN 20066", MEMORY),
    ("battery-agm", "6 months", "received", "IEEE 1188", MEMORY),
    ("chlorine-dioxide-tablets", "48 months", "made", "", MEMORY),
    ("cyanoacrylate", "9 months", "received", "trade association", TYPICAL),
    ("mineral-oil", "60 months", "made", "trade bulletins", TYPICAL),
    ("grease", "36 months", "made", "trade bulletins", TYPICAL),
    ("cells-alkaline", "60 months", "made", "battery traders", TYPICAL),
    ("cells-zinc-carbon", "24 months", "made", "battery traders", TYPICAL),
    ("cells-lithium", "120 months", "made", "battery traders", TYPICAL),
    ("iodine-tablets", "48 months", "made", "second-hand", TYPICAL),
    ("rtv-silicone", "12 months", "made", "no published figure", PRACTICE),
    ("threadlocker", "24 months", "made", "no published figure", PRACTICE),
    ("windscreen-adhesive", "9 months", "made", "no published figure", PRACTICE),
    ("radiator-stop-leak", "48 months", "received", "no published figure", PRACTICE),
    ("cloth-tape", "18 months", "received", "no published figure", PRACTICE),
    ("aluminium-tape", "24 months", "received", "no published figure", PRACTICE),
    ("rubber-solution", "24 months", "received", "no standard found", PRACTICE),
    ("tyre-patch", "36 months", "made", "no standard found", PRACTICE),
    ("gas-hose", "60 months", "made", "BS 3212", PRACTICE),
    ("brake-fluid", "36 months", "made", "no published figure", PRACTICE),
    ("gas-canister", "96 months", "received", "no published figure", PRACTICE),
    ("insect-repellent", "36 months", "received", "no standard found", PRACTICE),
    ("bleach", "12 months", "made", "HSDB", PRACTICE),
    ("calcium-hypochlorite", "24 months", "made", "no published figure", PRACTICE),
    ("carbon-filter", "60 months", "made", "no published figure", PRACTICE),
]

OPENED: list[tuple[str, str, str, Certainty]] = [
    ("eye-drops", "28 days", "healthdirect Australia", PUBLISHED),
    ("cream", "3 months", EAST_LANCASHIRE, PUBLISHED),
    ("cream-jar", "1 month", EAST_LANCASHIRE, PUBLISHED),
    ("ointment", "6 months", EAST_LANCASHIRE, PUBLISHED),
    ("ointment-jar", "3 months", EAST_LANCASHIRE, PUBLISHED),
    ("liquid-medicine", "6 months", EAST_LANCASHIRE, PUBLISHED),
    ("antiseptic-solution", "6 months", EAST_LANCASHIRE, PUBLISHED),
    ("antibiotic-suspension", "7 days", EAST_LANCASHIRE, PUBLISHED),
    ("saline-ampoule", "0 days", EAST_LANCASHIRE, PUBLISHED),
    ("tablets-loose", "6 months", OXFORDSHIRE, PUBLISHED),
    ("insulin", "28 days", OXFORDSHIRE, PUBLISHED),
    ("rehydration-salts", "0 days", "Community Health Worker Manual", PUBLISHED),
    ("extinguisher-disposable", "0 days", "NFPA 10", PUBLISHED),
    ("extinguisher-rechargeable", "0 days", "NFPA 10", PUBLISHED),
    ("skin-closure-strips", "0 days", CDC, PUBLISHED),
    ("sterile-dressing", "0 days", CDC, PUBLISHED),
    ("dressing-bandaged", "0 days", CDC, PUBLISHED),
    ("non-adherent-dressing", "0 days", CDC, PUBLISHED),
    ("combine-dressing", "0 days", CDC, PUBLISHED),
    ("wound-dressing", "0 days", CDC, PUBLISHED),
    ("eye-pad", "0 days", CDC, PUBLISHED),
    ("gauze-sterile", "0 days", CDC, PUBLISHED),
    ("dressing-cloth", "0 days", CDC, PUBLISHED),
    ("splinter-probe", "0 days", CDC, PUBLISHED),
    ("brake-fluid", "0 days", "no published figure", PRACTICE),
    ("rubber-solution", "3 months", "no standard found", PRACTICE),
    ("rtv-silicone", "3 months", "no published figure", PRACTICE),
    ("cyanoacrylate", "2 months", "no published figure", PRACTICE),
    ("sunscreen", "12 months", "open-jar", PRACTICE),
    ("hydrogen-peroxide", "3 months", "no published figure", PRACTICE),
    ("iodine-tablets", "12 months", "no published figure", PRACTICE),
    ("bleach", "6 months", "no published figure", PRACTICE),
]

# Further figures of the same documents, which stand in the kind's words: the end of a tyre's use,
# the extensions of ISO 2230, the service steps of NFPA 10, the pressure ceiling of EN 417.
WORDS = [
    ("tyre", "120 months to the end of use"),
    ("hose", "72 months in all"),
    ("seal-group-a", "one further period of 2 years"),
    ("seal-group-b", "one further period of 3 years"),
    ("seal-group-c", "one further period of 5 years"),
    ("extinguisher-rechargeable", "opened up at 72 and pressure-tested at 144 months"),
    ("gas-canister", "13.2 bar"),
    ("antibiotic-suspension", "7 or 14 days"),
    ("rehydration-salts", "12 hours at room temperature, 24 hours in a fridge"),
    ("battery-agm", "6 months at 25 °C, 3 months at 35 °C"),
    ("tablets-loose", "2 months in a weekly organiser"),
]

# The sealed lives that end a lot even where its maker printed a later day, and why; all others are
# usual figures, for packs with nothing printed.
BINDING = {
    "tyre": "BRMA: past six years a tyre is not put into service, whoever made it",
    "seal-group-a": "ISO 2230 sets the time in store by the rubber",
    "seal-group-b": "ISO 2230 sets the time in store by the rubber",
    "seal-group-c": "ISO 2230 sets the time in store by the rubber",
    "extinguisher-disposable": "NFPA 10: out of service twelve years after it was made",
}

# Kinds whose opened pack stays good to its date.
GOOD_TO_DATE = ["tablets-blister", "ptfe-tape", "electrical-tape", "cells-alkaline", "gas-canister"]


def sealed(key: str) -> LifeRule:
    rule = shipped_kinds()[key].sealed
    assert rule is not None
    return rule


def opened(key: str) -> LifeRule:
    rule = shipped_kinds()[key].opened
    assert rule is not None
    return rule


@pytest.mark.parametrize(("key", "life", "counted", "document", "certainty"), SEALED)
def test_sealed_lives_are_those_of_the_documents(
    key: str, life: str, counted: str, document: str, certainty: Certainty
) -> None:
    rule = sealed(key)

    assert (rule.life, rule.counts_from) == (Life.parse(life), counted)
    assert document in rule.source
    assert rule.certainty is certainty


@pytest.mark.parametrize(("key", "life", "document", "certainty"), OPENED)
def test_opened_lives_are_those_of_the_documents(
    key: str, life: str, document: str, certainty: Certainty
) -> None:
    rule = opened(key)

    assert rule.life == Life.parse(life)
    assert document in rule.source
    assert rule.certainty is certainty


@pytest.mark.parametrize(("key", "words"), WORDS)
def test_further_figures_of_a_document_are_told_in_the_words_of_the_kind(
    key: str, words: str
) -> None:
    assert words in repr(shipped_kinds()[key])


@pytest.mark.parametrize("key", GOOD_TO_DATE)
def test_an_opened_pack_of_these_stays_good_to_its_date(key: str) -> None:
    assert shipped_kinds()[key].opened is None


def test_no_other_figure_claims_to_be_published() -> None:
    claims = {
        (kind.key, name)
        for kind in shipped_kinds().values()
        for name, rule in (("sealed", kind.sealed), ("opened", kind.opened))
        if rule is not None and rule.certainty is PUBLISHED
    }

    listed = {(row[0], "sealed") for row in SEALED if row[-1] is PUBLISHED}
    assert claims == listed | {(row[0], "opened") for row in OPENED if row[-1] is PUBLISHED}


@pytest.mark.parametrize(
    "kind", [it for it in shipped_kinds().values() if it.sealed], ids=lambda it: it.key
)
def test_beside_a_later_printed_date_only_real_limits_bind(kind: Kind) -> None:
    """Made and received on 1 March 2020, printed good through 2040."""
    printed = PrintedExpiry("2040-12-31", PartialDate("2040-12-31"), date(2040, 12, 31))
    day = PartialDate("2020-03-01")
    lot = Lot(1, "", Item(1, "", kind.key, kind), "", printed, day, received_on=date(2020, 3, 1))
    limit = governing(limits(lot, None))

    assert limit is not None
    assert (limit.name == "shelf") is (kind.key in BINDING)
