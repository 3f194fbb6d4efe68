"""Every sort of label with short, long, many-scripted and empty fields. All of it is invented."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import given
from stockcheck.core.calendar import Life
from stockcheck.core.model import Certainty, DateMeaning, Holding, LifeRule, State
from stockcheck.labels.text import LabelText
from stockcheck.labels.wording import (
    box_label,
    hold_label,
    item_label,
    last_resort_label,
    lot_label,
    opened_label,
)

ON = given.TODAY
_OPENED = LifeRule(Life(months=3), "the invented sheet", Certainty.OWN)


@dataclass(frozen=True, slots=True)
class Fields:
    """What a person may have typed, and what of it is there at all."""

    name: str
    place: str
    batch: str
    reason: str
    cautions: tuple[str, ...] = ()
    storage: str = ""
    expiry: str = ""
    made: str = ""
    number: int = 7


FIELDS = {
    "short": Fields("tape", "Cab", "7C", "torn", expiry="2027"),
    "long": Fields(
        "thread sealant, anaerobic, medium strength, for fittings up to M20, 50 ml bottle",
        "Truck / Left drawer / Sealants and adhesives / Small pouch",
        "LOT-2026-000417-A/B-REWORK",
        "the maker calls this batch back: seals leak, see the letter of 3 October",
        ("pressurised", "flammable"),
        "8-28 °C, dry",
        "2027-11-30",
        "2025-06",
        number=12345678,
    ),
    "scripts": Fields(
        "Клей – Κόλλα – Ragasztó ő, 20 ml",
        "Грузовик / Ящик",
        "ПАРТИЯ-7",
        "этикетка стёрта",
        ("sterile",),
        "2-8 °C, never frozen",
        "2027-11",
    ),
    "one word": Fields("Donaudampfschifffahrtsgesellschaft" * 2, "W" * 40, "B" * 40, "x" * 80),
    "digits": Fields("0417 2027 11", "3", "0000000000", "1", expiry="2027-11", made="2025-06-30"),
    "empty": Fields("O", "", "", ""),
}


def holding_of(fields: Fields, *, opened_on: date | None = None) -> Holding:
    """A lot in a box, of a kind with a safety date that keeps for three months once opened."""
    meaning = DateMeaning.SAFETY if fields.storage else DateMeaning.QUALITY
    kind = replace(
        given.kind("sealant", meaning=meaning, opened=_OPENED),
        cautions=fields.cautions,
        storage=fields.storage,
    )
    item = given.item(kind, fields.name, fields.number)
    printed = given.printed(f"EXP {fields.expiry}", fields.expiry) if fields.expiry else None
    lot = replace(
        given.lot(item, fields.number, expiry=printed, made=fields.made, received_on=ON),
        batch=fields.batch,
    )
    last = printed.last_usable_day if printed else None
    box = given.box(fields.place or "B", fields.number)
    return given.holding(1, lot, box, 3, last, opened_on=opened_on)


def labels_of(fields: Fields) -> dict[str, LabelText]:
    """Every sort of label for the same fields."""
    sealed = holding_of(fields)
    opened = holding_of(fields, opened_on=date(2026, 9, 2))
    past = replace(sealed, last_usable_day=date(2026, 2, 28), governed_by="printed")
    box = sealed.box
    return {
        "lot": lot_label(sealed, ON),
        "lot, ISO dates": lot_label(opened, ON, iso=True),
        "lot, expired": lot_label(past, ON),
        "box": box_label(
            box, fields.place, 3, contents=[sealed, opened], audit_due=date(2027, 3, 1)
        ),
        "item": item_label(sealed.item, place=fields.place, keep=4),
        "opened": opened_label(opened, ON),
        "to be opened": opened_label(sealed, ON),
        "hold": hold_label(sealed, ON, reason=fields.reason),
        "last resort": last_resort_label(replace(past, state=State.LAST_RESORT), ON),
    }


def every_label() -> dict[str, LabelText]:
    """All of them, by what they are: "hold, long"."""
    return {
        f"{sort}, {what}": text
        for what, fields in FIELDS.items()
        for sort, text in labels_of(fields).items()
    }
