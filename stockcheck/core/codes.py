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
