"""Quantities, money, lists and trips in words."""

from __future__ import annotations

from datetime import date

import pytest

from stockcheck.core.planning import Trip, trip_words
from stockcheck.core.words import counted, listed, money


@pytest.mark.parametrize(
    ("quantity", "unit", "words"),
    [
        (3, "each", "3"),
        (1, "tablet", "1 tablet"),
        (0, "tablet", "0 tablets"),
        (50, "tablet", "50 tablets"),
        (-1, "tablet", "-1 tablet"),
        (-2, "pair", "-2 pairs"),
        (1, "pair", "1 pair"),
        (2, "pack", "2 packs"),
        (2, "box", "2 boxes"),
        (1, "box", "1 box"),
        (250, "ml", "250 ml"),
        (500, "cm", "500 cm"),
    ],
)
def test_a_quantity_stands_with_its_unit(quantity: int, unit: str, words: str) -> None:
    assert counted(quantity, unit) == words


@pytest.mark.parametrize(
    ("cents", "currency", "words"),
    [(None, "EUR", ""), (0, "", "0.00"), (5, "", "0.05"), (1240, "EUR", "12.40 EUR")],
)
def test_money_has_two_places(cents: int | None, currency: str, words: str) -> None:
    assert money(cents, currency) == words


@pytest.mark.parametrize(
    ("words", "said"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")],
)
def test_words_stand_in_a_row(words: list[str], said: str) -> None:
    assert listed(words) == said


def test_words_stand_in_a_row_with_another_joint() -> None:
    assert listed(["a", "b", "c"], "or") == "a, b or c"


def test_a_trip_tells_the_day_through_which_things_must_last() -> None:
    trip = Trip(1, "Spring count", date(2027, 2, 8), date(2027, 4, 25), 3, margin_days=7)
    assert trip_words(trip) == (
        "Spring count: 08 FEB 2027 to 25 APR 2027 + 7 days, 3 people;"
        " good is what lasts through 02 MAY 2027"
    )


def test_a_trip_without_margin_says_none() -> None:
    trip = Trip(1, "Shakedown", date(2028, 2, 29), date(2028, 2, 29))
    assert trip_words(trip) == (
        "Shakedown: 29 FEB 2028 to 29 FEB 2028, 1 person; good is what lasts through 29 FEB 2028"
    )
