from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.labels.fitting import Fitted, Room, fit, fit_whole
from stockcheck.labels.fonts import width_mm

NAME = "Threadlocker, medium strength, ten millilitres"


def test_a_short_text_keeps_its_best_size() -> None:
    assert fit("Tape", Room(40, 10, 6)) == Fitted(("Tape",), 10)


def test_a_longer_text_is_shrunk_before_it_is_wrapped() -> None:
    found = fit(NAME, Room(60, 12, 6, lines=2))
    assert found.lines == (NAME,)
    assert 6 <= found.size < 12


def test_what_the_smallest_size_cannot_hold_is_wrapped_between_words() -> None:
    found = fit(NAME, Room(40, 9, 7, lines=2))
    assert found == Fitted(("Threadlocker, medium", "strength, ten millilitres"), found.size)
    assert 7 <= found.size <= 9


def test_what_the_lines_cannot_hold_is_cut_with_an_ellipsis() -> None:
    found = fit(NAME, Room(20, 9, 7, lines=2))
    assert found.cut
    assert found.size == 7
    assert found.lines[-1].endswith("…")


def test_a_place_is_cut_at_its_start_because_its_end_says_most() -> None:
    found = fit("in Truck / Left side / Tyre kit", Room(20, 7, 7), keep_end=True)
    assert found.cut
    assert found.lines[0].startswith("…")
    assert found.lines[0].endswith("Tyre kit")


def test_a_word_wider_than_the_line_is_broken_only_when_all_else_fails() -> None:
    word = "Donaudampfschifffahrtsgesellschaft"
    room = Room(25, 9, 7, lines=3)
    assert fit_whole(word, room) is None
    found = fit(word, room)
    assert "".join(found.lines) == word
    assert not found.cut


def test_an_empty_text_takes_no_line() -> None:
    assert fit("", Room(10, 9, 7)).lines == ()


def test_nothing_fits_whole_into_no_width() -> None:
    assert fit_whole("a", Room(0, 9, 7)) is None


words = st.lists(st.text("abcWм.я", min_size=1, max_size=12), min_size=1, max_size=12)


@given(words, st.floats(8, 80), st.integers(1, 3), st.booleans())
def test_no_line_is_ever_wider_than_its_room(
    parts: list[str], width: float, lines: int, keep_end: bool
) -> None:
    room = Room(width, 12, 6, 1 if keep_end else lines)
    found = fit(" ".join(parts), room, keep_end=keep_end)
    assert len(found.lines) <= room.lines
    assert 6 <= found.size <= 12
    for line in found.lines:
        assert width_mm(line, found.size, bold=False) <= width + 0.01
    if not found.cut:
        assert "".join(found.lines).replace(" ", "") == "".join(parts)


@pytest.mark.parametrize("bold", [False, True])
def test_no_font_is_needed_to_know_that_nothing_is_nothing_wide(bold: bool) -> None:
    assert width_mm("", 12, bold) == 0
