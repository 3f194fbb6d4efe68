"""A kit list that extends others: their rows, with some dropped, some changed and some added.

``extends`` names one list or several (modules that add to a base: equal rows add up), by id or, in
a file, by the path of another file beside it. ``drop`` names rows that go; a ``[[change]]`` row
gives, under the name of a row, the keys that are other, and ``without`` the keys that go. Rows of
the list's own are added. All of it works on the tables as they stand in TOML.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from stockcheck.core.kit_list import MEMORY, OWN
from stockcheck.core.names import name_key, nearest
from stockcheck.core.words import listed
from stockcheck.data.kit_list_fields import Fields

Table = Mapping[str, object]
Find = Callable[[str], Table]
"""From the name of a list to its own table, one that extends nothing any more."""

_SECTIONS = ("item", "presence")
_ADDS_UP = ("quantity", "spec", "certainty")


def extended(table: Table, top: Fields, find: Find) -> dict[str, object]:
    """The table with what it extends; itself, where it extends nothing. Problems are noted."""
    own = dict(table)
    names = _names_of(own.pop("extends", ()), top)
    if not names:
        for key in ("drop", "change"):
            if own.pop(key, None) is not None:
                top.wrong(key, None, "there is nothing to take it from", 'Give extends = "ID"')
        return own
    bases = [find(name) for name in names]
    rows = _together(bases)
    dropped = _drop(rows, top.names("drop"), top)
    changed = _change(rows, top)
    added = [(key, dict(row.table)) for key in _SECTIONS for row in top.rows(key)]
    known = {name_key(str(row.get("name", ""))) for _, row in rows}
    for _, row in added:
        if name_key(str(row.get("name", ""))) in known:
            what = "a row of the list that it extends has this name"
            top.wrong("name", row.get("name"), what, "Use [[change]], or another name")
    for key in ("drop", "change", *_SECTIONS):
        own.pop(key, None)
    for key in _SECTIONS:
        own[key] = [row for section, row in [*rows, *added] if section == key]
    _texts(own, bases, names)
    own["notes"] = _notes(own, names, dropped, changed, [str(row.get("name")) for _, row in added])
    return own


def _names_of(value: object, top: Fields) -> list[str]:
    if isinstance(value, str) and value:
        return [value]
    if isinstance(value, list | tuple) and all(isinstance(it, str) and it for it in value):
        return list(value)
    top.wrong("extends", value, "neither an id nor a list of ids", 'Write extends = "ID"')
    return []


def _together(bases: Sequence[Table]) -> list[tuple[str, dict[str, object]]]:
    """The rows of the bases; rows that are equal but for the quantity add up."""
    found: list[tuple[str, dict[str, object]]] = []
    for base in bases:
        memory = {"certainty": MEMORY} if base.get("source_certainty") == MEMORY else {}
        for section in _SECTIONS:
            for given in _rows(base, section):
                row = memory | given
                same = next((it for _, it in found if _same(it, row)), None)
                if same is None:
                    found.append((section, _told_apart(row, base, [it for _, it in found])))
                else:
                    same["quantity"] = _number(same) + _number(row)
    return found


def _rows(base: Table, section: str) -> list[dict[str, object]]:
    value = base.get(section, [])
    return [dict(row) for row in value] if isinstance(value, list) else []


def _number(row: Table) -> int:
    quantity = row.get("quantity", 0)
    return quantity if isinstance(quantity, int) else 0


def _same(one: Table, other: Table) -> bool:
    def rest(row: Table) -> dict[str, object]:
        return {key: value for key, value in row.items() if key not in _ADDS_UP}

    return "quantity" in one and "quantity" in other and rest(one) == rest(other)


def _told_apart(row: dict[str, object], base: Table, found: Sequence[Table]) -> dict[str, object]:
    """Two bases may have rows of one name that ask for different things."""
    if any(it.get("name") == row.get("name") for it in found):
        row["name"] = f"{row.get('name')} ({base.get('id')})"
    return row


def _drop(
    rows: list[tuple[str, dict[str, object]]], names: Sequence[str], top: Fields
) -> list[str]:
    for name in names:
        at = _place(rows, name)
        if at is None:
            _not_there("drop", name, rows, top)
        else:
            del rows[at]
    return list(names)


def _change(rows: list[tuple[str, dict[str, object]]], top: Fields) -> list[str]:
    changed = []
    for change in top.rows("change"):
        name = change.text("name", must=True)
        at = _place(rows, name)
        if at is None:
            _not_there("change", name, rows, top)
            continue
        section, row = rows[at]
        for key in change.names("without"):
            if row.pop(key, None) is None:
                what = f"row {name!r} has no such key to take away"
                change.wrong("without", key, what, "Take the word out")
        row |= {key: it for key, it in change.table.items() if key != "without"}
        if "quantity" in row and section == "presence":
            section = "item"
        rows[at] = section, row
        changed.append(name)
    return changed


def _place(rows: Sequence[tuple[str, Table]], name: str) -> int | None:
    wanted = name_key(name)
    places = (at for at, (_, it) in enumerate(rows) if name_key(str(it.get("name", ""))) == wanted)
    return next(places, None)


def _not_there(key: str, name: str, rows: Sequence[tuple[str, Table]], top: Fields) -> None:
    names = [str(row.get("name", "")) for _, row in rows]
    near = nearest(name, names, "'kit-lists show' shows its rows")
    remedy = near.removeprefix("; ")
    what = "the list that it extends has no such row"
    top.wrong(key, name, what, remedy[:1].upper() + remedy[1:])


def _texts(own: dict[str, object], bases: Sequence[Table], names: Sequence[str]) -> None:
    """What the list does not say itself is taken from those that it extends."""
    origin = " + ".join(f"{base.get('id', name)}" for base, name in zip(bases, names, strict=True))
    own.setdefault("source", f"own list, after {origin}")
    own.setdefault("source_certainty", OWN)
    own.setdefault("edition", " + ".join(str(base.get("edition", "")) for base in bases))
    own.setdefault("jurisdiction", "; ".join(str(base.get("jurisdiction", "")) for base in bases))
    for key in ("check_every_days", "check_source", "people_from", "people_to"):
        for base in bases:
            if key in base:
                own.setdefault(key, base[key])


def _notes(own: Table, names: Sequence[str], *happened: Sequence[str]) -> str:
    words = [
        f"{what} {listed(list(rows))}"
        for what, rows in zip(("dropped", "changed", "added"), happened, strict=True)
        if rows
    ]
    said = f"Extends {listed(list(names))}" + (f": {'; '.join(words)}" if words else "") + "."
    notes = own.get("notes", "")
    return f"{notes} {said}".strip() if isinstance(notes, str) else said
