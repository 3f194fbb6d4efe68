"""Holding a box against its list, the same for every command that does it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from stockcheck.cli.kit_choice import chosen, said_of, usual
from stockcheck.cli.shell import on_the_way
from stockcheck.core.errors import BadInput

if TYPE_CHECKING:
    from stockcheck.core.audit_result import AuditResult
    from stockcheck.core.kit_list import BoxKit, KitList
    from stockcheck.core.model import Holding
    from stockcheck.core.planning import Trip
    from stockcheck.store.files import Store


@dataclass(frozen=True, slots=True)
class Asked:
    """What an audit is asked for, beside its box: the day, the trip, and what scales or drops rows.

    People and days are those of the trip where they are not given.
    """

    on: date
    going: Trip | None = None
    lists: tuple[str, ...] = ()
    people: int | None = None
    days: int | None = None
    given: tuple[str, ...] = ()

    @property
    def heads(self) -> int:
        """For how many people."""
        return self.people or (self.going.people if self.going else 1)

    @property
    def nights(self) -> int:
        """For how many days, first and last counted."""
        trip = self.going
        return self.days or ((trip.horizon - trip.departs).days + 1 if trip else 1)


@dataclass(frozen=True, slots=True)
class Audited:
    """A box's audit with what it was asked for."""

    box_id: int
    box: str
    kit: BoxKit
    kit_list: KitList
    held: tuple[Holding, ...]
    result: AuditResult


def audited(store: Store, box_name: str, asked: Asked) -> Audited:
    """The box of that name with those inside it, held against its list."""
    from stockcheck.store.names import find_id

    return audited_box(store, find_id(store.conn, "box", box_name), asked)


def audited_box(store: Store, box_id: int, asked: Asked) -> Audited:
    """The box with those inside it, held against its list."""
    from stockcheck.store import reads
    from stockcheck.store.names import name_of

    conn = store.conn
    name = name_of(conn, "box", box_id)
    kit = usual(conn, box_id, name, asked.lists)
    kit_list = chosen(conn, kit.lists)
    inside = reads.box_and_inside(reads.boxes(conn, retired=True), box_id)
    held = tuple(on_the_way(store, reads.holdings(conn, box_ids=inside), asked.going))
    result = held_against(store, kit_list, held, asked, kit)
    return Audited(box_id, name, kit, kit_list, held, result)


def held_against(
    store: Store, kit_list: KitList, held: tuple[Holding, ...], asked: Asked, kit: BoxKit
) -> AuditResult:
    """These holdings against the list; conditions of the box's place hold beside those given."""
    from stockcheck.core.audit import audit

    return audit(
        kit_list,
        held,
        asked.on,
        horizon=asked.going.horizon if asked.going else None,
        people=asked.heads,
        days=asked.nights,
        conditions=conditions_of(kit_list, asked.given, kit.given),
        matches=said_of(store.conn, kit_list),
    )


def conditions_of(
    kit_list: KitList, given: tuple[str, ...], kept: tuple[str, ...] = ()
) -> frozenset[str]:
    """The conditions that hold; BadInput for one given that the list does not ask about."""
    for word in given:
        if word not in kit_list.conditions:
            asked = ", ".join(kit_list.conditions) or "none"
            raise BadInput(f"{word!r} is no condition of {kit_list.id}; it asks about: {asked}")
    return frozenset(given) | (frozenset(kept) & frozenset(kit_list.conditions))


def scale_facts(kit_list: KitList, asked: Asked) -> tuple[str, ...]:
    """For how many people and days the list was taken, and whether it is meant for so many."""
    scales = [line.scale for line in kit_list.lines]
    people = f"{asked.heads} {'person' if asked.heads == 1 else 'people'}"
    days = f"{asked.nights} day{'' if asked.nights == 1 else 's'}"
    said = [people] if any(it.per_people or it.steps for it in scales) else []
    said += [days] if any(it.per_days for it in scales) else []
    facts = [f"scaled for {' and '.join(said)}"] if said else []
    if (asked.people or asked.going) and not kit_list.is_for(asked.heads):
        here = f"here {'is' if asked.heads == 1 else 'are'} {people}"
        facts.append(f"the list is for {kit_list.people_words}, and {here}: see its notes")
    return tuple(facts)
