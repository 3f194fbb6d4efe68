"""``audit BOX --match``: which line each thing in the box serves, and saying otherwise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

import click

from stockcheck.cli.asking import asked_words
from stockcheck.cli.auditing import Asked, Audited, audited
from stockcheck.cli.shell import at_terminal, say
from stockcheck.core.errors import BadInput
from stockcheck.core.kit_list_fit import Match

if TYPE_CHECKING:
    from stockcheck.core.audit_result import LineResult
    from stockcheck.core.kit_list import KitList
    from stockcheck.core.model import Item
    from stockcheck.store.files import Store


def match_by_hand(store: Store, box_name: str, asked: Asked) -> None:
    """Show what serves what; at a terminal let the person say otherwise, one item at a time."""
    from stockcheck.store import matches

    done = audited(store, box_name, asked)
    _show(done)
    if not at_terminal():
        say("To change one: stockcheck kit-lists match LIST LINE ITEM (or with --not)", err=True)
        return
    items = _items(done)
    while number := click.prompt("Number of the item to match (0: none)", type=int, default=0):
        if not 1 <= number <= len(items):
            say(f"there is no item {number} above")
            continue
        match = _asked_of(items[number - 1], done.kit_list, _origins(store, done))
        if match is None:
            continue
        with store.writing() as conn:
            matches.say(conn, match, asked.on)
        done = audited(store, box_name, asked)
        _show(done)
        items = _items(done)


def _items(done: Audited) -> list[Item]:
    return sorted(dict.fromkeys(it.item for it in done.held), key=lambda it: it.name.casefold())


def _show(done: Audited) -> None:
    from stockcheck.core.audit_explain import by_item

    lines = by_item(done.result)
    said = {(it.item_id, it.line): it for it in done.result.said}
    say(f"What serves which line of {done.kit_list.title}:")
    for number, item in enumerate(_items(done), 1):
        at = [
            f"{it.line.name}{_how(it, item, by_hand=(item.id, it.line.name) in said)}"
            for it in lines.get(item.id, ())
        ]
        nots = [
            f"not {line}"
            for (which, line), it in said.items()
            if which == item.id and not it.serves
        ]
        say(f"{number:3} {item.name}: {'; '.join([*at, *nots]) or 'no line'}", 4)


def _how(line: LineResult, item: Item, *, by_hand: bool) -> str:
    """How an item stands at a line, where it does not plainly count there."""
    from stockcheck.core.audit_stock import IN_DATE, Role

    roles = [it.role for it in line.holdings if it.holding.item == item]
    counts = any(role in (*IN_DATE, Role.COVERS) for role in roles)
    marks = ["by hand"] if by_hand else []
    marks += [] if counts else [str(role) for role in dict.fromkeys(roles)]
    return f" ({', '.join(marks)})" if marks else ""


def _origins(store: Store, done: Audited) -> dict[str, str]:
    """Of each line, the id of the list that it stands in."""
    from stockcheck.cli.kit_choice import one_list

    found = [one_list(store.conn, each) for each in done.kit.lists]
    return {line.name: each.id for each in reversed(found) for line in each.lines}


def _asked_of(item: Item, kit_list: KitList, origins: Mapping[str, str]) -> Match | None:
    for number, line in enumerate(kit_list.lines, 1):
        say(f"{number:3} {line.name}{f' ({line.spec})' if line.spec else ''}", 4)
    number = click.prompt(f"Line for {item.name!r} (0: none)", type=int, default=0)
    if not 1 <= number <= len(kit_list.lines):
        return None
    line = kit_list.lines[number - 1]
    serves = click.confirm(f"Does {item.name!r} serve {line.name!r}?")
    note = asked_words("Why (may be empty)")
    return Match(origins.get(line.name, kit_list.id), line.name, item.id, serves, note=note)


def line_named(kit_list: KitList, text: str) -> str:
    """The name of the line meant; BadInput tells the nearest."""
    from stockcheck.core.names import name_key, nearest

    names = _line_names(kit_list)
    found = [name for name in names if name_key(name) == name_key(text)]
    found = found or [name for name in names if name_key(text) in name_key(name)]
    if len(found) == 1:
        return found[0]
    if found:
        raise BadInput(f"{text!r} is in several lines of {kit_list.id}: {', '.join(found[:5])}")
    more = nearest(text, names, f"'kit-lists show {kit_list.id}' shows its lines")
    raise BadInput(f"{kit_list.id} has no line {text!r}{more}")


def _line_names(kit_list: KitList) -> Sequence[str]:
    parts = (f"{line.name}: {part.name}" for line in kit_list.lines for part in line.parts)
    return [*(line.name for line in kit_list.lines), *parts]
