from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.output.layout import Need, fit, widen, wrap, wrap_within

A, B, C = Need(8, 4), Need(40, 10, weight=1), Need(40, 10, weight=3)
FIXED = Need(12, 4, fixed=True)


@pytest.mark.parametrize(
    ("text", "room", "lines"),
    [
        ("look, smell and try", 11, ["look, smell", "and try"]),
        ("abcdefgh ij", 3, ["abc", "def", "gh", "ij"]),
        ("chlorine-releasing", 12, ["chlorine-", "releasing"]),
        ("one and/or two", 6, ["one", "and/or", "two"]),
        ("30\u00a0NOV\u00a02027 or later", 14, ["30 NOV 2027 or", "later"]),
        ("or later: 30\u00a0NOV\u00a02027", 14, ["or later:", "30 NOV 2027"]),
        ("", 5, [""]),
    ],
)
def test_words_are_wrapped_at_spaces_and_broken_only_when_too_long(
    text: str, room: int, lines: list[str]
) -> None:
    assert list(wrap(text, room, len)) == lines


@given(st.text("ab-/ ", max_size=60), st.integers(1, 20))
def test_wrapping_loses_no_letter_and_fits(text: str, room: int) -> None:
    lines = list(wrap(text, room, len))
    assert all(len(line) <= room for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_what_is_cut_off_is_marked() -> None:
    assert wrap_within("one two three four", 5, len, 2) == ["one", "two…"]
    assert wrap_within("x" * 10_000, 5, len, 2) == ["xxxxx", "xxxx…"]
    assert wrap_within("one two", 5, len, 2) == ["one", "two"]


@pytest.mark.parametrize(
    ("needs", "room", "widths"),
    [
        ([A, A], 80, [8, 8]),  # nobody gets more than its longest text
        ([B, C], 60, [20, 40]),  # 15 and 45 by weight, but 40 is all the second can use
        ([B, C], 44, [11, 33]),
        ([B, C], 24, [10, 14]),  # by weight the first would lose its longest word
        ([FIXED, B], 30, [12, 18]),
        ([FIXED, B], 21, None),
        ([], 80, []),
    ],
)
def test_room_is_shared_by_weight_between_longest_word_and_longest_text(
    needs: list[Need], room: int, widths: list[float] | None
) -> None:
    assert fit(needs, room, cap=20) == widths


def test_a_cap_keeps_one_long_word_from_taking_the_page() -> None:
    assert fit([Need(500, 500, fixed=True), Need(500, 500)], 100, cap=25) == [25, 75]


@given(
    st.lists(st.builds(Need, *[st.floats(1, 200)] * 2, st.integers(1, 5), st.booleans())),
    st.integers(40, 200),
)
def test_shared_widths_never_exceed_the_room(needs: list[Need], room: int) -> None:
    widths = fit(needs, room, cap=room / 4)
    assert widths is None or sum(widths) <= room + 0.001


def test_spare_room_lets_headings_stand_on_one_line() -> None:
    assert widen([5, 5, 5], [8, 4, 9], 20) == [8, 5, 5]
