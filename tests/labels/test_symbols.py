"""The standards' symbols: their geometry, and that each stands only where its meaning is true.

Meanings are those that public glossaries quote from ISO 15223-1 and ISO 7000: use-by date ("date
after which the device is not to be used", 5.1.4), batch code (5.1.5), date of manufacture (5.1.3),
keep dry (5.3.4), upper limit of temperature (5.3.6), temperature limit (5.3.7), do not re-use
(5.4.2); ISO 7010 E003 is first aid, of the family of safe conditions, white on green.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

import given
from stockcheck.core.model import DateMeaning, Holding
from stockcheck.data.kinds import shipped_kind, shipped_kinds
from stockcheck.labels import symbols
from stockcheck.labels.marks import Mark, date_symbol, is_first_aid, kind_marks
from stockcheck.labels.symbols import SYMBOLS, Fill, Stroke

DOT_203 = 25.4 / 203


def of(key: str) -> tuple[Mark, ...]:
    found = shipped_kind(key)
    assert found is not None
    return kind_marks(found)


def held(key: str, number: int = 1) -> Holding:
    found = shipped_kind(key)
    assert found is not None
    return given.holding(
        number, given.item(found, key, number), given.box(), last=date(2027, 5, 31)
    )


@pytest.mark.parametrize("name", SYMBOLS)
def test_all_ink_of_a_symbol_stays_in_its_box(name: str) -> None:
    left, top, right, bottom = SYMBOLS[name].reach()
    assert left >= 0
    assert top >= 0
    assert right <= SYMBOLS[name].width
    assert bottom <= 1


@pytest.mark.parametrize("name", SYMBOLS)
def test_at_its_least_height_no_line_is_thinner_than_a_dot_of_a_coarse_printer(name: str) -> None:
    drawing = SYMBOLS[name]
    lines = [shape.width for shape in drawing.shapes if isinstance(shape, Stroke)]
    assert all(width * drawing.least_mm >= DOT_203 for width in lines)
    assert drawing.least_mm >= 2.3


@pytest.mark.parametrize("name", SYMBOLS)
def test_only_the_first_aid_sign_has_a_colour(name: str) -> None:
    """Labels work in black and white; the one colour is that of the standard's own sign."""
    inks = {shape.ink for shape in SYMBOLS[name].shapes if isinstance(shape, Fill)}
    if name == symbols.FIRST_AID:
        assert inks == {symbols.GREEN, symbols.WHITE}
    else:
        assert inks <= {symbols.BLACK}


def test_green_covers_at_least_half_of_the_first_aid_sign() -> None:
    """Dir. 92/58/EEC Annex II: green takes at least 50 % of the area (from memory)."""
    _, level, upright = SYMBOLS[symbols.FIRST_AID].shapes
    (left, top), (right, _), (_, bottom), _ = level.points
    (in_left, in_top), (in_right, _), (_, in_bottom), _ = upright.points
    arm, wide = bottom - top, right - left
    assert arm == pytest.approx(in_right - in_left)
    assert wide == pytest.approx(in_bottom - in_top)
    assert 1 - (2 * wide * arm - arm * arm) >= 0.5


@pytest.mark.parametrize(
    ("key", "symbol", "words"),
    [
        ("insulin", symbols.STORE_BETWEEN, "2 to 8 °C"),
        ("coolant", symbols.STORE_BETWEEN, "−10 to 35 °C"),
        ("cream", symbols.STORE_BELOW, "max. 25 °C"),
        ("saline-ampoule", symbols.STORE_BELOW, "max. 25 °C"),  # "at most 25-30 °C"
        ("rubber-solution", symbols.STORE_BELOW, "max. 25 °C"),
    ],
)
def test_a_temperature_symbol_has_the_figures_of_the_kind_beside_it(
    key: str, symbol: str, words: str
) -> None:
    assert Mark(symbol, words) in of(key)


@pytest.mark.parametrize(
    "key",
    [
        "eye-drops",  # as labelled
        "tablets-blister",  # below 25 or 30 °C as labelled
        "extinguisher-rechargeable",  # usually -20 to 60 °C, as its label says
        "mineral-oil",  # one range is best, another tolerable
        "gasket-fibre",  # 40-65 % relative humidity
        "petrol",
        "tool",
    ],
)
def test_without_plain_figures_there_is_no_temperature_symbol(key: str) -> None:
    assert not [mark for mark in of(key) if mark.words]


def test_every_temperature_symbol_repeats_figures_that_its_kind_states() -> None:
    for kind in shipped_kinds().values():
        for mark in kind_marks(kind):
            figures = [it for it in mark.words.replace("−", "-").split() if it.strip("-").isdigit()]
            assert all(figure in kind.storage for figure in figures), kind.key


@pytest.mark.parametrize(
    "key", ["nadcc-tablets", "calcium-hypochlorite", "sterile-dressing", "matches", "brake-fluid"]
)
def test_what_damp_spoils_says_keep_dry(key: str) -> None:
    assert Mark(symbols.KEEP_DRY) in of(key)


@pytest.mark.parametrize("key", ["hollow-fibre-filter", "drinking-water", "threadlocker", "tyre"])
def test_what_may_be_wet_or_says_nothing_of_damp_does_not_say_keep_dry(key: str) -> None:
    assert Mark(symbols.KEEP_DRY) not in of(key)


def test_single_use_stands_only_on_sterile_things_of_which_nothing_is_kept() -> None:
    found = {key for key, kind in shipped_kinds().items() if Mark(symbols.SINGLE_USE) in of(key)}
    assert {"sterile-dressing", "gauze-sterile", "saline-ampoule", "burn-dressing"} <= found
    assert not found & {"eye-drops", "gauze-nonsterile", "gloves-disposable", "rubber-solution"}
    for key in found:
        kind = shipped_kinds()[key]
        assert "sterile" in kind.cautions
        assert kind.opened is not None
        assert str(kind.opened.life) == "0 days"


def test_use_by_stands_only_beside_a_day_after_which_a_thing_is_not_to_be_used() -> None:
    dated, undated = held("sterile-dressing"), replace(held("insulin"), last_usable_day=None)
    quality = held("threadlocker")
    assert quality.kind.meaning is not DateMeaning.SAFETY
    assert [date_symbol(it) for it in (dated, undated, quality)] == [symbols.USE_BY, "", ""]


def test_a_first_aid_sign_stands_on_a_box_that_is_one() -> None:
    kit = [held(key, at) for at, key in enumerate(("plaster", "eye-pad", "bandage-crepe"), 1)]
    assert is_first_aid(kit)
    assert is_first_aid([*kit, held("cream", 4)])
    assert not is_first_aid(kit[:2])
    others = [held(key, at) for at, key in enumerate(("tool", "tyre", "hose", "petrol"), 5)]
    assert not is_first_aid([*kit, *others])
    assert not is_first_aid([])
