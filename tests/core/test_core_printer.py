"""How a printer's print is set true from two lengths measured on its alignment page."""

from __future__ import annotations

import pytest
from hypothesis import given as tried
from hypothesis import strategies as st

from stockcheck.core.errors import BadInput
from stockcheck.core.printer import Setting, checked, corrected, with_measures


@pytest.mark.parametrize(
    ("mark", "ruler", "offset", "scale"),
    [
        (10, 100, 0, 1),
        (11.2, 100, -1.2, 1),
        (9.5, 100, 0.5, 1),
        (9.96, 99.6, 0, 1 / 0.996),
        (10.96, 99.6, -1 / 0.996, 1 / 0.996),
    ],
)
def test_what_was_measured_gives_the_setting(
    mark: float, ruler: float, offset: float, scale: float
) -> None:
    assert corrected(mark, ruler) == pytest.approx((offset, scale))


@tried(st.floats(0.975, 1.025), st.floats(-9, 9), st.floats(0, 300))
def test_a_print_with_its_setting_lies_where_it_belongs(a: float, b: float, x: float) -> None:
    """A printer that puts x at a x + b, measured and set, puts every x at x."""
    offset, scale = corrected(mark=a * 10 + b, ruler=a * 100)
    assert a * (x * scale + offset) + b == pytest.approx(x, abs=1e-6)


@pytest.mark.parametrize("ruler", [0, -100, 50, 112, 90, float("nan"), float("inf")])
def test_a_ruler_of_odd_length_is_refused(ruler: float) -> None:
    with pytest.raises(BadInput, match=r"come out between 97\.1 and 103\.1 mm"):
        corrected(10, ruler)


@pytest.mark.parametrize(
    ("setting", "said"),
    [
        (Setting(offset_x=20.1), "offset x 20.1 mm: at most 20 mm"),
        (Setting(offset_y=-1e9), "offset y -1e+09 mm"),
        (Setting(offset_x=float("nan")), "offset x nan"),
        (Setting(scale_x=0.5), "scale x 0.5: it must lie between 0.97 and 1.03"),
        (Setting(scale_y=0), "scale y 0"),
        (Setting(scale_y=float("inf")), "scale y inf"),
    ],
)
def test_what_is_no_printers_play_is_refused(setting: Setting, said: str) -> None:
    with pytest.raises(BadInput) as caught:
        checked(setting)
    assert said in str(caught.value)


def test_a_printer_without_setting_is_taken_as_true() -> None:
    assert Setting().is_true
    assert Setting(1.5, -2, 1.01, 0.99).placed(100, 200) == pytest.approx((102.5, 196))


def test_measures_of_one_edge_leave_the_other_as_it_was() -> None:
    was = Setting(offset_y=1.5)
    marked = with_measures(was, {"mark_x": 11.2})
    assert marked.offset_x == pytest.approx(-1.2)
    assert marked.offset_y == 1.5
    assert with_measures(was, {"ruler_x": "101"}).scale_x == pytest.approx(1 / 1.01)
    assert with_measures(was, {"offset_y": -0.5, "scale_y": 1.01}) == Setting(0, -0.5, 1, 1.01)
    assert with_measures(was, {}) == was


def test_measures_are_of_a_print_without_setting_and_take_its_place() -> None:
    was = with_measures(Setting(), {"mark_x": 11.2, "ruler_x": "99.6"})
    assert with_measures(was, {"mark_x": 11.2, "ruler_x": "99.6"}) == was


@pytest.mark.parametrize(("typed", "scale"), [("49.8/50", 50 / 49.8), ("40,2/40", 40 / 40.2)])
def test_a_small_label_has_a_shorter_ruler(typed: str, scale: float) -> None:
    assert with_measures(Setting(), {"ruler_y": typed}).scale_y == pytest.approx(scale)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"ruler_x": "long"}, "ruler 'long': write the millimetres that you measured"),
        ({"ruler_x": "50/0"}, "ruler '50/0': write the millimetres"),
        ({"ruler_x": "100", "scale_x": 1.0}, "--scale-x: that is worked out from mark and ruler"),
        ({"mark_x": 40.0}, "offset x -30 mm: at most 20 mm"),
    ],
)
def test_measures_that_make_no_sense_are_refused(given: dict[str, float | str], said: str) -> None:
    with pytest.raises(BadInput) as caught:
        with_measures(Setting(), given)
    assert said in str(caught.value)
