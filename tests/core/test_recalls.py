"""Recalled batches: how batches are compared, and which stock a recall concerns."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.recalls import Recall, batch_key

ONE, TEN = "09520123000103", "19520123000100"


def recall(batch: str = "W113", *, item_id: int | None = None, gtin: str = "") -> Recall:
    return Recall(1, item_id, "water tablet", gtin, batch, "weak", date(2026, 11, 20))


@pytest.mark.parametrize(
    "printed",
    ["W113", "w113", " W 113 ", "LOT W113", "Lot: W113", "batch W113", "LOT No. W113", "B/N W113",
     "\uff37113"],
)  # fmt: skip
def test_a_batch_is_the_same_whatever_its_case_blanks_and_the_word_before_it(printed: str) -> None:
    assert batch_key(printed) == batch_key("W113")


@pytest.mark.parametrize(("one", "other"), [("W113", "W-113"), ("LOTUS1", "US1"), ("W113", "W118")])
def test_batches_that_differ_in_a_sign_stay_apart(one: str, other: str) -> None:
    assert batch_key(one) != batch_key(other)


def test_the_word_alone_is_a_batch_and_not_nothing() -> None:
    assert batch_key("LOT") == "lot"


@given(st.text(max_size=20))
def test_the_key_of_a_key_is_itself_without_a_word_before_it(text: str) -> None:
    key = batch_key(text)
    assert " " not in key
    assert batch_key(f" {text.upper()} ").casefold() == batch_key(text.upper())


@pytest.mark.parametrize(
    ("called_back", "gtin", "batch", "meant"),
    [
        (recall(item_id=7), "", "w 113", True),
        (recall(item_id=7), ONE, "W114", False),
        (recall(item_id=7), "", "", False),
        (recall("", item_id=7), "", "", True),
        (recall(gtin=ONE), ONE, "W113", True),
        (recall(gtin=ONE), TEN, "W113", True),
        (recall(gtin=ONE), "", "W113", True),
        (recall("", gtin=ONE), ONE, "W9", True),
        (recall("", gtin=ONE), "", "W9", True),
        (recall("", gtin=ONE), TEN, "W9", False),
        (recall(item_id=8), ONE, "W113", False),
        (recall(gtin="09520123000110"), ONE, "W113", False),
    ],
    ids=[
        "item and batch", "another batch", "no batch known", "every batch, none known",
        "its GTIN and batch", "another pack, same batch", "no GTIN known, same batch",
        "every batch of its GTIN", "every batch, no GTIN known", "every batch of another pack",
        "another item", "another GTIN",
    ],
)  # fmt: skip
def test_which_stock_a_recall_concerns(
    called_back: Recall, gtin: str, batch: str, meant: bool
) -> None:
    """Given stock of item 7, which is sold singly and by ten."""
    assert called_back.concerns(7, [ONE, TEN], gtin, batch) is meant


def test_a_gtin_that_no_item_has_is_warned_of_all_the_same() -> None:
    assert recall(gtin=ONE).concerns(None, [], ONE, "W113")
    assert not recall(gtin=ONE).concerns(None, [], TEN, "W113")


def test_a_recall_in_words() -> None:
    assert recall(item_id=7).words == "batch W113 of water tablet, since 20 NOV 2026: weak"
    every = Recall(2, None, "", ONE, "", "", date(2026, 11, 20))
    assert every.words == f"every batch of GTIN {ONE}, since 20 NOV 2026"
    assert every.short == "R2"
