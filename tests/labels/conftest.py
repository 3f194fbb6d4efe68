"""Invented labels, from the plainest to the most awkward."""

from __future__ import annotations

import pytest

from stockcheck.core.codes import make_code
from stockcheck.labels.text import LabelText


@pytest.fixture(scope="session")
def plain() -> LabelText:
    """What most labels say."""
    return LabelText(
        code=make_code("lot", 42),
        short="L42",
        title="Threadlocker, medium, 10 ml bottle",
        date="NOV 2027",
        date_word="last usable, printed",
        place="in Truck / Sealants",
        batch="7C21-B",
        lines=("received 02 SEP 2026",),
        opened="",
    )


@pytest.fixture(scope="session")
def undated() -> LabelText:
    return LabelText(
        make_code("lot", 7), "L7", "Rubber solution", "NO DATE", caution="flammable", opened=""
    )


@pytest.fixture(scope="session")
def box() -> LabelText:
    return LabelText(
        make_code("box", 3), "B3", "Tyre kit", place="in Truck", lines=("14 lots, 37 pieces",)
    )


@pytest.fixture(scope="session")
def awkward() -> LabelText:
    """Long in every field, in Cyrillic, with a serial of eight digits."""
    return LabelText(
        code=make_code("lot", 12345678),
        short="L12345678",
        title="Клей анаэробный резьбовой средней прочности, флакон, для резьбы до М20",
        date="30 NOV 2027",
        date_word="last usable, shelf (estimate)",
        place="in Грузовик / Ящик инструментов / Герметики и клеи / Малый пенал",
        batch="ПАРТИЯ-2026-000417-А",
        lines=("received 2026-08-31", "поставщик: Лавка у дороги"),
        opened="2026-08-31",
    )


@pytest.fixture(scope="session")
def bare() -> LabelText:
    """Nothing but a name of one letter."""
    return LabelText(make_code("item", 1), "I1", "O")


@pytest.fixture(scope="session")
def samples(
    plain: LabelText, undated: LabelText, box: LabelText, awkward: LabelText, bare: LabelText
) -> tuple[LabelText, ...]:
    eyewash = LabelText(
        make_code("lot", 8),
        "L8",
        "Eyewash, sterile, 20 ml",
        "2027-11",
        "last usable, printed",
        caution="sterile: single use",
    )
    one_word = LabelText(
        make_code("lot", 9), "L9", "Donaudampfschifffahrtsgesellschaft" * 3, "2028", batch="B" * 70
    )
    return plain, undated, box, awkward, bare, eyewash, one_word
