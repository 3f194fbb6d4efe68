"""Two kit lists side by side: which lines ask for the same, for more, for fewer, or stand alone.

Lists call things by different names, so lines are paired by the kinds that serve them, then by
their sizes, and by name only where all else is equal. That is this project's reading: two lines in
a pair may still differ in ways that stand only in their text.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from stockcheck.core.kit_list import KitList, Line
from stockcheck.core.names import name_key


class Relation(StrEnum):
    """How the second list's line stands to the first's."""

    EQUAL = "equal"
    MORE = "more"
    FEWER = "fewer"
    ONLY_FIRST = "only in the first"
    ONLY_SECOND = "only in the second"
    OTHER_SIZE = "other size"
    OTHER = "not comparable"


@dataclass(frozen=True, slots=True)
class Pair:
    """A line of each list, or of one of them; ``difference`` is in pieces, None without figures."""

    first: Line | None
    second: Line | None
    relation: Relation
    difference: int | None = None
    note: str = ""


def compared(first: KitList, second: KitList, people: int = 1, days: int = 1) -> tuple[Pair, ...]:
    """Every line of both lists once: the first's in their order, then what only the second has."""
    partner = _paired(first.lines, second.lines)
    pairs = [
        _pair(line, second.lines[partner[at]], people, days)
        if at in partner
        else Pair(line, None, Relation.ONLY_FIRST)
        for at, line in enumerate(first.lines)
    ]
    taken = set(partner.values())
    alone = [line for at, line in enumerate(second.lines) if at not in taken]
    return (*pairs, *(Pair(None, line, Relation.ONLY_SECOND) for line in alone))


def _paired(first: Sequence[Line], second: Sequence[Line]) -> dict[int, int]:
    near = sorted(
        (_distance(one, other), at, there)
        for at, one in enumerate(first)
        for there, other in enumerate(second)
        if one.named_kinds & other.named_kinds or (one.groups and one.groups == other.groups)
    )
    partner: dict[int, int] = {}
    taken: set[int] = set()
    for _, at, there in near:
        if at not in partner and there not in taken:
            partner[at] = there
            taken.add(there)
    return partner


def _distance(one: Line, other: Line) -> tuple[int, int, int, int]:
    shared = len(one.named_kinds & other.named_kinds)
    words = set(one.size_words + one.name_words) ^ set(other.size_words + other.name_words)
    return (
        len(words),
        len(one.named_kinds | other.named_kinds) - shared,
        _size_distance(one, other),
        int(name_key(one.name) != name_key(other.name)),
    )


def _size_distance(one: Line, other: Line) -> int:
    sides = ((one.width_mm, other.width_mm), (one.length_mm, other.length_mm))
    return sum(abs((a or 0) - (b or 0)) for a, b in sides)


def _pair(one: Line, other: Line, people: int, days: int) -> Pair:
    note = _sizes(one, other)
    asked, wanted = _pieces(one, people, days), _pieces(other, people, days)
    if asked is None and wanted is None:
        return Pair(one, other, Relation.OTHER_SIZE if note else Relation.EQUAL, None, note)
    if asked is None or wanted is None or asked[1] != wanted[1]:
        return Pair(one, other, Relation.OTHER, None, note)
    difference = wanted[0] - asked[0]
    if not difference:
        return Pair(one, other, Relation.OTHER_SIZE if note else Relation.EQUAL, 0, note)
    relation = Relation.MORE if difference > 0 else Relation.FEWER
    return Pair(one, other, relation, difference, note)


def _pieces(line: Line, people: int, days: int) -> tuple[int, str] | None:
    """How many a line asks for, in pieces wherever its unit has any; None without a number."""
    asked, unit = line.required(people, days), line.counted_in()
    if asked is None:
        return None
    if unit == "pair":
        return asked * 2, "each"
    if unit == "pack" and line.per_pack:
        return asked * line.per_pack, "each"
    return asked, unit


def _sizes(one: Line, other: Line) -> str:
    """What is to be said of their sizes where they are not the same; "" where they are."""
    sides = [
        f"{name} {was or 'any'} to {now or 'any'} mm"
        for name, was, now in (
            ("width", one.width_mm, other.width_mm),
            ("length", one.length_mm, other.length_mm),
        )
        if was != now
    ]
    if one.minimum_area_mm2 != other.minimum_area_mm2:
        sides.append(
            f"area {one.minimum_area_mm2 or 'any'} to {other.minimum_area_mm2 or 'any'} mm²"
        )
    if one.content != other.content:
        sides.append(f"a piece of {one.content or 'any'} to {other.content or 'any'}")
    return ", ".join(sides)
