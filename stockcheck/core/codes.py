"""Our own ten-digit codes and their short forms; the check digit of a GTIN.

A code is one digit of type, eight of serial and one ISO 7064 MOD 11,10 check digit. Digits only,
so that Code 128 packs them two to a symbol character, and ten, so that no GTIN has that length.
"""

from __future__ import annotations

import re

TYPES = {"lot": "1", "box": "2", "item": "3", "action": "9"}
_LETTERS = {"L": "lot", "B": "box", "I": "item"}
_NAMES = {digit: name for name, digit in TYPES.items()}
GTIN_LENGTHS = (8, 12, 13, 14)
_LOOK_ALIKES = str.maketrans("OIL|", "0111")
_NEARLY_SHORT = re.compile(r"([LBI])[ .-]?(?=.*[0-9])([0-9OIL|]{1,9})[^0-9]?")


def check_digit(body: str) -> str:
    """The ISO/IEC 7064 MOD 11,10 check digit of a string of digits (the hybrid system)."""
    product = 10
    for digit in body:
        product = (product + int(digit)) % 10 or 10
        product = product * 2 % 11
    return str((11 - product) % 10)


def make_code(type_name: str, serial: int) -> str:
    """The code of the thing of this type with this serial number, 1 to 99 999 999."""
    if not 0 < serial < 100_000_000:
        raise ValueError(f"serial {serial} does not fit eight digits")
    body = f"{TYPES[type_name]}{serial:08d}"
    return body + check_digit(body)


def read_code(text: str) -> tuple[str, int] | None:
    """Type and serial of one of our codes, full (1000000420) or short (L42); None if it is neither.

    A full code with a wrong check digit is not one of ours.
    """
    tidy = text.strip().upper()
    if re.fullmatch(r"[LBI][1-9][0-9]{0,7}", tidy):
        return _LETTERS[tidy[0]], int(tidy[1:])
    if not re.fullmatch(r"[1239][0-9]{9}", tidy) or check_digit(tidy[:9]) != tidy[9]:
        return None
    serial = int(tidy[1:9])
    return (_NAMES[tidy[0]], serial) if serial else None


def looks_like_code(text: str) -> bool:
    """Whether the text has the shape of one of our full codes, right check digit or not."""
    return re.fullmatch(r"[1239][0-9]{9}", text.strip()) is not None


def near_codes(text: str) -> list[str]:
    """Our full codes that a slip makes into a text, the likeliest first.

    A slip is two neighbours swapped, one digit wrong, one left out or one too many, or letters in
    place of digits. A full code's check digit must be right; a short form's serial has none.
    """
    tidy = text.strip().upper()
    digits = tidy.translate(_LOOK_ALIKES)
    if found := _NEARLY_SHORT.fullmatch(tidy):
        serial = found[2].translate(_LOOK_ALIKES)
        slips = _slips(serial, inserting=False) if len(serial) > 1 else []
        serials = [int(each) for each in (serial, *slips) if 0 < int(each) < 10**8]
        made = [make_code(_LETTERS[found[1]], each) for each in serials]
    elif re.fullmatch(r"[0-9]{9,11}", digits):
        made = [each for each in (digits, *_slips(digits, inserting=True)) if read_code(each)]
    else:
        return []
    return [each for each in dict.fromkeys(made) if each != tidy and each != full_form(tidy)]


def near_gtins(text: str) -> list[str]:
    """The GTINs, as fourteen digits with a right check digit, that a slip makes into a text."""
    tidy = text.strip()
    if not re.fullmatch(r"[0-9]{7,15}", tidy):
        return []
    made = [read_gtin(each) for each in _slips(tidy, inserting=True)]
    return [each for each in dict.fromkeys(made) if each and each != read_gtin(tidy)]


def full_form(text: str) -> str:
    """The ten digits of one of our codes in any form; "" for what is none."""
    found = read_code(text)
    return make_code(*found) if found else ""


def _slips(digits: str, *, inserting: bool) -> list[str]:
    """Every string of digits that is one slip away."""
    places = range(len(digits))
    swaps = [
        digits[:n] + digits[n + 1] + digits[n] + digits[n + 2 :]
        for n in places[:-1]
        if digits[n] != digits[n + 1]
    ]
    wrong = [  # the type last: a finger that slips there is the rarer
        digits[:n] + new + digits[n + 1 :] for n in (*places[1:], 0) for new in "0123456789"
    ]
    fewer = [digits[:n] + digits[n + 1 :] for n in places if len(digits) > 1]
    more = [digits[:n] + new + digits[n:] for n in (*places, len(digits)) for new in "0123456789"]
    return [*swaps, *wrong, *fewer, *(more if inserting else [])]


def gtin_check_digit(body: str) -> str:
    """The check digit of a GTIN without it (GS1 General Specifications, section 7.9)."""
    total = sum(int(digit) * (3, 1)[place % 2] for place, digit in enumerate(reversed(body)))
    return str(-total % 10)


def read_gtin(text: str) -> str | None:
    """A GTIN-8, 12, 13 or 14 as fourteen digits; None when length or check digit is wrong."""
    tidy = text.strip()
    if len(tidy) not in GTIN_LENGTHS or not re.fullmatch(r"[0-9]+", tidy):
        return None
    return tidy.zfill(14) if gtin_check_digit(tidy[:-1]) == tidy[-1] else None
