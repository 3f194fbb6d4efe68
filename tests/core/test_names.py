"""Names: compared without case or form of letters, kept tidy, and found when mistyped."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.errors import BadInput
from stockcheck.core.names import name_key, nearest, tidy_name


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Tyre kit", "TYRE  KIT"),
        ("Tyre kit", " tyre\u00a0kit\t"),
        ("Йод", "ЙОД"),
        ("Йод", unicodedata.normalize("NFD", "йод")),
        ("Crème", "CRE\u0300ME"),
        ("Straße", "STRASSE"),
        ("ΣΙΣΥΦΟΣ", "σισυφος"),
        ("10 ml", "１０ ml"),
        ("ﬁlter", "filter"),
    ],
)
def test_names_that_read_the_same_are_the_same(one: str, other: str) -> None:
    assert name_key(one) == name_key(other)


@pytest.mark.parametrize(("one", "other"), [("Box 1", "Box 2"), ("крем", "крём"), ("a b", "ab")])
def test_names_that_read_differently_are_different(one: str, other: str) -> None:
    assert name_key(one) != name_key(other)


@given(st.text(max_size=30))
def test_the_key_does_not_depend_on_how_letters_are_put_together(name: str) -> None:
    assert name_key(unicodedata.normalize("NFD", name)) == name_key(name)


@pytest.mark.parametrize(
    ("name", "tidy"),
    [
        ("  Tyre \n kit ", "Tyre kit"),
        ("Кре\u0301м", "Кре\u0301м"),
        ("Cre\u0300me", "Crème"),
        ("7 mm socket", "7 mm socket"),
        ("L", "L"),
        ("L0", "L0"),
        ("12345", "12345"),
        ("x" * 120, "x" * 120),
    ],
)
def test_a_name_is_kept_tidy(name: str, tidy: str) -> None:
    assert tidy_name(name, "box") == tidy


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("", "a box needs a name"),
        (" \t\u00a0", "a box needs a name"),
        ("x" * 121, "box name of 121 characters: at most 120; use a note for more"),
        ("a\u200bb", "has characters that do not print: U+200B"),
        ("a\u202eb", "has characters that do not print: U+202E"),
        ("a\x1b[31mb", "has characters that do not print: U+001B"),
        ("a\udcffb", "has characters that do not print: U+DCFF"),
        ("L12", "box name 'L12' would be read as a code; choose another"),
        (" b7 ", "box name 'b7' would be read as a code; choose another"),
        ("2000000018", "would be read as a code"),
        ("2000000019", "would be read as a code"),
    ],
)
def test_a_name_that_would_be_trouble_is_refused_with_its_reason(name: str, words: str) -> None:
    with pytest.raises(BadInput) as refused:
        tidy_name(name, "box")
    assert words in str(refused.value)


@pytest.mark.parametrize(
    ("text", "end"),
    [
        ("tyre kti", "; did you mean 'Tyre kit'?"),
        ("TYRE", "; did you mean 'Tyre kit' or 'Spare tyre'?"),
        ("йод", "; did you mean 'Йод 5 %'?"),
        ("xyz", "; 'box list' shows them all"),
    ],
)
def test_the_nearest_names_are_told_or_else_where_to_look(text: str, end: str) -> None:
    names = ("Tyre kit", "Spare tyre", "Йод 5 %", "Fluids")
    assert nearest(text, names, "'box list' shows them all") == end


def test_at_most_three_names_are_told() -> None:
    names = [f"tyre patch {number}" for number in range(9)]
    assert nearest("tyre patch", names, "").count("'tyre patch") == 3
