"""A kit list out of the table of its TOML: rows with their logic, and what contradicts itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from stockcheck.core.content import Content
from stockcheck.core.kit_list import LINE_UNITS, MEMORY, OWN, SEEN, Instead, KitList, Line
from stockcheck.core.kit_list_scale import Scale
from stockcheck.core.kit_list_way import Way
from stockcheck.core.model import Kind
from stockcheck.core.names import name_key
from stockcheck.data.kit_list_fields import Fields

LIST_TEXTS = ("id", "title", "source", "edition", "source_certainty", "jurisdiction", "notes")
MUST = ("id", "title", "source", "source_certainty")
LONGEST_INTERVAL = 3660
"""Ten years, in days."""
_PEOPLE = ("people_from", "people_to")
_LIST_MORE = ("check_every_days", "check_source", "replaced_by", *_PEOPLE)
_SIZES = ("width_mm", "length_mm", "minimum_area_mm2")
_CONTENTS = ("minimum_ml", "minimum_mg")
_WAY_KEYS = ("kinds", *_SIZES, *_CONTENTS, "size_words", "name_words", "about", "only_that_size")
_SCALES = ("per_person", "per_people", "per_day", "per_days", "steps")
ROW_KEYS = (
    *("name", "quantity", "unit", "spec", "dated", "sterile", "per_pack", "alternative"),
    *("condition", "certainty", "or", "covered_by", "fewer_with", "unless", "when", "wrapped"),
    *("set_of", "any_of_groups", "instead", *_SCALES, *_WAY_KEYS),
)
_PART_KEYS = ("name", "quantity", "unit", "dated", "sterile", "wrapped", *_WAY_KEYS)


def kit_list_of(top: Fields) -> KitList:
    """The list of a whole table, one that extends nothing; problems are noted in ``top``."""
    top.only((*LIST_TEXTS, "seen_at", "item", "presence", *_LIST_MORE))
    texts = {key: top.text(key, must=key in MUST) for key in LIST_TEXTS}
    certainty = top.one_of("source_certainty", (SEEN, MEMORY, OWN), SEEN)
    of_rows = MEMORY if certainty == MEMORY else SEEN
    lines = tuple(
        _line(row, numbered=key == "item", certainty=of_rows)
        for key in ("item", "presence")
        for row in top.rows(key)
    )
    if not lines:
        top.wrong("item", None, "the list has no rows", "Add [[item]] or [[presence]] rows")
    if "+" in texts["id"] or texts["id"].endswith(".toml"):
        top.wrong("id", texts["id"], "not fit for an id", "Take letters, figures and hyphens")
    least, most = (top.number(key) for key in _PEOPLE)
    if least and most and least > most:
        top.wrong(
            "people_from", least, "it is more than people_to", "Give the smaller number first"
        )
    _check_names(top, lines)
    _check_covers(top, lines)
    del texts["source_certainty"]
    return KitList(
        **texts,
        certainty=certainty,
        lines=lines,
        seen_at=top.names("seen_at"),
        check_every_days=_every(top),
        check_source=top.text("check_source"),
        replaced_by=top.text("replaced_by"),
        people_from=least,
        people_to=most,
    )


def _every(top: Fields) -> int | None:
    days = top.number("check_every_days")
    if days is not None and days > LONGEST_INTERVAL:
        top.wrong("check_every_days", days, "that is more than ten years", "Give it in days")
    return days


def _line(row: Fields, *, numbered: bool, certainty: str) -> Line:
    row.only(ROW_KEYS)
    if not numbered:
        for key in ("quantity", "unit", *_SCALES, "set_of", "instead"):
            if key in row.table:
                row.wrong(key, row.table[key], "a [[presence]] row has no number", "Use [[item]]")
    parts = tuple(_part(part, certainty) for part in row.rows("set_of"))
    groups = row.names("any_of_groups")
    way = _way(row, may_be_empty=bool(parts or groups))
    thing = _thing(row, way, row.number("quantity", must=True) if numbered else None, certainty)
    return replace(
        thing,
        spec=row.text("spec"),
        groups=groups,
        per_pack=row.number("per_pack"),
        scale=_scale(row),
        alternative=row.text("alternative"),
        condition=row.text("condition"),
        unless=row.text("unless"),
        when=row.text("when"),
        ways=tuple(_other_way(other) for other in row.rows("or")),
        covered_by=row.names("covered_by"),
        fewer_with=_fewer_with(row),
        certainty=row.one_of("certainty", (SEEN, MEMORY), certainty),
        parts=parts,
        instead=tuple(_instead(other) for other in row.rows("instead")),
    )


def _thing(row: Fields, way: Way, quantity: int | None, certainty: str) -> Line:
    """What a line and a part of a set have in common: how many of what, of which size."""
    return Line(
        name=row.text("name", must=True),
        quantity=quantity,
        kinds=way.kinds,
        unit=row.one_of("unit", LINE_UNITS, "each"),
        dated=row.flag("dated"),
        sterile=row.flag("sterile"),
        wrapped=row.flag("wrapped"),
        width_mm=way.width_mm,
        length_mm=way.length_mm,
        minimum_area_mm2=way.minimum_area_mm2,
        size_words=way.size_words,
        name_words=way.name_words,
        about=way.about,
        only_that_size=way.only_that_size,
        content=way.content,
        certainty=certainty,
    )


def _instead(other: Fields) -> Instead:
    other.only(("when", "quantity", "size_words"))
    return Instead(
        other.text("when", must=True),
        other.number("quantity", must=True) or 1,
        other.names("size_words"),
    )


def _part(part: Fields, certainty: str) -> Line:
    part.only(_PART_KEYS)
    return _thing(part, _way(part), part.number("quantity", must=True) or 1, certainty)


def _way(row: Fields, *, may_be_empty: bool = False) -> Way:
    kinds = row.names("kinds")
    if not kinds and not may_be_empty:
        row.wrong("kinds", None, "no kind can serve it", 'Give some, such as kinds = ["eye-pad"]')
    width, length, area = (row.number(key) for key in _SIZES)
    if width and length and width > length:
        row.wrong("width_mm", width, "it is more than the length", "Give the shorter side as width")
    words = row.names("size_words"), row.names("name_words")
    marks = row.flag("about"), row.flag("only_that_size")
    for key, mark in zip(("about", "only_that_size"), marks, strict=True):
        if mark and not (width or length):
            row.wrong(key, None, "there is no side for it", "Give width_mm or length_mm")
    return Way(kinds, width, length, area, *words, *marks, content=_content(row))


def _content(row: Fields) -> Content | None:
    """What one piece must hold at least."""
    ml, mg = (row.number(key) for key in _CONTENTS)
    if ml and mg:
        row.wrong("minimum_mg", mg, "there is minimum_ml as well", "Keep one of the two")
    if ml:
        return Content(ml * 1000, "ml")
    return Content(mg, "g") if mg else None


def _other_way(other: Fields) -> Way:
    other.only(_WAY_KEYS)
    return _way(other)


def _scale(row: Fields) -> Scale:
    each = {}
    for one, many in (("per_person", "per_people"), ("per_day", "per_days")):
        if row.flag(one) and many in row.table:
            row.wrong(many, row.table[many], f"there is {one} as well", "Keep one of the two")
        each[many] = 1 if row.flag(one) else row.number(many) or 0
    steps = [_step(step) for step in row.rows("steps")]
    if steps != sorted(set(steps)):
        row.wrong("steps", None, "they do not rise", "Give the smallest number of people first")
    if steps and (each["per_people"] or "fewer_with" in row.table):
        row.wrong("steps", None, "people are counted twice", "Take per_people or fewer_with away")
    return Scale(each["per_people"], each["per_days"], tuple(steps))


def _step(step: Fields) -> tuple[int, int]:
    step.only(("people", "quantity"))
    return step.number("people", must=True) or 1, step.number("quantity", must=True) or 1


def _fewer_with(row: Fields) -> tuple[str, int] | None:
    if "fewer_with" not in row.table:
        return None
    inner = row.inner("fewer_with")
    inner.only(("kind", "quantity"))
    return inner.text("kind", must=True), inner.number("quantity", must=True) or 0


def _check_names(top: Fields, lines: tuple[Line, ...]) -> None:
    """Rows are known by their names: in a change, in a match by hand, in a record."""
    seen: set[str] = set()
    for line in lines:
        key = name_key(line.name)
        if key and key in seen:
            top.wrong("name", line.name, "two rows have this name", "Tell them apart by their size")
        seen.add(key)


def _check_covers(top: Fields, lines: tuple[Line, ...]) -> None:
    """A thing that covers one row is not used up by it, so it must not be counted in another."""
    serving = {kind: line.name for line in lines for kind in line.serving_kinds}
    for line in lines:
        for kind in line.covered_by:
            if kind in serving:
                what = f"it covers {line.name!r} and serves {serving[kind]!r}: counted twice"
                top.wrong("covered_by", kind, what, "Name it in one of the two rows only")


def check_kinds(top: Fields, lines: tuple[Line, ...], known: Mapping[str, Kind]) -> None:
    """Note every kind, and group of kinds, that is not among the known ones."""
    groups = {kind.group for kind in known.values()}
    for line in lines:
        for words, among, what in (
            (line.named_kinds, set(known), "kind"),
            (set(line.groups), groups, "group of kinds"),
        ):
            for word in sorted(words - among):
                key = "kinds" if what == "kind" else "any_of_groups"
                _unknown(top, key, word, f"row {line.name!r} names a {what}", sorted(among))


def _unknown(top: Fields, key: str, word: str, what: str, known: list[str]) -> None:
    from difflib import get_close_matches

    near = get_close_matches(word, known, n=1)
    remedy = f"Perhaps {near[0]}" if near else "'stockcheck kind list' shows what there is"
    top.wrong(key, word, f"{what} that is not known", remedy)
