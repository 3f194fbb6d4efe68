"""Words typed into a session beside scans."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.actions import Action
from stockcheck.core.scanning import Command
from stockcheck.core.scanning_typed import typed_command, typed_number, typed_receipt


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("use one", Command(Action.USE_ONE)),
        ("USE", Command(Action.USE_ONE)),
        ("use 3", Command(Action.USE_ONE, 3)),
        ("open", Command(Action.OPEN)),
        ("Open 2", Command(Action.OPEN, 2)),
        ("count 0", Command(Action.COUNT, 0)),
        ("write off", Command(Action.WRITE_OFF)),
        ("write-off 2", Command(Action.WRITE_OFF, 2)),
        ("write off wet through", Command(Action.WRITE_OFF, None, "wet through")),
        ("write off 2 wet", Command(Action.WRITE_OFF, 2, "wet")),
        ("writeoff: wet", Command(Action.WRITE_OFF, None, "wet")),
        ("move Cab", Command(Action.MOVE, None, "Cab")),
        ("move to Cab", Command(Action.MOVE, None, "Cab")),
        ("move 2 to Tyre kit", Command(Action.MOVE, 2, "Tyre kit")),
        ("move 2 Ящик", Command(Action.MOVE, 2, "Ящик")),
        ("label", Command(Action.LABEL)),
        ("undo", Command(Action.UNDO)),
        ("done", Command(Action.DONE)),
        (Action.DONE.code, Command(Action.DONE)),
    ],
)
def test_an_action_by_its_word_with_figures_or_words_behind_it(text: str, meant: Command) -> None:
    assert typed_command(text) == meant


@pytest.mark.parametrize(
    "text", ["", "used tyres", "use many", "open sesame", "counter", "remove", "1000000013", "L13"]
)
def test_other_words_are_no_action(text: str) -> None:
    assert typed_command(text) is None


@pytest.mark.parametrize(
    ("text", "packs"), [("receive", 1), ("Receive 12", 12), ("receiver", None)]
)
def test_packs_to_be_received(text: str, packs: int | None) -> None:
    assert typed_receipt(text) == packs


@pytest.mark.parametrize(
    ("text", "number"), [("0", 0), ("12", 12), ("999999", 999_999), ("1234567", None), ("-1", None),
                         ("1.5", None), ("٣", None), ("", None)]
)  # fmt: skip
def test_a_number_has_so_few_digits_that_it_is_no_code(text: str, number: int | None) -> None:
    assert typed_number(text) == number


@given(st.text(max_size=40))
def test_nothing_typed_makes_it_stumble(text: str) -> None:
    typed_command(text)
    typed_number(text)
    typed_receipt(text)
