"""Lines as keyboard scanners send them: what stands around our codes, and other keyboards."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.codes import make_code
from stockcheck.core.scanning_lines import (
    from_other_layout,
    looks_mistyped,
    own_code,
    read_twice,
    tidy_line,
)

L42 = make_code("lot", 42)
serials = st.integers(1, 99_999_999)


@pytest.mark.parametrize(
    "line",
    [f"{L42}\r\n", f"{L42}\t", f"\x02{L42}\x03", f" {L42} ", f"\ufeff{L42}\n", f"\x1d{L42}"],
    ids=["CR LF", "tab", "STX and ETX", "blanks", "byte-order mark", "FNC1 first"],
)
def test_what_scanners_put_around_a_line_is_taken_off(line: str) -> None:
    assert tidy_line(line) == L42


def test_a_separator_inside_stays() -> None:
    assert tidy_line("10AB\x1d17290228\r\n") == "10AB\x1d17290228"


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        (L42, ("lot", 42)),
        ("l42", ("lot", 42)),
        (f"]C0{L42}", ("lot", 42)),
        (f"]d1{L42}", ("lot", 42)),
        (f"]Q1{L42}", ("lot", 42)),
        (f"*{L42}*", ("lot", 42)),
        (f"A{L42}", ("lot", 42)),
        (f">{L42}#", ("lot", 42)),
    ],
    ids=["plain", "short", "Code 128", "Data Matrix", "QR", "Code 39", "code letter", "signs"],
)
def test_one_of_our_codes_is_known_in_whatever_a_scanner_adds(
    text: str, meant: tuple[str, int]
) -> None:
    assert own_code(text) == meant


@pytest.mark.parametrize(
    "text",
    [f"]C1{L42}", f"]d2{L42}", "]C0L42", f"{L42[:-1]}{(int(L42[-1]) + 1) % 10}", f"XY{L42}", ""],
    ids=[
        "GS1-128",
        "GS1 Data Matrix",
        "short under a symbol",
        "check digit",
        "two letters",
        "none",
    ],
)
def test_what_is_not_surely_ours_is_not_taken_for_it(text: str) -> None:
    assert own_code(text) is None


@given(serials)
def test_a_code_typed_through_a_french_keyboard_is_told_by_its_check_digit(serial: int) -> None:
    code = make_code("lot", serial)
    typed = code.translate(str.maketrans("1234567890", "&é\"'(-è_çà"))
    assert from_other_layout(typed) == (code, "French")


@pytest.mark.parametrize(("typed", "meant"), [("Д42", "L42"), ("и3", "B3"), ("Ш17", "I17")])
def test_short_forms_typed_on_the_keys_of_a_russian_keyboard_are_understood(
    typed: str, meant: str
) -> None:
    assert from_other_layout(typed) == (meant, "Russian")


@pytest.mark.parametrize("text", [L42, "L42", "water", "вода", "«Д»", ""])
def test_what_needs_no_other_keyboard_is_left_alone(text: str) -> None:
    assert from_other_layout(text) is None


def test_a_makers_code_through_another_keyboard_is_pointed_out_and_never_guessed() -> None:
    typed = "010952012300023317290200".translate(str.maketrans("1234567890", "&é\"'(-è_çà"))
    assert from_other_layout(typed) is None
    assert looks_mistyped(typed) == "French"
    assert looks_mistyped("water tablets") == ""


TWICE = [
    ("a scanner that reads twice", L42, L42, 0.02, True),
    ("with the Enter it was sent with", f"{L42}\r\n", L42, 0.02, True),
    ("a person who looked", L42, L42, 0.6, False),
    ("another symbol", L42, "2000000034", 0.02, False),
    ("a pipe, where nobody waits", L42, L42, None, False),
    ("a word typed fast", "undo", "undo", 0.1, False),
    ("the first line of all", L42, "", 0.02, False),
]


@pytest.mark.parametrize(
    ("line", "before", "waited", "twice"),
    [case[1:] for case in TWICE],
    ids=[case[0] for case in TWICE],
)
def test_a_symbol_read_twice_in_a_moment_counts_once(
    line: str, before: str, waited: float | None, twice: bool
) -> None:
    assert read_twice(line, before, waited) is twice
