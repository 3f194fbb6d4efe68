"""What somebody types or scans while counting, as values: a thing with a quantity, or a word.

The forms are ``L12`` (one more), ``L12 3`` (three more), ``L12 -1`` (one fewer), ``L12 =3`` (three
in all), each with ``packs``, a unit, and what part of the lot is meant after it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from stockcheck.core.errors import BadInput
from stockcheck.core.model import UNITS, Item
from stockcheck.core.stocktake import Part

MOST = 999_999
_PARTS = {
    "sealed": Part.SEALED,
    "opened": Part.OPENED,
    "open": Part.OPENED,
    "held": Part.HELD,
    "on hold": Part.HELD,
    "last resort": Part.LAST_RESORT,
}
_UNITS = {f"{unit}s": unit for unit in UNITS} | {unit: unit for unit in UNITS}
_AMOUNT = (
    r"(?P<sign>=|\+|-|−|x|×)?\s*(?P<number>[0-9]{1,9})\s*"
    rf"(?P<unit>packs?|{'|'.join(sorted(_UNITS, key=len, reverse=True))})?"
)
_PART = rf"(?P<part>{'|'.join(sorted(_PARTS, key=len, reverse=True))})"
_ALONE = re.compile(rf"\s*{_AMOUNT}\s*(?:{_PART})?\s*", re.IGNORECASE | re.ASCII)
_AFTER = re.compile(
    rf"(?P<thing>.*?\S)(?:\s+{_AMOUNT})?(?:\s+{_PART})?\s*", re.IGNORECASE | re.ASCII
)
_NOTE = re.compile(r"\s*(?:\?|note\b:?)\s*(?P<text>.*\S)\s*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Amount:
    """How many: ``number`` units, or packs of the item; None is one scan.

    ``sets`` is in all, ``replaces`` in place of the line before.
    """

    number: int | None = None
    unit: str = ""
    sets: bool = False
    part: Part = Part.ANY
    replaces: bool = False


ONE_SCAN = Amount()
"""What a thing named without a number means."""


def read_note(text: str) -> str:
    """What is noted by ``? half a tube`` or ``note half a tube``; "" for any other line."""
    found = _NOTE.fullmatch(text)
    return found["text"] if found else ""


def read_amount(text: str) -> Amount | None:
    """A line that is a quantity alone, of the thing named last; None for any other.

    Without a sign it is what the line before should have said. Eight digits and more are
    somebody's code.
    """
    found = _ALONE.fullmatch(text)
    if found is None or len(found["number"]) >= 7 or found["sign"] in {"x", "×"}:
        return None
    amount = _amount(found)
    return amount if found["sign"] else replace(amount, replaces=True)


def split_amount(text: str) -> tuple[str, Amount]:
    """The thing named and how many of it."""
    found = _AFTER.fullmatch(text)
    if found is None:
        return text.strip(), Amount()
    return found["thing"], _amount(found)


def _amount(found: re.Match[str]) -> Amount:
    part = _PARTS[found["part"].lower()] if found["part"] else Part.ANY
    if not found["number"]:
        return Amount(part=part)
    number = int(found["number"])
    if number > MOST:
        raise BadInput(f"{number}: more than {MOST} is no count; look at the line again")
    unit = (found["unit"] or "").lower()
    sign = -1 if found["sign"] in {"-", "−"} else 1
    return Amount(
        sign * number, "pack" if unit.startswith("pack") else _UNITS.get(unit, ""),
        found["sign"] == "=", part,
    )  # fmt: skip


def units_counted(amount: Amount, item: Item, scanned: int | None = None) -> int:
    """How many units of the item an amount means. One scan is a pack, as labels stand on packs.

    ``scanned`` is how many units a maker's code stands for. BadInput for another unit than the
    item's own.
    """
    one = scanned if scanned is not None else item.pack
    if amount.number is None:
        return one
    if amount.unit == "pack":
        return amount.number * (scanned or item.pack)
    if amount.unit not in {"", item.unit}:
        raise BadInput(f"{item.name} is counted in {item.unit}, not in {amount.unit}")
    return amount.number * scanned if scanned and scanned != 1 else amount.number
