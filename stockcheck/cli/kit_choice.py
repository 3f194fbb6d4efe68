"""Which kit lists are meant: by id, by file, or those that a box is usually held against."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable, Mapping

    from stockcheck.core.kit_list import BoxKit, KitList
    from stockcheck.core.kit_list_fit import Match
    from stockcheck.core.model import Kind

    Known = Callable[[str], Mapping[str, object] | None]


def known_to(conn: sqlite3.Connection | None) -> Known | None:
    """From the id of a list of the person's own to its table."""
    if conn is None:
        return None
    from stockcheck.store.own_lists import own_list

    return lambda list_id: own_list(conn, list_id)


def one_list(
    conn: sqlite3.Connection | None, name: str, kinds: Mapping[str, Kind] | None = None
) -> KitList:
    """The list of an id or a file; one of the person's own goes before one that ships."""
    from pathlib import Path

    from stockcheck.data import kit_lists

    known = known_to(conn)
    if name.endswith(".toml"):
        return kit_lists.kit_list_file(Path(name), kinds, known)
    table = known(name) if known else None
    if table is not None:
        return kit_lists.read_kit_list(table, name)
    if conn is not None and name not in kit_lists.kit_list_ids():
        from stockcheck.store.own_lists import own_list_titles

        raise kit_lists.no_such_list(name, tuple(own_list_titles(conn)))
    return kit_lists.kit_list(name)


def chosen(conn: sqlite3.Connection, names: Sequence[str]) -> KitList:
    """These lists as one: what they ask for adds up. BadInput for two editions of one standard."""
    from stockcheck.core.kit_list import together
    from stockcheck.store.kinds import kinds_by_key

    kinds = kinds_by_key(conn) if any(name.endswith(".toml") for name in names) else None
    found = [one_list(conn, name, kinds) for name in dict.fromkeys(names)]
    ids = {each.id for each in found}
    for each in found:
        if each.replaced_by in ids:
            raise BadInput(
                f"{each.replaced_by} is a newer edition of {each.id}: editions do not add up,"
                " take one of the two ('kit-lists compare' tells what differs)"
            )
    return found[0] if len(found) == 1 else together(found)


def usual(conn: sqlite3.Connection, box_id: int, box: str, lists: Sequence[str]) -> BoxKit:
    """The lists given, else those that the box is usually held against; BadInput for neither."""
    from stockcheck.core.kit_list import BoxKit
    from stockcheck.store.own_lists import kits

    kept = kits(conn).get(box_id)
    if lists:
        given = kept.given if kept and tuple(lists) == kept.lists else ()
        return BoxKit(box_id, tuple(lists), given, kept.every_days if kept else None)
    if kept is None:
        raise BadInput(
            f"no kit list is remembered for {box}; give --list ID ('kit-lists list' shows them),"
            f" or remember one: stockcheck kit-lists usual {box!r} ID"
        )
    return kept


def said_of(conn: sqlite3.Connection, kit_list: KitList) -> list[Match]:
    """What was matched by hand for a list, or for the lists put together in it."""
    from stockcheck.store.matches import matches

    return matches(conn, tuple(kit_list.id.split("+")))
