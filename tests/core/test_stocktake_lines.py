"""Lines of a count as they are typed or scanned."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import item, kind
from stockcheck.core.errors import BadInput
from stockcheck.core.model import Item
from stockcheck.core.stocktake import Part
from stockcheck.core.stocktake_lines import (
    MOST,
    ONE_SCAN,
    Amount,
    read_amount,
    read_note,
    split_amount,
    units_counted,
)

TUBE = item(kind(), "sealant, 50 ml tube")
TABLET = item(kind(), "pain tablets 500 mg", unit="tablet", pack=20)
BLEACH = item(kind(), "bleach", unit="ml", pack=1000)


@pytest.mark.parametrize(
    ("text", "thing", "amount"),
    [
        ("L12", "L12", ONE_SCAN),
        ("L12 3", "L12", Amount(3)),
        ("L12 =3", "L12", Amount(3, sets=True)),
        ("L12 = 3", "L12", Amount(3, sets=True)),
        ("L12 -1", "L12", Amount(-1)),
        ("L12 −1", "L12", Amount(-1)),
        ("L12 +2", "L12", Amount(2)),
        ("L12 x3", "L12", Amount(3)),
        ("L12 0", "L12", Amount(0)),
        ("L12 2 packs", "L12", Amount(2, "pack")),
        ("L12 250 ml", "L12", Amount(250, "ml")),
        ("L12 250ml", "L12", Amount(250, "ml")),
        ("L12 1 tablet", "L12", Amount(1, "tablet")),
        ("L12 opened", "L12", Amount(part=Part.OPENED)),
        ("L12 2 sealed", "L12", Amount(2, part=Part.SEALED)),
        ("L12 2 on hold", "L12", Amount(2, part=Part.HELD)),
        ("L12 =1 last resort", "L12", Amount(1, sets=True, part=Part.LAST_RESORT)),
        ("1000000420 3", "1000000420", Amount(3)),
        ("AA cells, alkaline 4", "AA cells, alkaline", Amount(4)),
        ("tyre patch, round, 45 mm 4", "tyre patch, round, 45 mm", Amount(4)),
        ("tyre patch, round, 45 mm", "tyre patch, round, 45 mm", ONE_SCAN),
        ("9780201379624", "9780201379624", ONE_SCAN),
    ],
)
def test_a_thing_and_how_many_of_it(text: str, thing: str, amount: Amount) -> None:
    assert split_amount(text) == (thing, amount)


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("3", Amount(3, replaces=True)),
        ("=3", Amount(3, sets=True)),
        ("-1", Amount(-1)),
        ("2 packs", Amount(2, "pack", replaces=True)),
        ("1 opened", Amount(1, part=Part.OPENED, replaces=True)),
        ("12345678", None),
        ("1000000420", None),
        ("L12", None),
        ("", None),
    ],
)
def test_a_number_alone_is_how_many_and_a_long_one_is_a_code(
    text: str, amount: Amount | None
) -> None:
    assert read_amount(text) == amount


@pytest.mark.parametrize(
    ("text", "note"),
    [("? half a tube", "half a tube"), ("note: grey", "grey"), ("notebook", ""), ("?", "")],
)
def test_a_note_is_of_something_that_the_books_do_not_have(text: str, note: str) -> None:
    assert read_note(text) == note


@pytest.mark.parametrize(
    ("amount", "of", "scanned", "units"),
    [
        (ONE_SCAN, TUBE, None, 1),
        (ONE_SCAN, TABLET, None, 20),
        (ONE_SCAN, TABLET, 10, 10),
        (Amount(3), TABLET, None, 3),
        (Amount(3, "tablet"), TABLET, None, 3),
        (Amount(2, "pack"), TABLET, None, 40),
        (Amount(2), TABLET, 20, 40),
        (Amount(250, "ml"), BLEACH, None, 250),
    ],
)
def test_units_of_an_item(amount: Amount, of: Item, scanned: int | None, units: int) -> None:
    assert units_counted(amount, of, scanned) == units


def test_another_unit_than_the_items_own_is_refused() -> None:
    with pytest.raises(BadInput, match="is counted in tablet, not in ml"):
        units_counted(Amount(5, "ml"), TABLET)


@given(st.integers(0, MOST), st.sampled_from(["", "=", "-"]), st.sampled_from(list(Part)))
def test_whatever_is_written_after_a_lot_is_read_back(number: int, sign: str, part: Part) -> None:
    thing, amount = split_amount(f"L7 {sign}{number} {part.value}")
    assert thing == "L7"
    assert amount == Amount(-number if sign == "-" else number, "", sign == "=", part)


@given(st.text(max_size=40))
def test_no_line_whatever_makes_it_stumble(text: str) -> None:
    for read in (read_note, read_amount, split_amount):
        with suppress(BadInput):  # more than anybody counts
            read(text)
