"""The screen of what is to be done: 24 lines of 80 columns, whatever there is to say."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from given import TODAY
from stockcheck.core.planning import Trip
from stockcheck.core.todo import Facts, Task, Urgency
from stockcheck.output.status_report import screen, summed
from stockcheck.output.text import display_width

TRIP = Trip(1, "Spring count", date(2027, 2, 8), date(2027, 4, 25))
FACTS = Facts(TODAY, trip=TRIP)


def tasks(count: int, words: str = "Expired: 3 holdings", names: int = 2) -> list[Task]:
    named = tuple(f"box {number}" for number in range(names))
    return [Task("x", Urgency.NOW, 1, words, 'stockcheck decide "A b"', named)] * count


@pytest.mark.parametrize("width", [40, 80, 200])
@pytest.mark.parametrize("count", [0, 1, 9, 14, 60])
def test_it_fits_its_width_and_at_eighty_its_height(width: int, count: int) -> None:
    text = screen(tasks(count), FACTS, "Demo", width=width)
    lines = text.splitlines()
    assert max(map(display_width, lines)) <= width
    assert len(lines) <= 23


def test_what_has_no_room_is_counted_and_all_of_it_can_be_asked_for() -> None:
    text = screen(tasks(60), FACTS, "Demo")
    assert text.splitlines()[-1] == "   and 41 more: 'stockcheck status --all'"
    everything = screen(tasks(60), FACTS, "Demo", height=None)
    assert everything.count("stockcheck decide") == 60
    assert "more" not in everything


def test_the_most_urgent_are_told_with_names_while_lines_last() -> None:
    few = screen(tasks(3), FACTS, "Demo")
    assert few.count("box 0; box 1") == 3
    assert screen(tasks(15), FACTS, "Demo").count("box 0; box 1") == 5


def test_nothing_to_do_is_said_plainly() -> None:
    assert screen([], FACTS, "Demo").endswith("\n\nNothing to do.\n")
    bare = screen([], Facts(TODAY, stocked=False), "Demo")
    assert "No trip ahead" in bare
    assert "'stockcheck box add' and 'item add', then 'receive'" in bare.replace("\n", " ")


@pytest.mark.parametrize(
    ("day", "when"),
    [
        (date(2027, 2, 6), "in 2 days"),
        (date(2027, 2, 7), "tomorrow"),
        (date(2027, 2, 8), "today"),
        (date(2027, 3, 1), "under way"),
    ],
)
def test_how_long_it_is_until_the_trip(day: date, when: str) -> None:
    said = screen([], Facts(day, trip=TRIP), "Demo").splitlines()[1]
    assert said == f"Next trip: Spring count, 08 FEB 2027 to 25 APR 2027, {when}"


@given(
    st.lists(st.text("abc дё", min_size=1, max_size=30), min_size=1, max_size=30),
    st.integers(30, 200),
)
def test_a_list_of_names_is_summed_up_within_its_room(names: list[str], room: int) -> None:
    text = summed(names, room)
    assert display_width(text) <= room
    assert text == "; ".join(names) or text.endswith(" more") or "…" in text


def test_colour_says_nothing_that_words_do_not() -> None:
    plain = screen(tasks(3), FACTS, "Demo")
    painted = screen(tasks(3), FACTS, "Demo", colour=True)
    assert painted.replace("\x1b[31m", "").replace("\x1b[0m", "") == plain
