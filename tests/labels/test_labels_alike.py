"""Labels that differ in digits alone are tried out once: what comes of it is what trying would."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from label_cases import every_label
from stockcheck.labels.fonts import width_em
from stockcheck.labels.layout import NoRoom, best, layout, shapes
from stockcheck.labels.measure import Symbology, sensible
from stockcheck.labels.printing import label_size
from stockcheck.labels.stock import load_stock
from stockcheck.labels.text import LabelText

EVERY = every_label()
SORTS = [Symbology.CODE_128, Symbology.DATA_MATRIX]
STOCKS = ["a4-3x7", "a4-5x13", "roll-40x30"]


@pytest.mark.parametrize("bold", [False, True])
def test_all_digits_are_equally_wide(bold: bool) -> None:
    assert len({width_em(digit, bold) for digit in "0123456789"}) == 1


@given(
    st.sampled_from(sorted(EVERY)),
    st.sampled_from(STOCKS),
    st.sampled_from(SORTS),
    st.text("0123456789", max_size=6),
)
def test_a_label_is_laid_out_as_if_it_were_the_only_one(
    what: str, name: str, symbology: Symbology, digits: str
) -> None:
    text = EVERY[what]
    changed = replace(text, batch=digits + text.batch, title=f"{text.title} {digits}").checked()
    size = label_size(load_stock(name))
    every = shapes(size, sensible(changed.code, symbology, 203), bool(changed.date))
    alone = best(changed, size, every)
    if alone is None:
        with pytest.raises(NoRoom):
            layout(changed, size, 203, symbology)
        return
    found = layout(changed, size, 203, symbology)
    assert found.elements == tuple(alone[0].elements())
    assert found.left_off == alone[2]


def test_the_same_in_zeros_keeps_every_length(plain: LabelText) -> None:
    zeros = plain.in_zeros()
    assert [len(it) for it in zeros.strings()] == [len(it) for it in plain.strings()]
    assert zeros.code == "0" * 10
    assert zeros.title == "Threadlocker, medium, 00 ml bottle"
