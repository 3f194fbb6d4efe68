"""The climates that ship as examples, and reading a person's own of the same form.

Keys of a climate: ``name``; either ``fixed_c``, or ``low_c`` and ``high_c`` and perhaps ``mean_c``
with twelve figures each; ``source``, ``basis`` and ``note``, which a person's own may leave out.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from stockcheck.core.climate import Basis, Climate, DailyRange
from stockcheck.core.errors import BadInput
from stockcheck.core.names import why_no_line

_FILE = Path(__file__).parent / "climates.toml"
_MONTHLY = ("low_c", "high_c", "mean_c")
_TEXTS = ("name", "source", "note")
_KEYS = (*_TEXTS, "basis", "fixed_c", *_MONTHLY)
_TWELVE = "Give twelve figures in °C, January first"


def climates() -> dict[str, Climate]:
    """The shipped climates by name, in the file's order; a new dict of shared, frozen values."""
    return dict(_shipped())


@cache
def _shipped() -> dict[str, Climate]:
    import tomllib  # late: few commands need a climate

    tables = tomllib.loads(_FILE.read_text(encoding="utf-8"))["climate"]
    found = [climate_from_table(it, f"{_FILE.name}, climate {n}") for n, it in enumerate(tables, 1)]
    return {climate.name: climate for climate in found}


def climate_from_table(table: Mapping[str, object], where: str) -> Climate:
    """The climate that a table of TOML describes; ``where`` names its place in messages.

    BadInput names the place, the key, the value and the remedy.
    """
    for key in table:
        if key not in _KEYS:
            raise _wrong(where, key, None, "there is no such key", f"Use {', '.join(_KEYS)}")
    name, source, note = (_text(table, key, where) for key in _TEXTS)
    if not name:
        raise _wrong(where, "name", None, "it is missing", "Give the climate a name")
    return Climate(name, _months(table, where), source, _basis(table, where), note)


def _months(table: Mapping[str, object], where: str) -> tuple[DailyRange, ...]:
    monthly = [key for key in _MONTHLY if key in table]
    if "fixed_c" in table:
        if monthly:
            raise _wrong(where, monthly[0], None, "it goes not with fixed_c", "Keep one of the two")
        fixed = _number(table["fixed_c"], "fixed_c", where)
        return (_day(where, "fixed_c", fixed, fixed, None),) * 12
    lows, highs = (_twelve(table, key, where) for key in ("low_c", "high_c"))
    means = _twelve(table, "mean_c", where) if "mean_c" in table else [None] * 12
    return tuple(
        _day(where, f"month {number}", *figures)
        for number, figures in enumerate(zip(lows, highs, means, strict=True), 1)
    )


def _day(where: str, key: str, low: float, high: float, mean: float | None) -> DailyRange:
    try:
        return DailyRange(low, high, mean)
    except ValueError as error:
        raise _wrong(where, key, None, str(error), "Give all in °C, the minimum first") from error


def _twelve(table: Mapping[str, object], key: str, where: str) -> list[float]:
    value = table.get(key)
    if not isinstance(value, list):
        what = "it is missing" if value is None else "it is not a list"
        raise _wrong(where, key, value, what, f"{_TWELVE}, or fixed_c alone")
    if len(value) != 12:
        raise _wrong(where, key, None, f"it has {len(value)} figures", _TWELVE)
    return [_number(it, key, where) for it in value]


def _number(value: object, key: str, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _wrong(where, key, value, "it is not a number", "Write it as 31.5, without quotes")
    return float(value)


def _text(table: Mapping[str, object], key: str, where: str) -> str:
    value = table.get(key, "")
    if why := why_no_line(value):
        raise _wrong(where, key, value, f"it {why}", "Write it in quotes, on one line")
    return str(value).strip()


def _basis(table: Mapping[str, object], where: str) -> Basis:
    value = table.get("basis", Basis.OWN.value)
    known = [it.value for it in Basis]
    if value not in known:
        raise _wrong(where, "basis", value, "no such basis", f"Use one of {', '.join(known)}")
    return Basis(value)


def _wrong(where: str, key: str, value: object, what: str, remedy: str) -> BadInput:
    shown = "" if value is None else f" {str(value)[:60]!r}"
    return BadInput(f"{where}, {key}{shown}: {what}. {remedy}")
