"""The shipped catalogue of kinds, the user's own kinds and figures, and the texts beside them.

One TOML file a group lies under ``kinds/``; each ``[[kind]]`` block begins with its key, may end
with its ``[kind.inspection]``, and reads alone, so that a command which needs three kinds parses
three blocks, not the whole catalogue.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import replace
from enum import StrEnum
from functools import cache
from typing import Any, NamedTuple

from stockcheck.core.calendar import Life
from stockcheck.core.model import (
    Certainty,
    DateContext,
    DateMeaning,
    InspectionRule,
    Kind,
    PastDate,
)
from stockcheck.core.shelf_life import half_of, never_extended
from stockcheck.data.kind_table import KIND_FIELDS, OWN_FIGURE, KindTable, kind_table, life_table

# Raise it whenever a shipped life, extension, meaning or past-date rule changes: stores of an older
# edition then work out their limits anew.
CATALOGUE_EDITION = "2026-11-25.3"

SHIPPED, CHANGED, OWN = "shipped", "changed", "own"
GROUP_FILES = (
    "sealants",
    "tapes",
    "rubber",
    "fluids",
    "power",
    "medicines",
    "first-aid",
    "water",
    "food",
    "other",
)

_DAYS_A_MONTH = 30.4375


class Route(NamedTuple):
    """A way of getting rid of things: its name, and what to do and not to do, in a sentence."""

    name: str
    text: str


class KeepApart(NamedTuple):
    """Kinds (by key) that must not ride beside other kinds, why, and who says so."""

    these: tuple[str, ...]
    those: tuple[str, ...]
    why: str
    source: str
    certainty: Certainty


def shipped_kind(key: str) -> Kind | None:
    """The shipped kind of that key, None when the catalogue has none; reads that kind alone."""
    return _parsed(key) if key in _blocks() else None


def shipped_kinds() -> dict[str, Kind]:
    """Every shipped kind by key, in catalogue order; a new dict of shared, frozen kinds."""
    return {key: _parsed(key) for key in _blocks()}


def cautions() -> dict[str, str]:
    """The caution texts by the keys that kinds name."""
    return dict(_texts()["cautions"])


def kit_cautions() -> dict[str, str]:
    """The cautions of first-aid kits and their lists, by key."""
    return dict(_texts()["kit_cautions"])


def disposal_routes() -> dict[str, Route]:
    """The disposal routes by the keys that kinds name."""
    return {key: Route(**route) for key, route in _texts()["disposal"].items()}


def keep_apart() -> tuple[KeepApart, ...]:
    """Which kinds must not ride together."""
    return tuple(
        KeepApart(
            these=tuple(rule["these"]),
            those=tuple(rule["those"]),
            why=rule["why"],
            source=rule["source"],
            certainty=Certainty(rule["certainty"]),
        )
        for rule in _texts()["keep_apart"]
    )


def kind_from_table(table: Mapping[str, object], where: str, origin: str = SHIPPED) -> Kind:
    """The kind that a table of the catalogue's form describes; ``where`` names its place.

    A kind that is not shipped may leave out group, dates, disposal, source and certainty. BadInput
    names the place, the field, the value and the remedy.
    """
    read = KindTable(table, where, own=origin != SHIPPED)
    read.refuse_unknown(KIND_FIELDS)
    kind = Kind(
        key=read.key(),
        name=read.text("name"),
        group=read.text("group", "own kinds"),
        dates=read.choice("dates", DateContext, DateContext.GENERAL),
        meaning=read.choice("meaning", DateMeaning),
        past=read.choice("past", PastDate),
        disposal=read.text("disposal", "hazardous-point"),
        source=read.text("source", OWN_FIGURE),
        certainty=read.choice("certainty", Certainty, Certainty.OWN),
        sealed=read.life("sealed"),
        opened=read.life("opened"),
        also=read.words("also"),
        storage=read.note("storage"),
        heat=read.note("heat"),
        failure=read.note("failure"),
        past_note=read.note("past_note"),
        cautions=read.words("cautions"),
        inspection=read.inspection(),
        origin=origin,
    )
    _refuse_contradictions(kind, read)
    if read.own:  # a test holds the shipped ones against the texts, at no cost to a look-up
        _refuse_unknown_texts(kind, read)
    return kind


def with_changes(kind: Kind, changes: Mapping[str, object]) -> Kind:
    """The kind with the user's own figures laid over it, in the field names of the catalogue.

    A life is a text such as ``18 months``, a table with some of its fields, or None for none; an
    inspection is a table with some of its fields, or None. Either counts as the user's own figure
    unless it says otherwise. Where the change leaves no room for the shipped extension, that is
    cut or falls away. Cautions can be added, not dropped, and a safety date stays one. BadInput as
    for ``kind_from_table``.
    """
    where = f"your own figures for {kind.key}"
    table = {**_table_of(kind), **changes}
    _refuse_loosening(kind, KindTable(table, where, own=True))
    if changes.get("sealed") is not None and kind.sealed is not None:
        counted = {"from": kind.sealed.counts_from.value}
        table["sealed"] = counted | life_table(changes["sealed"])
    origin = CHANGED if kind.origin == SHIPPED else kind.origin
    table["inspection"] = _own_inspection(kind, changes.get("inspection"))
    changed = kind_from_table(table, where, origin)
    if "inspection" in changes:
        return changed
    return replace(changed, inspection=_fitting(kind.inspection, changed))


def _own_inspection(kind: Kind, change: object) -> object:
    """The user's inspection rule, what it leaves out taken from the kind's."""
    if kind.inspection is None or not isinstance(change, Mapping):
        return change
    table = kind_table(kind)["inspection"]
    if not {"extends", "times"}.isdisjoint(change):
        table = {name: table[name] for name in table if name not in {"source", "certainty"}}
    table |= change
    if table.get("extends") is None and "times" not in change:
        table.pop("times", None)
    return table


def _fitting(rule: InspectionRule | None, kind: Kind) -> InspectionRule | None:
    """A kind's inspection rule as far as the user's other changes leave room for it."""
    if rule is None or kind.past is PastDate.DISCARD:
        return None
    if rule.extends is None or not _too_far(rule, kind):
        return rule
    half = half_of(kind.sealed.life) if kind.sealed else Life()
    if never_extended(kind) or half == Life():
        return replace(rule, extends=None, times=0, source=OWN_FIGURE, certainty=Certainty.OWN)
    source = "half of your own sealed life"
    return replace(rule, extends=half, source=source, certainty=Certainty.OWN)


def _too_far(rule: InspectionRule, kind: Kind) -> str:
    """What is wrong with an extension of this kind; "" when nothing is."""
    if never := never_extended(kind):
        return never
    if kind.sealed is None:
        return "without a sealed life there is nothing to measure an extension by"
    if not 0 < _days(rule.extends or Life()) < _days(kind.sealed.life):
        return f"an extension is longer than nothing and shorter than the {kind.sealed.life} sealed"
    return ""


def _days(life: Life) -> float:
    return life.months * _DAYS_A_MONTH + life.days


def _refuse_contradictions(kind: Kind, read: KindTable) -> None:
    if not kind.has_life and kind.sealed is not None:
        raise read.wrong(
            "sealed", "a kind whose date means none has no sealed life", "Leave out one of the two."
        )
    if kind.has_life and kind.past is PastDate.NO_LIMIT:
        raise read.wrong(
            "past",
            f"does not go with a date that means {kind.meaning}",
            "Use meaning 'none', or say what is done past the date.",
        )
    if kind.inspection is not None:
        _refuse_inspection(kind, kind.inspection, read)


def _refuse_inspection(kind: Kind, rule: InspectionRule, read: KindTable) -> None:
    if kind.past is PastDate.DISCARD:
        raise read.wrong(
            "past", "what is discarded past its date is not inspected", "Leave out one of the two."
        )
    if rule.extends is not None and (fault := _too_far(rule, kind)):
        inner = KindTable({"extends": str(rule.extends)}, f"{read.where}, inspection", read.own)
        remedy = "Leave extends and times out, or give a shorter one where it may be extended."
        raise inner.wrong("extends", fault, remedy)


def _refuse_unknown_texts(kind: Kind, read: KindTable) -> None:
    routes, known = _texts()["disposal"], _texts()["cautions"]
    if kind.disposal not in routes:
        raise read.wrong("disposal", "is no disposal route", f"Use one of: {', '.join(routes)}.")
    for caution in kind.cautions:
        if caution not in known:
            what = f"{caution!r} is no caution"
            raise read.wrong("cautions", what, f"Use some of: {', '.join(known)}.")


def _refuse_loosening(kind: Kind, read: KindTable) -> None:
    if read.values["key"] != kind.key:
        raise read.wrong("key", "a key cannot be changed", "Add a kind of your own under that key.")
    if kind.meaning is DateMeaning.SAFETY and read.values["meaning"] != kind.meaning.value:
        raise read.wrong(
            "meaning", f"{kind.name} has a safety date, which stays one", "Leave it as 'safety'."
        )
    if dropped := set(kind.cautions) - set(read.words("cautions")):
        raise read.wrong(
            "cautions",
            f"{', '.join(sorted(dropped))} cannot be dropped",
            "Name the shipped cautions too.",
        )


def _table_of(kind: Kind) -> dict[str, object]:
    """The kind as a table; its lives stay the rules that they are."""
    found = {name: getattr(kind, name) for name in KIND_FIELDS}
    return {
        name: value.value if isinstance(value, StrEnum) else value
        for name, value in found.items()
        if value is not None
    }


@cache
def _blocks() -> dict[str, tuple[str, str]]:
    """Where each shipped kind stands and its block of TOML, by key, in catalogue order."""
    found: dict[str, tuple[str, str]] = {}
    for name in GROUP_FILES:
        text = _text_of("kinds", f"{name}.toml")
        for block in text.split("\n[[kind]]\n")[1:]:
            key = block.split('"', 2)[1]
            found[key] = (f"kinds/{name}.toml, kind {key}", block)
    return found


@cache
def _parsed(key: str) -> Kind:
    where, block = _blocks()[key]
    table = _toml(block)
    return kind_from_table(table | table.pop("kind", {}), where)  # [kind.inspection] closes a block


@cache
def _texts() -> dict[str, Any]:
    import json

    found: dict[str, Any] = json.loads(_text_of("texts.json"))
    return found


def _text_of(*names: str) -> str:
    with open(os.path.join(os.path.dirname(__file__), *names), encoding="utf-8") as file:
        return file.read()


def _toml(text: str) -> dict[str, Any]:
    import tomllib  # late: the edition and the user's own kinds need no parser

    return tomllib.loads(text)
