"""Our own ten-digit codes, their short forms, and GTINs as they are typed or scanned."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stockcheck.core.codes import (
    TYPES,
    check_digit,
    full_form,
    gtin_check_digit,
    looks_like_code,
    make_code,
    near_codes,
    near_gtins,
    read_code,
    read_gtin,
)

types = st.sampled_from(sorted(TYPES))
serials = st.integers(1, 99_999_999)


@pytest.mark.parametrize(
    ("type_name", "serial", "start"),
    [
        ("lot", 42, "100000042"),
        ("box", 3, "200000003"),
        ("item", 17, "300000017"),
        ("action", 99_999_999, "999999999"),
    ],
)
def test_a_code_is_a_digit_of_type_eight_of_serial_and_a_check_digit(
    type_name: str, serial: int, start: str
) -> None:
    assert make_code(type_name, serial) == start + check_digit(start)


@given(types, serials)
def test_every_code_that_is_made_is_ten_digits_and_reads_back(type_name: str, serial: int) -> None:
    code = make_code(type_name, serial)
    assert (len(code), code.isdigit()) == (10, True)
    assert looks_like_code(code)
    assert read_code(f" {code}\n") == (type_name, serial)


@pytest.mark.parametrize("serial", [0, -1, 100_000_000])
def test_a_serial_that_does_not_fit_eight_digits_is_refused(serial: int) -> None:
    with pytest.raises(ValueError, match="does not fit eight digits"):
        make_code("lot", serial)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("L42", ("lot", 42)), ("b3", ("box", 3)), (" i17 ", ("item", 17))],
)
def test_the_short_form_needs_no_check_digit_and_minds_no_case(
    typed: str, meant: tuple[str, int]
) -> None:
    assert read_code(typed) == meant


@given(types, serials, st.integers(0, 9), st.integers(1, 9))
def test_one_digit_typed_wrong_is_always_caught(
    type_name: str, serial: int, place: int, shift: int
) -> None:
    code = make_code(type_name, serial)
    wrong = str((int(code[place]) + shift) % 10)
    assert read_code(code[:place] + wrong + code[place + 1 :]) is None


@pytest.mark.parametrize(
    "text",
    [
        "",
        "L",
        "L0",
        "L042",
        "L123456789",
        "A9",
        "42",
        "1000000421",
        "4000000420",
        "10000004200",
        "１００００００４２０",
        "EXP 11/2027",
    ],
)
def test_what_is_not_one_of_our_codes_is_not_read_as_one(text: str) -> None:
    assert read_code(text) is None


@pytest.mark.parametrize(
    ("text", "shaped"),
    [("1000000420", True), ("1000000421", True), ("4000000420", False), ("L42", False)],
)
def test_a_code_with_a_wrong_check_digit_still_has_the_shape_of_one(
    text: str, shaped: bool
) -> None:
    assert looks_like_code(text) is shaped


@pytest.mark.parametrize(
    ("text", "gtin"),
    [
        ("95012346", "00000095012346"),
        ("614141123452", "00614141123452"),
        (" 9506000134352 ", "09506000134352"),
        ("29506000134356", "29506000134356"),
    ],
    ids=["GTIN-8", "GTIN-12", "GTIN-13", "GTIN-14"],
)
def test_a_gtin_of_any_length_becomes_fourteen_digits(text: str, gtin: str) -> None:
    assert read_gtin(text) == gtin


@pytest.mark.parametrize(
    "text", ["9506000134353", "950600013435", "9501234", "950600013435X", "٩٥٠١٢٣٤٦", ""]
)
def test_a_gtin_with_a_wrong_length_digit_or_check_is_none(text: str) -> None:
    assert read_gtin(text) is None


@given(st.text("0123456789", min_size=11, max_size=12))
def test_padding_a_gtin_with_zeros_leaves_its_check_digit_alone(body: str) -> None:
    assert gtin_check_digit(body) == gtin_check_digit(body.zfill(13))


@given(types, serials)
def test_our_codes_are_never_taken_for_a_gtin(type_name: str, serial: int) -> None:
    assert read_gtin(make_code(type_name, serial)) is None


@given(types, serials, st.integers(0, 9), st.integers(1, 9))
def test_a_code_with_one_digit_wrong_has_the_right_one_among_those_near(
    type_name: str, serial: int, place: int, more: int
) -> None:
    code = make_code(type_name, serial)
    wrong = code[:place] + str((int(code[place]) + more) % 10) + code[place + 1 :]
    assert code in near_codes(wrong)


@given(types, serials, st.integers(0, 8))
def test_a_code_with_two_neighbours_swapped_has_the_right_one_among_the_first(
    type_name: str, serial: int, place: int
) -> None:
    code = make_code(type_name, serial)
    swapped = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
    if read_code(swapped) is None:
        assert code in near_codes(swapped)[:9]


@given(types, serials, st.integers(0, 9))
def test_a_digit_left_out_or_typed_twice_is_mended(type_name: str, serial: int, place: int) -> None:
    code = make_code(type_name, serial)
    assert code in near_codes(code[:place] + code[place + 1 :])
    assert code in near_codes(code[:place] + code[place] + code[place:])


@given(st.text("0123456789OIl", min_size=8, max_size=12))
def test_every_code_near_is_one_of_ours_and_another_than_the_text(text: str) -> None:
    near = near_codes(text)
    assert all(read_code(each) and len(each) == 10 and each != text for each in near)
    assert len(set(near)) == len(near)


def test_letters_typed_for_digits_are_mended_first() -> None:
    code = make_code("lot", 10)
    assert near_codes(code.replace("0", "O").replace("1", "l"))[0] == code


def test_short_forms_are_a_slip_away_by_their_serials() -> None:
    assert make_code("lot", 12) in near_codes("L21")
    assert make_code("lot", 21) not in near_codes("L21")
    assert near_codes("L9") == []
    assert all(each[0] == "2" for each in near_codes("B12"))


@pytest.mark.parametrize("typed", ["L51x", "L5l", "l 51", "L-51", "LSI"])
def test_a_short_form_typed_with_a_slip_is_mended_first(typed: str) -> None:
    near = near_codes(typed)
    assert near[:1] == ([] if typed == "LSI" else [make_code("lot", 51)])


@pytest.mark.parametrize("word", ["boil", "bill", "lol", "IO"])
def test_words_are_no_short_forms(word: str) -> None:
    assert near_codes(word) == []


@given(st.text("0123456789", min_size=11, max_size=13), st.data())
def test_a_gtin_is_a_slip_away_from_what_a_finger_made_of_it(
    body: str, data: st.DataObject
) -> None:
    gtin = body + gtin_check_digit(body)
    place = data.draw(st.integers(0, len(gtin) - 1))
    wrong = gtin[:place] + data.draw(st.sampled_from("0123456789")) + gtin[place + 1 :]
    assert wrong == gtin or gtin.zfill(14) in near_gtins(wrong)
    assert gtin.zfill(14) not in near_gtins(gtin)


@pytest.mark.parametrize("text", ["", "water", "12345678", "123456789012", "X1234567890"])
def test_what_has_not_the_shape_of_our_codes_has_none_near(text: str) -> None:
    assert near_codes(text) == []


@given(types, serials)
def test_the_full_form_of_a_code_is_its_ten_digits(type_name: str, serial: int) -> None:
    code = make_code(type_name, serial)
    assert full_form(code) == code
    short = {"lot": "L", "box": "B", "item": "I"}.get(type_name)
    if short:
        assert full_form(f"{short}{serial}") == code
    assert full_form("water") == ""
